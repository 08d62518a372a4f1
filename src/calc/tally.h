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
	struct pairs over_time;	/* x: time, y: the values, each less the first one of all */
	struct pairs over_rpm;	/* x: engine speed, where there is one; y: as above */
	long double next;	/* sum of deviation times the next one's */
	double first, last;	/* values */
	double block_least, block_most;	/* of the block added last */
	double least, most;
	size_t least_at;	/* the first sample that is it */
	size_t most_at;
	long double area;	/* trapezoids over time, but for holes */
	long double width;
};

/* Values as deviations from about their mean. */
struct deviations {
	double d[SAMPLES_BLOCK];
	size_t n;
	double middle;		/* what they deviate from: the mean, rounded */
	long double off;	/* the mean less that */
	double squares;		/* sum */
};

/* What is the same for all channels that have samples at the same times. */
struct tally_block {
	size_t first;		/* sample */
	size_t n;
	const double *t;	/* [n], or NULL */
	double start;		/* time of the first sample of all */
	double gaps[SAMPLES_BLOCK];	/* before each; before the first of all 0 */
	double hole;
	bool has_hole;
	struct deviations time;
	bool has_rpm;
	bool misses_rpm;	/* at some of the times */
	double rpm[SAMPLES_BLOCK];	/* NaN where there is none */
	struct deviations rpm_off;	/* unless it misses some */
	size_t next_rpm;	/* its sample that the walk is at */
};

void tally_init(struct tally *t);

/*
 * Goes on to sample `first` and n - 1 more of s, at most a block, behind those of the
 * block before; zeroed before the first.  rpm (may be NULL) is engine speed in its own
 * series.
 */
void tally_block_next(struct tally_block *b, const struct samples *s, size_t first, size_t n,
		      const struct series *rpm);

/* Adds the values v[n] of the block; stepped ones are held between samples. */
void tally_add(struct tally *t, const struct tally_block *b, const double *v, bool stepped);

#endif
