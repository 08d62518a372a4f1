/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * For check_flat.c: is a stretch of a noisy series constant, and is it entered by a corner?
 *
 * A stretch is constant when no part of it, short or long, differs from the rest by more
 * than its noise allows.  A corner is there when straight lines that meet fit better than
 * lines that a real pressure or flow would round off (a likelihood ratio, normal noise).
 */
#ifndef JUDGE_CHECK_CORNER_H
#define JUDGE_CHECK_CORNER_H

#include <stdbool.h>

#include "calc/series.h"

/* Samples first .. last. */
struct stretch {
	size_t first;
	size_t last;
};

double stretch_length(const struct series *v, const struct stretch *s);	/* in s */
double stretch_mean(const struct series *v, const struct stretch *s);

/*
 * By how many of its standard deviations the mean of a window of 2, 4, 8, ... samples is off
 * the mean of the rest, at most; `noise` is the standard deviation of a sample.
 */
double stretch_scan(const struct series *v, const struct stretch *s, double noise);

/*
 * Is the stretch, taken as constant, entered from below by a corner, with a slope before it
 * of at least `steep` a second, and more than a value that comes to rest could show in steps of
 * `step` (0: that is not asked)?  Then *at_s is when.  False too when noise or too few samples
 * before it leave that open.
 */
bool stretch_corner(const struct series *v, const struct stretch *s, double noise, double steep,
		    double step, double *at_s);

#endif
