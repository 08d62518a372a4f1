/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Rows of numbers on their way into packed blocks: a thread's own room, in which the
 * columns of a batch lie one behind the other until they are packed.
 */
#ifndef DATA_CSV_BATCHER_H
#define DATA_CSV_BATCHER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/pool.h"
#include "data/csv_piece.h"
#include "data/csv_state.h"

/* A number as a cell has it: digits / 10^fraction. */
struct csv_plain {
	uint64_t digits;
	int count;		/* of them, at most 15 */
	int fraction;
	bool negative;
};

/* A column of the batch in hand. */
struct csv_lane {
	int32_t *ints;		/* [rows] times 10^decimals; see packed_ints() */
	double *wide;		/* [rows] instead, for what does not fit; room, or NULL */
	bool is_wide;
	int decimals;		/* most so far */
	enum csv_mode mode;
	enum csv_mode before;	/* at the start of the batch */
	struct clock_stamp first;
	enum csv_group group;		/* the most doubtful */
	enum clock_form form;
	double largest;
};

struct csv_batcher {
	struct pool *pool;
	struct pool_share share;
	struct csv_lane *lanes;	/* [columns] */
	size_t columns;
	int32_t *ints;		/* of all columns */
	int32_t *scratch;	/* [most] */
	size_t stride;		/* from column to column */
	size_t most;		/* rows of a batch */

	struct csv_piece *piece;	/* where the batches go */
	struct csv_item item;	/* the batch in hand; rows are counted in it */
};

/* False when memory is out; to be released either way. */
bool csv_batcher_init(struct csv_batcher *b, size_t columns, struct pool *pool);
void csv_batcher_release(struct csv_batcher *b);

/* Before a piece is split. */
void csv_batcher_begin_piece(struct csv_batcher *b, struct csv_piece *p,
			     const struct csv_state *state);

/* A new batch begins `at` in the piece's text. */
void csv_batcher_begin(struct csv_batcher *b, size_t at, size_t line);

/* Adds the batch in hand to the piece, unless it is empty.  False: no memory. */
bool csv_batcher_end(struct csv_batcher *b);

/* Cells of the row in hand; each column gets one of them.  False: no memory. */
bool csv_batcher_plain(struct csv_batcher *b, size_t column, const struct csv_plain *n);
bool csv_batcher_double(struct csv_batcher *b, size_t column, double v, int decimals);
void csv_batcher_missing(struct csv_batcher *b, size_t column);
bool csv_batcher_odd(struct csv_batcher *b, const struct csv_odd_ref *odd);

#endif
