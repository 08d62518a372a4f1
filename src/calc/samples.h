/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Samples to be walked over by blocks, wherever they are: in a series, or packed in a
 * column of a log without missing ones.  Not copied: what they are made of must stay.
 */
#ifndef CALC_SAMPLES_H
#define CALC_SAMPLES_H

#include <stdbool.h>
#include <stddef.h>

#include "calc/series.h"

#define SAMPLES_BLOCK 512

struct samples {
	size_t n;
	const double *t;	/* [n], in s, never falling; NULL: none known */
	const double *v;	/* [n], or NULL: in the column */
	const struct column *column;
	size_t first;		/* row of sample 0 */
	const struct unit *from;	/* of the column; NULL: taken as they are */
	const struct unit *to;
	bool stepped;
	double hole;		/* as in a series */
};

/* Of a series; of plain values without times. */
struct samples samples_of(const struct series *s);
struct samples samples_of_values(const double *v, size_t n);

/*
 * Of a channel that has a value in each row, first .. last (inclusive) of the log, in
 * the unit `to` (may be NULL).  The hole is left to the caller.
 */
struct samples samples_of_channel(const struct datalog *log, const struct channel *ch,
				  size_t first, size_t last, const struct unit *to);

/* Samples first .. first+n-1 of them. */
struct samples samples_part(const struct samples *s, size_t first, size_t n);

/* At most a block of values from `first` on; in buffer[SAMPLES_BLOCK] if need be. */
const double *samples_get(const struct samples *s, size_t first, size_t n, double *buffer);

/* As series_at(). */
double samples_at(const struct samples *s, double t);

#endif
