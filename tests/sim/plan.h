/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is driven: scenarios turned into lists of moves. */
#ifndef SIM_PLAN_H
#define SIM_PLAN_H

#include "driver.h"

enum scenario {
	SCENARIO_PULL,       /* roll, one pull, coast */
	SCENARIO_LIMITER,    /* the same into the limiter, held there */
	SCENARIO_TWO,        /* two pulls in one gear */
	SCENARIO_GEARCHANGE, /* a pull, an upshift, the next gear's pull */
	SCENARIO_FLATSHIFT,  /* the same with the pedal left down */
	SCENARIO_SHORT_LIFT, /* a lift of a moment in the middle of a pull */
	SCENARIO_ABORTED,    /* a full-throttle burst too short to count */
	SCENARIO_TRAFFIC,    /* no pull: part throttle, gears, stops */
	SCENARIO_SLIP,       /* a pull in which the driven wheels spin */
	SCENARIO_DRIVE,      /* a long mixed drive with pulls */
	SCENARIO_COUNT
};

struct plan_wish {
	enum scenario scenario;
	int gear;                 /* of the pull */
	double from_rpm, to_rpm;  /* to_rpm: where the driver lifts; 0 is the limiter */
	double press_s;           /* pedal from cruise to the floor */
	double before_s, after_s; /* traffic around a pull */
	double minutes;           /* of a drive */
	double held_s;            /* against the limiter; < 0 leaves it to the seed */
	int pulls;                /* wanted in a drive; -1 leaves it to the seed */
};

void plan_make(struct plan *plan, const struct plan_wish *wish, const struct car *car,
	       uint64_t seed);

#endif
