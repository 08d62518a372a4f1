/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which channels the text of a comparison shows. */
#include "out/diff_pick.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/mem.h"

#define LEAST_WEIGHT 0.02	/* of a visible step: less is rounding, not a difference */
#define SAFETY_LANE 10		/* lanes up to here are shown whether they differ or not */

/* Left out where `when` is there too: it would say the same again. */
static const struct {
	enum quantity_id id;
	enum quantity_id when;
} redundant[] = {
	{ Q_MAP, Q_BOOST },
	{ Q_AFR, Q_LAMBDA },
	{ Q_BOOST_TARGET, Q_BOOST },
	{ Q_MAP_TARGET, Q_MAP },
};

/* A difference in these says where the car was, not how the engine ran. */
static const enum quantity_id positions[] = {
	Q_TIME, Q_DISTANCE, Q_LATITUDE, Q_LONGITUDE,
};

static const struct quantity *quantity(const struct diff_report *r, size_t i)
{
	return pair_channel(&r->pairs->list[i])->quantity;
}

static bool has_quantity(const struct diff_report *r, enum quantity_id id)
{
	size_t i;

	for (i = 0; i < r->pairs->count; i++)
		if (quantity(r, i)->id == id && !isnan(r->delta->largest[i].delta))
			return true;
	return false;
}

static bool is_redundant(const struct diff_report *r, size_t i)
{
	size_t k;

	for (k = 0; k < sizeof redundant / sizeof redundant[0]; k++)
		if (redundant[k].id == quantity(r, i)->id && has_quantity(r, redundant[k].when))
			return true;
	return false;
}

static bool is_position(const struct diff_report *r, size_t i)
{
	size_t k;

	for (k = 0; k < sizeof positions / sizeof positions[0]; k++)
		if (positions[k] == quantity(r, i)->id)
			return true;
	return quantity(r, i)->id == Q_RPM && r->o->axis == AXIS_RPM;
}

/* The greatest mean of any band, for what has no step of its own. */
static double largest_mean(const struct delta *d, size_t i)
{
	double most = 0.0;
	size_t k;

	for (k = 0; k < d->band_count; k++)
		most = fmax(most, fmax(fabs(d->bands[k].cells[i].a),
				       fabs(d->bands[k].cells[i].b)));
	return most;
}

/* The largest difference in visible steps of the quantity; 0 where there is none. */
static double weight(const struct diff_report *r, size_t i)
{
	const struct quantity *q = quantity(r, i);
	const struct unit *own = q->unit == NULL ? NULL : unit_find(q->unit, NULL);
	const double delta = fabs(r->delta->largest[i].delta);
	double step = q->least_height;

	if (isnan(delta))
		return 0.0;
	if (own != NULL && r->pairs->list[i].unit != NULL)
		step = unit_convert_delta(step, own, r->pairs->list[i].unit);
	if (q->id == Q_NONE || !(step > 0.0))
		step = largest_mean(r->delta, i);
	return step > 0.0 ? delta / step : 0.0;
}

/* Pair i stands for its quantity: no other of it differs more. */
static bool leads(const struct diff_report *r, size_t i)
{
	size_t k;

	for (k = 0; k < r->pairs->count; k++) {
		const double other = k == i || quantity(r, k) != quantity(r, i) ? 0.0 :
			weight(r, k);

		if (other > weight(r, i) || (other == weight(r, i) && other > 0.0 && k < i))
			return false;
	}
	return true;
}

static bool compares(const struct diff_report *r, size_t i)
{
	return !isnan(r->delta->largest[i].delta) && !is_position(r, i);
}

static bool is_worth_a_column(const struct diff_report *r, size_t i)
{
	const int lane = quantity(r, i)->lane;

	if (lane == 0 || !compares(r, i) || is_redundant(r, i) || !leads(r, i))
		return false;
	return lane <= SAFETY_LANE || weight(r, i) >= LEAST_WEIGHT;
}

/* Puts pair i among the sorted count of `most`; returns the new count. */
static size_t insert_by_lane(const struct diff_report *r, size_t *out, size_t count,
			     size_t most, size_t i)
{
	size_t at = count;
	size_t k;

	while (at > 0 && quantity(r, out[at - 1])->lane > quantity(r, i)->lane)
		at--;
	if (at == most)
		return count;
	count += count < most;
	for (k = count - 1; k > at; k--)
		out[k] = out[k - 1];
	out[at] = i;
	return count;
}

size_t diff_pick_first(const struct diff_report *r, size_t *out, size_t most)
{
	size_t count = 0;
	size_t i;

	for (i = 0; i < r->pairs->count; i++)
		if (is_worth_a_column(r, i))
			count = insert_by_lane(r, out, count, most, i);
	if (count > 0)
		return count;
	for (i = 0; i < r->pairs->count && count < most; i++)
		if (compares(r, i))
			out[count++] = i;
	return count;
}

struct ranked {
	size_t pair;
	double weight;
};

static int by_weight(const void *x, const void *y)
{
	const struct ranked *const a = x;
	const struct ranked *const b = y;

	if (a->weight != b->weight)
		return a->weight > b->weight ? -1 : 1;
	return a->pair < b->pair ? -1 : a->pair > b->pair;
}

size_t diff_pick_largest(const struct diff_report *r, size_t *out, size_t most)
{
	struct ranked *ranked = mem_array(r->pairs->count, sizeof *ranked);
	size_t count = 0;
	size_t i;

	for (i = 0; i < r->pairs->count; i++)
		if (compares(r, i) && !is_redundant(r, i) && weight(r, i) >= LEAST_WEIGHT)
			ranked[count++] = (struct ranked){ i, weight(r, i) };
	qsort(ranked, count, sizeof *ranked, by_weight);
	count = count < most ? count : most;
	for (i = 0; i < count; i++)
		out[i] = ranked[i].pair;
	free(ranked);
	return count;
}
