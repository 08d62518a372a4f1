/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The cells of a column that are not plain numbers, in the order of rows: kept aside
 * until the end of the log tells what they are.
 *
 * A log of states has as many of them as cells, so they are kept small: each of their
 * properties is a packed column, in differences that hardly ever change.
 */
#ifndef DATA_CSV_ODD_H
#define DATA_CSV_ODD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "data/column.h"

struct csv_odd_cell {
	size_t row;
	size_t line;
	double number;		/* before the suffix; NaN without one */
	uint32_t word;		/* the whole cell */
	uint32_t suffix;	/* plus 1; 0 without one */
};

enum csv_odd_part {
	CSV_ODD_ROW,		/* less the cell's index */
	CSV_ODD_LINE,		/* less the row */
	CSV_ODD_NUMBER,
	CSV_ODD_WORD,
	CSV_ODD_SUFFIX,
	CSV_ODD_PARTS
};

/* Zeroed is empty. */
struct csv_odd {
	size_t count;
	struct column *parts[CSV_ODD_PARTS];	/* NULL while empty */
};

void csv_odd_release(struct csv_odd *o);

/* False when memory is out; *to is to be released either way. */
bool csv_odd_copy(struct csv_odd *to, const struct csv_odd *from);

/* False when memory is out. */
bool csv_odd_add(struct csv_odd *o, const struct csv_odd_cell *cell);

/* Goes through the cells in order; *o must not grow meanwhile. */
struct csv_odd_walk {
	size_t next;
	size_t count;
	struct column_walk parts[CSV_ODD_PARTS];
};

void csv_odd_walk_init(struct csv_odd_walk *w, const struct csv_odd *o);
bool csv_odd_next(struct csv_odd_walk *w, struct csv_odd_cell *cell);

#endif
