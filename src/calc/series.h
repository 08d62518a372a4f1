/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The samples of one channel with their own times, missing ones left out: what
 * every computation works on.  A channel that the logger polls in turn has
 * fewer samples than the log has rows, at its own times.
 */
#ifndef CALC_SERIES_H
#define CALC_SERIES_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "data/datalog.h"

struct series {
	size_t n;
	double *t;		/* [n], in s, never falling */
	double *v;		/* [n], in the channel's unit or as converted */
	bool stepped;		/* held between samples; else linear */
	double hole;		/* no value across a gap longer than this, in s */
	bool shared;		/* t is the log's: see series_share() */
};

#define SERIES_INIT { 0, NULL, NULL, false, 0.0, false }

/*
 * A hole is a gap longer than five median intervals (of those above 0).  The little
 * more is for the rounding of times: four rows lost anywhere are the same gap.  The median is
 * known to within a part in 50,000.
 */
#define SERIES_HOLE_INTERVALS 5.001

/*
 * The samples of rows first .. last (inclusive) of the log.  Fails only for
 * memory.  `to` (may be NULL) is the unit to convert into.
 */
enum err_code series_load(struct series *s, const struct datalog *log,
			  const struct channel *ch, size_t first, size_t last,
			  const struct unit *to, struct err *e);

/*
 * The same for who leaves the times alone and is done before the log is: where no sample is
 * missing they are the log's own, which halves what a series takes.  `like` (may be NULL) is
 * another series of the log; where it shares the same times, its hole is taken over.
 */
enum err_code series_share(struct series *s, const struct datalog *log,
			   const struct channel *ch, size_t first, size_t last,
			   const struct unit *to, const struct series *like, struct err *e);

/* Copies times that are the log's, before they are changed.  Fails only for memory. */
enum err_code series_own(struct series *s, struct err *e);

/* A series from plain arrays, copied; NaN values are left out. */
enum err_code series_from(struct series *s, const double *t, const double *v, size_t n,
			  bool stepped, struct err *e);

void series_release(struct series *s);

/* The hole of a series that has samples at t[n]. */
enum err_code series_hole(const double *t, size_t n, double *hole, struct err *e);

/*
 * The value at time t: between samples linear, or held if stepped; NaN before
 * the first and after the last sample and inside a hole.
 */
double series_at(const struct series *s, double t);

/* The same for one time after another, never falling: quicker. */
struct series_walk {
	const struct series *s;
	size_t next;		/* first sample at or behind the last time; 0 at first */
};

double series_walk_at(struct series_walk *w, double t);

/* As series_at() for who knows the first sample at or after t: next is series_lower(s, t). */
double series_between(const struct series *s, size_t next, double t);

/* The first sample at or after time t; n when there is none. */
size_t series_lower(const struct series *s, double t);

/* The first sample after time t; n when there is none. */
size_t series_upper(const struct series *s, double t);

/* The same for who knows the first at or after it: next is series_lower(s, t). */
size_t series_end(const struct series *s, size_t next, double t);

#endif
