/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Taking in the rows of a log: which count, and which are a preamble, a header
 * again, a footer, empty or ragged.
 */
#ifndef DATA_CSV_TABLE_H
#define DATA_CSV_TABLE_H

#include "base/err.h"
#include "data/csv_columns.h"
#include "data/csv_rows.h"
#include "data/csv_sniff.h"
#include "data/datalog.h"

#define CSV_PLACE_CELLS 40	/* width of the text of a bad place */

/* The cells of the header or units row, kept as text. */
struct csv_title_row {
	char **cells;
	size_t count;
};

/* How many lines of a kind there were, and the first of them. */
struct csv_tally {
	size_t count;
	size_t first;
};

struct csv_table {
	struct datalog *log;
	struct csv_dialect dialect;
	struct csv_column *columns;	/* [dialect.columns] */
	struct csv_value *values;	/* [dialect.columns] of the row in hand */
	enum csv_cell_kind *kinds;	/* [dialect.columns] */
	struct csv_title_row header;
	struct csv_title_row units;
	size_t rows;
	bool is_timed;		/* the header names a time column */
	size_t empty_rows;	/* without any value, since the last row that counts */

	struct csv_tally preamble;
	struct csv_tally comments;
	struct csv_tally headers_again;
	struct csv_tally ragged;
	struct csv_tally open_quotes;
	struct csv_tally empty;
	struct csv_tally other_mark;	/* the decimal mark was settled here */

	struct bad_place bad_rows[DATALOG_PLACES];
	size_t bad_row_count;		/* of those */
};

void csv_table_init(struct csv_table *t, struct datalog *log, const struct csv_dialect *dialect);
void csv_table_release(struct csv_table *t);

/*
 * The rows so far again, for `log`, which is new and holds the pool of from's log.
 * False when memory is out; *to is to be released either way.
 */
bool csv_table_copy(struct csv_table *to, const struct csv_table *from, struct datalog *log);

/* Counts `count` lines, the first of them `first`. */
void csv_tally_add(struct csv_tally *t, size_t count, size_t first);

/* Before rows are appended to the columns past csv_table_add().  False: no memory. */
bool csv_table_before_rows(struct csv_table *t);

/* False when memory is out. */
bool csv_table_add(struct csv_table *t, const struct csv_row *row);

#endif
