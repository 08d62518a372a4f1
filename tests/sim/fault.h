/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Faults put into a run on purpose, so that a test knows what is really wrong. */
#ifndef SIM_FAULT_H
#define SIM_FAULT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "car.h"

enum fault_id {
	FAULT_LEAN,
	FAULT_RICH,
	FAULT_RAIL_SAG,
	FAULT_LOW_PRESSURE_SAG,
	FAULT_KNOCK_CYL,
	FAULT_KNOCK_ALL,
	FAULT_TIMING_PULL,
	FAULT_BOOST_OVER,
	FAULT_BOOST_UNDER,
	FAULT_BOOST_OSC,
	FAULT_BOOST_LEAK,
	FAULT_THROTTLE_CLOSE,
	FAULT_IAT_HIGH,
	FAULT_EGT_HIGH,
	FAULT_COOLANT_HIGH,
	FAULT_OIL_HOT,
	FAULT_OIL_LOW,
	FAULT_BATTERY_LOW,
	FAULT_TRIM_HIGH,
	FAULT_INJECTOR_HIGH,
	FAULT_SLIP_WHEEL,
	FAULT_SLIP_CLUTCH,
	FAULT_MISFIRE,
	FAULT_MAP_SATURATED,
	FAULT_MAF_SATURATED,
	FAULT_LAMBDA_STUCK,
	FAULT_SPEED_LOST,
	FAULT_PEDAL_STUCK,
	FAULT_DROPOUT,
	/* --random draws of those above only, so that its logs stay what they were */
	FAULT_TORQUE_CUT,
	FAULT_MISFIRE_COUNT,
	FAULT_COOLER_POOR,
	FAULT_BOOST_OVERSHOOT,
	FAULT_TURBO_FAST,
	FAULT_COUNT
};

#define FAULT_DRAWN FAULT_TORQUE_CUT /* how many --random knows */

struct fault {
	enum fault_id id;
	bool by_time; /* range in seconds after the first row, else in rpm at full pedal */
	double from, to;
	double ramp; /* rpm or s over which the size builds up and fades */
	double size;
	int cylinder;  /* 1..4, knock_cyl only */
	double level;  /* now: size times its envelope, lagged */
	double smooth; /* a second lag, for slip, whose derivative matters */
	bool on;       /* inside the range now */
};

#define FAULT_MAX 16

struct faults {
	struct fault list[FAULT_MAX];
	int count;
	double level[FAULT_COUNT]; /* sums over the list; knock_cyl is not here */
	double knock[CAR_CYLINDERS];
	double rate[FAULT_COUNT]; /* d level / dt per s, slip faults only */
};

struct fault_where {
	double t, rpm, road_rpm, pedal;
	bool in_gear;
};

/* Reads "ID@FROM-TO[~RAMP][:SIZE[:CYLINDER]]"; t before FROM means seconds. */
bool fault_parse(struct fault *fault, const char *text);

/* A fault with its default range and size. */
void fault_default(struct fault *fault, enum fault_id id);

void faults_step(struct faults *f, const struct fault_where *where, double dt);

const char *fault_name(enum fault_id id);
void fault_list(FILE *out);

#endif
