/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See car.h. */
#include "car.h"

#include "rng.h"

/* clang-format off */
static const struct turbo small_turbo = {
	.flow_ref = 64, .cap_kpa = 225, .choke_flow = 230, .tau_s = 0.45,
	.gain = 0.0042, .integral = 0.0080, .lead_s = 0.04, .gate_s = 0.16,
	.target = {{1500, 60}, {2500, 105}, {3200, 110}, {4700, 110}, {7000, 76}},
};

static const struct turbo large_turbo = {
	.flow_ref = 112, .cap_kpa = 330, .choke_flow = 360, .tau_s = 0.62,
	.gain = 0.0034, .integral = 0.0060, .lead_s = 0.03, .gate_s = 0.22,
	.target = {{1500, 70}, {2800, 130}, {3700, 160}, {5700, 160}, {7000, 146}},
};

static const struct car hatchback = {
	.mass_kg = 1080, .drag_area_m2 = 0.66, .rolling = 0.012, .tyre_radius_m = 0.300,
	.rotating_fixed = 0.04, .rotating_engine = 0.0025, .efficiency = 0.92,
	.gears = 6, .gear = {0, 3.54, 2.05, 1.43, 1.10, 0.90, 0.76}, .final = 4.06,
	.idle_rpm = 850, .limit_rpm = 7000, .displacement_l = 2.0, .rail_top_kpa = 15000,
};
/* clang-format on */

static void draw_turbo(struct car *car, struct rng *r)
{
	const double f = rng_unit(r); /* 0 the small one, 1 the large one */
	struct turbo *const t = &car->turbo;
	const double size = car->displacement_l / 2.0;
	const double want = rng_range(r, 0.85, 1.1);

	*t = small_turbo;
	t->flow_ref =
		size * (small_turbo.flow_ref + f * (large_turbo.flow_ref - small_turbo.flow_ref));
	t->cap_kpa += f * (large_turbo.cap_kpa - small_turbo.cap_kpa);
	t->choke_flow = size * (small_turbo.choke_flow +
				f * (large_turbo.choke_flow - small_turbo.choke_flow));
	t->tau_s = rng_range(r, 0.3, 0.5) + 0.2 * f;
	t->gain *= rng_range(r, 0.6, 1.6);
	t->integral *= rng_range(r, 0.6, 2.0);
	t->lead_s = rng_range(r, 0.0, 0.12);
	t->gate_s = rng_range(r, 0.05, 0.40);
	for (int i = 0; i < CAR_TARGET_POINTS; i++) {
		const struct mx_point *a = &small_turbo.target[i], *b = &large_turbo.target[i];
		t->target[i].x = a->x + f * (b->x - a->x);
		t->target[i].y = want * (a->y + f * (b->y - a->y));
	}
}

static void draw_car(struct car *car, struct rng *r)
{
	double ratio = rng_range(r, 3.2, 3.8);
	double step = rng_range(r, 0.57, 0.62);

	car->mass_kg = rng_range(r, 950, 1450);
	car->drag_area_m2 = rng_range(r, 0.55, 0.85);
	car->rolling = rng_range(r, 0.010, 0.015);
	car->tyre_radius_m = rng_range(r, 0.285, 0.335);
	car->efficiency = rng_range(r, 0.86, 0.94);
	car->gears = rng_chance(r, 0.5) ? 5 : 6;
	car->final = rng_range(r, 3.9, 4.7);
	for (int g = 1; g <= car->gears; g++) {
		car->gear[g] = ratio;
		ratio *= step;
		step = mx_clamp(step + 0.07, 0.0, 0.86); /* ratios close up towards the top */
	}
	car->idle_rpm = rng_range(r, 750, 950);
	car->limit_rpm = 50.0 * rng_below(r, 25) + 6300.0;
	car->displacement_l = rng_range(r, 1.7, 2.4);
	car->rail_top_kpa = rng_range(r, 12000, 20000);
	draw_turbo(car, r);
}

void car_init(struct car *car, enum car_kind kind, uint64_t seed)
{
	struct rng r;

	*car = hatchback;
	car->turbo = kind == CAR_LARGE ? large_turbo : small_turbo;
	if (kind == CAR_ANY) {
		rng_seed(&r, seed, RNG_CAR);
		draw_car(car, &r);
	}
}

double car_ratio(const struct car *car, int gear)
{
	return gear > 0 ? car->gear[gear] * car->final : 0.0;
}

double car_rpm_at(const struct car *car, int gear, double v)
{
	return v / car->tyre_radius_m * car_ratio(car, gear) * 30.0 / MX_PI;
}

double car_speed_at(const struct car *car, int gear, double rpm)
{
	return gear > 0 ? rpm * MX_PI / 30.0 / car_ratio(car, gear) * car->tyre_radius_m : 0.0;
}
