/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which lanes a start shows: the first choice, or a list of names. */
#include "view/lanes_first.h"

#include <math.h>
#include <string.h>

#include "view/lanes.h"

#define SHOWN_LEAST 6		/* lanes that a start shows, by the height of the screen */
#define SHOWN_MOST 8
#define GOOD_ROWS 4		/* rows that read well */
#define UNKNOWN_FIRST 4		/* with fewer known ones, unknown ones are shown up to here */
#define BLOCK 256		/* rows looked at together */

static const struct quantity *quantity_of(const struct view *v, size_t pair)
{
	return pair_channel(&v->pairs.list[pair])->quantity;
}

/* Absolute pressure adds nothing beside gauge boost; nor targets beside the actual. */
static bool stands_back(const struct view *v, const struct quantity *q)
{
	static const struct {
		enum quantity_id id;
		enum quantity_id behind;
	} pairs[] = {
		{ Q_MAP, Q_BOOST },
		{ Q_MAP_TARGET, Q_BOOST },
		{ Q_BOOST_TARGET, Q_BOOST },
		{ Q_AFR, Q_LAMBDA },
		{ Q_RAIL_TARGET, Q_RAIL_PRESSURE },
	};
	size_t i, k;

	for (i = 0; i < sizeof pairs / sizeof pairs[0]; i++)
		for (k = 0; pairs[i].id == q->id && k < v->pairs.count; k++)
			if (quantity_of(v, k)->id == pairs[i].behind)
				return true;
	return false;
}

static int by_lane_order(const void *x, const void *y, const struct view *v)
{
	const struct lane *a = x;
	const struct lane *b = y;
	const int ra = quantity_of(v, a->pair)->lane;
	const int rb = quantity_of(v, b->pair)->lane;

	if ((ra == 0) != (rb == 0))
		return ra == 0 ? 1 : -1;
	if (ra != rb)
		return ra < rb ? -1 : 1;
	return a->pair < b->pair ? -1 : 1;
}

/* Insertion sort: there are some 80 lanes, and qsort cannot be handed the view. */
void lanes_sort(struct view *v)
{
	size_t i, k;

	for (i = 1; i < v->lane_count; i++)
		for (k = i; k > 0 && by_lane_order(&v->lanes[k], &v->lanes[k - 1], v) < 0; k--) {
			const struct lane swap = v->lanes[k];

			v->lanes[k] = v->lanes[k - 1];
			v->lanes[k - 1] = swap;
		}
}

static bool has_numbers(const struct view *v, size_t pair)
{
	const struct channel *ch = pair_channel(&v->pairs.list[pair]);

	return column_kind(ch->column) == COLUMN_NUMBER && ch->quantity->id != Q_TIME;
}

/* Widens low .. high to what the channel has in the run, in `unit`. */
static void widen(const struct channel *ch, const struct run *run, const struct unit *unit,
		  double *low, double *high)
{
	double least = NAN;
	double most = NAN;
	double block[BLOCK];
	size_t row;
	size_t n;
	size_t i;

	if (ch == NULL || run->log == NULL)
		return;
	for (row = run->pull.first; row <= run->pull.last; row += n) {
		n = run->pull.last + 1 - row < BLOCK ? run->pull.last + 1 - row : BLOCK;
		column_get(ch->column, row, n, block);
		for (i = 0; i < n; i++) {
			least = fmin(least, block[i]);	/* passes over NaN */
			most = fmax(most, block[i]);
		}
	}
	if (unit != NULL && ch->unit != NULL) {
		least = unit_convert(least, ch->unit, unit);
		most = unit_convert(most, ch->unit, unit);
	}
	*low = fmin(*low, least);
	*high = fmax(*high, most);
}

/* How far a pair moves within the runs; NaN without samples there. */
static double reach_of(const struct view *v, const struct pair *p)
{
	double low = NAN;
	double high = NAN;

	widen(p->a, &v->overlay.a, p->unit, &low, &high);
	widen(p->b, &v->overlay.b, p->unit, &low, &high);
	return high - low;
}

/*
 * Of several channels of one quantity (cylinders, banks) the lane that moves most:
 * the knock worth seeing.  The only one is not looked at; lane_count for none.
 */
static size_t spokesman(const struct view *v, const struct quantity *q)
{
	size_t found = v->lane_count;
	double most = NAN;
	size_t i;

	for (i = 0; i < v->lane_count; i++) {
		const size_t pair = v->lanes[i].pair;
		double own;

		if (quantity_of(v, pair) != q || !has_numbers(v, pair))
			continue;
		if (found < v->lane_count && isnan(most))
			most = reach_of(v, &v->pairs.list[v->lanes[found].pair]);
		own = found < v->lane_count ? reach_of(v, &v->pairs.list[pair]) : NAN;
		if (found == v->lane_count || own > most || isnan(most)) {
			found = i;
			most = own;
		}
	}
	return found;
}

static bool seen_before(const struct view *v, size_t lane)
{
	size_t i;

	for (i = 0; i < lane; i++)
		if (quantity_of(v, v->lanes[i].pair) == quantity_of(v, v->lanes[lane].pair))
			return true;
	return false;
}

/* What a pull is judged by, one lane a quantity. */
static size_t show_known(struct view *v, size_t most)
{
	size_t shown = 0;
	size_t i;

	for (i = 0; i < v->lane_count && shown < most; i++) {
		const struct quantity *q = quantity_of(v, v->lanes[i].pair);
		size_t lane;

		/* engine speed on its own axis is a straight line */
		if (q->lane == 0 || (q->id == Q_RPM && v->overlay.axis == AXIS_RPM) ||
		    seen_before(v, i) || stands_back(v, q))
			continue;
		lane = spokesman(v, q);
		if (lane == v->lane_count)
			continue;
		v->lanes[lane].shown = true;
		shown++;
	}
	return shown;
}

/* Where little was recognised, what was not is shown as well. */
static void show_unknown(struct view *v, size_t shown, size_t most)
{
	size_t i;

	for (i = 0; i < v->lane_count && shown < most; i++) {
		const size_t pair = v->lanes[i].pair;

		if (quantity_of(v, pair)->id != Q_NONE || !has_numbers(v, pair))
			continue;
		v->lanes[i].shown = true;
		shown++;
	}
}

void lanes_choose_first(struct view *v)
{
	const int fit = v->lane_rows / GOOD_ROWS;
	const size_t most = (size_t)(fit < SHOWN_LEAST ? SHOWN_LEAST :
				     fit > SHOWN_MOST ? SHOWN_MOST : fit);

	show_unknown(v, show_known(v, most), UNKNOWN_FIRST);
}

static size_t lane_of(const struct view *v, const struct pair *wanted)
{
	size_t i = 0;

	while (i < v->lane_count && (v->pairs.list[v->lanes[i].pair].a != wanted->a ||
				     v->pairs.list[v->lanes[i].pair].b != wanted->b))
		i++;
	return i;
}

void lanes_choose_these(struct view *v, const struct pairing *chosen)
{
	size_t i;

	for (i = chosen->count; i-- > 0;) {
		const size_t at = lane_of(v, &chosen->list[i]);
		struct lane lane;

		if (at == v->lane_count)
			continue;
		lane = v->lanes[at];
		lane.shown = true;
		memmove(v->lanes + 1, v->lanes, at * sizeof lane);
		v->lanes[0] = lane;
	}
}
