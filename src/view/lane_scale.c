/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The scales of the lanes. */
#include <math.h>

#include "view/lanes.h"

#define SETTLE_SECONDS 0.5	/* of a pull, see lane_scale_to_all() */
#define SETTLE_SHARE 0.25	/* of the axis that this may take at most */

const struct quantity *lane_quantity(const struct view *v, const struct lane *lane)
{
	return pair_channel(&v->pairs.list[lane->pair])->quantity;
}

/* The series of a lane that are drawn, and how their times map to positions. */
struct drawn {
	const struct series *series;
	const struct pyramid *heights;
	const struct axis_map *map;	/* NULL: the series lies on the axis itself */
};

static int drawn_series(const struct view *v, const struct lane *lane, struct drawn out[SIDES])
{
	const struct lane_data *d = &lane->data;

	if (lane->delta) {
		out[0] = (struct drawn){ &d->difference, &d->difference_heights, NULL };
		return 1;
	}
	out[0] = (struct drawn){ &d->of[SIDE_A].series, &d->of[SIDE_A].heights,
				  overlay_map(&v->overlay, &v->overlay.a) };
	out[1] = (struct drawn){ &d->of[SIDE_B].series, &d->of[SIDE_B].heights,
				  overlay_map(&v->overlay, &v->overlay.b) };
	return SIDES;
}

size_t lane_samples(const struct series *s, const struct axis_map *map, double from, double to,
		    size_t *first)
{
	size_t last;

	if (map != NULL) {
		from = axis_map_to_time(map, fmax(from, axis_map_from(map)));
		to = axis_map_to_time(map, fmin(to, axis_map_to(map)));
	}
	*first = isnan(from) ? s->n : series_lower(s, from);
	last = series_upper(s, to);
	return last > *first ? last - *first : 0;
}

/* Lowest and highest value over positions from .. to; NaN for none. */
static void reach(const struct view *v, const struct lane *lane, double from, double to,
		  double *low, double *high)
{
	struct drawn d[SIDES];
	const int drawn = drawn_series(v, lane, d);
	struct extent x;
	size_t first, n;
	int k;

	*low = *high = NAN;
	for (k = 0; k < drawn; k++) {
		n = lane_samples(d[k].series, d[k].map, from, to, &first);
		x = pyramid_extent(d[k].heights, first, first + n);
		*low = fmin(*low, x.low);	/* passes over NaN */
		*high = fmax(*high, x.high);
	}
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
void lane_scale_to_all(const struct view *v, struct lane *lane)
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
		lane_scale_to_all(v, lane);
		view_say(v, "the scale holds all of the pull again");
		return;
	}
	reach(v, lane, v->from, v->to, &low, &high);
	lane->scale = scale_nice(low, high, 0.0);
	lane->scaled = true;
	view_say(v, "the scale fits what is on screen; y again takes it back");
}
