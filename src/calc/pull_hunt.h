/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The search behind pull_find(): windows in which the foot is down, and rises of
 * engine speed within them.  Internal to calc/pull.
 */
#ifndef CALC_PULL_HUNT_H
#define CALC_PULL_HUNT_H

#include "base/err.h"
#include "calc/series.h"

struct hunt {
	const struct datalog *log;
	struct series rpm;	/* in rpm */
	struct series drive;	/* pedal or throttle, in per cent; empty when by_load */
	struct series speed;	/* in km/h; may be empty */
	struct series gear;	/* may be empty */
	struct series load;	/* only when by_load */
	bool by_load;		/* no pedal, no throttle */
	double down;		/* drive at or above: the foot is down */
	double held;		/* drive below: it is lifted */
	double drop;		/* rpm that a fall must have to be one */
	double step;		/* median interval of rpm, in s */
	double highest;		/* engine speed of the log, but for outliers */
	double min_rise;
};

/* The foot is down from .. to; the search goes on at next. */
struct window {
	double from;
	double to;
	double next;
};

/* Samples first .. last of hunt.rpm rise. */
struct rise {
	size_t first;
	size_t last;
	size_t next;		/* where the search goes on */
	bool begun;		/* an earlier rise of this window was looked at */
	bool first_in_window;	/* it begins where the window begins */
	bool cut;		/* engine speed fell or stood before the foot was lifted */
};

enum err_code hunt_init(struct hunt *h, const struct datalog *log, struct err *e);
void hunt_release(struct hunt *h);

void hunt_first_window(const struct hunt *h, struct window *w);
bool hunt_window(const struct hunt *h, struct window *w);	/* from w->from on */
void hunt_first_rise(const struct hunt *h, const struct window *w, struct rise *r);
bool hunt_rise(const struct hunt *h, const struct window *w, struct rise *r);

#endif
