/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * See drive.h. With the clutch shut, engine and wheels hang together:
 *   w_wheel = v (1 + s) / r,  w_engine = N w_wheel (1 + c)
 * with the tyre slip s and the clutch slip c known functions of time, and
 *   m a = ((T - J_e dw_engine/dt) N eta - J_w dw_wheel/dt - T_brake) / r - R
 * is solved for a. So F = m a holds at every instant, slip or not.
 */
#include "drive.h"

#include <math.h>

#define GRAVITY 9.80665
#define CREEP_PER_N 3.0e-6 /* about 1.2 % slip at 4 kN: common practice, no source */
#define CREEP_TAU 0.10
#define RESIDUE_TAU 0.04
#define CLUTCH_NM 650.0
#define CLUTCH_SOFT 8.0 /* rad/s of slip at which the clutch gives all it has */
#define BRAKE_G 0.75
#define GRIP_G 0.9

void drive_init(struct drive *d, const struct car *car, const struct air *air, int gear, double rpm)
{
	*d = (struct drive){.gear = gear, .locked = gear > 0, .density = air_density(air)};
	d->v = car_speed_at(car, gear, rpm);
	d->wheel_w = d->v / car->tyre_radius_m;
	d->engine_w = (gear > 0 ? rpm : car->idle_rpm) * MX_PI / 30;
}

double drive_road_rpm(const struct drive *d, const struct car *car)
{
	return car_rpm_at(car, d->gear, d->v);
}

static double resistance(struct drive *d, const struct car *car, const struct road *road)
{
	const double wind = d->v + road->wind_ms;

	d->grade = road->grade;
	if (road->wave > 0)
		d->grade += road->wave * mx_sin(2 * MX_PI * d->distance / road->wave_m);
	const double hyp = sqrt(1 + d->grade * d->grade);
	const double weight = car->mass_kg * GRAVITY;
	const double rolling = d->v > 0.05 ? car->rolling * weight / hyp : 0;
	return 0.5 * d->density * car->drag_area_m2 * wind * fabs(wind) + rolling +
	       weight * d->grade / hyp;
}

/* Moments of inertia that give the effective mass of car.h. */
static double wheel_inertia(const struct car *car)
{
	return car->rotating_fixed * car->mass_kg * car->tyre_radius_m * car->tyre_radius_m;
}

static double engine_inertia(const struct car *car)
{
	return car->rotating_engine * car->mass_kg * car->tyre_radius_m * car->tyre_radius_m;
}

static double brake_torque(const struct drive *d, const struct car *car, const struct control *c)
{
	const double most = BRAKE_G * car->mass_kg * GRAVITY * car->tyre_radius_m;

	return d->v > 0.02 ? c->brake * most : 0;
}

/* Slip from all causes, and its rate. */
static double step_slip(struct drive *d, const struct faults *faults, double dt)
{
	const double before = d->creep;

	d->creep = mx_lag(d->creep, CREEP_PER_N * d->force, dt, CREEP_TAU);
	d->slip = d->creep + faults->level[FAULT_SLIP_WHEEL];
	return (d->creep - before) / dt + faults->rate[FAULT_SLIP_WHEEL];
}

static double step_locked(struct drive *d, const struct car *car, const struct control *c,
			  const struct faults *faults, double torque, double resist,
			  double slip_rate, double dt)
{
	const double r = car->tyre_radius_m, n = car_ratio(car, d->gear);
	const double eff = torque > 0 ? car->efficiency : 1 / car->efficiency;
	const double je = engine_inertia(car), jw = wheel_inertia(car);
	const double before = d->residue;

	d->residue = mx_lag(d->residue, 0, dt, RESIDUE_TAU);
	d->clutch_slip = d->residue + faults->level[FAULT_SLIP_CLUTCH];
	const double clutch_rate = (d->residue - before) / dt + faults->rate[FAULT_SLIP_CLUTCH];
	const double s1 = 1 + d->slip, c1 = 1 + d->clutch_slip;
	const double mass = car->mass_kg + s1 / (r * r) * (je * n * n * eff * c1 + jw);
	const double spin = d->v * slip_rate / r; /* rad/s2 of the wheels due to slip alone */
	const double engine = torque - je * n * (spin * c1 + d->wheel_w * clutch_rate);
	const double drive = (engine * n * eff - jw * spin - brake_torque(d, car, c)) / r - resist;

	d->accel = drive / mass;
	d->v += d->accel * dt;
	d->wheel_w = d->v * s1 / r;
	d->engine_w = n * d->wheel_w * c1;
	return torque * d->engine_w / c1 * (torque > 0 ? car->efficiency : 1 / car->efficiency);
}

/* What the clutch can pass on while it bites: a good foot does not spin the tyres. */
static double clutch_most(const struct car *car, double n, double clutch)
{
	const double grip = GRIP_G * car->mass_kg * GRAVITY * car->tyre_radius_m / n;
	const double most = CLUTCH_NM * clutch * clutch;

	return most < grip ? most : grip;
}

static double step_open(struct drive *d, const struct car *car, const struct control *c,
			double torque, double resist, double dt)
{
	const double r = car->tyre_radius_m, n = car_ratio(car, d->gear);
	const double gap = d->engine_w - n * d->wheel_w;
	const double most = d->gear > 0 ? clutch_most(car, n, c->clutch) : 0;
	const double clutch = most * mx_clamp(gap / CLUTCH_SOFT, -1, 1);
	const double hub = clutch * n * (clutch > 0 ? car->efficiency : 1 / car->efficiency);
	const double mass = car->mass_kg + (1 + d->slip) * wheel_inertia(car) / (r * r);

	d->accel = ((hub - brake_torque(d, car, c)) / r - resist) / mass;
	d->v += d->accel * dt;
	d->engine_w += (torque - clutch) / engine_inertia(car) * dt;
	if (d->engine_w < 20)
		d->engine_w = 20; /* it never stalls: the driver is better than that */
	d->wheel_w = d->v * (1 + d->slip) / r;
	d->clutch_slip = 0;
	if (d->gear > 0 && c->clutch > 0.95 && fabs(gap) < 6 && n * d->wheel_w > 40) {
		d->locked = true;
		d->residue = d->engine_w / (n * d->wheel_w) - 1;
	}
	return hub * d->wheel_w;
}

void drive_step(struct drive *d, const struct car *car, const struct road *road,
		const struct control *c, const struct faults *faults, double torque, double dt)
{
	const double resist = resistance(d, car, road);
	const double slip_rate = step_slip(d, faults, dt);

	if (c->gear != d->gear || c->clutch < 0.95)
		d->locked = false;
	d->gear = c->gear;
	const double hub = d->locked ? step_locked(d, car, c, faults, torque, resist, slip_rate, dt)
				     : step_open(d, car, c, torque, resist, dt);
	if (d->v < 0) {
		d->v = d->accel = d->wheel_w = 0;
		if (d->locked)
			d->locked = false;
	}
	d->distance += d->v * dt;
	d->force = mx_lag(d->force, car->mass_kg * d->accel + resist, dt, 0.02);
	d->engine_kw = torque * d->engine_w / 1000;
	d->wheel_kw = hub / 1000;
	d->tyre_kw = (car->mass_kg * d->accel + resist) * d->v / 1000;
	d->road_kw = resist * d->v / 1000;
}
