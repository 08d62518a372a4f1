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
#include "view/lanes_first.h"

#define SETTLE_SECONDS 0.5	/* of a pull, see scale_to_all() */
#define SETTLE_SHARE 0.25	/* of the axis that this may take at most */

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
	lanes_sort(v);
	if (list == NULL)
		lanes_choose_first(v);
	else
		code = lanes_choose_list(v, list, e);
	v->chosen = lane_next_shown(v, SIZE_MAX, 1);
	v->top = v->chosen;
	return code;
}

/* ---- data ---- */

const struct quantity *lane_quantity(const struct view *v, const struct lane *lane)
{
	return pair_channel(&v->pairs.list[lane->pair])->quantity;
}

/* The series of a lane that are drawn, and how their times map to positions. */
struct drawn {
	const struct series *series;
	const struct axis_map *map;	/* NULL: the series lies on the axis itself */
};

static int drawn_series(const struct view *v, const struct lane *lane, struct drawn out[SIDES])
{
	if (lane->delta) {
		out[0] = (struct drawn){ &lane->difference, NULL };
		return 1;
	}
	out[0] = (struct drawn){ &lane->a, overlay_map(&v->overlay, &v->overlay.a) };
	out[1] = (struct drawn){ &lane->b, overlay_map(&v->overlay, &v->overlay.b) };
	return SIDES;
}

/* Lowest and highest value over positions from .. to; NaN for none. */
static void reach(const struct view *v, const struct lane *lane, double from, double to,
		  double *low, double *high)
{
	struct drawn d[SIDES];
	const int n = drawn_series(v, lane, d);
	int k;
	size_t i;

	*low = *high = NAN;
	for (k = 0; k < n; k++)
		for (i = 0; i < d[k].series->n; i++) {
			const double t = d[k].series->t[i];
			const double x = d[k].map == NULL ? t : axis_map_to_position(d[k].map, t);

			if (!(x >= from && x <= to))
				continue;
			*low = fmin(*low, d[k].series->v[i]);	/* passes over NaN */
			*high = fmax(*high, d[k].series->v[i]);
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

/* The least that a lane spans, in the unit shown. */
static double least_height(const struct view *v, const struct lane *lane)
{
	const struct quantity *q = lane_quantity(v, lane);
	const struct unit *unit = v->pairs.list[lane->pair].unit;
	double least = q->least_height;

	if (unit != NULL && q->unit != NULL)
		least = unit_convert_delta(least, unit_find(q->unit, NULL), unit);
	if (isnan(least))
		return 0.0;
	return lane->delta ? 0.5 * least : least;
}

/*
 * A scale for low .. high.  What never changes sign is not drawn as if it could: its
 * scale ends at 0 rather than go beyond it.
 */
static struct scale scale_for(const struct view *v, const struct lane *lane, double low,
			      double high)
{
	const double least = least_height(v, lane);
	struct scale s;

	if (lane->delta) {
		low = fmin(low, 0.0);
		high = fmax(high, 0.0);
	}
	s = scale_nice(low, high, least);
	if (low >= 0.0 && s.low < 0.0)
		s = scale_nice(0.0, fmax(high, least), 0.0);
	else if (high <= 0.0 && s.high > 0.0)
		s = scale_nice(fmin(low, -least), 0.0, 0.0);
	return s;
}

/*
 * The scale of all the data but the first half second of a pull: there the pedal is
 * still going down, sensors lag (common practice, no source), and a value from
 * before would flatten all that matters.  What lies beyond is drawn at the edge.
 */
static void scale_to_all(const struct view *v, struct lane *lane)
{
	const struct run *const runs[SIDES] = { &v->overlay.a, &v->overlay.b };
	double low, high, from, to, begin;
	int side;

	overlay_range(&v->overlay, false, &begin, &to);
	from = begin;
	for (side = 0; side < SIDES; side++) {
		const struct run *run = runs[side];
		const double settled = axis_map_to_position(overlay_map(&v->overlay, run),
							    run->pull.from_s + SETTLE_SECONDS);

		if (run->log != NULL && run->number != RUN_WHOLE &&
		    settled < begin + SETTLE_SHARE * (to - begin))
			from = fmax(from, settled);
	}
	reach(v, lane, from, to, &low, &high);
	lane->scale = scale_for(v, lane, low, high);
}

void lane_scale_to_screen(struct view *v, struct lane *lane)
{
	double low, high;

	lane_load(v, lane);
	if (lane->scaled) {
		lane->scaled = false;
		scale_to_all(v, lane);
		view_say(v, "the scale holds all of the pull again");
		return;
	}
	reach(v, lane, v->from, v->to, &low, &high);
	lane->scale = scale_nice(low, high, 0.0);
	lane->scaled = true;
	view_say(v, "the scale fits what is on screen; y again takes it back");
}

void lane_load(struct view *v, struct lane *lane)
{
	const struct pair *pair = &v->pairs.list[lane->pair];
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
	if (!lane->scaled)
		scale_to_all(v, lane);
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

/* When the chosen lane is gone or hidden: the nearest shown one, downwards first. */
static void mend_chosen(struct view *v)
{
	size_t i = v->chosen;

	while (i < v->lane_count && !v->lanes[i].shown)
		i++;
	if (i >= v->lane_count)
		for (i = v->lane_count; i-- > 0;)
			if (v->lanes[i].shown)
				break;
	v->chosen = i < v->lane_count ? i : v->lane_count;
	lanes_scroll_to_chosen(v);
}

void lane_show(struct view *v, size_t lane, bool shown)
{
	v->lanes[lane].shown = shown;
	if (shown && v->chosen >= v->lane_count)
		v->chosen = lane;
	mend_chosen(v);
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

static void insert_lane(struct view *v, size_t at, struct lane lane)
{
	mem_grow(&v->lanes, &v->lane_cap, v->lane_count + 1, sizeof *v->lanes);
	memmove(v->lanes + at + 1, v->lanes + at, (v->lane_count - at) * sizeof lane);
	v->lanes[at] = lane;
	v->lane_count++;
	v->chosen += v->chosen >= at;
}

static void remove_lane(struct view *v, size_t at)
{
	release_data(&v->lanes[at]);
	memmove(v->lanes + at, v->lanes + at + 1, (v->lane_count - at - 1) * sizeof *v->lanes);
	v->lane_count--;
	v->chosen -= v->chosen >= at && v->chosen > 0;
}

/* The delta lane of a lane, which may be itself; lane_count when it has none. */
static size_t delta_of(const struct view *v, size_t lane)
{
	size_t i;

	for (i = 0; i < v->lane_count; i++)
		if (v->lanes[i].delta && v->lanes[i].pair == v->lanes[lane].pair)
			return i;
	return v->lane_count;
}

void lane_toggle_delta(struct view *v, size_t lane)
{
	const size_t own = delta_of(v, lane);

	if (own < v->lane_count)
		remove_lane(v, own);
	else
		insert_lane(v, lane + 1, (struct lane){ .pair = v->lanes[lane].pair, .delta = true,
							.shown = true });
	mend_chosen(v);
}

/* How many shown lanes of even height stand above this one. */
static int even_lanes_above(const struct view *v, const struct lane *lane)
{
	int n = 0;
	const struct lane *other;

	for (other = v->lanes; other < lane; other++)
		n += other->shown && other->rows == 0;
	return n;
}

/* Lanes without a height of their own share what is left; spare rows go to the first. */
int lane_height(const struct view *v, const struct lane *lane)
{
	int left = v->lane_rows;
	int even = 0;
	size_t i;

	if (lane->rows > 0)
		return lane->rows < left ? lane->rows : left;
	for (i = 0; i < v->lane_count; i++) {
		if (!v->lanes[i].shown)
			continue;
		left -= v->lanes[i].rows;
		even += v->lanes[i].rows == 0;
	}
	if (even == 0 || left / even < LANE_LEAST_ROWS)
		return LANE_LEAST_ROWS;
	return left / even + (even_lanes_above(v, lane) < left % even);
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
