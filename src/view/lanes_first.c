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

static const struct quantity *quantity_of(const struct view *v, size_t pair)
{
	return pair_channel(&v->pairs.list[pair])->quantity;
}

/* How far a channel moves within the runs: the knock lane worth seeing moves most. */
static double reach_of(struct view *v, size_t pair)
{
	struct series s;
	double low = INFINITY;
	double high = -INFINITY;
	int side;
	size_t i;

	for (side = 0; side < SIDES; side++) {
		const struct run *run = view_run(v, (enum side)side);

		if (pair_load(&v->pairs.list[pair], run, side == SIDE_B, &s, NULL) != ERR_NONE)
			continue;
		for (i = 0; i < s.n; i++) {
			low = fmin(low, s.v[i]);
			high = fmax(high, s.v[i]);
		}
		series_release(&s);
	}
	return high - low;
}

/* Of several channels of one quantity (cylinders, banks) the one that moves most. */
static bool speaks_for_quantity(struct view *v, size_t pair)
{
	const struct quantity *q = quantity_of(v, pair);
	const double own = reach_of(v, pair);
	size_t i;

	for (i = 0; i < v->pairs.count; i++) {
		double other;

		if (i == pair || quantity_of(v, i) != q)
			continue;
		other = reach_of(v, i);
		if (other > own || (other == own && i < pair))
			return false;
	}
	return true;
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

/* What a pull is judged by, one lane a quantity. */
static bool wanted_known(struct view *v, size_t pair)
{
	const struct quantity *q = quantity_of(v, pair);

	/* engine speed on its own axis is a straight line */
	if (q->id == Q_RPM && v->overlay.axis == AXIS_RPM)
		return false;
	return q->lane > 0 && !stands_back(v, q) && speaks_for_quantity(v, pair);
}

/* Where little was recognised, what was not is shown as well. */
static bool wanted_unknown(struct view *v, size_t pair)
{
	return quantity_of(v, pair)->id == Q_NONE;
}

static size_t show_wanted(struct view *v, bool (*wanted)(struct view *, size_t), size_t shown,
			  size_t most)
{
	size_t i;

	for (i = 0; i < v->lane_count && shown < most; i++) {
		struct lane *lane = &v->lanes[i];

		if (!lane->shown && has_numbers(v, lane->pair) && wanted(v, lane->pair)) {
			lane->shown = true;
			shown++;
		}
	}
	return shown;
}

void lanes_choose_first(struct view *v)
{
	const int fit = v->lane_rows / GOOD_ROWS;
	const size_t most = (size_t)(fit < SHOWN_LEAST ? SHOWN_LEAST :
				     fit > SHOWN_MOST ? SHOWN_MOST : fit);
	const size_t known = show_wanted(v, wanted_known, 0, most);

	show_wanted(v, wanted_unknown, known, UNKNOWN_FIRST);
}

/* Shows exactly the lanes of the list, in its order, before all others. */
enum err_code lanes_choose_list(struct view *v, const char *list, struct err *e)
{
	struct pairing chosen = { NULL, 0 };
	enum err_code code;
	size_t i, k;

	pairing_build(&chosen, v->overlay.a.log, v->overlay.b.log, v->units);
	code = pairing_choose(&chosen, v->overlay.a.log, v->overlay.b.log, list, e);
	for (i = chosen.count; code == ERR_NONE && i-- > 0;)
		for (k = 0; k < v->lane_count; k++) {
			const struct pair *p = &v->pairs.list[v->lanes[k].pair];
			const struct lane lane = v->lanes[k];

			if (p->a != chosen.list[i].a || p->b != chosen.list[i].b)
				continue;
			memmove(v->lanes + 1, v->lanes, k * sizeof *v->lanes);
			v->lanes[0] = lane;
			v->lanes[0].shown = true;
			break;
		}
	pairing_release(&chosen);
	return code;
}
