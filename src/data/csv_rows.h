/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Rows of a CSV text: libcsv splits them (RFC 4180), this module keeps count of
 * lines, finds comment lines and recovers from a quote that is never closed.
 *
 * Blanks around an unquoted cell are not part of it; blank lines are not rows.
 * Line ends are CRLF, LF or CR.
 */
#ifndef DATA_CSV_ROWS_H
#define DATA_CSV_ROWS_H

#include <stdbool.h>
#include <stddef.h>

struct csv_cell {
	const char *text;	/* not terminated */
	size_t length;
};

struct csv_row {
	size_t line;		/* of the text, from 1, on which the row begins */
	size_t count;
	const struct csv_cell *cells;	/* valid until the next call */
	bool comment;		/* the line has a comment mark, which is cut off */
	bool open_quote;	/* a quote was never closed: read as plain text */
};

enum csv_step {
	CSV_STEP_ROW,
	CSV_STEP_END,
	CSV_STEP_MORE,		/* only the text that follows tells where the row ends */
	CSV_STEP_MEMORY,
};

struct csv_rows;

/*
 * `comments`: see csv_line_begin(); `libcsv`: it reads all lines, not only those with a
 * quote in them.  NULL when memory is out.
 */
struct csv_rows *csv_rows_new(char separator, bool comments, bool libcsv);
void csv_rows_free(struct csv_rows *rows);

/*
 * From here on over the n bytes of UTF-8 at text, which hold no NUL and must stay in
 * place; `line` is the number of their first line.  `more`: they are whole lines of a
 * text that goes on, which is given then from csv_rows_offset() on.
 */
void csv_rows_over(struct csv_rows *rows, const char *text, size_t n, size_t line, bool more);

enum csv_step csv_rows_next(struct csv_rows *rows, struct csv_row *out);

/* Bytes taken so far, whole lines; the number of the line behind them. */
size_t csv_rows_offset(const struct csv_rows *rows);
size_t csv_rows_line(const struct csv_rows *rows);

#endif
