/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The first rows of a log, split by one separator, with the kind of each cell. */
#ifndef DATA_CSV_SAMPLE_H
#define DATA_CSV_SAMPLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"
#include "data/csv_cells.h"
#include "data/csv_rows.h"

/* Index of a decimal mark in the kinds of a sample cell. */
enum csv_mark {
	CSV_POINT,
	CSV_COMMA_MARK,
	CSV_MARKS
};

struct csv_sample_cell {
	uint32_t from;		/* in the sample's text */
	uint32_t length;
	unsigned char kind[CSV_MARKS];	/* enum csv_cell_kind, read with each mark */
};

struct csv_sample_row {
	size_t line;
	size_t first;		/* of its cells */
	size_t count;
	size_t trimmed;		/* count without empty cells at the end */
	bool comment;
};

struct csv_sample {
	char separator;
	bool comments;
	bool libcsv;		/* reads all lines, see csv_rows_new() */
	bool complete;		/* it holds all rows of the text */
	bool cut;		/* there would be more rows in the text that follows */
	bool has_comments;	/* some row has a comment mark */
	struct buf text;
	struct csv_sample_row *rows;
	size_t row_count;
	size_t row_room;
	struct csv_sample_cell *cells;
	size_t cell_count;
	size_t cell_room;
};

/*
 * Reads rows of text until both `bytes` are taken and `lines` lines seen, or to the
 * end; `more` as for csv_rows_over().  False when memory is out.  The sample is to be
 * released either way.
 */
bool csv_sample_read(struct csv_sample *s, const char *text, size_t n, bool more,
		     size_t bytes, size_t lines);
void csv_sample_release(struct csv_sample *s);

const struct csv_sample_cell *csv_sample_cells(const struct csv_sample *s,
					       const struct csv_sample_row *row);
const char *csv_sample_text(const struct csv_sample *s, const struct csv_sample_cell *cell);

/* A number of any form: plain, with a suffix, a time. */
bool csv_sample_is_number(const struct csv_sample_cell *cell, enum csv_mark mark);
size_t csv_sample_numbers(const struct csv_sample *s, const struct csv_sample_row *row,
			  enum csv_mark mark);

/*
 * The count of cells of those rows that hold most of the numbers; the largest of
 * several that hold about as many, as where the empty cells at the end of rows are left
 * out; 0 without any number.
 */
size_t csv_sample_usual_count(const struct csv_sample *s, enum csv_mark mark);

#endif
