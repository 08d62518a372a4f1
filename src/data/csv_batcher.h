/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Rows of numbers on their way into packed blocks: a thread's own room, in which the
 * columns of a batch lie one behind the other until they are packed.
 */
#ifndef DATA_CSV_BATCHER_H
#define DATA_CSV_BATCHER_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/pool.h"
#include "data/csv_piece.h"
#include "data/csv_plain.h"
#include "data/csv_state.h"

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
	bool is_signed;		/* what csv_grid.c has seen */
	bool is_long;
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

/* For batches of so many cells or fewer.  False: no memory; to be released either way. */
bool csv_batcher_init(struct csv_batcher *b, size_t columns, struct pool *pool, size_t cells);
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

#define CSV_SHORT_DIGITS 9	/* fit an int32_t with room to spare */
#define CSV_LONG_DIGITS 15	/* are below 2^53 */

/*
 * Puts a short decimal into a row of the lane if that changes nothing but this row: no
 * more decimals than it has, no other mode.  Of n->count > 0 digits.
 */
static inline bool csv_lane_put(struct csv_lane *lane, size_t row, const struct csv_plain *n)
{
	uint64_t v = n->digits;

	if (lane->mode != CSV_MODE_NUMBER || n->fraction > lane->decimals)
		return false;
	if (n->count > (lane->is_wide ? CSV_LONG_DIGITS : CSV_SHORT_DIGITS))
		return false;
	if (lane->is_wide) {
		const double wide = (double)v / packed_power(n->fraction);

		lane->wide[row] = n->negative ? -wide : wide;
		return true;
	}
	if (n->fraction < lane->decimals) {
		v *= (uint64_t)packed_power(lane->decimals - n->fraction);
		if (v > PACKED_LIMIT)
			return false;
	}
	if (n->negative)
		lane->ints[row] = v == 0 ? PACKED_MINUS_ZERO : -(int32_t)v;
	else
		lane->ints[row] = (int32_t)v;
	return true;
}

static inline void csv_lane_put_missing(struct csv_lane *lane, size_t row)
{
	if (lane->is_wide)
		lane->wide[row] = NAN;
	else
		lane->ints[row] = PACKED_MISSING;
}

static inline bool csv_lane_is_missing(const struct csv_lane *lane, size_t row)
{
	return lane->is_wide ? isnan(lane->wide[row]) : lane->ints[row] == PACKED_MISSING;
}

#endif
