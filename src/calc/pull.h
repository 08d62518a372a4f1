/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Finding the pulls of a log: full-throttle runs in one gear.
 *
 * A pull begins with the first sample at which the pedal (or, without one, the
 * throttle) is down near its own maximum, or behind a change of gear with the foot
 * down at which the clutch is shut again.  It ends with the last sample before it is
 * lifted, the gear changes, or the limiter first cuts.  In it, engine speed rises by
 * at least min_rise, and engine speed over road speed stays constant where there is
 * road speed, slip of wheels or clutch allowed for.  No pull crosses a section of the
 * log.
 *
 * Without pedal and throttle the load decides (manifold pressure, boost, load or air
 * mass): the pull begins when the manifold is at the pressure of the air outside, the
 * load must come near the highest that the log has at such engine speeds, and the
 * mixture must be rich where lambda is logged.  That begin is about a tenth of a
 * second off the foot's, more behind a change of gear, and part throttle can pass for
 * full where there is nothing to compare it with.  With engine speed alone, rises up
 * to the top of the log's engine speed are taken.
 */
#ifndef CALC_PULL_H
#define CALC_PULL_H

#include <stddef.h>

#include "base/err.h"
#include "data/datalog.h"

struct pull_options {
	double min_rise;	/* rpm that a pull must cover; 0: PULL_MIN_RISE */
};

#define PULL_MIN_RISE 1200.0

/* What weakens a pull, a set of these. */
enum pull_weakness {
	PULL_FEW_SAMPLES = 1 << 0,	/* over 100 rpm from sample to sample */
	PULL_LATE_START = 1 << 1,	/* foot down only above 3000 rpm */
	PULL_EARLY_END = 1 << 2,	/* lifted well below the log's highest engine speed */
	PULL_SLIP = 1 << 3,		/* engine speed over road speed is not constant */
	PULL_GAPS = 1 << 4,		/* rows are missing inside */
	PULL_NO_PEDAL = 1 << 5,		/* neither pedal nor throttle: guessed from load */
	PULL_NO_SPEED = 1 << 6,		/* no road speed: one gear is not proven */
};

struct pull {
	size_t first;		/* rows of the log, both included */
	size_t last;
	double from_s;
	double to_s;
	double from_rpm;
	double to_rpm;
	int gear;		/* 0: the log does not say */
	double ratio;		/* engine speed over road speed, rpm per km/h; NaN unknown */
	size_t samples;		/* of engine speed */
	unsigned weak;		/* set of enum pull_weakness */
};

struct pulls {
	struct pull *list;
	size_t count;
};

#define PULLS_INIT { NULL, 0 }

/* ERR_DATA when the log has no engine speed; ERR_MEMORY. No pull is no error. */
enum err_code pull_find(const struct datalog *log, const struct pull_options *options,
			struct pulls *out, struct err *e);

void pulls_release(struct pulls *p);

/* The pull that covers the most engine speed, from 1; 0 when there is none. */
size_t pull_best(const struct pulls *p);

/*
 * Words for one weakness: bit is its position in the enum (0, 1, ...); NULL
 * past the last.  *key (may be NULL) gets the machine-readable word.
 */
const char *pull_weakness(unsigned bit, const char **key);

#endif
