/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A series seen along an axis: value over position, linear between its points.
 * Points stand at every sample and at every knot of the map, so that means and
 * greatest differences along the axis are exact, not sampled.
 */
#ifndef CALC_PROFILE_H
#define CALC_PROFILE_H

#include <stddef.h>

#include "base/err.h"
#include "calc/axis.h"
#include "calc/series.h"

struct profile {
	size_t n;
	double *x;		/* [n] axis positions, never falling */
	double *y;		/* [n]; NaN: a hole, the line breaks */
};

#define PROFILE_INIT { 0, NULL, NULL }

enum err_code profile_build(struct profile *p, const struct series *s,
			    const struct axis_map *map, struct err *e);
void profile_release(struct profile *p);

/* NaN outside and in holes. */
double profile_at(const struct profile *p, double x);

/* The mean of y over x from .. to by the trapezoid rule, holes left out; NaN if nothing. */
double profile_mean(const struct profile *p, double from, double to);

/*
 * The greatest |b - a| over from .. to, in *delta with its sign and where in *at.
 * Both NaN where the two have nothing in common.
 */
void profile_largest(const struct profile *a, const struct profile *b, double from, double to,
		     double *delta, double *at);

/*
 * The first position, from `from` on, at which y is at `level` or above: `from` itself
 * where it is so already; NaN when it never is.
 */
double profile_reaches(const struct profile *p, double from, double level);

#endif
