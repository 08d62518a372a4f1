/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What really happened, watched at every step of the model. */
#ifndef SIM_TRUTH_H
#define SIM_TRUTH_H

#include <stdbool.h>

#include "world.h"

/*
 * A full-throttle stretch counts as a pull from a rise of 1200 rpm on. Between
 * these two it is on the edge: to find it is neither asked for nor wrong.
 */
#define TRUTH_BURST_RPM 1000.0
#define TRUTH_PULL_RPM 1400.0
#define TRUTH_MAX 512

enum truth_kind { TRUTH_BURST, TRUTH_EDGE, TRUTH_PULL, TRUTH_KINDS };

enum truth_end { TRUTH_LIFT, TRUTH_GEARCHANGE, TRUTH_LIMITER, TRUTH_LOG_END };

struct truth_run {
	double from_s, to_s, from_rpm, to_rpm;
	int gear;
	double ratio;
	enum truth_end end;
	enum truth_kind kind;
};

struct truth_event {
	int fault; /* index into faults.list */
	double from_s, to_s, from_rpm, to_rpm;
	double peak; /* greatest level reached */
};

struct truth {
	struct truth_run run[TRUTH_MAX];
	int runs;
	bool in_run, armed;
	struct truth_event event[TRUTH_MAX];
	int events;
	int open[FAULT_MAX]; /* index of the event going on, or -1 */
};

void truth_init(struct truth *truth);
void truth_step(struct truth *truth, const struct world *w);
void truth_finish(struct truth *truth, const struct world *w);

#endif
