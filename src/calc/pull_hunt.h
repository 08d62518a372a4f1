/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the search for pulls looks at: the channels of a log made ready, and the
 * windows in which the foot is down.  Internal to calc/pull.
 */
#ifndef CALC_PULL_HUNT_H
#define CALC_PULL_HUNT_H

#include "base/err.h"
#include "calc/series.h"

/* All common practice, no source. */
#define HUNT_SLIP 0.03		/* of the ratio: wheels or clutch slip by more */
#define HUNT_GEAR_STEP 0.13	/* neighbouring gears differ by more */
#define HUNT_LONGEST_GAP 4.0	/* s without samples: anything may have happened */

struct drive;

struct hunt {
	const struct datalog *log;
	struct series rpm;	/* in rpm, single spikes left out */
	struct series drive;	/* what tells full throttle; see by */
	struct series speed;	/* in km/h, only where the car moves; may be empty */
	struct series gear;	/* may be empty */
	bool has_speed;		/* a road speed, even if only of a standing car */
	const struct drive *by;	/* what drive is and how it is judged; NULL: nothing tells */
	bool by_load;		/* neither pedal nor throttle */
	double full;		/* the highest value of drive, but for outliers */
	double enter;		/* drive at or above: full throttle */
	double leave;		/* drive below: it is not any more */
	struct load_tops *tops;	/* highest loads, by engine speed; only when by_load */
	struct series lambda;	/* only when by_load; may be empty */
	double second;		/* in units of the log's time: 1, but for a log without time */
	double noise;		/* of engine speed: standard deviation, rpm */
	double drop;		/* rpm that a fall must have to be one */
	double highest;		/* engine speed of the log, but for outliers */
	double min_rise;	/* rpm that a pull must cover */
	double *scratch;	/* [rpm.n], anybody's, between calls nobody's */
};

/* The foot is down from .. to; the search goes on at next. */
struct window {
	double from;
	double to;
	double next;
};

/* ERR_DATA when there is no engine speed; ERR_MEMORY. */
enum err_code hunt_init(struct hunt *h, const struct datalog *log, struct err *e);
void hunt_release(struct hunt *h);

void hunt_first_window(const struct hunt *h, struct window *w);
bool hunt_window(const struct hunt *h, struct window *w);	/* from w->next on */

/* Engine speed over road speed at sample i of rpm, in rpm per km/h; NaN where unknown. */
double hunt_ratio(const struct hunt *h, size_t i);

/*
 * Loads one channel, converted where its unit allows; s stays empty without one.  Its times
 * may be the log's: see series_share().
 */
enum err_code hunt_load(struct series *s, const struct datalog *log, enum quantity_id id,
			const char *unit, struct err *e);

#endif
