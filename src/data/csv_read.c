/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading a log: encoding, dialect, rows, channels, time. */
#include "data/csv_read.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "data/csv_channels.h"
#include "data/csv_encoding.h"
#include "data/csv_input.h"
#include "data/csv_rows.h"
#include "data/csv_table.h"
#include "data/csv_time.h"

#define BLOCK ((size_t)256 << 10)
#define END_MARK 0x1a		/* SUB: some systems end a text with it */

/* UTF-8 without NUL: the bytes themselves where they are that already. */
struct csv_text {
	const char *text;
	size_t length;
	enum csv_encoding encoding;
	struct buf converted;
};

static enum err_code no_memory(const char *name, struct err *e)
{
	return err_set(e, ERR_MEMORY, "%s: out of memory; close other programs, or cut the log",
		       name);
}

static enum err_code check_bytes(const char *name, const char *bytes, size_t n, struct err *e)
{
	const char *what;
	size_t i;

	if (n == 0)
		return err_set(e, ERR_FORMAT, "%s: the file is empty; was the logger stopped "
			       "properly?", name);
	for (i = 0; i < n && bytes[i] == '\0'; i++)
		;
	if (i == n)
		return err_set(e, ERR_FORMAT, "%s: the file holds nothing but NUL bytes; the "
			       "logger made room but never wrote to it", name);
	what = csv_not_text(bytes, n);
	if (what != NULL)
		return err_set(e, ERR_FORMAT, "%s: not a CSV file but %s", name, what);
	return ERR_NONE;
}

static enum err_code decode(const char *name, const char *bytes, size_t n,
			    struct csv_text *out, struct err *e)
{
	size_t bom;

	out->encoding = csv_sniff_encoding(bytes, n, &bom);
	out->text = bytes + bom;
	out->length = n - bom;
	while (out->length > 0 && out->text[out->length - 1] == END_MARK)
		out->length--;
	if (out->encoding == CSV_UTF8 && memchr(out->text, '\0', out->length) == NULL)
		return ERR_NONE;
	if (!csv_to_utf8(out->encoding, out->text, out->length, &out->converted))
		return no_memory(name, e);
	out->text = buf_text(&out->converted);
	out->length = out->converted.len;
	return ERR_NONE;
}

static enum err_code read_rows(const struct csv_text *text, struct csv_table *t, struct err *e)
{
	struct csv_rows *rows = csv_rows_new(text->text, text->length, t->dialect.separator,
					     t->dialect.comments);
	enum csv_step step = CSV_STEP_MEMORY;
	struct csv_row row;

	if (rows == NULL)
		return no_memory(t->log->path, e);
	while ((step = csv_rows_next(rows, &row)) == CSV_STEP_ROW)
		if (!csv_table_add(t, &row))
			break;
	csv_rows_free(rows);
	return step == CSV_STEP_END ? ERR_NONE : no_memory(t->log->path, e);
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

static enum err_code read_text(const struct csv_text *text, const struct csv_options *options,
			       struct datalog *log, struct err *e)
{
	struct csv_dialect dialect;
	struct csv_table table;
	enum err_code code;

	code = csv_sniff(log->path, text->text, text->length, options, &dialect, e);
	if (code != ERR_NONE)
		return code;
	if (text->encoding != CSV_UTF8)
		datalog_note(log, "The file is read as %s.", csv_encoding_name(text->encoding));
	csv_table_init(&table, log, &dialect);
	code = read_rows(text, &table, e);
	if (code == ERR_NONE)
		code = make_log(&table, options, e);
	csv_table_release(&table);
	return code;
}

/* All bytes of the input. */
static enum err_code read_bytes(struct csv_input *in, struct buf *out, struct err *e)
{
	enum err_code code;
	size_t got;

	do {
		if (!mem_try_grow(&out->data, &out->cap, out->len + BLOCK + 1, 1))
			return no_memory(csv_input_name(in), e);
		code = csv_input_read(in, out->data + out->len, BLOCK, &got, e);
		out->len += got;
	} while (code == ERR_NONE && got == BLOCK);
	out->data[out->len] = '\0';
	return code;
}

static enum err_code read_input(struct csv_input *in, const char *path,
				const struct csv_options *options, struct datalog **out,
				struct err *e)
{
	static const struct csv_options guess_all;
	struct csv_text text = { .converted = BUF_INIT };
	struct datalog *log = datalog_new(csv_input_name(in));
	struct buf bytes = BUF_INIT;
	enum err_code code = read_bytes(in, &bytes, e);

	if (code == ERR_NONE)
		code = check_bytes(log->path, buf_text(&bytes), bytes.len, e);
	if (code == ERR_NONE)
		code = decode(log->path, bytes.data, bytes.len, &text, e);
	if (code == ERR_NONE)
		code = read_text(&text, options != NULL ? options : &guess_all, log, e);
	buf_release(&text.converted);
	buf_release(&bytes);
	if (code == ERR_NONE) {
		free(log->path);
		log->path = mem_strdup(path);
		*out = log;
	} else {
		datalog_free(log);
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
