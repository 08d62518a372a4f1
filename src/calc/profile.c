/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A series seen along an axis. */
#include "calc/profile.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

void profile_release(struct profile *p)
{
	free(p->x);
	free(p->y);
	*p = (struct profile)PROFILE_INIT;
}

static void add(struct profile *p, double x, double y)
{
	p->x[p->n] = x;
	p->y[p->n] = y;
	p->n++;
}

/* A sample: a break before it where a hole ends, a step before it where it is held. */
static void add_sample(struct profile *p, const struct series *s, size_t i, double x)
{
	if (i > 0 && p->n > 0) {
		if (s->t[i] - s->t[i - 1] > s->hole)
			add(p, p->x[p->n - 1], NAN);
		else if (s->stepped)
			add(p, x, s->v[i - 1]);
	}
	add(p, x, s->v[i]);
}

enum err_code profile_build(struct profile *p, const struct series *s,
			    const struct axis_map *map, struct err *e)
{
	const size_t room = 2 * s->n + map->n;
	size_t knot = 0;
	size_t i;

	*p = (struct profile)PROFILE_INIT;
	if (map->n == 0)
		return ERR_NONE;
	p->x = mem_try_array(room, sizeof *p->x);
	p->y = mem_try_array(room, sizeof *p->y);
	if (p->x == NULL || p->y == NULL) {
		profile_release(p);
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", room);
	}
	for (i = series_lower(s, map->time[0]); i < s->n && s->t[i] <= map->time[map->n - 1]; i++) {
		for (; knot < map->n && map->time[knot] < s->t[i]; knot++)
			if (!isnan(series_at(s, map->time[knot])))
				add(p, map->position[knot], series_at(s, map->time[knot]));
		if (knot < map->n && map->time[knot] == s->t[i])
			knot++;
		add_sample(p, s, i, axis_map_to_position(map, s->t[i]));
	}
	for (; knot < map->n; knot++)
		if (!isnan(series_at(s, map->time[knot])))
			add(p, map->position[knot], series_at(s, map->time[knot]));
	return ERR_NONE;
}

/* The last point at or before x; n when there is none. */
static size_t point_before(const struct profile *p, double x)
{
	size_t low = 0;
	size_t high = p->n;

	while (low < high) {
		const size_t middle = low + (high - low) / 2;

		if (p->x[middle] <= x)
			low = middle + 1;
		else
			high = middle;
	}
	return low == 0 ? p->n : low - 1;
}

/* On the line between point i and the next. */
static double between(const struct profile *p, size_t i, double x)
{
	const double width = p->x[i + 1] - p->x[i];

	if (x == p->x[i] || width == 0.0)
		return p->y[i];
	return p->y[i] + (p->y[i + 1] - p->y[i]) * ((x - p->x[i]) / width);
}

double profile_at(const struct profile *p, double x)
{
	const size_t i = point_before(p, x);

	if (i == p->n || isnan(x))
		return NAN;
	/* a hole begins behind the sample before it */
	if (isnan(p->y[i]) && i > 0 && p->x[i - 1] == x)
		return p->y[i - 1];
	if (i + 1 == p->n)
		return x == p->x[i] ? p->y[i] : NAN;
	return between(p, i, x);
}

double profile_mean(const struct profile *p, double from, double to)
{
	double area = 0.0;
	double width = 0.0;
	size_t i = point_before(p, from);

	for (i = i == p->n ? 0 : i; i + 1 < p->n && p->x[i] < to; i++) {
		const double x0 = fmax(p->x[i], from);
		const double x1 = fmin(p->x[i + 1], to);

		if (!(x1 > x0) || isnan(p->y[i]) || isnan(p->y[i + 1]))
			continue;
		area += (x1 - x0) * 0.5 * (between(p, i, x0) + between(p, i, x1));
		width += x1 - x0;
	}
	return width > 0.0 ? area / width : NAN;
}

static void consider(const struct profile *a, const struct profile *b, double x,
		     double *delta, double *at)
{
	const double d = profile_at(b, x) - profile_at(a, x);

	if (!isnan(d) && (isnan(*delta) || fabs(d) > fabs(*delta))) {
		*delta = d;
		*at = x;
	}
}

/* Two lines differ most at a point of one of them. */
void profile_largest(const struct profile *a, const struct profile *b, double from, double to,
		     double *delta, double *at)
{
	const struct profile *const both[2] = { a, b };
	size_t k, i;

	*delta = *at = NAN;
	consider(a, b, from, delta, at);
	consider(a, b, to, delta, at);
	for (k = 0; k < 2; k++)
		for (i = 0; i < both[k]->n; i++)
			if (both[k]->x[i] > from && both[k]->x[i] < to)
				consider(a, b, both[k]->x[i], delta, at);
}

double profile_reaches(const struct profile *p, double from, double level)
{
	size_t i = point_before(p, from);

	if (profile_at(p, from) >= level)
		return from;
	for (i = i == p->n ? 0 : i; i < p->n; i++) {
		if (p->y[i] >= level && p->x[i] >= from)
			return p->x[i];
		if (i + 1 < p->n && p->y[i] < level && p->y[i + 1] >= level &&
		    p->x[i + 1] >= from) {
			const double part = (level - p->y[i]) / (p->y[i + 1] - p->y[i]);
			const double x = p->x[i] + part * (p->x[i + 1] - p->x[i]);

			if (x >= from)
				return x;
		}
	}
	return NAN;
}
