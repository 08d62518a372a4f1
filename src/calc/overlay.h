/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Two pulls on one axis: the baseline A and, perhaps, the candidate B.
 */
#ifndef CALC_OVERLAY_H
#define CALC_OVERLAY_H

#include <stdbool.h>

#include "base/err.h"
#include "calc/axis.h"
#include "calc/pull.h"
#include "calc/series.h"
#include "data/datalog.h"

#define RUN_WHOLE 0		/* instead of a pull's number: the whole log */

/* One pull (or a whole log) made ready for work.  The log is borrowed. */
struct run {
	const struct datalog *log;
	size_t number;		/* of the pull, from 1; RUN_WHOLE */
	struct pull pull;	/* for RUN_WHOLE: all rows, ratio NaN */
	struct series rpm;	/* empty where the log has none; its times may be the log's */
	struct axis_map by_time;
	struct axis_map by_rpm;	/* empty where engine speed does not rise */
};

/* Where the time axis has its zero. */
enum align {
	ALIGN_CROSSING,		/* both pass one engine speed: the first both cover, or a given one */
	ALIGN_START,		/* the first row of each pull: the foot is down */
	ALIGN_MATCH,		/* engine speeds over time agree best */
	ALIGN_CLOCK,		/* the log's own clock */
};

struct overlay {
	struct run a;
	struct run b;		/* log is NULL when there is no B */
	enum axis_kind axis;
	enum align align;
	double crossing;	/* rpm; NaN: the first that both cover */
	double nudge;		/* s that B is shifted to the right by hand */
};

enum err_code run_init(struct run *r, const struct datalog *log, const struct pulls *pulls,
		       size_t number, struct err *e);
void run_release(struct run *r);

/*
 * Sets the zero of both time maps by o->align, crossing and nudge.  Where the
 * wanted alignment is not to be had (no engine speed in common) it falls back to
 * ALIGN_START and returns false.
 */
bool overlay_align(struct overlay *o);
void overlay_release(struct overlay *o);

/* The map of a run on the overlay's axis. */
const struct axis_map *overlay_map(const struct overlay *o, const struct run *r);

bool overlay_has_b(const struct overlay *o);

/* False when A and B are known to be in different gears: by the gear, else by the ratio. */
bool overlay_same_gear(const struct overlay *o);

/* What the axis shows: all of A and B (common: only what both cover). NaN if nothing. */
void overlay_range(const struct overlay *o, bool common, double *from, double *to);

/* By name ("crossing", "start", "match", "clock"); false for another word. */
bool align_by_name(const char *name, enum align *out);
const char *align_name(enum align align);

#endif
