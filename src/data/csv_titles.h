/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Rows of words above the data of a sample: which name the columns, which give
 * their units or types, which are remarks.
 */
#ifndef DATA_CSV_TITLES_H
#define DATA_CSV_TITLES_H

#include <stdbool.h>
#include <stddef.h>

#include "data/csv_sample.h"
#include "data/csv_sniff.h"
#include "data/quantity.h"

#define CSV_MOST_TITLES 4	/* rows of words above the data that are looked at */

/* What is known of the data before its titles are looked for. */
struct csv_view {
	const struct csv_sample *sample;
	enum csv_mark mark;
	size_t usual;		/* cells of most rows */
	bool mixed;		/* most rows are shorter than that */
	size_t filled;		/* of those, without columns at the end that are empty */
	bool *numeric;		/* [usual] the column holds numbers in most rows */
};

/* The quantity that a cell of a header names, its unit aside. */
enum quantity_id csv_title_quantity(const char *title);

/* Words in most cells, and as many cells as the data has, give or take. */
bool csv_is_title(const struct csv_view *l, size_t row);

/* Most cells are units. */
bool csv_is_units_row(const struct csv_view *l, size_t row);

/* How many cells name a known quantity; whether this one names the time. */
size_t csv_count_names(const struct csv_view *l, size_t row);
bool csv_is_time_name(const struct csv_view *l, const struct csv_sample_cell *cell);

/*
 * Title rows above row `first`, the nearest first, without rows of types and remarks;
 * returns how many.
 */
size_t csv_find_titles(const struct csv_view *l, size_t first, size_t titles[CSV_MOST_TITLES]);

/* Chooses header and units row among n titles; sets their lines and the columns of *out. */
void csv_choose_titles(const struct csv_view *l, const size_t *titles, size_t n,
		       struct csv_dialect *out);

#endif
