/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Differences of two pulls: by bands of the axis, through a whole span, and how
 * each spools.
 */
#ifndef CALC_DELTA_H
#define CALC_DELTA_H

#include <stddef.h>

#include "base/err.h"
#include "calc/overlay.h"
#include "calc/pairing.h"
#include "calc/profile.h"

struct delta_cell {
	double a;		/* mean along the axis over the band */
	double b;
	double delta;		/* b - a */
	double percent;		/* 100 (b - a) / |a|; NaN where a is 0 */
};

struct delta_band {
	double from;		/* clipped to what both cover */
	double to;
	double elapsed_a;	/* s through the band */
	double elapsed_b;
	struct delta_cell *cells;	/* [pairs] */
};

struct delta_largest {
	double delta;		/* the greatest |b - a| along the axis, with its sign */
	double at;
	double a;		/* values there */
	double b;
};

struct delta {
	double from;
	double to;
	double elapsed_a;	/* s through the whole span */
	double elapsed_b;
	struct delta_band *bands;
	size_t band_count;
	struct delta_largest *largest;	/* [pairs] */
	size_t pair_count;
};

/*
 * Over positions from .. to (NaN: all that both cover), bands begin at multiples
 * of `width`, which is above 0.  ERR_DATA when A and B have nothing in common there, or
 * when that would be more than 10000 bands.
 */
enum err_code delta_compute(struct delta *d, const struct overlay *o,
			    const struct pairing *pairs, double from, double to, double width,
			    struct err *e);
void delta_release(struct delta *d);

/* How a pull spools: where boost first reaches a level. */
struct spool_line {
	double level;		/* boost, gauge, in kPa */
	double share;		/* of A's highest boost; NaN for a fixed level */
	double rpm_a;		/* NaN: not reached */
	double rpm_b;
	double seconds_a;	/* since the overlay's common crossing, or the pull's start */
	double seconds_b;
};

#define SPOOL_LINES 4

/*
 * Fixed levels of 50 and 100 kPa, and 50 and 90 % of A's highest boost.  Returns
 * how many lines were filled: 0 without gauge boost.  Times count from the zero of
 * the overlay's time axis.  B's fields are NaN without B.
 */
enum err_code spool_compute(const struct overlay *o, struct spool_line out[SPOOL_LINES],
			    size_t *count, struct err *e);

#endif
