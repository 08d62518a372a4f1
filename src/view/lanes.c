/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lanes of the viewer: which there are, their order, data and scales. */
#include "view/lanes.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "calc/profile.h"

#define SHOWN_FIRST 8		/* lanes that a start shows at most */
#define UNKNOWN_FIRST 6		/* the same where nothing was recognised */
#define LEAST_ROWS 3		/* room for A, B and B-A beside it */

static void release_data(struct lane *lane)
{
	series_release(&lane->a);
	series_release(&lane->b);
	series_release(&lane->difference);
	lane->loaded = false;
}

void lanes_stale(struct view *v)
{
	size_t i;

	for (i = 0; i < v->lane_count; i++)
		release_data(&v->lanes[i]);
}

void lanes_release(struct view *v)
{
	lanes_stale(v);
	free(v->lanes);
	v->lanes = NULL;
	v->lane_count = v->lane_cap = 0;
	pairing_release(&v->pairs);
}

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
static void sort_lanes(struct view *v)
{
	size_t i, k;

	for (i = 1; i < v->lane_count; i++)
		for (k = i; k > 0 && by_lane_order(&v->lanes[k], &v->lanes[k - 1], v) < 0; k--) {
			const struct lane swap = v->lanes[k];

			v->lanes[k] = v->lanes[k - 1];
			v->lanes[k - 1] = swap;
		}
}

static bool wanted_first(struct view *v, size_t pair, bool any_known)
{
	const struct quantity *q = quantity_of(v, pair);

	if (q->id == Q_TIME || column_kind(pair_channel(&v->pairs.list[pair])->column) != COLUMN_NUMBER)
		return false;
	if (!any_known)
		return true;
	/* engine speed on its own axis is a straight line */
	if (q->id == Q_RPM && v->overlay.axis == AXIS_RPM)
		return false;
	return q->lane > 0 && !stands_back(v, q) && speaks_for_quantity(v, pair);
}

static void choose_first(struct view *v)
{
	bool any_known = false;
	size_t shown = 0;
	size_t i;

	for (i = 0; i < v->lane_count; i++)
		any_known |= quantity_of(v, v->lanes[i].pair)->lane > 0;
	for (i = 0; i < v->lane_count && shown < (any_known ? SHOWN_FIRST : UNKNOWN_FIRST); i++) {
		v->lanes[i].shown = wanted_first(v, v->lanes[i].pair, any_known);
		shown += v->lanes[i].shown;
	}
}

/* Shows exactly the lanes of the list, in its order, before all others. */
static enum err_code choose_list(struct view *v, const char *list, struct err *e)
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

enum err_code lanes_build(struct view *v, const char *list, struct err *e)
{
	enum err_code code = ERR_NONE;
	size_t i;

	lanes_release(v);
	pairing_build(&v->pairs, v->overlay.a.log, v->overlay.b.log, v->units);
	mem_grow(&v->lanes, &v->lane_cap, v->pairs.count, sizeof *v->lanes);
	v->lane_count = v->pairs.count;
	for (i = 0; i < v->lane_count; i++)
		v->lanes[i] = (struct lane){ .pair = i };
	sort_lanes(v);
	if (list == NULL)
		choose_first(v);
	else
		code = choose_list(v, list, e);
	v->chosen = lane_next_shown(v, SIZE_MAX, 1);
	v->top = v->chosen;
	return code;
}

/* ---- data ---- */

static void widen(const struct series *s, double *low, double *high)
{
	size_t i;

	for (i = 0; i < s->n; i++) {
		*low = fmin(*low, s->v[i]);
		*high = fmax(*high, s->v[i]);
	}
}

/* B-A at every point of either profile, as a series over axis positions. */
static enum err_code make_difference(struct view *v, struct lane *lane)
{
	struct profile p[SIDES] = { PROFILE_INIT, PROFILE_INIT };
	enum err_code code = profile_build(&p[0], &lane->a, overlay_map(&v->overlay, &v->overlay.a),
					   NULL);
	double *x = NULL;
	double *y = NULL;
	size_t i = 0, k = 0, n = 0;

	if (code == ERR_NONE)
		code = profile_build(&p[1], &lane->b, overlay_map(&v->overlay, &v->overlay.b), NULL);
	if (code != ERR_NONE)
		goto out;
	x = mem_try_array(p[0].n + p[1].n, sizeof *x);
	y = mem_try_array(p[0].n + p[1].n, sizeof *y);
	while (x != NULL && y != NULL && (i < p[0].n || k < p[1].n)) {
		const bool from_a = k == p[1].n || (i < p[0].n && p[0].x[i] <= p[1].x[k]);

		x[n] = from_a ? p[0].x[i++] : p[1].x[k++];
		y[n] = profile_at(&p[1], x[n]) - profile_at(&p[0], x[n]);
		n++;
	}
	code = series_from(&lane->difference, x, y, n, false, NULL);
	lane->difference.hole = INFINITY;
out:
	free(x);
	free(y);
	profile_release(&p[0]);
	profile_release(&p[1]);
	return code;
}

void lane_load(struct view *v, struct lane *lane)
{
	const struct pair *pair = &v->pairs.list[lane->pair];
	double least = quantity_of(v, lane->pair)->least_height;
	double low = INFINITY;
	double high = -INFINITY;
	struct err e = ERR_INIT;

	if (lane->loaded)
		return;
	lane->loaded = true;
	if (pair_load(pair, &v->overlay.a, false, &lane->a, &e) != ERR_NONE ||
	    pair_load(pair, &v->overlay.b, true, &lane->b, &e) != ERR_NONE ||
	    (lane->delta && make_difference(v, lane) != ERR_NONE)) {
		view_complain(v, "%s", e.text);
		return;
	}
	if (lane->delta) {
		widen(&lane->difference, &low, &high);
		low = fmin(low, 0.0);
		high = fmax(high, 0.0);
		least *= 0.5;
	} else {
		widen(&lane->a, &low, &high);
		widen(&lane->b, &low, &high);
	}
	if (pair->unit != NULL && quantity_of(v, lane->pair)->unit != NULL)
		least = unit_convert_delta(least, unit_find(quantity_of(v, lane->pair)->unit, NULL),
					   pair->unit);
	if (low > high)
		low = high = NAN;
	lane->scale = scale_nice(low, high, isnan(least) ? 0.0 : least);
}

double lane_value(struct view *v, struct lane *lane, enum side side, double position)
{
	const struct run *run = view_run(v, side);

	lane_load(v, lane);
	if (run->log == NULL)
		return NAN;
	return series_at(side == SIDE_A ? &lane->a : &lane->b,
			 axis_map_to_time(overlay_map(&v->overlay, run), position));
}

const char *lane_word(const struct view *v, const struct lane *lane, enum side side, double value)
{
	const struct pair *pair = &v->pairs.list[lane->pair];
	const struct channel *ch = side == SIDE_A ? pair->a : pair->b;

	if (ch == NULL || column_kind(ch->column) != COLUMN_STATE || isnan(value))
		return NULL;
	return column_word(ch->column, value);
}

/* ---- words ---- */

void lane_title(const struct view *v, const struct lane *lane, struct buf *out)
{
	const struct channel *ch = pair_channel(&v->pairs.list[lane->pair]);

	if (lane->delta)
		buf_printf(out, "%s ", v->glyphs->delta);
	if (v->ascii)
		text_to_ascii(out, ch->name);
	else
		buf_puts(out, ch->name);
}

const char *lane_unit(const struct view *v, const struct lane *lane)
{
	return pair_unit(&v->pairs.list[lane->pair], v->ascii);
}

int lane_decimals(const struct view *v, const struct lane *lane)
{
	return pair_decimals(&v->pairs.list[lane->pair]);
}

/* ---- order ---- */

size_t lanes_shown(const struct view *v)
{
	size_t n = 0;
	size_t i;

	for (i = 0; i < v->lane_count; i++)
		n += v->lanes[i].shown;
	return n;
}

/* The next shown lane after `from` in the direction of step; SIZE_MAX starts before all. */
size_t lane_next_shown(const struct view *v, size_t from, int step)
{
	size_t i = from;

	for (;;) {
		i += (size_t)step;	/* SIZE_MAX + 1 is 0 */
		if (i >= v->lane_count)
			return from == SIZE_MAX ? v->lane_count : from;
		if (v->lanes[i].shown)
			return i;
	}
}

struct lane *lane_chosen(struct view *v)
{
	return v->chosen < v->lane_count ? &v->lanes[v->chosen] : NULL;
}

size_t lane_by_name(struct view *v, const char *word, struct err *e)
{
	const struct channel *ch = datalog_channel(v->overlay.a.log, word, e);
	size_t i;

	if (ch == NULL && view_has_b(v))
		ch = datalog_channel(v->overlay.b.log, word, e);
	for (i = 0; ch != NULL && i < v->lane_count; i++) {
		const struct pair *p = &v->pairs.list[v->lanes[i].pair];

		if (!v->lanes[i].delta && (p->a == ch || p->b == ch))
			return i;
	}
	if (ch != NULL)
		err_set(e, ERR_DATA, "channel '%s' has no values", word);
	return SIZE_MAX;
}

void lane_show(struct view *v, size_t lane, bool shown)
{
	v->lanes[lane].shown = shown;
	if (!shown && v->chosen == lane) {
		v->chosen = lane_next_shown(v, lane, 1);
		if (v->chosen == lane)
			v->chosen = lane_next_shown(v, lane, -1);
		if (v->chosen == lane)
			v->chosen = v->lane_count;
	} else if (shown && v->chosen >= v->lane_count) {
		v->chosen = lane;
	}
	lanes_scroll_to_chosen(v);
}

void lane_move(struct view *v, size_t lane, int step)
{
	const size_t to = lane_next_shown(v, lane, step);
	const struct lane moved = v->lanes[lane];

	if (to == lane)
		return;
	if (to > lane)
		memmove(v->lanes + lane, v->lanes + lane + 1, (to - lane) * sizeof moved);
	else
		memmove(v->lanes + to + 1, v->lanes + to, (lane - to) * sizeof moved);
	v->lanes[to] = moved;
	v->chosen = to;
	lanes_scroll_to_chosen(v);
}

void lane_toggle_delta(struct view *v, size_t lane)
{
	const struct lane added = { .pair = v->lanes[lane].pair, .delta = true, .shown = true };
	size_t own = lane;

	if (v->lanes[lane].delta) {	/* on the delta lane itself: take it away */
		own = lane;
	} else if (lane + 1 < v->lane_count && v->lanes[lane + 1].delta &&
		   v->lanes[lane + 1].pair == v->lanes[lane].pair) {
		own = lane + 1;
	} else {
		mem_grow(&v->lanes, &v->lane_cap, v->lane_count + 1, sizeof *v->lanes);
		memmove(v->lanes + lane + 2, v->lanes + lane + 1,
			(v->lane_count - lane - 1) * sizeof added);
		v->lanes[lane + 1] = added;
		v->lane_count++;
		lanes_scroll_to_chosen(v);
		return;
	}
	release_data(&v->lanes[own]);
	memmove(v->lanes + own, v->lanes + own + 1, (v->lane_count - own - 1) * sizeof added);
	v->lane_count--;
	if (v->chosen >= v->lane_count || !v->lanes[v->chosen].shown || own == lane)
		v->chosen = lane_next_shown(v, own, -1);
	lanes_scroll_to_chosen(v);
}

int lane_height(const struct view *v, const struct lane *lane)
{
	const int shown = (int)lanes_shown(v);
	int rows = lane->rows;

	if (rows == 0)
		rows = shown == 0 ? LEAST_ROWS : v->lane_rows / shown;
	if (rows > v->lane_rows)
		rows = v->lane_rows;
	return rows < LEAST_ROWS ? LEAST_ROWS : rows;
}

/* Rows from the top lane down to the end of lane `last`. */
static int rows_between(const struct view *v, size_t top, size_t last)
{
	int rows = 0;
	size_t i;

	for (i = top; i <= last && i < v->lane_count; i++)
		if (v->lanes[i].shown)
			rows += lane_height(v, &v->lanes[i]);
	return rows;
}

void lanes_scroll_to_chosen(struct view *v)
{
	if (v->chosen >= v->lane_count)
		return;
	if (v->top > v->chosen || v->top >= v->lane_count)
		v->top = v->chosen;
	while (v->top < v->chosen && rows_between(v, v->top, v->chosen) > v->lane_rows)
		v->top = lane_next_shown(v, v->top, 1);
	/* no empty rows below while lanes are hidden above */
	for (;;) {
		const size_t above = lane_next_shown(v, v->top, -1);

		if (above == v->top || rows_between(v, above, v->lane_count - 1) > v->lane_rows)
			break;
		v->top = above;
	}
}
