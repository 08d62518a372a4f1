/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Air: pedal to throttle, turbo and boost control, manifold, air mass. */
#include "engine.h"

#include <math.h>

/* Throttle area at which flow equals demand at 1000 rpm; sets part-load feel. */
#define THROTTLE_SIZE 60.0

static const struct mx_point breathing[] = {
	{600, 0.74}, {1500, 0.84}, {3000, 0.90}, {4500, 0.93}, {6000, 0.885}, {7200, 0.80},
};

/* Holds the idle: more area when the engine runs slow with no pedal. */
static void step_idle(struct engine *e, const struct car *car, const struct engine_input *in,
		      double dt)
{
	const double error = car->idle_rpm - e->rpm;

	if (in->pedal > 0.02 || e->rpm > car->idle_rpm + 400)
		return;
	e->idle_area += 8e-6 * error * dt;
	e->idle_area = mx_clamp(e->idle_area, 0.001, 0.02);
}

static double throttle_area(const struct engine *e, const struct car *car)
{
	const double x = e->throttle;
	const double help = mx_clamp(2e-5 * (car->idle_rpm - e->rpm), -0.003, 0.006);
	const double idle = e->rpm < car->idle_rpm + 400 ? e->idle_area + help : e->idle_area;

	return mx_clamp(idle, 0.001, 1.0) + 0.99 * x * x * (0.25 + 0.75 * x);
}

static double boost_wanted(const struct engine *e, const struct car *car, double pedal)
{
	const double full = mx_table(car->turbo.target, CAR_TARGET_POINTS, e->rpm);

	return full * mx_ramp(pedal, 0.30, 0.85);
}

/* What the turbo would settle at with the wastegate shut. */
static double spool_limit(const struct engine *e, const struct turbo *t)
{
	const double x = e->exhaust_flow / t->flow_ref;
	const double choke = e->exhaust_flow / t->choke_flow;
	const double choke2 = choke * choke;

	return t->cap_kpa * x * x / (1.0 + x * x) / (1.0 + 0.55 * choke2 * choke2);
}

/*
 * Feed-forward and PI, looking a little ahead so as not to overshoot much. A
 * fault of the boost control makes it aim beside its target; the swing of
 * boost_osc is not seen here, else it would be fought.
 */
static void step_control(struct engine *e, const struct car *car, const struct air *air,
			 const struct faults *faults, double limit, double dt)
{
	const struct turbo *const t = &car->turbo;
	const double miss = faults->level[FAULT_BOOST_OVER] - faults->level[FAULT_BOOST_UNDER];
	const double aim = e->boost_target + (e->boost_target > 20 ? miss : 0);
	const double measured =
		e->throttle > 0.6 ? e->map - air->pressure_kpa - e->swing : e->spool;
	const double error = aim - (measured + t->lead_s * e->spool_rate);
	const double forward = aim / (limit > 10 ? limit : 10) - 0.1;

	if (fabs(aim - measured) < 10 && aim > 20)
		e->duty_integral += t->integral * (aim - measured) * dt;
	else
		e->duty_integral = mx_lag(e->duty_integral, 0, dt, 0.5);
	e->duty_integral = mx_clamp(e->duty_integral, -0.3, 0.3);
	e->duty = mx_clamp(0.95 * forward / 0.9 + 3.0 * t->gain * error + e->duty_integral, 0.0,
			   0.95);
	e->gate = mx_lag(e->gate, 1.0 - e->duty / 0.95, dt, t->gate_s);
}

static void step_turbo(struct engine *e, const struct car *car, const struct air *air,
		       const struct faults *faults, const struct engine_input *in, double dt)
{
	const struct turbo *const t = &car->turbo;
	const double limit = spool_limit(e, t);
	const double leak = mx_clamp(faults->level[FAULT_BOOST_LEAK], 0, 0.9);
	double tau = t->tau_s * mx_clamp(t->flow_ref / (e->exhaust_flow + 1), 0.35, 2.5);
	double settle;

	e->boost_target = mx_lag(e->boost_target, boost_wanted(e, car, in->pedal), dt, 0.04);
	step_control(e, car, air, faults, limit, dt);
	settle = limit * (1.0 - 0.9 * e->gate) * (1.0 - leak);
	if (e->throttle < 0.2) { /* the recirculation valve opens */
		settle *= 0.3;
		tau = 0.15;
	}
	const double next = mx_lag(e->spool, settle, dt, tau);
	e->spool_rate = mx_lag(e->spool_rate, (next - e->spool) / dt, dt, 0.02);
	e->spool = next;
}

/* The swing acts on the real pressure, so that air, torque and sensors agree. */
static void step_swing(struct engine *e, const struct faults *faults, double dt)
{
	const double size = faults->level[FAULT_BOOST_OSC];

	e->swing_phase = size > 0 ? e->swing_phase + 2.0 * MX_PI * 2.5 * dt : 0;
	e->swing = size > 0 ? size * mx_sin(e->swing_phase) : 0;
}

/* One peak of 0.7 s where the boost first comes near its target; added to the swing. */
static void step_peak(struct engine *e, const struct faults *faults,
		      const struct engine_input *in, double dt)
{
	const double size = faults->level[FAULT_BOOST_OVERSHOOT];
	const bool near = e->boost_target > 20 && e->spool > e->boost_target - 8;

	if (in->pedal < 0.5)
		e->peak_s = -1;
	else if (e->peak_s >= 0)
		e->peak_s += dt;
	else if (size > 0 && near)
		e->peak_s = 0;
	if (e->peak_s >= 0 && e->peak_s < 0.7)
		e->swing += size * mx_sin(MX_PI * e->peak_s / 0.7);
}

void engine_breathe(struct engine *e, const struct car *car, const struct air *air,
		    const struct faults *faults, const struct engine_input *in, double dt)
{
	const double close = 1.0 - mx_clamp(faults->level[FAULT_THROTTLE_CLOSE], 0, 0.95);
	const double krpm = (e->rpm > 300 ? e->rpm : 300) / 1000.0;
	const double loss = 2.2e-5 * e->maf * e->maf; /* air filter and pipe, kPa */

	e->throttle = mx_lag(e->throttle, in->pedal * close, dt, 0.035);
	step_idle(e, car, in, dt);
	step_turbo(e, car, air, faults, in, dt);
	step_swing(e, faults, dt);
	step_peak(e, faults, in, dt);
	e->pre = air->pressure_kpa - loss + e->spool + loss * mx_ramp(e->spool, 0, 30);

	const double x = throttle_area(e, car) * THROTTLE_SIZE / krpm;
	const double settle = (e->pre + e->swing) * x / sqrt(1.0 + x * x);
	e->map = mx_lag(e->map, settle > 22 ? settle : 22, dt, 0.03 + 0.05 / krpm);

	const double filling = mx_table(breathing, sizeof breathing / sizeof *breathing, e->rpm);
	const double kelvin = e->iat + 12 + 273.15; /* the air warms in the ports */
	e->air_g = filling * (e->map - 6) * car->displacement_l / (0.28705 * kelvin);
	e->maf = mx_lag(e->maf, e->air_g * krpm * 1000.0 / 120.0, dt, 0.02);
	e->exhaust_flow = mx_lag(e->exhaust_flow, e->maf * 1.07, dt, 0.03);
}
