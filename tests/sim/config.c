/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Default settings, and settings drawn from a seed. */
#include "config.h"

#include <math.h>

#include "rng.h"

void config_init(struct config *c)
{
	*c = (struct config){
		.seed = 1,
		.wish = {.gear = 4,
			 .from_rpm = 1900,
			 .to_rpm = -1,
			 .press_s = 0.2,
			 .before_s = 5,
			 .after_s = 5,
			 .minutes = 10,
			 .pulls = -1,
			 .held_s = -1},
		.mass = NAN,
		.limit = NAN,
		.air = {.temp_c = 21, .pressure_kpa = 99.4, .humidity_pct = 48},
		.ethanol = 5,
		.road = {.wave_m = 400},
		.rate = 20,
		.jitter = 0.02,
		.poll = 1,
		.fast = "",
		.max_seconds = 7200,
		.channels = "club",
		.noise = 1,
		.pedal_full = 100,
		.throttle_full = 100,
		.dialect = {.missing = "", .time_decimals = 3},
	};
}

/* Weighted choice: the index of one of n shares. */
static int draw(struct rng *r, const double *shares, int n)
{
	double total = 0, at;
	int i;

	for (i = 0; i < n; i++)
		total += shares[i];
	at = rng_range(r, 0, total);
	for (i = 0; i < n - 1 && at >= shares[i]; i++)
		at -= shares[i];
	return i;
}

#define DRAW(r, ...)                                                                               \
	draw(r, (const double[]){__VA_ARGS__},                                                     \
	     (int)(sizeof(double[]){__VA_ARGS__} / sizeof(double)))

static void draw_drive(struct config *c, struct rng *r)
{
	c->scenario = DRAW(r, 38, 12, 8, 8, 4, 7, 5, 10, 5, 6);
	c->car_kind = DRAW(r, 10, 10, 80);
	c->wish.gear = 3 + DRAW(r, 5, 5);
	c->wish.from_rpm = rng_range(r, 1600, 2500);
	c->wish.press_s = rng_range(r, 0.08, 0.35);
	c->wish.before_s = rng_range(r, 3, 12);
	c->wish.after_s = rng_range(r, 2, 10);
	c->wish.minutes = rng_range(r, 2, 5);
	c->air.temp_c = rng_range(r, -5, 36);
	c->air.pressure_kpa = rng_range(r, 86, 103);
	c->air.humidity_pct = rng_range(r, 15, 95);
	c->road.grade = 0.006 * rng_normal(r);
	c->road.wave = rng_range(r, 0, 0.006);
	c->road.wave_m = rng_range(r, 150, 900);
	c->road.wind_ms = 1.5 * rng_normal(r);
}

static void draw_sampling(struct config *c, struct rng *r)
{
	static const double rates[] = {5, 8, 10, 12.5, 16, 20, 25, 30, 40, 50, 60, 100};

	c->rate = rates[DRAW(r, 4, 3, 12, 3, 3, 30, 15, 5, 8, 10, 3, 4)];
	c->jitter = rng_chance(r, 0.3) ? 0 : rng_range(r, 0, 0.15);
	if (c->rate >= 20 && rng_chance(r, 0.3)) {
		c->poll = 2 + rng_below(r, (int)(c->rate / 6) - 1);
		c->poll = c->poll > 8 ? 8 : c->poll;
		c->fast = rng_chance(r, 0.6)   ? "rpm,pedal,throttle"
			  : rng_chance(r, 0.5) ? "rpm"
					       : "";
	}
	if (rng_chance(r, 0.3))
		c->drop_rows = rng_range(r, 0, 0.03);
	if (rng_chance(r, 0.3))
		c->drop_cells = rng_range(r, 0, 0.03);
	if (rng_chance(r, 0.15))
		c->gaps = rng_range(r, 0.5, 3);
}

static void draw_sensors(struct config *c, struct rng *r)
{
	static const char *const lists[] = {
		"club",
		"drive",
		"all",
		"core,lambda_target,ignition",
		"core,maf,boost",
		"club,-pedal",
		"all,-throttle",
		"drive,-speed",
		"club,-speed,-wheel_speed",
		"core,-pedal,-throttle,boost,ignition",
	};

	c->channels = lists[DRAW(r, 25, 15, 15, 8, 7, 10, 10, 3, 3, 3)];
	c->style = DRAW(r, 4, 3, 3, 3);
	c->system = DRAW(r, 6, 3, 2);
	c->noise = rng_chance(r, 0.2) ? 0 : rng_range(r, 0.3, 3);
	c->coarse = rng_chance(r, 0.3);
	c->knock_negative = rng_chance(r, 0.3);
	c->map_max = rng_chance(r, 0.15) ? 255 : 0;
	c->pedal_full = rng_chance(r, 0.3) ? rng_range(r, 78, 99.6) : 100;
	c->throttle_full = rng_chance(r, 0.5) ? rng_range(r, 75, 99) : 100;
	c->empty_column = rng_chance(r, 0.1);
	c->duplicate_column = rng_chance(r, 0.08);
}

static void draw_dialect(struct dialect *d, struct rng *r)
{
	static const char *const missing[] = {"", "NaN", "-", "n/a"};
	static const int forms[] = {TIME_S, TIME_MS, TIME_HMS, TIME_MINSEC, TIME_ISO, TIME_NONE};

	d->sep = DRAW(r, 6, 3, 2, 1);
	d->decimal_comma = d->sep != SEP_COMMA && rng_chance(r, 0.4);
	d->quoting = DRAW(r, 7, 2, 2);
	d->eol = DRAW(r, 5, 5, 1);
	d->encoding = DRAW(r, 8, 3, 1, 1, 2);
	d->units = DRAW(r, 5, 3, 3, 2, 1);
	d->trailing = DRAW(r, 8, 1, 1);
	d->preamble = rng_chance(r, 0.25) ? 1 + rng_below(r, 6) : 0;
	d->comments = rng_chance(r, 0.2) ? 1 + rng_below(r, 3) : 0;
	d->inner_comments = rng_chance(r, 0.1) ? 2 : 0;
	d->blank_lines = rng_chance(r, 0.15) ? 3 : 0;
	d->repeat_header = rng_chance(r, 0.08) ? 200 + rng_below(r, 300) : 0;
	d->no_final_eol = rng_chance(r, 0.1);
	d->degree = rng_chance(r, 0.4);
	d->space = rng_chance(r, 0.1);
	d->ragged = rng_chance(r, 0.05);
	d->missing = missing[DRAW(r, 7, 2, 1, 1)];
	d->time = forms[DRAW(r, 10, 3, 2, 2, 2, 0.6)];
	d->clock_start = rng_chance(r, 0.5) ? 0 : rng_range(r, 0, 40000);
	if (d->time == TIME_MINSEC)
		d->clock_start = rng_range(r, 0, 3000);
}

static void add_fault(struct config *c, enum fault_id id)
{
	if (c->faults < FAULT_MAX)
		fault_default(&c->fault[c->faults++], id);
}

/* Now and then a fault, mostly one that must not hide the pull. */
static void draw_faults(struct config *c, struct rng *r)
{
	const int n = rng_chance(r, 0.45) ? 0 : 1 + rng_below(r, 3);

	for (int i = 0; i < n; i++) {
		const enum fault_id id = (enum fault_id)rng_below(r, FAULT_DRAWN);
		if (id != FAULT_PEDAL_STUCK && id != FAULT_DROPOUT && id != FAULT_THROTTLE_CLOSE)
			add_fault(c, id);
	}
	if (rng_chance(r, 0.06))
		add_fault(c, FAULT_SLIP_WHEEL);
	if (rng_chance(r, 0.03))
		add_fault(c, FAULT_SLIP_CLUTCH);
}

void config_random(struct config *c, uint64_t seed)
{
	struct rng r;

	rng_seed(&r, seed, RNG_CONFIG);
	c->seed = seed;
	c->random = true;
	draw_drive(c, &r);
	draw_sampling(c, &r);
	draw_sensors(c, &r);
	draw_dialect(&c->dialect, &r);
	draw_faults(c, &r);
	/* A clock cut to tenths repeats stamps only where rows come faster than that. */
	if (rng_chance(&r, 0.15))
		c->dialect.time_decimals = c->rate <= 25 ? 1 : 2;
	if (c->dialect.time == TIME_MS)
		c->dialect.time_decimals = 3;
}
