/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Statistics of a series within a span, as one table of fields.
 *
 * Definitions.  Samples: those whose time lies in the span, ends included; a
 * missing one is no sample.  mean, sd (n - 1), lag1, median, p05, p95 (Hyndman
 * and Fan, The American Statistician 50, 361 (1996), type 7) are over samples.
 * time_mean and integral are trapezoidal over time, with the values at the
 * span's ends interpolated and holes left out.  slope is least squares.
 */
#ifndef CALC_STATS_H
#define CALC_STATS_H

#include <stddef.h>

#include "base/err.h"
#include "calc/axis.h"
#include "calc/samples.h"
#include "calc/series.h"

enum stats_field {
	STATS_N,
	STATS_MIN,
	STATS_MIN_AT,		/* axis position of the first smallest sample */
	STATS_MAX,
	STATS_MAX_AT,
	STATS_MEAN,
	STATS_TIME_MEAN,
	STATS_SD,
	STATS_MEDIAN,
	STATS_P05,
	STATS_P95,
	STATS_FIRST,
	STATS_LAST,
	STATS_CHANGE,		/* last - first */
	STATS_SLOPE_PER_S,
	STATS_SLOPE_PER_KRPM,
	STATS_INTEGRAL,		/* unit times s */
	STATS_LAG1,		/* correlation of each sample with the next: near 0 is noise */
	STATS_FIELDS
};

/* How a field's number is to be read and printed. */
enum stats_kind {
	STATS_COUNT,
	STATS_VALUE,		/* in the channel's unit */
	STATS_SPREAD,		/* a difference in the channel's unit: no offset */
	STATS_POSITION,		/* on the axis */
	STATS_PER_S,
	STATS_PER_KRPM,
	STATS_TIMES_S,
	STATS_PURE,
};

struct stats_info {
	const char *key;	/* the JSON and CSV field */
	const char *title;	/* on the screen, at most 9 cells */
	enum stats_kind kind;
};

struct stats {
	double field[STATS_FIELDS];	/* NaN where there is none */
};

const struct stats_info *stats_info(enum stats_field f);

/*
 * Statistics over axis positions from .. to of the map.  `rpm` (may be NULL)
 * serves the slope per 1000 rpm.  Outside the map there are no samples: n is 0
 * and the rest NaN.  Fails only for memory.
 */
enum err_code stats_span(const struct series *s, const struct axis_map *map,
			 const struct series *rpm, double from, double to,
			 struct stats *out, struct err *e);

/* The same of `count` channels that have their samples at the same times. */
enum err_code stats_samples(const struct samples *s, size_t count, const struct axis_map *map,
			    const struct series *rpm, double from, double to,
			    struct stats *out, struct err *e);

/* Of plain values, without a time: the fields that need none; the rest NaN. */
enum err_code stats_values(const double *v, size_t n, struct stats *out, struct err *e);

/* out = b - a, field by field. */
void stats_subtract(const struct stats *a, const struct stats *b, struct stats *out);

#endif
