/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The engine: a lumped, mean-value model of a four-cylinder turbocharged petrol
 * engine with direct injection, stepped at 1 ms. It is made to look and to
 * hang together like a real one, not to predict one. Pressures are kPa
 * (absolute but for `boost` and its target), shares are 0 to 1.
 */
#ifndef SIM_ENGINE_H
#define SIM_ENGINE_H

#include <stdbool.h>

#include "air.h"
#include "car.h"
#include "fault.h"
#include "rng.h"

struct engine {
	double rpm;
	/* breathing */
	double throttle, idle_area;
	double spool;        /* gauge pressure the compressor makes now */
	double spool_rate;   /* kPa/s */
	double exhaust_flow; /* g/s */
	double boost_target;
	double swing, swing_phase;        /* kPa, rad: fault boost_osc */
	double peak_s;                    /* since the spool ended, < 0 before: boost_overshoot */
	double duty, gate, duty_integral; /* wastegate: duty shuts it, gate is how open it is */
	double pre;                       /* before the throttle */
	double map;
	double air_g; /* per engine cycle (two revolutions), all cylinders */
	double maf;   /* g/s */
	/* burning */
	double lambda_target, lambda, lambda_mid, lambda_sensor;
	double wobble, wobble_phase; /* closed-loop mixture swing */
	double trim_short, trim_long;
	double spark, spark_base;
	double knock[CAR_CYLINDERS], knock_base[CAR_CYLINDERS];
	double knock_rate;  /* small events per s and cylinder at full load */
	double knock_noise; /* of the knock sensor, V */
	double misfire;
	bool overrun, limiter;
	double limiter_left;      /* s of cut still to come */
	double torque, indicated; /* brake torque and indicated torque, N m */
	double torque_asked;      /* brake torque without misfires and interventions */
	double misfires;          /* counted so far */
	/* fuel */
	double rail, rail_target, low_side, injection_ms;
	/* warmth and supply, C and V */
	double cooler, iat, inlet_c, compressor_out, cooler_out, soak, coolant_base, coolant, oil_base, oil, egt, oil_pressure,
		battery;
	double next_draw; /* s until the slow random terms are drawn again */
	struct rng rng;
};

struct engine_input {
	double pedal;
	double speed; /* m/s, for cooling */
};

void engine_init(struct engine *e, const struct car *car, const struct air *air, uint64_t seed);

/* One step at the engine speed e->rpm; leaves the brake torque in e->torque. */
void engine_step(struct engine *e, const struct car *car, const struct air *air,
		 const struct faults *faults, const struct engine_input *in, double dt);

/* The parts of engine_step, one file each. */
void engine_breathe(struct engine *e, const struct car *car, const struct air *air,
		    const struct faults *faults, const struct engine_input *in, double dt);
void engine_burn(struct engine *e, const struct car *car, const struct air *air,
		 const struct faults *faults, const struct engine_input *in, double dt);
void engine_warm(struct engine *e, const struct car *car, const struct air *air,
		 const struct faults *faults, const struct engine_input *in, double dt);

#endif
