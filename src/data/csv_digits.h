/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Numbers of one column, one below the other, all with the same number of decimals:
 * read without a look at single characters.
 *
 * The end of a cell and the decimals of its column tell what place each digit has: the
 * bytes before the end are compared with a pattern and multiplied by weights, four
 * cells at a time.  Whatever does not fit the pattern is left to the caller.
 */
#ifndef DATA_CSV_DIGITS_H
#define DATA_CSV_DIGITS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/wide.h"

#define CSV_DIGITS_WINDOW 16	/* bytes looked at, up to the mark that ends a cell */
#define CSV_DIGITS_SHORT 8	/* of them, where cells are short */
#define CSV_DIGITS_DECIMALS 9	/* at most */

/* What stands behind a cell. */
enum csv_digits_end {
	CSV_DIGITS_SEPARATOR,
	CSV_DIGITS_LF,
	CSV_DIGITS_CRLF,
};

#define CSV_DIGITS_ENDS 3

/* How a cell is written, right-aligned in the window. */
struct csv_digits_shape {
	uint8_t pattern[CSV_DIGITS_WINDOW];	/* '0' stands for a digit */
	uint8_t limit[CSV_DIGITS_WINDOW];	/* 9 for a digit, else 0: most that may differ */
	uint8_t minus[CSV_DIGITS_WINDOW];	/* '-' where one may stand, else 0 */
	/* Weights, see csv_digits.c: of bytes, of pairs, of pairs of those, of the upper half. */
	int16_t bytes[CSV_DIGITS_WINDOW / 2];
	int16_t pairs[CSV_DIGITS_WINDOW / 2];
	int16_t quads[CSV_DIGITS_WINDOW / 4];
	int64_t high;
	size_t least;		/* bytes of the shortest cell with its end */
};

/* A column of a text whose marks csv_marks_find() has found. */
struct csv_digits_column {
	const char *text;	/* the byte before the marked text */
	const uint16_t *marks;	/* that of the first row's cell; marks[-1] is that before it */
	size_t step;		/* marks from row to row */
	bool is_signed;		/* some numbers are negative */
	bool is_long;		/* some cells do not fit the short window */
	enum wide wide;		/* registers to read with; see wide_most() */
};

/* Whether this machine has what it takes; without, nothing is read. */
bool csv_digits_can(void);

void csv_digits_shape_init(struct csv_digits_shape *s, enum csv_digits_end end, char separator,
			   char decimal, int decimals);

/*
 * Reads rows from..to up to the first four that do not all fit; returns where it
 * stopped.  out[row] receives the number times 10^decimals; none is -0.0 or over
 * PACKED_LIMIT.  The CSV_DIGITS_WINDOW bytes before the marked text are readable.
 */
size_t csv_digits_read(const struct csv_digits_shape *s, const struct csv_digits_column *c,
		       size_t from, size_t to, int32_t *out);

#endif
