/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading a log: encoding, dialect, rows, channels, time. */
#include "data/csv_read.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "data/csv_channels.h"
#include "data/csv_encoding.h"
#include "data/csv_input.h"
#include "data/csv_lanes.h"
#include "data/csv_source.h"
#include "data/csv_table.h"
#include "data/csv_time.h"

#define LOOK ((size_t)64 << 10)	/* bytes by which text is told from other things */
#define HEAD CSV_PIECE		/* bytes in which the dialect is looked for at first */

/* A log while it is read, once for an encoding. */
struct reading {
	struct csv_source source;
	const struct csv_options *options;
	bool sure;		/* the encoding is known for sure, not guessed */
	struct datalog *log;
};

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
static enum err_code check_bytes(struct reading *r, struct err *e)
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
		return err_set(e, ERR_FORMAT, "%s: the file is empty; was the logger stopped "
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
		return err_set(e, ERR_FORMAT, "%s: the file holds nothing but NUL bytes; the "
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
static enum err_code sniff_head(struct reading *r, size_t n, bool *more,
				struct csv_dialect *dialect, struct err *e)
{
	struct buf head = BUF_INIT;
	struct buf copy = BUF_INIT;
	struct buf room = BUF_INIT;
	enum err_code code;
	size_t length;
	char *text;
	bool last;

	code = csv_source_next(&r->source, n, &head, &last, e);
	if (code != ERR_NONE)
		goto out;
	buf_add(&copy, head.data, head.len);
	code = csv_source_put_back(&r->source, head.data, head.len, e);
	*more = !last;
	if (code == ERR_NONE &&
	    !csv_source_decode(r->source.encoding, last, &copy, &room, &text, &length))
		code = no_memory(r->log->path, e);
	if (code == ERR_NONE)
		code = csv_sniff_head(r->log->path, text, length, more, r->options, dialect, e);
out:
	buf_release(&head);
	buf_release(&copy);
	buf_release(&room);
	return code;
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

/*
 * Reads the log as the encoding that was found or is given in the source.  *again is
 * set, and the log of no use, when all of its bytes tell another encoding than its
 * first: r->source.encoding is that one then.
 */
static enum err_code read_text(struct reading *r, bool *again, struct err *e)
{
	struct csv_dialect dialect;
	struct csv_table table;
	enum csv_encoding told;
	enum err_code code = ERR_NONE;
	size_t good;
	size_t broken;
	size_t n;
	bool more;

	for (n = HEAD, more = true; code == ERR_NONE && more; n *= 4)
		code = sniff_head(r, n, &more, &dialect, e);
	if (code != ERR_NONE)
		return code;
	if (r->source.encoding != CSV_UTF8)
		datalog_note(r->log, "The file is read as %s.",
			     csv_encoding_name(r->source.encoding));
	csv_table_init(&table, r->log, &dialect);
	code = csv_lanes_read(&r->source, &table, r->options, &good, &broken, e);
	told = broken > good ? CSV_LATIN1 : CSV_UTF8;
	*again = code == ERR_NONE && !r->sure && told != r->source.encoding;
	if (*again)
		r->source.encoding = told;
	else if (code == ERR_NONE)
		code = make_log(&table, r->options, e);
	csv_table_release(&table);
	return code;
}

static enum err_code read_input(struct csv_input *in, const char *path,
				const struct csv_options *options, struct datalog **out,
				struct err *e)
{
	static const struct csv_options guess_all;
	struct reading r = { .options = options != NULL ? options : &guess_all };
	enum err_code code;
	bool again = false;

	csv_source_init(&r.source, in);
	r.log = datalog_new(csv_input_name(in));
	code = check_bytes(&r, e);
	if (code == ERR_NONE)
		code = read_text(&r, &again, e);
	if (code == ERR_NONE && again) {
		r.sure = true;
		datalog_free(r.log);
		r.log = datalog_new(csv_input_name(in));
		csv_source_restart(&r.source);
		code = csv_input_rewind(in, e);
		if (code == ERR_NONE)
			code = read_text(&r, &again, e);
	}
	csv_source_release(&r.source);
	if (code == ERR_NONE) {
		free(r.log->path);
		r.log->path = mem_strdup(path);
		*out = r.log;
	} else {
		datalog_free(r.log);
	}
	return code;
}

enum err_code csv_read_memory(const char *name, const char *bytes, size_t n,
			      const struct csv_options *options, struct datalog **out,
			      struct err *e)
{
	struct csv_input *in = csv_input_memory(name, bytes, n);
	enum err_code code;

	*out = NULL;
	if (in == NULL)
		return no_memory(name, e);
	code = read_input(in, name, options, out, e);
	csv_input_close(in);
	return code;
}

enum err_code csv_read(const char *path, const struct csv_options *options,
		       struct datalog **out, struct err *e)
{
	struct csv_input *in;
	enum err_code code;

	*out = NULL;
	code = csv_input_open(path, &in, e);
	if (code == ERR_NONE)
		code = read_input(in, path, options, out, e);
	csv_input_close(in);
	return code;
}
