/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where marks and pulls of a log stand on the present axis. */
#include "view/where.h"

#include <math.h>

/* Positions clipped to what the map covers; false when nothing is left. */
static bool clip(const struct axis_map *map, double *from, double *to)
{
	*from = fmax(*from, axis_map_from(map));
	*to = fmin(*to, axis_map_to(map));
	return map->n > 0 && *from <= *to;
}

/* Log times to positions of the present axis. */
static bool from_times(struct view *v, const struct run *run, double t0, double t1, double *from,
		       double *to)
{
	const struct axis_map *map = overlay_map(&v->overlay, run);

	if (map->n == 0)
		return false;
	t0 = fmax(t0, map->time[0]);
	t1 = fmin(t1, map->time[map->n - 1]);
	*from = axis_map_to_position(map, t0);
	*to = axis_map_to_position(map, t1);
	return t0 <= t1;
}

bool where_mark(struct view *v, enum side side, size_t source, const struct mark *mark,
		double *from, double *to)
{
	const struct run *run = view_run(v, side);
	double low = mark->from;
	double high = mark->to;

	if (run->log == NULL || v->source_of[side] != source)
		return false;
	if (mark->axis == AXIS_TIME)
		return from_times(v, run, low, high, from, to);
	/* engine speeds mean something only in the pull that they were marked in */
	if (mark->pull != run->number || !clip(&run->by_rpm, &low, &high))
		return false;
	return from_times(v, run, axis_map_to_time(&run->by_rpm, low),
			  axis_map_to_time(&run->by_rpm, high), from, to);
}

bool where_pull(struct view *v, enum side side, size_t number, double *from, double *to)
{
	const struct pull *p = &view_source(v, side)->loaded.pulls.list[number - 1];

	return from_times(v, view_run(v, side), p->from_s, p->to_s, from, to);
}

bool where_finding(struct view *v, enum side side, const struct finding *f, double *from,
		   double *to)
{
	const struct axis_map *map = overlay_map(&v->overlay, view_run(v, side));

	*from = *to = NAN;
	if (map->n == 0)
		return false;
	if (from_times(v, view_run(v, side), f->from_s, f->to_s, from, to))
		return true;
	*from = *to = f->to_s < map->time[0] ? axis_map_from(map) : axis_map_to(map);
	return false;
}

/*
 * To whole steps, but not beyond low .. high, where the mark would lie outside its own
 * pull: a person reads these, so no more digits than mean something.
 */
static double rounded(double v, double steps, double low, double high)
{
	const double nearest = round(v * steps) / steps;
	const double inside = nearest > high ? floor(v * steps) / steps :
		nearest < low ? ceil(v * steps) / steps : nearest;

	return inside >= low && inside <= high ? inside : v;
}

bool where_make(struct view *v, enum side side, double from, double to, struct mark *mark)
{
	const struct run *run = view_run(v, side);
	const struct axis_map *map = overlay_map(&v->overlay, run);

	if (!clip(map, &from, &to))
		return false;
	mark->pull = run->number;
	mark->axis = v->overlay.axis;
	if (mark->axis == AXIS_TIME) {
		mark->from = rounded(axis_map_to_time(map, from), 1e3, map->time[0],
				     map->time[map->n - 1]);
		mark->to = rounded(axis_map_to_time(map, to), 1e3, map->time[0],
				   map->time[map->n - 1]);
	} else {
		mark->from = rounded(from, 1.0, axis_map_from(map), axis_map_to(map));
		mark->to = rounded(to, 1.0, axis_map_from(map), axis_map_to(map));
	}
	return true;
}
