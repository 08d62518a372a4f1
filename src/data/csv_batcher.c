/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From cells to packed blocks. */
#include "data/csv_batcher.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

#define CELLS ((size_t)128 << 10)	/* of a batch, so that it stays in the cache */
#define LEAST_ROWS 80		/* shorter blocks are not kept: see column.c */
#define MOST_ROWS 2048
#define PADDING 16		/* columns do not begin in the same cache line set */

bool csv_batcher_init(struct csv_batcher *b, size_t columns, struct pool *pool, size_t cells)
{
	size_t i;

	*b = (struct csv_batcher){ .pool = pool, .columns = columns };
	b->most = (cells < CELLS ? cells : CELLS) / columns;
	if (b->most > MOST_ROWS)
		b->most = MOST_ROWS;
	if (b->most < LEAST_ROWS)
		b->most = LEAST_ROWS;
	b->stride = b->most + PADDING;
	b->lanes = mem_array(columns, sizeof(*b->lanes));
	b->ints = mem_try_array(columns * b->stride, sizeof(*b->ints));
	b->scratch = mem_try_array(b->most, sizeof(*b->scratch));
	if (b->ints == NULL || b->scratch == NULL)
		return false;
	for (i = 0; i < columns; i++)
		b->lanes[i].ints = b->ints + i * b->stride;
	return true;
}

void csv_batcher_release(struct csv_batcher *b)
{
	size_t i;

	for (i = 0; i < b->columns; i++)
		free(b->lanes[i].wide);
	free(b->lanes);
	free(b->ints);
	free(b->scratch);
}

void csv_batcher_begin_piece(struct csv_batcher *b, struct csv_piece *p,
			     const struct csv_state *state)
{
	size_t i;

	b->piece = p;
	for (i = 0; i < b->columns; i++) {
		b->lanes[i].mode = state->columns[i].mode;
		b->lanes[i].first = state->columns[i].first;
	}
}

void csv_batcher_begin(struct csv_batcher *b, size_t at, size_t line)
{
	size_t i;

	b->item = (struct csv_item){ .kind = CSV_ITEM_BATCH, .at = at, .line = line };
	b->item.batch.odd = b->piece->odd_count;
	for (i = 0; i < b->columns; i++) {
		struct csv_lane *lane = &b->lanes[i];

		lane->is_wide = false;
		lane->decimals = 0;
		lane->before = lane->mode;
		lane->group = CSV_GROUP_NONE;
		lane->form = CLOCK_NONE;
		lane->largest = 0;
		lane->is_signed = lane->is_long = false;
	}
}

static bool pack_lane(struct csv_batcher *b, const struct csv_lane *lane,
		      struct csv_batch_column *out)
{
	const size_t rows = b->item.batch.rows;

	*out = (struct csv_batch_column){ .before = lane->before, .after = lane->mode,
					  .first = lane->first, .decimals = lane->decimals,
					  .group = lane->group,
					  .form = lane->form, .largest = lane->largest };
	if (lane->is_wide)
		return packed_doubles(&out->values, lane->wide, rows, b->scratch, b->pool,
				      &b->share);
	return packed_ints(&out->values, lane->ints, rows, lane->decimals, b->pool, &b->share);
}

static bool pack_lanes(struct csv_batcher *b)
{
	struct csv_piece *p = b->piece;
	struct csv_batch *batch = &b->item.batch;
	size_t i;

	if (!mem_try_grow(&p->columns, &p->column_room, p->column_count + b->columns,
			  sizeof(*p->columns)))
		return false;
	batch->columns = p->column_count;
	for (i = 0; i < b->columns; i++) {
		if (!pack_lane(b, &b->lanes[i], &p->columns[p->column_count + i]))
			return false;
		batch->fractions |= b->lanes[i].mode == CSV_MODE_NUMBER &&
				    b->lanes[i].decimals > 0;
	}
	p->column_count += b->columns;
	return true;
}

bool csv_batcher_end(struct csv_batcher *b)
{
	struct csv_piece *p = b->piece;
	struct csv_batch *batch = &b->item.batch;

	if (batch->rows == 0 && batch->comments.count == 0)
		return true;
	if (!pack_lanes(b) ||
	    !mem_try_grow(&p->items, &p->item_room, p->item_count + 1, sizeof(*p->items)))
		return false;
	batch->odd_count = p->odd_count - batch->odd;
	p->items[p->item_count++] = b->item;
	return true;
}

static double lane_at(const struct csv_lane *lane, size_t row)
{
	const int32_t v = lane->ints[row];

	if (v == PACKED_MISSING)
		return NAN;
	return v == PACKED_MINUS_ZERO ? -0.0 : (double)v / packed_power(lane->decimals);
}

/* From here on the lane holds doubles. */
static bool widen(struct csv_batcher *b, struct csv_lane *lane)
{
	const size_t rows = b->item.batch.rows;
	size_t i;

	if (lane->is_wide)
		return true;
	if (lane->wide == NULL)
		lane->wide = mem_try_array(b->stride, sizeof(*lane->wide));
	if (lane->wide == NULL)
		return false;
	for (i = 0; i < rows; i++)
		lane->wide[i] = lane_at(lane, i);
	lane->is_wide = true;
	return true;
}

/* Multiplies what the lane has, for numbers with more decimals; false if it overflows. */
static bool rescale(struct csv_lane *lane, size_t rows, int decimals)
{
	const int64_t power = (int64_t)packed_power(decimals - lane->decimals);
	size_t i;

	for (i = 0; i < rows; i++)
		if (lane->ints[i] > PACKED_MINUS_ZERO &&
		    (lane->ints[i] > PACKED_LIMIT / power || lane->ints[i] < -PACKED_LIMIT / power))
			return false;
	for (i = 0; i < rows; i++)
		if (lane->ints[i] > PACKED_MINUS_ZERO)
			lane->ints[i] *= (int32_t)power;
	lane->decimals = decimals;
	return true;
}

/* The number in the scale of the lane; false when it does not fit there. */
static bool scaled(const struct csv_lane *lane, const struct csv_plain *n, int32_t *out)
{
	const int more = lane->decimals - n->fraction;
	uint64_t v = n->digits;

	if (v > PACKED_LIMIT)
		return false;
	v *= (uint64_t)packed_power(more);
	if (v > PACKED_LIMIT)
		return false;
	*out = n->negative ? -(int32_t)v : (int32_t)v;
	if (n->negative && v == 0)
		*out = PACKED_MINUS_ZERO;
	return true;
}

bool csv_batcher_plain(struct csv_batcher *b, size_t column, const struct csv_plain *n)
{
	struct csv_lane *lane = &b->lanes[column];
	const size_t row = b->item.batch.rows;
	double v;

	lane->mode = CSV_MODE_NUMBER;
	if (!lane->is_wide && n->fraction <= PACKED_DECIMALS &&
	    (n->fraction <= lane->decimals || rescale(lane, row, n->fraction)) &&
	    scaled(lane, n, &lane->ints[row]))
		return true;
	v = (double)n->digits / packed_power(n->fraction);
	return csv_batcher_double(b, column, n->negative ? -v : v, n->fraction);
}

bool csv_batcher_double(struct csv_batcher *b, size_t column, double v, int decimals)
{
	struct csv_lane *lane = &b->lanes[column];

	if (!widen(b, lane))
		return false;
	if (decimals > lane->decimals)
		lane->decimals = decimals;
	lane->wide[b->item.batch.rows] = v;
	return true;
}

void csv_batcher_missing(struct csv_batcher *b, size_t column)
{
	csv_lane_put_missing(&b->lanes[column], b->item.batch.rows);
}

bool csv_batcher_odd(struct csv_batcher *b, const struct csv_odd_ref *odd)
{
	struct csv_piece *p = b->piece;

	if (!mem_try_grow(&p->odd, &p->odd_room, p->odd_count + 1, sizeof(*p->odd)))
		return false;
	p->odd[p->odd_count++] = *odd;
	if (b->lanes[odd->column].mode == CSV_MODE_NONE)
		b->lanes[odd->column].mode = CSV_MODE_NUMBER;
	csv_batcher_missing(b, odd->column);
	return true;
}
