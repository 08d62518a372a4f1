/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the checks found in a simulated log, held against the oracle.
 *
 * An event must be found when, at the times of the channel's samples, the noise-free value
 * is over a limit by 20 % (see oracle_excess for of what) for 1.2 times the longer of the
 * check's least duration and two intervals of the channel; it must be found at that severity
 * or a higher one.  Near the edges of a gate nothing must be found.
 *
 * A finding's end is off by so many samples of its channel from where the noise-free value
 * crosses the limit of the finding.  It is within the noise when it lies within a sample of
 * where the value plus or minus four standard deviations of the noise and one step of the
 * sensor crosses it.  The worst value is right when it differs from the true worst one by no
 * more than that noise and what the true value changes within a sample.  What a measure takes
 * from a window (a mean, a swing, a dip) may be off in time by half of it, and its worst
 * value by 10 % for each 0.1 s of that, 30 % at most.
 *
 * A finding is false when within it, a sample and the measure's window to either side, the
 * noise-free value nowhere comes to 80 % of the limit in the same terms.
 */
#ifndef TEST_CHECK_SCORE_H
#define TEST_CHECK_SCORE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "judge/check_trial.h"

struct check_score {
	bool event;		/* there is one that must be found */
	bool found;
	enum severity severity;	/* at which it must be found */
	double interval_s;	/* of the channel */
	long start;		/* samples that the finding is off by, if found */
	long end;
	bool ends_in_noise;
	bool worst_right;
	unsigned falses[CHECK_COUNT];	/* findings at caution or above */
	unsigned notes[CHECK_COUNT];	/* false notes */
	unsigned justified[CHECK_COUNT];	/* at caution or above, and not false */
};

/* Complaints go to `out`, which may be NULL. */
void check_score_make(struct check_score *s, const struct check_trial *t, FILE *out);

#endif
