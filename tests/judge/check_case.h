/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * How each check is provoked in the simulator, and the conditions of a log, drawn from a
 * check and a seed: rates of 5 to 100 a second, noise, polled channels, losses, coarse
 * sensors, units, names, cars and air.
 */
#ifndef TEST_CHECK_CASE_H
#define TEST_CHECK_CASE_H

#include <stdbool.h>

#include "judge/check_id.h"

/* What is set besides the log once its truth is known, so that the limit is near. */
enum case_extra {
	EXTRA_NONE,
	EXTRA_BASELINE,		/* a second log of the same car, without the fault */
	EXTRA_PORT,		/* the car file says port injection */
	EXTRA_PRESSURE,		/* a limit of manifold pressure below the highest */
	EXTRA_TURBO,		/* a highest turbo speed below or just above the highest */
	EXTRA_FLOW,		/* likewise the edge of the compressor map */
	EXTRA_RATIO,		/* likewise the pressure ratio */
};

#define CASE_HEALTHY CHECK_COUNT	/* instead of a check: no fault */
#define CASE_ARGS 80
#define CASE_COARSE_MAP_END 255.0	/* kPa: a one-byte channel of SAE J1979, from memory */

struct sim_case {
	enum check_id id;
	unsigned long seed;
	double rate;
	double noise;
	bool coarse;
	double foot_s;		/* the foot is down from then on, s after the first row */
	double size;		/* of the fault, or how far over an extra limit is, as a share */
	enum case_extra extra;
	char *args[CASE_ARGS];	/* of the simulator but for its name and files; NULL ends it */
	int arg_count;
};

void sim_case_draw(struct sim_case *c, enum check_id id, unsigned long seed);

/* The same log from sensors without noise or steps, written with more decimals. */
void sim_case_make_exact(struct sim_case *c);
void sim_case_release(struct sim_case *c);

#endif
