/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Scales: which value stands at which height of a lane. */
#include "draw/scale.h"

#include <float.h>
#include <math.h>
#include <stddef.h>

/* Part of a step that counts as rounding. */
#define SLACK 1e-9

/*
 * The multiple of 10^exponent * factor, rounded once: decimals come out as the
 * nearest double, so that a round end of the data is met exactly.
 */
static double multiple(double i, double factor, int exponent)
{
	return exponent < 0 ? i * factor / pow(10.0, -exponent) :
			      i * factor * pow(10.0, exponent);
}

/*
 * About five steps to the scale: enough to keep the trace large.  An end that
 * lies beyond a multiple through rounding alone gets no step of its own.
 */
static struct scale round_ends(double low, double high)
{
	static const double nice[] = { 1, 2, 2.5, 5 };
	const double about = (high - low) / 5;
	const int exponent = (int)floor(log10(about));
	size_t k = 0;
	double step;

	while (k + 1 < sizeof nice / sizeof nice[0] && multiple(1, nice[k + 1], exponent) <= about)
		k++;
	step = multiple(1, nice[k], exponent);
	return (struct scale){ multiple(floor(low / step + SLACK), nice[k], exponent),
			       multiple(ceil(high / step - SLACK), nice[k], exponent) };
}

struct scale scale_nice(double low, double high, double least)
{
	const double largest = fmax(fabs(low), fabs(high));
	double more;
	struct scale s;

	if (!isfinite(low) || !isfinite(high))
		return (struct scale){ 0.0, 1.0 };
	/* A flat line gets a height too, above what doubles resolve. */
	least = fmax(least, largest > 1e-290 ? largest * 1e-6 : 1.0);
	more = fmax(0.0, least - (high - low)) / 2;
	s = (struct scale){ low - more, high + more };
	/* Near the ends of the range of doubles there are no round numbers. */
	return s.high - s.low < DBL_MAX / 100 ? round_ends(s.low, s.high) : s;
}

int scale_row(struct scale s, int rows, double v)
{
	if (rows < 1 || !(v >= s.low && v <= s.high) || !(s.low < s.high))
		return -1;
	return scale_row_clamped(s, rows, v);
}

/* Halves keep the differences finite whatever the scale. */
int scale_row_clamped(struct scale s, int rows, double v)
{
	const double part = (s.high / 2 - v / 2) / (s.high / 2 - s.low / 2) * rows;

	if (!(part > 0.0))
		return 0;
	return part < rows ? (int)part : rows - 1;
}
