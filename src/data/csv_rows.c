/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Rows of a CSV text.  libcsv is fed one line at a time, so that the line on which
 * a row begins is known whatever is quoted; a line without a quote needs no parser.
 */
#include "data/csv_rows.h"

#include <csv.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "data/csv_line.h"

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
	bool libcsv;		/* reads lines without a quote, too */
	bool more;		/* text follows behind this */
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

struct csv_rows *csv_rows_new(char separator, bool comments, bool libcsv)
{
	struct csv_rows *rows = mem_alloc(sizeof(*rows));

	if (csv_init(&rows->parser, 0) != 0) {
		free(rows);
		return NULL;
	}
	csv_set_delim(&rows->parser, (unsigned char)separator);
	rows->separator = separator;
	rows->comments = comments;
	rows->libcsv = libcsv;
	return rows;
}

void csv_rows_over(struct csv_rows *rows, const char *text, size_t n, size_t line, bool more)
{
	rows->text = text;
	rows->length = n;
	rows->at = 0;
	rows->line = line;
	rows->more = more;
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

size_t csv_rows_line(const struct csv_rows *rows)
{
	return rows->line;
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

static size_t line_length(const struct csv_rows *rows)
{
	return csv_line_length(rows->text + rows->at, rows->length - rows->at);
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
 * csv_error() tell) when the quotes do not close within these lines; *cut is set when
 * they might in the text that follows.
 */
static bool feed_row(struct csv_rows *rows, size_t skip, size_t most, bool *cut)
{
	size_t lines;

	begin_row(rows);
	*cut = false;
	for (lines = 0; lines < most && rows->at < rows->length; lines++) {
		const size_t n = line_length(rows);

		if (!feed(rows, rows->text + rows->at + skip, n - skip))
			return false;
		take_line(rows, n);
		if (rows->complete)
			return true;
		skip = 0;
	}
	*cut = lines < most && rows->more;
	/* The end of the text ends a row as a line end does. */
	if (!*cut && rows->at == rows->length && !feed(rows, "\n", 1))
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

static inline bool is_blank(const struct csv_rows *rows, char c)
{
	return (c == ' ' || c == '\t') && c != rows->separator;
}

static bool expose_cell(struct csv_rows *rows, const char *from, const char *end)
{
	while (from < end && is_blank(rows, *from))
		from++;
	while (from < end && is_blank(rows, end[-1]))
		end--;
	if (rows->cell_count == rows->cell_room &&
	    !mem_try_grow(&rows->cells, &rows->cell_room, rows->cell_count + 1,
			  sizeof(*rows->cells)))
		return false;
	rows->cells[rows->cell_count++] = (struct csv_cell){ from, (size_t)(end - from) };
	return true;
}

/* The current line of n bytes, which has no quote, into cells as libcsv would make them. */
static bool split_line(struct csv_rows *rows, size_t skip, size_t n)
{
	const char *from = rows->text + rows->at + skip;
	const char *end = rows->text + rows->at + n;
	const char *at;

	begin_row(rows);
	take_line(rows, n);
	while (end > from && (end[-1] == '\n' || end[-1] == '\r'))
		end--;
	for (at = from; at < end; at++) {
		if (*at != rows->separator)
			continue;
		if (!expose_cell(rows, from, at))
			return false;
		from = at + 1;
	}
	return expose_cell(rows, from, end);
}

/* Reads one row from the current line by libcsv. */
static enum csv_step parse_row(struct csv_rows *rows, size_t skip, struct csv_row *out)
{
	const size_t at = rows->at;
	const size_t line = rows->line;
	bool cut;

	if (!feed_row(rows, skip, out->comment ? 1 : LINES_IN_A_ROW, &cut)) {
		if (rows->no_memory || csv_error(&rows->parser) != CSV_SUCCESS)
			return CSV_STEP_MEMORY;
		rows->at = at;
		rows->line = line;
		if (cut) {
			csv_fini(&rows->parser, NULL, NULL, NULL);
			return CSV_STEP_MORE;
		}
		out->open_quote = true;
		if (!feed_unquoted(rows, skip))
			return CSV_STEP_MEMORY;
	}
	return expose_cells(rows) ? CSV_STEP_ROW : CSV_STEP_MEMORY;
}

/* Reads one row from the current line, which has n bytes and is not blank. */
static enum csv_step read_row(struct csv_rows *rows, size_t skip, size_t n, struct csv_row *out)
{
	enum csv_step step = CSV_STEP_ROW;

	out->line = rows->line;
	out->open_quote = false;
	if (rows->libcsv || memchr(rows->text + rows->at, CSV_QUOTE, n) != NULL)
		step = parse_row(rows, skip, out);
	else if (!split_line(rows, skip, n))
		step = CSV_STEP_MEMORY;
	out->cells = rows->cells;
	out->count = rows->cell_count;
	return step;
}

enum csv_step csv_rows_next(struct csv_rows *rows, struct csv_row *out)
{
	while (rows->at < rows->length) {
		const size_t n = line_length(rows);
		size_t skip;
		const enum csv_line_kind kind = csv_line_begin(rows->text + rows->at, n,
							       rows->separator, rows->comments,
							       &skip);

		if (kind != CSV_LINE_BLANK) {
			out->comment = kind == CSV_LINE_COMMENT;
			return read_row(rows, skip, n, out);
		}
		take_line(rows, n);
	}
	return CSV_STEP_END;
}
