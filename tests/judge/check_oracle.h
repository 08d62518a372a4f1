/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a check ought to say of a pull, from the noise-free values of the simulator's truth
 * file.  Of src/calc only the table of checks and the limits are used; what a check looks
 * at is defined here once more, by itself.
 */
#ifndef TEST_CHECK_ORACLE_H
#define TEST_CHECK_ORACLE_H

#include "judge/car.h"
#include "judge/check.h"
#include "judge/check_truth.h"

struct oracle_setup {
	const struct limits *limits;
	const struct car *car;
	const struct check_truth *baseline;	/* NULL: none */
	const char *channel;	/* the value of this one, where a check takes each; NULL: the usual */
	double noise;		/* of the simulator, times the usual */
	bool coarse;
	double map_end;		/* kPa, of the sensor; INFINITY: none.  Its true values are cut there */
	double maf_end;		/* g/s; its true values are not cut */
};

struct oracle {
	enum check_id id;
	const struct check_truth *truth;
	const struct limits *limits;
	const char *primary;	/* the simulator's id of the channel whose samples count */
	double *x;		/* [truth->rows], in the check's unit; NaN: nothing to judge */
	double *gauge;		/* boost of each row, kPa; NULL without manifold pressure */
	double from_s;		/* the pull */
	double to_s;
	double spooled_s;
	double near_s;		/* boost first comes near its target: no earlier is the spool over */
	double late_s;		/* it is near, and stays there, without any doubt: no later */
	double healthy;		/* a sound car's value of a level; NaN for a difference */
	double band;		/* what noise (4 sd) and rounding may add, in the check's unit */
	double window_s;	/* a windowed measure may be so far off in time */
	double least_s;		/* shorter than this the measure need not see it */
	double least_hz;	/* with slower channels it need not see anything */
	bool beyond;		/* looks outside the pull too */
};

/* False when the log lacks what the check needs.  Release it in either case. */
bool oracle_make(struct oracle *o, enum check_id id, const struct check_truth *t,
		 const struct true_pull *pull, const struct oracle_setup *setup);
void oracle_release(struct oracle *o);

/*
 * How far the row's value is over the limit, as a share: of the limit where the check's value
 * is a difference, a share or a time; of the distance from a sound car's value to the limit
 * where it is a level (lambda, temperatures, pressures, voltage).  NaN: no limit or value.
 */
double oracle_excess(const struct oracle *o, size_t row, enum severity severity);

/* Over the limit by so much in the check's unit; below 0 under it. */
double oracle_over(const struct oracle *o, size_t row, enum severity severity);

/*
 * Is the row one to be judged?  With slack_s above 0 gates open so much later and shut so
 * much earlier: what then is left must be judged.  With slack below 0: may be judged.
 */
bool oracle_judged(const struct oracle *o, size_t row, double slack_s);

#endif
