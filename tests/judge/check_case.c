/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See check_case.h. */
#include "judge/check_case.h"

#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/err.h"
#include "base/mem.h"

/* Where in the pull the fault acts. */
enum place {
	NOWHERE,
	WIDE,		/* from somewhere in the middle on, for 600 rpm at least */
	HIGH,		/* from the upper middle to the end */
	BRIEF,		/* 200 to 700 rpm in the middle */
	MOMENT,		/* about a second in the middle */
	WHILE,		/* half a second to three in the middle */
	LONG,		/* from the lower middle to the end, for what is slow */
	THROUGHOUT,	/* whenever the pedal is down */
	ALWAYS,		/* from the first row to the last */
};

struct recipe {
	enum check_id id;
	const char *fault;
	double low, high;	/* its size, from just over the limit to far over it */
	enum place place;
	const char *channels;	/* that must be there, or (with -) must not */
	const char *more, *argument;	/* a further option; without an argument of the size */
	enum case_extra extra;
};

/*
 * A port-injected car has no rail pressure; the simulator's low side pressure does not follow
 * the manifold's as it then would, so it is left out too.
 */
/* clang-format off */
static const struct recipe recipes[CHECK_COUNT] = {
	{CHECK_LEAN, "lean", 0.045, 0.16, WIDE, "lambda", NULL, NULL, EXTRA_NONE},
	{CHECK_LEAN_OF_TARGET, "lean", 0.03, 0.12, WIDE, "lambda,lambda_target", NULL, NULL, EXTRA_NONE},
	{CHECK_LEAN_TREND, "lean", 0.04, 0.15, HIGH, "lambda", NULL, NULL, EXTRA_NONE},
	{CHECK_RICH, "rich", 0.055, 0.15, WIDE, "lambda", NULL, NULL, EXTRA_NONE},
	{CHECK_RICH_ETHANOL, "rich", 0.09, 0.17, WIDE, "lambda,ethanol", "--ethanol", "80", EXTRA_NONE},
	{CHECK_RICH_OF_TARGET, "rich", 0.05, 0.15, WIDE, "lambda,lambda_target", NULL, NULL, EXTRA_NONE},
	{CHECK_TRIMS, "trim_high", 8, 25, ALWAYS, "trim_short,trim_long", NULL, NULL, EXTRA_NONE},
	{CHECK_KNOCK, "knock_cyl", 2, 8, WIDE, "knock1,knock2,knock3,knock4", NULL, NULL, EXTRA_NONE},
	{CHECK_KNOCK_ODD, "knock_cyl", 1.5, 6, WIDE, "knock1,knock2,knock3,knock4", NULL, NULL, EXTRA_NONE},
	{CHECK_KNOCK_ALL, "knock_all", 1.2, 5, WIDE, "knock1,knock2,knock3,knock4", NULL, NULL, EXTRA_NONE},
	{CHECK_TIMING_OF_TARGET, "timing_pull", 3, 9, WIDE, "ignition,ignition_target", NULL, NULL, EXTRA_NONE},
	{CHECK_TIMING_AGAINST, "timing_pull", 2, 7, WIDE, "ignition", NULL, NULL, EXTRA_BASELINE},
	{CHECK_RAIL, "rail_sag", 0.08, 0.35, WIDE, "rail,rail_target", NULL, NULL, EXTRA_NONE},
	{CHECK_RAIL_FALLS, "rail_sag", 0.10, 0.4, HIGH, "rail,-rail_target", NULL, NULL, EXTRA_NONE},
	{CHECK_FUEL_PRESSURE, "low_pressure_sag", 0.09, 0.4, WIDE, "low_side,rail", NULL, NULL, EXTRA_NONE},
	{CHECK_INJECTOR_DUTY, "injector_high", 1.8, 6, WIDE, "inj_duty,-rail,-rail_target,-low_side",
		NULL, NULL, EXTRA_PORT},
	{CHECK_MANIFOLD_PRESSURE, NULL, 0.02, 1.0, NOWHERE, "map", NULL, NULL, EXTRA_PRESSURE},
	{CHECK_BOOST_OVER, "boost_over", 10, 40, WIDE, "boost,boost_target,map", NULL, NULL, EXTRA_NONE},
	{CHECK_BOOST_OVERSHOOT, "boost_overshoot", 15, 80, THROUGHOUT, "boost,boost_target,map", NULL,
		NULL, EXTRA_NONE},
	{CHECK_BOOST_UNDER, "boost_under", 15, 60, WIDE, "boost,boost_target,map", NULL, NULL, EXTRA_NONE},
	{CHECK_BOOST_FALLS, "boost_under", 20, 90, HIGH, "boost,map,-boost_target,-charge_target", NULL, NULL,
		EXTRA_NONE},
	{CHECK_BOOST_SWING, "boost_osc", 8, 35, LONG, "boost,map", NULL, NULL, EXTRA_NONE},
	{CHECK_WASTEGATE_STOP, "boost_leak", 0.25, 0.8, WIDE, "wastegate,boost,map", NULL, NULL, EXTRA_NONE},
	{CHECK_TURBO_SPEED, NULL, 0.01, 0.5, NOWHERE, "turbo", NULL, NULL, EXTRA_TURBO},
	{CHECK_COMPRESSOR_FLOW, NULL, 0.01, 0.5, NOWHERE, "maf,map,baro,ambient", NULL, NULL, EXTRA_FLOW},
	{CHECK_PRESSURE_RATIO, NULL, 0.01, 0.5, NOWHERE, "map,baro", NULL, NULL, EXTRA_RATIO},
	{CHECK_THROTTLE, "throttle_close", 0.1, 0.8, WHILE, "throttle,pedal", NULL, NULL, EXTRA_NONE},
	{CHECK_TORQUE_CUT, "torque_cut", 0.1, 0.6, WHILE, "torque,torque_request", NULL, NULL, EXTRA_NONE},
	{CHECK_HESITATION, "torque_cut", 0.35, 0.95, MOMENT, "rpm", NULL, NULL, EXTRA_NONE},
	{CHECK_MISFIRES, "misfire_count", 1, 80, WIDE, "misfires", NULL, NULL, EXTRA_NONE},
	{CHECK_SLIP, "slip_wheel", 0.05, 0.2, BRIEF, "speed", NULL, NULL, EXTRA_NONE},
	{CHECK_LIMITER, NULL, 0.1, 4, NOWHERE, "rpm,pedal", "--held", NULL, EXTRA_NONE},
	{CHECK_INTAKE_TEMP, "iat_high", 25, 70, LONG, "iat", NULL, NULL, EXTRA_NONE},
	{CHECK_INTAKE_RISE, "iat_high", 15, 60, LONG, "iat", NULL, NULL, EXTRA_NONE},
	{CHECK_COOLER, "cooler_poor", 0.25, 0.8, ALWAYS, "compressor_out,cooler_out,ambient", NULL, NULL,
		EXTRA_NONE},
	{CHECK_EXHAUST_TEMP, "egt_high", 100, 300, LONG, "egt", NULL, NULL, EXTRA_NONE},
	{CHECK_COOLANT_TEMP, "coolant_high", 16, 50, LONG, "coolant", NULL, NULL, EXTRA_NONE},
	{CHECK_OIL_TEMP, "oil_hot", 28, 80, LONG, "oil_temp", NULL, NULL, EXTRA_NONE},
	{CHECK_OIL_PRESSURE, "oil_low", 0.2, 0.8, WIDE, "oil_pressure", NULL, NULL, EXTRA_NONE},
	{CHECK_OIL_FALLS, "oil_low", 0.1, 0.5, HIGH, "oil_pressure", NULL, NULL, EXTRA_NONE},
	{CHECK_BATTERY, "battery_low", 1.1, 4, WIDE, "battery", NULL, NULL, EXTRA_NONE},
	{CHECK_MAP_FLAT, NULL, 130, 210, NOWHERE, "map", "--map-max", NULL, EXTRA_NONE},
	{CHECK_MAF_FLAT, NULL, 60, 200, NOWHERE, "maf", "--maf-max", NULL, EXTRA_NONE},
};
/* clang-format on */

/* splitmix64: G. Steele, D. Lea, C. Flood, OOPSLA 2014 (constants from memory). */
static double unit(uint64_t *state)
{
	uint64_t z = *state += 0x9E3779B97F4A7C15ULL;

	z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
	z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
	return (double)((z ^ (z >> 31)) >> 11) / 9007199254740992.0;
}

static double range(uint64_t *state, double low, double high)
{
	return low + (high - low) * unit(state);
}

static bool chance(uint64_t *state, double p)
{
	return unit(state) < p;
}

static size_t pick(uint64_t *state, size_t n)
{
	return (size_t)(unit(state) * (double)n);
}

static void add(struct sim_case *c, const char *option, const char *format, ...)
	ERR_PRINTF(3, 4);

static void add(struct sim_case *c, const char *option, const char *format, ...)
{
	char text[256];
	va_list args;

	if (c->arg_count + 2 >= CASE_ARGS)
		return;
	va_start(args, format);
	vsnprintf(text, sizeof text, format, args);
	va_end(args);
	c->args[c->arg_count++] = mem_strdup(option);
	if (text[0] != '\0')
		c->args[c->arg_count++] = mem_strdup(text);
}

static void draw_drive(struct sim_case *c, uint64_t *r)
{
	static const char *const cars[] = { "any", "any", "any", "any", "any", "any", "any", "any",
					    "small", "large" };

	add(c, "--seed", "%lu", c->seed);
	add(c, "--car", "%s", cars[pick(r, 10)]);
	add(c, "--gear", "%d", chance(r, 0.4) ? 3 : 4);
	add(c, "--from", "%.0f", range(r, 1600, 2400));
	add(c, "--press", "%.2f", range(r, 0.08, 0.35));
	c->foot_s = strtod(c->args[c->arg_count - 1], NULL);
	add(c, "--before", "%.1f", range(r, 4, 7));
	c->foot_s += strtod(c->args[c->arg_count - 1], NULL);
	add(c, "--after", "%.1f", range(r, 2, 5));
	add(c, "--temp", "%.1f", range(r, -5, 22));
	add(c, "--pressure", "%.1f", range(r, 90, 103));
	add(c, "--wave", "%.4f", range(r, 0, 0.003));
}

/* Of a sound pull the recording is sound, too: no sensor ends below its car's boost. */
static void draw_sampling(struct sim_case *c, bool one_byte, uint64_t *r)
{
	static const double rates[] = { 5, 8, 10, 12.5, 16, 20, 20, 20, 25, 25, 40, 50, 100 };
	static const char *const fast[] = { "rpm,pedal,throttle", "rpm,pedal", "" };

	c->rate = rates[pick(r, 13)];
	add(c, "--rate", "%g", c->rate);
	add(c, "--jitter", "%.3f", chance(r, 0.3) ? 0.0 : range(r, 0, 0.12));
	if (c->rate >= 20 && chance(r, 0.3)) {
		add(c, "--poll", "%d", 2 + (int)pick(r, (size_t)fmin(c->rate / 6 - 1, 5)));
		add(c, "--fast", "%s", fast[pick(r, 2)]);
	}
	if (chance(r, 0.3))
		add(c, "--drop-rows", "%.4f", range(r, 0, 0.02));
	if (chance(r, 0.3))
		add(c, "--drop-cells", "%.4f", range(r, 0, 0.02));
	c->noise = chance(r, 0.2) ? 0.0 : range(r, 0.3, 3.0);
	add(c, "--noise", "%.2f", c->noise);
	c->noise = strtod(c->args[c->arg_count - 1], NULL);
	c->coarse = chance(r, 0.2);
	if (c->coarse)
		add(c, "--coarse", "%s", "");
	if (c->coarse && one_byte)
		add(c, "--map-max", "%.0f", CASE_COARSE_MAP_END);
	if (chance(r, 0.3))
		add(c, "--knock-negative", "%s", "");
	if (chance(r, 0.3))
		add(c, "--clock-start", "%.1f", range(r, 0, 40000));
}

static void draw_channels(struct sim_case *c, const struct recipe *recipe, uint64_t *r)
{
	static const char *const lists[] = { "core,lambda_target,ignition,boost", "club", "drive",
					     "all", "full", "core,maf,boost" };
	static const char *const systems[] = { "metric", "metric", "us", "mixed" };
	static const char *const styles[] = { "plain", "plain", "short", "snake", "trade" };
	const char *list = lists[pick(r, 6)];

	add(c, "--channels", recipe != NULL ? "%s,%s" : "%s%s", list,
	    recipe != NULL ? recipe->channels : "");
	add(c, "--system", "%s", systems[pick(r, 4)]);
	add(c, "--style", "%s", styles[pick(r, 5)]);
}

static void add_fault(struct sim_case *c, const struct recipe *recipe, uint64_t *r)
{
	const double from = range(r, 3300, 4500);
	const double share = unit(r), ramp = range(r, 40, 400);
	const double at = c->foot_s + range(r, 1.6, 3.2);
	char where[64] = "";

	switch (recipe->place) {
	case WIDE:
		snprintf(where, sizeof where, "%.0f-%.0f~%.0f", from,
			 share > 0.6 ? 9000.0 : from + 700 + 2500 * share, ramp);
		break;
	case HIGH:
		snprintf(where, sizeof where, "%.0f-9000~%.0f", from + 700, ramp);
		break;
	case LONG:
		snprintf(where, sizeof where, "%.0f-9000~%.0f", from - 1000, ramp);
		break;
	case BRIEF:
		snprintf(where, sizeof where, "%.0f-%.0f~%.0f", from + 200,
			 from + 400 + 500 * share, 30 + 50 * share);
		break;
	case MOMENT:
		snprintf(where, sizeof where, "t%.2f-%.2f~%.2f", at, at + 0.4 + 0.8 * share,
			 0.04 + 0.1 * share);
		break;
	case WHILE:
		snprintf(where, sizeof where, "t%.2f-%.2f~%.2f", at, at + 0.5 + 2.5 * share,
			 ramp / 1000);
		break;
	case THROUGHOUT:
		snprintf(where, sizeof where, "1000-9000~50");
		break;
	default:
		snprintf(where, sizeof where, "t0-900");
		break;
	}
	add(c, "--fault", "%s@%s:%.4f", recipe->fault, where, c->size);
}

void sim_case_draw(struct sim_case *c, enum check_id id, unsigned long seed)
{
	const struct recipe *recipe = id < CHECK_COUNT ? &recipes[id] : NULL;
	uint64_t r = (uint64_t)seed * 64 + (uint64_t)id;
	double u;

	*c = (struct sim_case){ .id = id, .seed = seed };
	unit(&r);
	u = unit(&r);
	draw_drive(c, &r);
	draw_sampling(c, recipe != NULL, &r);
	draw_channels(c, recipe, &r);
	if (recipe == NULL)
		return;
	c->extra = recipe->extra;
	c->size = recipe->low * pow(recipe->high / recipe->low, u);
	if (recipe->fault != NULL)
		add_fault(c, recipe, &r);
	if (recipe->argument != NULL)
		add(c, recipe->more, "%s", recipe->argument);
	else if (recipe->more != NULL)
		add(c, recipe->more, "%.3f", c->size);
	if (id == CHECK_LIMITER)
		add(c, "--scenario", "limiter");
}

void sim_case_make_exact(struct sim_case *c)
{
	int i, n = 0;

	for (i = 0; i < c->arg_count; i++) {
		char *arg = c->args[i];

		if (strcmp(arg, "--coarse") == 0) {
			free(arg);
			free(c->args[++i]);	/* --map-max 255, the end of the coarse sensor */
			free(c->args[++i]);
			continue;
		}
		if (n > 0 && strcmp(c->args[n - 1], "--noise") == 0) {
			free(arg);
			arg = mem_strdup("0");
		}
		c->args[n++] = arg;
	}
	for (i = n; i < c->arg_count; i++)
		c->args[i] = NULL;
	c->arg_count = n;
	add(c, "--more-decimals", "%d", 4);
	c->noise = 0.0;
	c->coarse = false;
}

void sim_case_release(struct sim_case *c)
{
	int i;

	for (i = 0; i < c->arg_count; i++)
		free(c->args[i]);
	c->arg_count = 0;
}
