/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the simulator says is true about the pulls of a log, and how far the pulls
 * found in it are from that.
 *
 * Where a pull truly begins and ends:
 *   begin  the first row at or after the instant at which the pedal is fully down, the
 *          clutch is shut and a gear is in;
 *   end    the last row at or before the instant at which the pedal leaves the floor,
 *          the clutch opens, or the limiter first cuts.
 * An error is counted in samples of the slowest channel that a finder must look at: engine
 * speed, or the pedal (without one the throttle, without both the manifold pressure).  For
 * a channel that the logger reads in turn that is one interval of the channel, not one
 * row.  Rows between two samples of it are the same sample: a begin belongs to the sample at
 * or after it, an end to the sample at or before it.
 */
#ifndef TEST_PULL_TRUTH_H
#define TEST_PULL_TRUTH_H

#include <stdbool.h>
#include <stddef.h>

#include "calc/pull.h"

enum truth_kind {
	TRUTH_PULL,		/* must be found */
	TRUTH_EDGE,		/* rises by about the least rise: may be found */
	TRUTH_BURST,		/* must not be found */
	TRUTH_KINDS
};

struct truth_run {
	enum truth_kind kind;
	size_t first;		/* data rows, both included */
	size_t last;
	double from_rpm;
	double to_rpm;
	int gear;
	char end[12];		/* "lift", "gearchange", "limiter", "log_end" */
	bool wheel_slip;	/* the driven wheels spin in it */
	bool clutch_slip;
};

/* What makes a log difficult, a set of these. */
enum truth_trait {
	TRUTH_POLLED = 1 << 0,		/* engine speed and pedal in every row */
	TRUTH_POLLED_ALL = 1 << 1,	/* engine speed or pedal in turn as well */
	TRUTH_NO_PEDAL = 1 << 2,	/* a throttle only */
	TRUTH_BY_LOAD = 1 << 3,		/* neither pedal nor throttle */
	TRUTH_NO_SPEED = 1 << 4,
	TRUTH_NO_TIME = 1 << 5,		/* no time column: rows only */
	TRUTH_LOST = 1 << 6,		/* over 1 % of engine speed is missing */
	TRUTH_HOLES = 1 << 7,		/* holes of over two rows in time */
	TRUTH_WHEEL_SLIP = 1 << 8,
	TRUTH_CLUTCH_SLIP = 1 << 9,
	TRUTH_TRAITS = 10		/* how many there are */
};

struct pull_truth {
	double rate;		/* rows a second, nominal */
	double sample_rate;	/* of the slowest channel that a finder must look at */
	size_t rows;
	unsigned traits;	/* set of enum truth_trait */
	struct truth_run *runs;	/* in order of time */
	size_t run_count;
	int every_rpm;		/* rows between two readings */
	int every_drive;	/* of pedal, throttle or manifold pressure */
};

/* A true pull and the one found for it. */
struct pull_match {
	size_t run;
	size_t found;
	long begin;		/* error in samples, found - true */
	long end;
};

struct pull_score {
	size_t pulls;		/* that are true and must be found */
	struct pull_match *matches;
	size_t match_count;
	size_t *missed;		/* indices of runs */
	size_t missed_count;
	size_t *falses;		/* indices of pulls found where none is, or found twice */
	size_t false_count;
};

/* False when the file cannot be read, or is not of the known version. */
bool pull_truth_read(struct pull_truth *out, const char *path);
void pull_truth_release(struct pull_truth *t);

/* Looks at the log itself for what is lost of it: adds TRUTH_LOST and TRUTH_HOLES. */
void pull_truth_look(struct pull_truth *t, const struct datalog *log);

void pull_score_make(struct pull_score *out, const struct pull_truth *t,
		     const struct datalog *log, const struct pulls *pulls);
void pull_score_release(struct pull_score *s);

/* The larger of the two errors, without sign. */
long pull_match_error(const struct pull_match *m);

/* How far off an end may be: 1 sample at 20 a second or more, 2 below. */
long pull_truth_allowed(const struct pull_truth *t);

const char *pull_truth_trait(unsigned bit);

#endif
