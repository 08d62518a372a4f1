/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log while it is read. */
#include "data/csv_reading.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "data/csv_channels.h"
#include "data/csv_encoding.h"
#include "data/csv_lanes.h"
#include "data/csv_time.h"

#define LOOK ((size_t)64 << 10)	/* bytes by which text is told from other things */
#define SNIFF ((size_t)24 << 10)	/* and those in which the dialect is looked for at first */

static enum err_code no_memory(const char *name, struct err *e)
{
	return err_set(e, ERR_MEMORY, "%s: out of memory; close other programs, or cut the log",
		       name);
}

/* Whether there is nothing but NUL, to the end; the input is back at its start then. */
static enum err_code is_all_nul(struct csv_input *in, bool *all, struct err *e)
{
	char *block = mem_alloc(LOOK);
	enum err_code code = csv_input_rewind(in, e);
	size_t got = LOOK;
	size_t i;

	*all = true;
	while (code == ERR_NONE && got == LOOK && *all) {
		code = csv_input_read(in, block, LOOK, &got, e);
		for (i = 0; i < got && block[i] == '\0'; i++)
			;
		*all = i == got;
	}
	free(block);
	return code == ERR_NONE ? csv_input_rewind(in, e) : code;
}

/* Looks at the first bytes: whether they are text, and how it is encoded. */
static enum err_code check_bytes(struct csv_reading *r, struct err *e)
{
	struct csv_source *s = &r->source;
	const char *name = r->log->path;
	enum err_code code = csv_source_look(s, LOOK, e);
	const char *what;
	bool all_nul = false;
	size_t bom;

	if (code != ERR_NONE)
		return code;
	if (s->ahead.len == 0)
		return err_set(e, ERR_DATA, "%s: the file is empty; was the logger stopped "
			       "properly?", name);
	if (s->ahead.data[0] == '\0') {
		code = is_all_nul(s->in, &all_nul, e);
		csv_source_restart(s);
		if (code == ERR_NONE)
			code = csv_source_look(s, LOOK, e);
		if (code != ERR_NONE)
			return code;
	}
	if (all_nul)
		return err_set(e, ERR_DATA, "%s: the file holds nothing but NUL bytes; the "
			       "logger made room but never wrote to it", name);
	what = csv_not_text(s->ahead.data, s->ahead.len);
	if (what != NULL)
		return err_set(e, ERR_FORMAT, "%s: not a CSV file but %s", name, what);
	s->encoding = csv_sniff_encoding(s->ahead.data, s->ahead.len, &bom);
	r->sure = bom > 0 || s->encoding == CSV_UTF16LE || s->encoding == CSV_UTF16BE;
	csv_source_skip(s, bom);
	return ERR_NONE;
}

/* Sniffs the first `n` bytes; *more is left true when they are too few. */
static enum err_code sniff_head(struct csv_reading *r, size_t n, bool *more,
				struct csv_dialect *dialect, struct err *e)
{
	struct buf head = BUF_INIT;
	struct buf room = BUF_INIT;
	enum err_code code;
	size_t length;
	char *text;
	bool last;

	code = csv_source_next(&r->source, n, &head, &last, e);
	if (code != ERR_NONE)
		goto out;
	code = csv_source_put_back(&r->source, head.data, head.len, e);
	*more = !last && !(r->source.grows && csv_source_is_all(&r->source, n));
	if (code == ERR_NONE &&
	    !csv_source_decode(r->source.encoding, last, &head, &room, &text, &length))
		code = no_memory(r->log->path, e);
	if (code == ERR_NONE)
		code = csv_sniff_head(r->log->path, text, length, more, &r->options, dialect, e);
out:
	buf_release(&head);
	buf_release(&room);
	return code;
}

/* From where the source stands: the start of the text. */
static enum err_code begin_text(struct csv_reading *r, struct err *e)
{
	struct csv_dialect dialect;
	enum err_code code = ERR_NONE;
	size_t n;
	bool more;

	for (n = SNIFF, more = true; code == ERR_NONE && more; n *= 4)
		code = sniff_head(r, n, &more, &dialect, e);
	if (code != ERR_NONE)
		return code;
	if (r->source.encoding != CSV_UTF8)
		datalog_note(r->log, "The file is read as %s.",
			     csv_encoding_name(r->source.encoding));
	csv_table_init(&r->table, r->log, &dialect);
	return csv_merge_init(&r->merge, &r->table, r->options.reader == CSV_READER_LIBCSV)
		? ERR_NONE : no_memory(r->log->path, e);
}

enum err_code csv_reading_begin(struct csv_reading *r, struct csv_input *in, bool grows,
				const struct csv_options *options, struct err *e)
{
	enum err_code code;

	*r = (struct csv_reading){ .options = *options };
	csv_source_init(&r->source, in);
	r->source.grows = grows;
	r->log = datalog_new(csv_input_name(in));
	code = check_bytes(r, e);
	return code == ERR_NONE ? begin_text(r, e) : code;
}

static void release_text(struct csv_reading *r)
{
	csv_merge_release(&r->merge);
	csv_table_release(&r->table);
	datalog_free(r->log);
	r->merge = (struct csv_merge){ 0 };
	r->table = (struct csv_table){ 0 };
	r->log = NULL;
}

void csv_reading_release(struct csv_reading *r)
{
	release_text(r);
	csv_source_release(&r->source);
}

/* Whether all bytes tell another encoding than the first ones did. */
static bool is_misread(const struct csv_reading *r)
{
	const enum csv_encoding told = r->merge.broken > r->merge.good ? CSV_LATIN1 : CSV_UTF8;

	return !r->sure && !r->stopped && told != r->source.encoding;
}

static enum err_code read_again(struct csv_reading *r, struct err *e)
{
	struct datalog *fresh = datalog_new(r->log->path);
	enum err_code code;

	r->source.encoding = r->source.encoding == CSV_UTF8 ? CSV_LATIN1 : CSV_UTF8;
	r->sure = true;
	release_text(r);
	r->log = fresh;
	csv_source_restart(&r->source);
	code = csv_input_rewind(r->source.in, e);
	if (code == ERR_NONE)
		code = begin_text(r, e);
	if (code == ERR_NONE)
		code = csv_lanes_read(&r->source, &r->merge, &r->options, r, &r->stopped, e);
	return code;
}

enum err_code csv_reading_rows(struct csv_reading *r, struct err *e)
{
	const enum err_code code = csv_lanes_read(&r->source, &r->merge, &r->options, r,
						  &r->stopped, e);

	return code == ERR_NONE && is_misread(r) ? read_again(r, e) : code;
}

static enum err_code check_log(const struct csv_table *t, struct err *e)
{
	const struct datalog *log = t->log;
	size_t i;

	if (log->rows == 1)
		return err_set(e, ERR_DATA, "%s: line %zu is the only row of numbers; a log "
			       "needs at least two", log->path, t->dialect.first_line);
	for (i = 0; i < log->channel_count; i++)
		if (column_kind(log->channels[i].column) == COLUMN_NUMBER)
			return ERR_NONE;
	return err_set(e, ERR_DATA, "%s: from line %zu on no column holds numbers; if the decimal "
		       "mark or the separator was guessed wrongly, give it", log->path,
		       t->dialect.first_line);
}

static enum err_code make_log(struct csv_table *t, const struct csv_options *options,
			      struct err *e)
{
	size_t *channel_of = mem_array(t->dialect.columns, sizeof(*channel_of));
	enum err_code code;

	if (csv_channels_make(t, channel_of))
		code = check_log(t, e);
	else
		code = no_memory(t->log->path, e);
	if (code == ERR_NONE)
		code = csv_time_find(t, channel_of, options, e);
	free(channel_of);
	return code;
}

enum err_code csv_reading_end(struct csv_reading *r, struct datalog **out, struct err *e)
{
	const enum err_code code = make_log(&r->table, &r->options, e);

	*out = NULL;
	if (code != ERR_NONE)
		return code;
	r->log->is_part = r->stopped;
	*out = r->log;
	r->log = NULL;
	return ERR_NONE;
}

/* A log for a copy of the table: the same samples, and what was noted until now. */
static struct datalog *copy_log(const struct datalog *log)
{
	struct datalog *copy = datalog_new(log->path);
	size_t i;

	pool_free(copy->pool);
	copy->pool = pool_hold(log->pool);
	for (i = 0; i < log->note_count; i++)
		datalog_note(copy, "%s", log->notes[i]);
	return copy;
}

enum err_code csv_reading_so_far(const struct csv_reading *r, struct datalog **out, struct err *e)
{
	struct datalog *log = copy_log(r->log);
	struct csv_table table;
	enum err_code code;

	*out = NULL;
	if (csv_table_copy(&table, &r->table, log) && csv_merge_as_ended(&r->merge, &table))
		code = make_log(&table, &r->options, e);
	else
		code = no_memory(log->path, e);
	csv_table_release(&table);
	if (code == ERR_NONE) {
		log->is_part = true;
		*out = log;
	} else {
		datalog_free(log);
	}
	return code;
}
