/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Building one column from its cells.
 *
 * Numbers go straight into the column.  Cells that are something else are kept
 * aside, sparsely, until the end of the log tells whether they are stray words in a
 * column of numbers, states, or numbers with their unit written in each cell.
 */
#ifndef DATA_CSV_COLUMNS_H
#define DATA_CSV_COLUMNS_H

#include <stdbool.h>
#include <stddef.h>

#include "data/clock.h"
#include "data/csv_cells.h"
#include "data/csv_odd.h"
#include "data/csv_rows.h"
#include "data/csv_words.h"
#include "data/datalog.h"

/* What the cells of a column so far say it is. */
enum csv_mode {
	CSV_MODE_NONE,		/* nothing yet */
	CSV_MODE_NUMBER,
	CSV_MODE_CLOCK,
};

struct csv_column_state {
	enum csv_mode mode;
	struct clock_stamp first;	/* of a clock */
};

/* Rows of a column that were read at once, and under which state. */
struct csv_batch_column {
	struct packed values;	/* missing where the cell is odd */
	enum csv_mode before;
	enum csv_mode after;
	struct clock_stamp first;	/* of a clock */
	int decimals;
	enum csv_group group;
	enum clock_form form;
	double largest;
};

struct csv_column {
	struct column *column;
	size_t numbers;
	int decimals;
	enum csv_group group;	/* the most doubtful of its numbers */
	struct csv_odd odd;
	struct csv_words words;
	struct csv_words suffixes;

	bool is_clock;		/* its first cell that says anything is a time */
	enum clock_form form;	/* the longest form seen */
	struct clock_stamp first;	/* the first time */
	double largest;		/* time without a date, s */
};

/* Zeroed is new, but for the column. */
void csv_column_init(struct csv_column *c);

/* False when memory is out; *to is to be released either way.  See column_copy(). */
bool csv_column_copy(struct csv_column *to, const struct csv_column *from);

/* Frees what it holds; what is said of its clock stays. */
void csv_column_release(struct csv_column *c);

/* Appends a row: the cell, read as `kind` with value *v.  False: no memory. */
bool csv_column_push(struct csv_column *c, size_t line, const struct csv_cell *cell,
		     enum csv_cell_kind kind, const struct csv_value *v);

/* Appends a row without a value. */
bool csv_column_push_missing(struct csv_column *c);

struct csv_column_state csv_column_state(const struct csv_column *c);

/* Whether the batch would be the same had it been read behind the column's rows. */
bool csv_column_fits(const struct csv_column *c, const struct csv_batch_column *b);

/* Appends its rows; an odd cell of them, by its row, is added after.  False: no memory. */
bool csv_column_append(struct csv_column *c, const struct csv_batch_column *b);
bool csv_column_add_odd(struct csv_column *c, size_t row, size_t line,
			const struct csv_cell *cell, enum csv_cell_kind kind,
			const struct csv_value *v);

/* More numbers than words so far. */
bool csv_column_is_numeric(const struct csv_column *c);

/* What the end of the log makes of a column. */
struct csv_finished {
	struct column *column;	/* the caller's */
	char *suffix;		/* the unit in the cells, the caller's; NULL without */
	size_t bad_cells;
	struct csv_odd_cell bad[DATALOG_PLACES];	/* the first of them */
	size_t bad_count;
};

/* Takes the column out of c.  False when memory is out; nothing to free then. */
bool csv_column_finish(struct csv_column *c, struct csv_finished *out);

#endif
