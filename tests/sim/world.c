/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See world.h. */
#include "world.h"

#include <math.h>

void world_init(struct world *w, const struct plan *plan, uint64_t seed, double start_s)
{
	w->t = start_s;
	engine_init(&w->engine, &w->car, &w->air, seed);
	drive_init(&w->drive, &w->car, &w->air, plan->start_gear, plan->start_rpm);
	driver_init(&w->driver, plan, seed);
	w->engine.rpm = w->drive.engine_w * 30 / MX_PI;
}

bool world_step(struct world *w, double dt)
{
	struct driver *const driver = &w->driver;
	struct engine *const engine = &w->engine;
	struct drive *const drive = &w->drive;
	const struct driver_view see = {
		.rpm = engine->rpm,
		.road_rpm = drive_road_rpm(drive, &w->car),
		.v = drive->v,
		.limiter = engine->limiter,
		.locked = drive->locked,
	};

	driver_step(driver, &w->car, &see, dt);
	const struct engine_input in = {
		.pedal = driver->out.pedal,
		.speed = drive->v,
	};
	const struct fault_where where = {
		.t = w->t,
		.rpm = engine->rpm,
		.road_rpm = see.road_rpm,
		.pedal = driver->out.pedal,
		.in_gear = drive->locked,
	};
	faults_step(&w->faults, &where, dt);
	engine_step(engine, &w->car, &w->air, &w->faults, &in, dt);
	const double torque =
		driver->flat_cut ? engine->torque - engine->indicated : engine->torque;
	drive_step(drive, &w->car, &w->road, &driver->out, &w->faults, torque, dt);
	engine->rpm = drive->engine_w * 30 / MX_PI;
	w->t += dt;
	return !driver->done;
}

static void derive_sensors(struct world *w)
{
	const double *const fault = w->faults.level;
	struct derived *const d = &w->derived;

	d->map = w->engine.map;
	if (fault[FAULT_MAP_SATURATED] > 0 && d->map > fault[FAULT_MAP_SATURATED])
		d->map = fault[FAULT_MAP_SATURATED];
	d->maf = w->engine.maf;
	if (fault[FAULT_MAF_SATURATED] > 0 && d->maf > fault[FAULT_MAF_SATURATED])
		d->maf = fault[FAULT_MAF_SATURATED];
	d->lambda =
		fault[FAULT_LAMBDA_STUCK] > 0 ? fault[FAULT_LAMBDA_STUCK] : w->engine.lambda_sensor;
	d->pedal =
		fault[FAULT_PEDAL_STUCK] > 0 ? fault[FAULT_PEDAL_STUCK] / 100 : w->driver.out.pedal;
	d->speed = fault[FAULT_SPEED_LOST] > 0 ? 0 : w->drive.v;
	d->wheel_speed = fault[FAULT_SPEED_LOST] > 0 ? 0 : w->drive.wheel_w * w->car.tyre_radius_m;
	d->trim_short = w->engine.trim_short + fault[FAULT_TRIM_HIGH];
	d->boost = d->map - w->air.pressure_kpa;
}

void world_derive_true(struct world *w)
{
	for (int id = FAULT_MAP_SATURATED; id <= FAULT_DROPOUT; id++)
		w->faults.level[id] = 0;
	world_derive(w);
}

void world_derive(struct world *w)
{
	const struct engine *const e = &w->engine;
	struct derived *const d = &w->derived;
	const double full_air = 0.9 * 101.3 * w->car.displacement_l / (0.28705 * 298.0);

	derive_sensors(w);
	d->map_target = w->air.pressure_kpa + e->boost_target;
	d->charge_target = w->air.pressure_kpa + e->boost_target;
	d->load = 100 * e->air_g / full_air;
	d->injector_duty = e->injection_ms * e->rpm / 1200;
	d->turbo_krpm = (18 + 11.8 * sqrt(e->spool > 0 ? e->spool : 0)) *
			(1 + w->faults.level[FAULT_TURBO_FAST]);
	d->misfires = floor(e->misfires);
	d->cam_deg = 30 * mx_ramp(e->rpm, 1200, 2800) * (1 - 0.7 * mx_ramp(e->rpm, 4500, 6500));
	d->knock_max = 0;
	for (int i = 0; i < CAR_CYLINDERS; i++)
		d->knock_max = e->knock[i] > d->knock_max ? e->knock[i] : d->knock_max;
	d->accel_g = w->drive.accel / 9.80665;
	d->lateral_g = 0.02 * mx_sin(0.7 * w->t) * mx_ramp(w->drive.v, 0, 10);
	d->gear = w->drive.gear;
	d->brake_switch = w->driver.out.brake > 0.02;
	d->clutch_switch = w->driver.out.clutch < 0.8;
	d->fuel_level = 64 - 0.002 * w->t;
	d->ethanol = w->ethanol;
	d->fuel_status = e->overrun || e->limiter ? 2 : w->driver.out.pedal > 0.55 ? 1 : 0;
}
