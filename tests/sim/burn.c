/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fire: mixture, ignition, knock, fuel cuts and torque. */
#include "engine.h"

#define AFR_STOICH 14.7
#define LAMBDA_MAX 1.99 /* where the wideband sensor ends, as in a fuel cut */
#define LIMITER_CUT_S 0.06

/* Richer at full pedal, with load and with revs, as a turbo engine needs. */
static double lambda_wanted(const struct engine *e, double pedal)
{
	const double full = mx_ramp(pedal, 0.55, 0.80);
	const double rich =
		0.14 + 0.03 * mx_ramp(e->map, 120, 220) + 0.02 * mx_ramp(e->rpm, 4500, 6800);

	return 1.0 - full * rich;
}

static void step_mixture(struct engine *e, const struct faults *faults,
			 const struct engine_input *in, double dt)
{
	const bool open_loop = in->pedal > 0.55;
	const double tau = 0.03 + 2.0 / (e->exhaust_flow + 20);

	e->lambda_target = mx_lag(e->lambda_target, lambda_wanted(e, in->pedal), dt, 0.08);
	e->wobble_phase += 2.0 * MX_PI * 1.3 * dt;
	if (e->wobble_phase > 2.0 * MX_PI)
		e->wobble_phase -= 2.0 * MX_PI;
	e->wobble = mx_lag(e->wobble, open_loop ? 0.003 : 0.012, dt, 0.3);
	const double swing = e->wobble * mx_sin(e->wobble_phase);
	e->trim_short = mx_lag(e->trim_short, open_loop || e->overrun ? 0 : -120 * swing, dt, 0.1);

	const double tip_in = 2.5e-4 * (e->throttle > 0 ? (in->pedal - e->throttle) * 100 : 0);
	e->lambda = e->lambda_target + swing + tip_in + faults->level[FAULT_LEAN] -
		    faults->level[FAULT_RICH] + 0.06 * e->misfire;
	if (e->overrun || e->limiter)
		e->lambda = 3.0; /* no fuel at all */
	e->lambda_mid = mx_lag(e->lambda_mid, mx_clamp(e->lambda, 0.6, 3.0), dt, tau);
	e->lambda_sensor =
		mx_lag(e->lambda_sensor, mx_clamp(e->lambda_mid, 0.65, LAMBDA_MAX), dt, 0.06);
}

/* Every 10 ms: now and then a small knock event, a misfire share, sensor noise. */
static void draw_events(struct engine *e, const struct faults *faults)
{
	const double load = mx_ramp(e->map, 120, 190);

	for (int i = 0; i < CAR_CYLINDERS; i++) {
		if (rng_chance(&e->rng, 0.01 * e->knock_rate * load))
			e->knock_base[i] += rng_range(&e->rng, 0.4, 0.8);
		e->knock_base[i] = mx_clamp(e->knock_base[i], 0, 1.0);
	}
	const double lost = faults->level[FAULT_MISFIRE];
	e->misfire = lost > 0.001 && rng_chance(&e->rng, 0.5) ? mx_clamp(2 * lost, 0, 1) : 0;
	e->knock_noise = 0.25 + 0.00018 * e->rpm + 0.05 * rng_normal(&e->rng);
}

static void step_ignition(struct engine *e, const struct faults *faults, double dt)
{
	const double krpm = e->rpm / 1000.0;
	const double vacuum = e->map < 100 ? 0.17 * (100 - e->map) : 0;
	const double boost = e->map > 100 ? 0.078 * (e->map - 100) : 0;
	const double base =
		9.0 + 2.9 * krpm + vacuum - boost - 0.08 * (e->iat > 35 ? e->iat - 35 : 0);
	double sum = 0;

	e->next_draw -= dt;
	if (e->next_draw <= 0) {
		draw_events(e, faults);
		e->next_draw += 0.01;
	}
	for (int i = 0; i < CAR_CYLINDERS; i++) {
		e->knock_base[i] = e->knock_base[i] > 0.7 * dt ? e->knock_base[i] - 0.7 * dt : 0;
		e->knock[i] = e->knock_base[i] + faults->knock[i] + faults->level[FAULT_KNOCK_ALL];
		sum += e->knock[i];
	}
	e->spark_base = mx_clamp(base, -5, 38);
	if (e->rpm < 1100)
		e->spark_base = mx_clamp(10 + 0.05 * (850 - e->rpm), 0, 25);
	e->spark = mx_lag(e->spark,
			  e->spark_base - sum / CAR_CYLINDERS - faults->level[FAULT_TIMING_PULL],
			  dt, 0.015);
}

static void step_cuts(struct engine *e, const struct car *car, const struct engine_input *in,
		      double dt)
{
	const double over = e->overrun ? car->idle_rpm + 450 : car->idle_rpm + 750;

	e->overrun = in->pedal < 0.01 && e->rpm > over && e->throttle < 0.02;
	if (e->rpm >= car->limit_rpm)
		e->limiter_left = LIMITER_CUT_S;
	else
		e->limiter_left -= dt;
	e->limiter = e->limiter_left > 0;
}

/*
 * Indicated work from the air burnt: 43.5 MJ/kg of fuel at a stoichiometric
 * ratio of 14.7, 37.5 % of it turned into work at best mixture and timing
 * (round textbook figures, from memory); then friction and pumping.
 */
static void step_torque(struct engine *e, const struct car *car, const struct air *air, double dt)
{
	const double krpm = e->rpm / 1000.0;
	const double off_mix = e->lambda - 0.90;
	const double best = 12 + 4.0 * krpm + 0.1 * (e->map < 100 ? 100 - e->map : 0);
	const double off_spark = best > e->spark ? best - e->spark : 0;
	const double quality =
		(1 - 2.0 * off_mix * off_mix) * (1 - 0.00025 * off_spark * off_spark);
	const double dilute =
		0.72 + 0.28 * mx_ramp(e->map, 20, 75); /* residual gas slows the burn */
	const double work =
		e->air_g * 43500.0 / AFR_STOICH * 0.375 * dilute * mx_clamp(quality, 0.2, 1);
	const double pumping = (air->pressure_kpa - e->map) * car->displacement_l / (4 * MX_PI);
	const double friction = car->displacement_l * (5.5 + 1.2 * krpm + 0.22 * krpm * krpm);

	const double whole = e->overrun || e->limiter ? 0 : work / (4 * MX_PI);
	const double lost = pumping > 0 ? pumping : 0.3 * pumping;

	e->indicated = whole * (1 - e->misfire);
	e->torque = e->indicated - lost - friction;
	/* What is asked for is what a sound engine would do. */
	e->torque_asked = mx_lag(e->torque_asked, whole - lost - friction, dt, 0.02);
}

static void step_intervention(struct engine *e, const struct faults *faults, double dt)
{
	const double cut = mx_clamp(faults->level[FAULT_TORQUE_CUT], 0, 1);
	const double lost = mx_clamp(faults->level[FAULT_MISFIRE], 0, 1);

	e->misfires += (lost * e->rpm / 30 + faults->level[FAULT_MISFIRE_COUNT]) * dt;
	if (cut > 0 && e->torque > 0) {
		e->indicated -= cut * e->torque;
		e->torque -= cut * e->torque;
	}
}

static void step_fuel(struct engine *e, const struct car *car, const struct faults *faults,
		      double dt)
{
	const double load = mx_ramp(e->map, 40, 200);
	const double revs = mx_ramp(e->rpm, 900, 4500);
	const double wanted = car->rail_top_kpa * (0.35 + 0.65 * (0.7 * load + 0.3 * revs));
	const double sag = mx_clamp(faults->level[FAULT_RAIL_SAG], 0, 0.9);
	const double fuel_g =
		e->air_g / (AFR_STOICH * mx_clamp(e->lambda, 0.6, 1.5)) / CAR_CYLINDERS;
	const double flow = e->overrun || e->limiter ? 0 : fuel_g;

	e->rail_target = mx_lag(e->rail_target, wanted, dt, 0.10);
	e->rail = mx_lag(e->rail, e->rail_target * (1 - sag), dt, 0.025);
	e->low_side = mx_lag(e->low_side,
			     (560 - 0.07 * e->maf) *
				     (1 - mx_clamp(faults->level[FAULT_LOW_PRESSURE_SAG], 0, 0.9)),
			     dt, 0.1);
	/* 20.5 g/s an injector at 15 MPa, with 0.25 ms of dead time: round figures. */
	const double inject =
		flow > 0 ? 0.25 + flow * 1000 / 20.5 / mx_pow(e->rail / 15000, 0.5) : 0;
	e->injection_ms = inject * (1 + faults->level[FAULT_INJECTOR_HIGH]);
}

void engine_burn(struct engine *e, const struct car *car, const struct air *air,
		 const struct faults *faults, const struct engine_input *in, double dt)
{
	step_cuts(e, car, in, dt);
	step_mixture(e, faults, in, dt);
	step_ignition(e, faults, dt);
	step_torque(e, car, air, dt);
	step_intervention(e, faults, dt);
	step_fuel(e, car, faults, dt);
}
