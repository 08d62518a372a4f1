/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Sums over samples in one pass, as exact as two: of each block about its own mean, and
 * of what is so far together by the update formulas of Chan, Golub and LeVeque, "Algorithms
 * for computing the sample variance", The American Statistician 37, 242 (1983).
 */
#ifndef CALC_TALLY_H
#define CALC_TALLY_H

#include <stddef.h>

#include "calc/samples.h"

/* Pairs (x, y): means, and sums of the products of the deviations from them. */
struct pairs {
	long double n;
	long double x, y;
	long double xx, xy, yy;
};

struct tally {
	struct pairs over_time;	/* x: time, in s from the first sample; y: the values */
	struct pairs over_rpm;	/* where there is an engine speed */
	long double next;	/* sum of deviation times the next one's */
	double first, last;	/* values */
	double least, most;
	size_t least_at;	/* the first sample that is it */
	size_t most_at;
	long double area;	/* trapezoids over time, but for holes */
	long double width;
};

/* rpm (may be NULL) is engine speed in its own series.  Without times only what needs none. */
void tally_init(struct tally *t);

/*
 * Adds sample `first` and n - 1 more of s, at most a block, with values v; goes on
 * where the block before ended.  *near is for finding rpm, 0 at first.
 */
void tally_add(struct tally *t, const struct samples *s, const double *v, size_t first,
	       size_t n, const struct series *rpm, size_t *near);

#endif
