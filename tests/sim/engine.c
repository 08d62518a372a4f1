/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See engine.h: starting values and the order of a step. */
#include "engine.h"

void engine_init(struct engine *e, const struct car *car, const struct air *air, uint64_t seed)
{
	*e = (struct engine){
		.rpm = car->idle_rpm,
		.throttle = 0.1,
		.idle_area = 0.006,
		.duty = 0.2,
		.gate = 0.8,
		.pre = air->pressure_kpa,
		.map = 45,
		.air_g = 0.5,
		.lambda_target = 1,
		.lambda = 1,
		.lambda_mid = 1,
		.lambda_sensor = 1,
		.spark = 20,
		.spark_base = 20,
		.knock_rate = 0.5,
		.rail = 6000,
		.rail_target = 6000,
		.low_side = 560,
		.cooler = air->temp_c + 7,
		.iat = air->temp_c + 8,
		.compressor_out = air->temp_c + 12,
		.cooler_out = air->temp_c + 7,
		.peak_s = -1,
		.inlet_c = air->temp_c + 2,
		.coolant_base = 89,
		.coolant = 89,
		.oil_base = 96,
		.oil = 96,
		.egt = 520,
		.oil_pressure = 200,
		.battery = 14.1,
	};
	rng_seed(&e->rng, seed, RNG_ENGINE);
	e->trim_long = 1.5 * rng_normal(&e->rng);
}

void engine_step(struct engine *e, const struct car *car, const struct air *air,
		 const struct faults *faults, const struct engine_input *in, double dt)
{
	engine_breathe(e, car, air, faults, in, dt);
	engine_burn(e, car, air, faults, in, dt);
	engine_warm(e, car, air, faults, in, dt);
}
