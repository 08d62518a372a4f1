/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Rises of engine speed within a window: from where it turns upwards to where it
 * stands or falls, a flare of a slipping wheel or clutch being no end.  Internal to
 * calc/pull.
 */
#ifndef CALC_PULL_RISE_H
#define CALC_PULL_RISE_H

#include "calc/pull_hunt.h"

/* Samples first .. last of hunt.rpm rise. */
struct rise {
	size_t first;
	size_t last;
	size_t behind;		/* last sample that belongs to its end: a fall, a standstill */
	bool at_begin;		/* it begins where the window does */
	bool at_end;		/* it goes on to where the window ends */
	size_t next;		/* where the search goes on */
	size_t start;		/* first sample of the window */
	size_t earliest;	/* behind the rise before; no begin may move before */
	size_t stop;		/* first sample behind the window */
};

void rise_first(const struct hunt *h, const struct window *w, struct rise *r);
bool rise_next(const struct hunt *h, struct rise *r);

/*
 * Moves first and last, and clears at_begin and at_end, to where the rise truly begins
 * and ends: behind a change of gear to where the clutch is shut; before one, or before
 * the limiter cuts, to the last sample that goes on as those before it.  `ratio` is the
 * rise's engine speed over road speed, NaN where unknown.
 */
void rise_sharpen(const struct hunt *h, double ratio, struct rise *r);

#endif
