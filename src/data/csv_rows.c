/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Rows of a CSV text.  libcsv is fed one line at a time, so that the line on which
 * a row begins is known whatever is quoted.
 */
#include "data/csv_rows.h"

#include <csv.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

#define LINES_IN_A_ROW 20	/* a quoted cell over more is a quote gone astray */
#define CELL_BLOCK 1024		/* bytes by which libcsv's room for a cell grows at least */

struct span {
	size_t from;
	size_t length;
};

struct csv_rows {
	struct csv_parser parser;
	const char *text;
	size_t length;
	size_t at;		/* the next line begins here */
	size_t line;		/* its number, from 1 */
	bool comments;
	char separator;

	char *bytes;		/* the cells of the row, one behind the other */
	size_t byte_count;
	size_t byte_room;
	struct span *spans;	/* [cell_count] into bytes */
	size_t span_room;
	struct csv_cell *cells;
	size_t cell_room;
	size_t cell_count;
	bool complete;		/* libcsv has reported the end of the row */
	bool no_memory;
};

struct csv_rows *csv_rows_new(const char *text, size_t n, char separator, bool comments)
{
	struct csv_rows *rows = mem_alloc(sizeof(*rows));

	if (csv_init(&rows->parser, 0) != 0) {
		free(rows);
		return NULL;
	}
	csv_set_delim(&rows->parser, (unsigned char)separator);
	rows->separator = separator;
	rows->comments = comments;
	rows->text = text;
	rows->length = n;
	rows->line = 1;
	return rows;
}

void csv_rows_free(struct csv_rows *rows)
{
	if (rows == NULL)
		return;
	csv_free(&rows->parser);
	free(rows->bytes);
	free(rows->spans);
	free(rows->cells);
	free(rows);
}

size_t csv_rows_offset(const struct csv_rows *rows)
{
	return rows->at;
}

static void on_cell(void *cell, size_t length, void *data)
{
	struct csv_rows *rows = data;

	if (rows->no_memory)
		return;
	if (!mem_try_grow(&rows->bytes, &rows->byte_room, rows->byte_count + length + 1, 1) ||
	    !mem_try_grow(&rows->spans, &rows->span_room, rows->cell_count + 1,
			  sizeof(*rows->spans))) {
		rows->no_memory = true;
		return;
	}
	if (length > 0)
		memcpy(rows->bytes + rows->byte_count, cell, length);
	rows->spans[rows->cell_count].from = rows->byte_count;
	rows->spans[rows->cell_count].length = length;
	rows->cell_count++;
	rows->byte_count += length;
}

static void on_row(int end, void *data)
{
	struct csv_rows *rows = data;

	(void)end;
	rows->complete = true;
}

/* Length of the line at `at` with its end: LF, CRLF, CR or the end of the text. */
static size_t line_length(const struct csv_rows *rows)
{
	const char *from = rows->text + rows->at;
	const size_t left = rows->length - rows->at;
	const char *lf = memchr(from, '\n', left);
	const size_t n = lf != NULL ? (size_t)(lf - from) + 1 : left;
	const char *cr = memchr(from, '\r', n);

	if (cr == NULL || (lf != NULL && cr + 1 == lf))
		return n;
	return (size_t)(cr - from) + 1;
}

/* Where, from i on, the first character of the line that is not a blank stands. */
static size_t leading_blanks(const struct csv_rows *rows, size_t i, size_t n)
{
	const char *s = rows->text + rows->at;

	while (i < n && (s[i] == ' ' || s[i] == '\t') && s[i] != rows->separator)
		i++;
	return i;
}

/* Length of the comment mark at s, 0 when there is none. */
static size_t comment_mark(const struct csv_rows *rows, const char *s, size_t n)
{
	size_t i = 0;

	if (n >= 2 && s[0] == '/' && s[1] == '/')
		return 2;
	while (i < n && (s[i] == '#' || s[i] == '%' || s[i] == ';') && s[i] != rows->separator)
		i++;
	/* A separator right behind it: the mark is the name of the first column. */
	return i < n && s[i] == rows->separator ? 0 : i;
}

static bool feed(struct csv_rows *rows, const char *s, size_t n)
{
	/* Few steps even when a single cell fills a huge line. */
	csv_set_blk_size(&rows->parser, CELL_BLOCK + n / 4);
	return csv_parse(&rows->parser, s, n, on_cell, on_row, rows) == n && !rows->no_memory;
}

static void begin_row(struct csv_rows *rows)
{
	rows->complete = false;
	rows->byte_count = 0;
	rows->cell_count = 0;
}

static void take_line(struct csv_rows *rows, size_t n)
{
	rows->at += n;
	rows->line++;
}

/*
 * Feeds at most `most` lines from the current one until the row is complete; skips
 * `skip` bytes of the first.  False when memory is out, or (rows->no_memory and
 * csv_error() tell) when the quotes do not close within these lines.
 */
static bool feed_row(struct csv_rows *rows, size_t skip, size_t most)
{
	size_t lines;

	begin_row(rows);
	for (lines = 0; lines < most && rows->at < rows->length; lines++) {
		const size_t n = line_length(rows);

		if (!feed(rows, rows->text + rows->at + skip, n - skip))
			return false;
		take_line(rows, n);
		if (rows->complete)
			return true;
		skip = 0;
	}
	/* The end of the text ends a row as a line end does. */
	if (rows->at == rows->length && !feed(rows, "\n", 1))
		return false;
	return rows->complete;
}

/* Reads the line at `at` again, with quotes as plain characters. */
static bool feed_unquoted(struct csv_rows *rows, size_t skip)
{
	const size_t n = line_length(rows);
	bool ok;

	csv_fini(&rows->parser, NULL, NULL, NULL);
	csv_set_quote(&rows->parser, '\0');
	begin_row(rows);
	ok = feed(rows, rows->text + rows->at + skip, n - skip) &&
	     (rows->complete || feed(rows, "\n", 1));
	csv_set_quote(&rows->parser, CSV_QUOTE);
	take_line(rows, n);
	return ok;
}

static bool expose_cells(struct csv_rows *rows)
{
	size_t i;

	if (!mem_try_grow(&rows->cells, &rows->cell_room, rows->cell_count,
			  sizeof(*rows->cells)))
		return false;
	for (i = 0; i < rows->cell_count; i++) {
		rows->cells[i].text = rows->bytes + rows->spans[i].from;
		rows->cells[i].length = rows->spans[i].length;
	}
	return true;
}

/* Reads one row from the current line, which is not blank. */
static enum csv_step read_row(struct csv_rows *rows, size_t skip, struct csv_row *out)
{
	const size_t at = rows->at;
	const size_t line = rows->line;

	out->line = line;
	out->open_quote = false;
	if (!feed_row(rows, skip, out->comment ? 1 : LINES_IN_A_ROW)) {
		if (rows->no_memory || csv_error(&rows->parser) != CSV_SUCCESS)
			return CSV_STEP_MEMORY;
		rows->at = at;
		rows->line = line;
		out->open_quote = true;
		if (!feed_unquoted(rows, skip))
			return CSV_STEP_MEMORY;
	}
	if (!expose_cells(rows))
		return CSV_STEP_MEMORY;
	out->cells = rows->cells;
	out->count = rows->cell_count;
	return CSV_STEP_ROW;
}

static bool is_blank_line(const char *s, size_t n)
{
	return n == 0 || *s == '\n' || *s == '\r';
}

enum csv_step csv_rows_next(struct csv_rows *rows, struct csv_row *out)
{
	while (rows->at < rows->length) {
		const size_t n = line_length(rows);
		size_t skip = leading_blanks(rows, 0, n);
		size_t mark = 0;

		if (rows->comments) {
			mark = comment_mark(rows, rows->text + rows->at + skip, n - skip);
			skip = leading_blanks(rows, skip + mark, n);
		}
		if (!is_blank_line(rows->text + rows->at + skip, n - skip)) {
			out->comment = mark > 0;
			return read_row(rows, skip, out);
		}
		take_line(rows, n);
	}
	return CSV_STEP_END;
}
