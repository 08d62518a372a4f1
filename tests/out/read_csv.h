/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reads CSV back with libcsv in its strict mode, for tests. */
#ifndef TESTS_OUT_READ_CSV_H
#define TESTS_OUT_READ_CSV_H

#include <stddef.h>

struct csv_back {
	char **cells;		/* all rows after each other */
	size_t cell_count;
	size_t row_count;
	size_t columns;		/* of the first row */
	int ragged;		/* some row has another count */
};

/* Fails the test when the text is no CSV.  csv_back_release() ends it. */
void csv_back_read(struct csv_back *c, const char *text, size_t n);
void csv_back_release(struct csv_back *c);

/* The cell of a row (0 is the header) under the header's name; fails without one. */
const char *csv_back_at(const struct csv_back *c, size_t row, const char *name);
double csv_back_number(const struct csv_back *c, size_t row, const char *name);

#endif
