/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Everything that moves, stepped together at 1 ms. */
#ifndef SIM_WORLD_H
#define SIM_WORLD_H

#include "air.h"
#include "car.h"
#include "drive.h"
#include "driver.h"
#include "engine.h"
#include "fault.h"

/* What sensors show that no part of the model needs; filled by world_derive. */
struct derived {
	double boost, map_target, charge_target; /* kPa: gauge, absolute, absolute */
	double load, injector_duty;              /* % */
	double turbo_krpm, cam_deg, knock_max, accel_g, lateral_g;
	double speed, wheel_speed;                  /* m/s */
	double pedal, map, maf, lambda, trim_short; /* after the faults of their sensors */
	double misfires;                            /* whole ones */
	double gear, brake_switch, clutch_switch, fuel_level, ethanol, fuel_status;
};

struct world {
	double ethanol; /* in the fuel, % */
	double t; /* s after the first row of the log; negative before */
	struct car car;
	struct air air;
	struct road road;
	struct faults faults;
	struct engine engine;
	struct drive drive;
	struct driver driver;
	struct derived derived;
};

/* car, air, road and faults are set by the caller before. */
void world_init(struct world *w, const struct plan *plan, uint64_t seed, double start_s);

/* False when the plan is over. */
bool world_step(struct world *w, double dt);

void world_derive(struct world *w);

/* The same without the faults of sensors, which are gone from *w then. */
void world_derive_true(struct world *w);

#endif
