/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the rows of a table so far say about how the next are to be read: the decimal
 * mark, and for each column whether it is a clock.
 */
#ifndef DATA_CSV_STATE_H
#define DATA_CSV_STATE_H

#include <stdbool.h>
#include <stddef.h>

#include "data/csv_columns.h"
#include "data/csv_table.h"

struct csv_state {
	char decimal;
	bool decimal_sure;
	struct csv_column_state *columns;	/* [column_count] */
	size_t column_count;
};

/* Zeroed is empty. */
void csv_state_release(struct csv_state *s);

/* Takes it from the table; from another state. */
void csv_state_take(struct csv_state *s, const struct csv_table *t);
void csv_state_copy(struct csv_state *to, const struct csv_state *from);

#endif
