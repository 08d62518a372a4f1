/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Our own splitter, for text without quotes but those around whole cells: from bytes to
 * columns without a stop at cells.  It reads what libcsv would read.
 */
#ifndef DATA_CSV_STRAIGHT_H
#define DATA_CSV_STRAIGHT_H

#include "base/wide.h"
#include "data/csv_batcher.h"
#include "data/csv_piece.h"
#include "data/csv_state.h"

struct csv_straight;

/* Whether there is a way straight for logs of this dialect. */
bool csv_straight_can(const struct csv_dialect *d);

/*
 * For rows of a table whose header has been read; packed blocks go into the pool, which
 * is to outlive all columns; pieces of about `piece` bytes, by registers no
 * wider than `wide`.  NULL when memory is out.
 */
struct csv_straight *csv_straight_new(const struct csv_table *t, struct pool *pool,
				      size_t piece, enum wide wide);
void csv_straight_free(struct csv_straight *s);

/* Splits a piece, up to the first row that is for libcsv.  False when memory is out. */
bool csv_straight_split(struct csv_straight *s, const struct csv_state *state,
			struct csv_piece *p);

#endif
