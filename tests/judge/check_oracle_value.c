/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What each check looks at, from true values: a table row each. */
#include "judge/check_oracle_value.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

#define TRIM_SMOOTH_S 1.0
#define HOT_K 40.0	/* over ambient: below, a cooler has nothing to do */
#define SMOOTH_S 0.3
#define EXTREME_S 0.6	/* the lowest or highest so far is a mean over so long */
#define SHORT_KPA 5.0
#define START_S 0.5	/* of the pull, for what a value was when it began */
#define AROUND_S 8.0	/* before and behind the pull, for trims */
#define RECOVER_S 1.5	/* behind a lift, until the fuel is trimmed again */
#define OVERSHOOT_S 1.0	/* behind the spool */

#define ARGS struct oracle *o, const struct oracle_def *def, const struct true_pull *pull, \
	const struct oracle_setup *setup
#define UNUSED_ARGS (void)def, (void)pull, (void)setup

static const double *of(const struct oracle *o, const char *id)
{
	return check_truth_of(o->truth, id);
}

static bool in_pull(const struct oracle *o, size_t row)
{
	return o->truth->t[row] >= o->from_s - 1e-9 && o->truth->t[row] <= o->to_s + 1e-9;
}

/* Between two samples of the channel. */
static double interval_of(const struct oracle *o, const char *id)
{
	const struct check_truth *t = o->truth;
	size_t i;

	for (i = 0; i < t->column_count; i++)
		if (strcmp(t->columns[i].id, id) == 0)
			return (t->t[t->rows - 1] - t->t[0]) / (double)(t->rows - 1) *
			       t->columns[i].every;
	return 0.0;
}

static bool fill(struct oracle *o, const double *v)
{
	size_t i;

	for (i = 0; i < o->truth->rows; i++)
		o->x[i] = v != NULL ? v[i] : NAN;
	return v != NULL;
}

static bool value(ARGS)
{
	UNUSED_ARGS;
	return fill(o, of(o, o->primary));
}

/* Channel a less channel b. */
static bool over(ARGS)
{
	const double *a = of(o, def->a), *b = of(o, def->b);
	size_t i;

	UNUSED_ARGS;
	for (i = 0; a != NULL && b != NULL && i < o->truth->rows; i++)
		o->x[i] = a[i] - b[i];
	return a != NULL && b != NULL;
}

/* How much of b is missing in a, in per cent. */
static bool share_under(ARGS)
{
	const double *a = of(o, def->a), *b = of(o, def->b);
	size_t i;

	UNUSED_ARGS;
	for (i = 0; a != NULL && b != NULL && i < o->truth->rows; i++)
		o->x[i] = b[i] > 0 ? 100.0 * (1.0 - a[i] / b[i]) : NAN;
	return a != NULL && b != NULL;
}

static double mean_at_start(const struct oracle *o, const double *v)
{
	double sum = 0.0;
	size_t i, n = 0;

	for (i = 0; i < o->truth->rows; i++)
		if (in_pull(o, i) && (n == 0 || o->truth->t[i] <= o->from_s + START_S)) {
			sum += v[i];
			n++;
		}
	return n > 0 ? sum / (double)n : NAN;
}

static bool rise(ARGS)
{
	const double *v = of(o, o->primary);
	const double start = mean_at_start(o, v);
	size_t i;

	UNUSED_ARGS;
	for (i = 0; i < o->truth->rows; i++)
		o->x[i] = in_pull(o, i) ? v[i] - start : NAN;
	return true;
}

/* Lost since the start of the pull, per cent. */
static bool share_lost(ARGS)
{
	const double *v = of(o, o->primary);
	const double start = mean_at_start(o, v);
	size_t i;

	UNUSED_ARGS;
	for (i = 0; i < o->truth->rows; i++)
		o->x[i] = in_pull(o, i) ? 100.0 * (1.0 - v[i] / start) : NAN;
	return of(o, "rail") != NULL;	/* else over manifold pressure, which this car does not do */
}

/*
 * The mean of 0.3 s (three samples at least) below the highest one of 0.6 s (five samples) so
 * far, per cent (or, without share, as is).
 */
static void fallen(struct oracle *o, const double *v, bool share)
{
	double *of_pull = mem_array(o->truth->rows + 1, sizeof *of_pull);
	double *base = mem_array(o->truth->rows + 1, sizeof *base);
	const double interval = interval_of(o, o->primary);
	double highest = -INFINITY;
	size_t i;

	for (i = 0; i < o->truth->rows; i++)
		of_pull[i] = in_pull(o, i) ? v[i] : NAN;
	oracle_smooth(o, of_pull, fmax(EXTREME_S, 4.0 * interval), base);
	oracle_smooth(o, of_pull, fmax(SMOOTH_S, 2.2 * interval), o->x);
	for (i = 0; i < o->truth->rows; i++) {
		if (!in_pull(o, i))
			continue;
		highest = fmax(highest, base[i]);
		o->x[i] = share ? 100.0 * (1.0 - o->x[i] / highest) : highest - o->x[i];
	}
	free(base);
	free(of_pull);
}

static bool share_fallen(ARGS)
{
	UNUSED_ARGS;
	fallen(o, of(o, o->primary), true);
	return true;
}

static bool rail_falls(ARGS)
{
	return of(o, "rail_target") == NULL && share_fallen(o, def, pull, setup);
}

static bool rich(ARGS)
{
	const double *ethanol = of(o, "ethanol");

	return (ethanol == NULL || ethanol[0] < 50.0) && value(o, def, pull, setup);
}

static bool rich_ethanol(ARGS)
{
	const double *ethanol = of(o, "ethanol");

	return ethanol != NULL && ethanol[0] >= 50.0 && value(o, def, pull, setup);
}

/*
 * The mean of 0.3 s over the lowest mean of 0.6 s so far, less what the target has risen by
 * since then: in that a moment of richness does not count.
 */
static bool lean_trend(ARGS)
{
	const double *lambda = of(o, "lambda"), *target = of(o, "lambda_target");
	double *judged = mem_array(o->truth->rows + 1, sizeof *judged);
	double *base = mem_array(o->truth->rows + 1, sizeof *base);
	size_t i, lowest = o->truth->rows;

	UNUSED_ARGS;
	for (i = 0; i < o->truth->rows; i++)
		o->x[i] = 0.0;
	for (i = 0; i < o->truth->rows; i++)
		judged[i] = oracle_judged(o, i, 0.0) ? lambda[i] : NAN;
	oracle_smooth(o, judged, fmax(EXTREME_S, 4.0 * interval_of(o, "lambda")), base);
	oracle_smooth(o, judged, SMOOTH_S, o->x);
	for (i = 0; i < o->truth->rows; i++) {
		if (isnan(base[i]))
			continue;
		if (lowest == o->truth->rows || base[i] < base[lowest])
			lowest = i;
		o->x[i] -= base[lowest];
		if (target != NULL)
			o->x[i] -= fmax(0.0, target[i] - target[lowest]);
	}
	free(judged);
	free(base);
	return true;
}

/* Trims count on closed loop: a light foot, some time behind the pull, no fuel cut. */
static bool is_trimmed(const struct oracle *o, const double *pedal, size_t row)
{
	const double t = o->truth->t[row];
	const bool around = (t < o->from_s && t > o->from_s - AROUND_S) ||
			    (t > o->to_s + RECOVER_S && t < o->to_s + RECOVER_S + AROUND_S);

	return around && pedal[row] < 50.0 && (pedal[row] > 3.0 || of(o, "rpm")[row] < 1500.0);
}

static bool trims(ARGS)
{
	const double *a = of(o, "trim_short"), *b = of(o, "trim_long");
	const double *pedal = of(o, "pedal");
	double *sum = mem_array(o->truth->rows + 1, sizeof *sum);
	size_t i;

	UNUSED_ARGS;
	pedal = pedal != NULL ? pedal : of(o, "throttle");
	for (i = 0; pedal != NULL && i < o->truth->rows; i++)
		sum[i] = is_trimmed(o, pedal, i) ? (a != NULL ? a[i] : 0) + (b != NULL ? b[i] : 0)
						 : NAN;
	oracle_smooth(o, sum, TRIM_SMOOTH_S, o->x);
	for (i = 0; i < o->truth->rows; i++)
		o->x[i] = fabs(o->x[i]);
	free(sum);
	return pedal != NULL && (a != NULL || b != NULL);
}

const double *oracle_boost_target(const struct check_truth *t)
{
	const double *gauge = check_truth_of(t, "boost_target");

	return gauge != NULL ? gauge : check_truth_of(t, "charge_target");
}

double oracle_target_shift(const struct check_truth *t)
{
	return check_truth_of(t, "boost_target") != NULL ? 0.0 : t->air_kpa;
}

/* Boost less its target, times the sign; NaN from `for_s` behind the spool on. */
static bool boost_miss(struct oracle *o, double sign, double for_s)
{
	const double *target = oracle_boost_target(o->truth);
	const double shift = oracle_target_shift(o->truth);
	size_t i;

	if (target == NULL || o->gauge == NULL)
		return false;
	for (i = 0; i < o->truth->rows; i++)
		o->x[i] = o->truth->t[i] > o->spooled_s + for_s
				  ? NAN
				  : sign * (o->gauge[i] - (target[i] - shift));
	return true;
}

static bool boost_over(ARGS)
{
	UNUSED_ARGS;
	return boost_miss(o, 1.0, INFINITY);
}

static bool boost_under(ARGS)
{
	UNUSED_ARGS;
	return boost_miss(o, -1.0, INFINITY);
}

static bool boost_overshoot(ARGS)
{
	UNUSED_ARGS;
	return boost_miss(o, 1.0, OVERSHOOT_S);
}

static bool boost_falls(ARGS)
{
	UNUSED_ARGS;
	if (o->gauge == NULL || oracle_boost_target(o->truth) != NULL)
		return false;
	fallen(o, o->gauge, false);
	return true;
}

static bool turbo_speed(ARGS)
{
	const double *v = of(o, "turbo");
	size_t i;

	UNUSED_ARGS;
	for (i = 0; i < o->truth->rows; i++)
		o->x[i] = 100.0 * 1000.0 * v[i] / setup->car->turbo_speed_rpm;
	return !isnan(setup->car->turbo_speed_rpm);
}

static bool throttle(ARGS)
{
	const double *v = of(o, "throttle");
	size_t i;

	UNUSED_ARGS;
	for (i = 0; i < o->truth->rows; i++)
		o->x[i] = 100.0 - v[i];
	return of(o, "pedal") != NULL;
}

static bool misfires(ARGS)
{
	const double *v = of(o, "misfires");
	double start = NAN;
	size_t i;

	UNUSED_ARGS;
	for (i = 0; i < o->truth->rows; i++) {
		if (in_pull(o, i) && isnan(start))
			start = v[i];
		o->x[i] = in_pull(o, i) ? v[i] - start : NAN;
	}
	return true;
}

/* The time against the limiter, at all rows of it. */
static bool limiter(ARGS)
{
	const double *pedal = of(o, "pedal");
	double end = o->to_s;
	size_t i;

	UNUSED_ARGS;
	if (pedal == NULL)
		return false;
	for (i = 0; i < o->truth->rows; i++)
		if (o->truth->t[i] > o->to_s && pedal[i] >= 99.0 &&
		    (i == 0 || pedal[i - 1] >= 99.0 || end == o->to_s))
			end = o->truth->t[i];
		else if (o->truth->t[i] > o->to_s)
			break;
	for (i = 0; i < o->truth->rows; i++) {
		const double t = o->truth->t[i];

		o->x[i] = t >= o->to_s && t <= end && pull->by_limiter ? end - o->to_s : 0.0;
	}
	return true;
}

static bool cooler(ARGS)
{
	const double *hot = of(o, "compressor_out"), *cold = of(o, "cooler_out"),
		     *air = of(o, "ambient");
	size_t i;

	UNUSED_ARGS;
	cold = cold != NULL ? cold : of(o, "iat");
	for (i = 0; air != NULL && cold != NULL && i < o->truth->rows; i++)
		o->x[i] = hot[i] - air[i] > HOT_K
				  ? 100.0 * (hot[i] - cold[i]) / (hot[i] - air[i])
				  : NAN;
	return air != NULL && cold != NULL;
}

/* Duty; only where the boost is short of its target, if there is one. */
static bool wastegate(ARGS)
{
	const double *target = oracle_boost_target(o->truth);
	const double shift = oracle_target_shift(o->truth);
	const double *v = of(o, "wastegate");
	size_t i;

	UNUSED_ARGS;
	for (i = 0; o->gauge != NULL && i < o->truth->rows; i++)
		o->x[i] = target == NULL || o->gauge[i] < target[i] - shift - SHORT_KPA ? v[i] : NAN;
	return o->gauge != NULL;
}

static bool duty(ARGS)
{
	return of(o, "rail") == NULL && value(o, def, pull, setup);
}

/* clang-format off */
static const struct oracle_def defs[CHECK_COUNT] = {
	{CHECK_LEAN, {"lambda"}, value, NULL, NULL, 0.83, 0.0025, 0.001, 0.001, 0, 0, 0, false},
	{CHECK_LEAN_OF_TARGET, {"lambda"}, over, "lambda", "lambda_target", NAN, 0.0025, 0.001, 0.002,
		0, 0, 0, false},
	{CHECK_LEAN_TREND, {"lambda"}, lean_trend, NULL, NULL, NAN, 0.005, 0.002, 0.003, 0.5, 0, 0,
		false},
	{CHECK_RICH, {"lambda"}, rich, NULL, NULL, 0.82, 0.0025, 0.001, 0.001, 0, 0, 0, false},
	{CHECK_RICH_ETHANOL, {"lambda"}, rich_ethanol, NULL, NULL, 0.82, 0.0025, 0.001, 0.001, 0, 0, 0,
		false},
	{CHECK_RICH_OF_TARGET, {"lambda"}, over, "lambda_target", "lambda", NAN, 0.0025, 0.001, 0.002,
		0, 0, 0, false},
	{CHECK_TRIMS, {"trim_short", "trim_long"}, trims, NULL, NULL, NAN, 0.15, 0.2, 1.6, 1, 0, 0,
		true},
	{CHECK_KNOCK, {"knock1"}, oracle_knock_most, NULL, NULL, NAN, 0, 0.01, 0.5, 0, 0, 0, false},
	{CHECK_KNOCK_ODD, {"knock1"}, oracle_knock_odd, NULL, NULL, NAN, 0, 0.02, 0.75, 0, 0, 0, false},
	{CHECK_KNOCK_ALL, {"knock1"}, oracle_knock_all, NULL, NULL, NAN, 0, 0.01, 0.5, 0, 0, 0, false},
	{CHECK_TIMING_OF_TARGET, {"ignition"}, over, "ignition_target", "ignition", NAN, 0.08, 0.2,
		1.0, 0, 0, 0, false},
	{CHECK_TIMING_AGAINST, {"ignition"}, oracle_against, NULL, NULL, NAN, 0.12, 0.2, 1.0, 0, 0, 0,
		false},
	{CHECK_RAIL, {"rail"}, share_under, "rail", "rail_target", NAN, 0.5, 0.2, 0.2, 0, 0, 0, false},
	{CHECK_RAIL_FALLS, {"rail"}, rail_falls, NULL, NULL, NAN, 0.7, 0.2, 0.2, 0.15, 0, 0, false},
	{CHECK_FUEL_PRESSURE, {"low_side"}, share_lost, NULL, NULL, NAN, 0.4, 0.2, 0.6, 0.15, 0, 0,
		false},
	{CHECK_INJECTOR_DUTY, {"inj_duty"}, duty, NULL, NULL, 30, 0.1, 0.1, 0.5, 0, 0, 0, false},
	{CHECK_MANIFOLD_PRESSURE, {"map"}, value, NULL, NULL, 95, 0.35, 0.1, 1, 0, 0, 0, false},
	{CHECK_BOOST_OVER, {"boost", "map"}, boost_over, NULL, NULL, NAN, 0.35, 0.2, 2, 0, 0, 0, false},
	{CHECK_BOOST_OVERSHOOT, {"boost", "map"}, boost_overshoot, NULL, NULL, NAN, 0.35, 0.2, 2, 0.3,
		0, 0, false},
	{CHECK_BOOST_UNDER, {"boost", "map"}, boost_under, NULL, NULL, NAN, 0.35, 0.2, 2, 0, 0, 0,
		false},
	{CHECK_BOOST_FALLS, {"boost", "map"}, boost_falls, NULL, NULL, NAN, 0.5, 0.2, 2, 0.15, 0, 0,
		false},
	{CHECK_BOOST_SWING, {"boost", "map"}, oracle_swing, NULL, NULL, NAN, 0.5, 0.2, 1, 0.5, 1.2, 12,
		false},
	{CHECK_WASTEGATE_STOP, {"wastegate"}, wastegate, NULL, NULL, 91.5, 0, 0.1, 0.4, 0, 0, 0, false},
	{CHECK_TURBO_SPEED, {"turbo"}, turbo_speed, NULL, NULL, 70, 0.15, 0.1, 0.8, 0, 0, 0, false},
	{CHECK_COMPRESSOR_FLOW, {"maf"}, oracle_flow, NULL, NULL, 70, 0.3, 0.1, 1, 0, 0, 0, false},
	{CHECK_PRESSURE_RATIO, {"map"}, oracle_ratio, NULL, NULL, 50, 0.25, 0.2, 1.5, 0, 0, 0, false},
	{CHECK_THROTTLE, {"throttle"}, throttle, NULL, NULL, NAN, 0.15, 0.2, 1, 0, 0, 0, false},
	{CHECK_TORQUE_CUT, {"torque"}, share_under, "torque", "torque_request", NAN, 0.5, 0.6, 0.8, 0,
		0, 0, false},
	{CHECK_HESITATION, {"rpm"}, oracle_hesitation, NULL, NULL, NAN, 3, 5, 5, 0.3, 0.3, 10, false},
	{CHECK_MISFIRES, {"misfires"}, misfires, NULL, NULL, NAN, 0, 1, 1, 0, 0, 0, false},
	{CHECK_SLIP, {"speed", "wheel_speed"}, oracle_slip, NULL, NULL, NAN, 0.08, 0.1, 1.2, 0.1, 0, 0,
		false},
	{CHECK_LIMITER, {"rpm"}, limiter, NULL, NULL, NAN, 0, 0.1, 0.1, 0, 0, 0, true},
	{CHECK_INTAKE_TEMP, {"iat", "cooler_out"}, value, NULL, NULL, 30, 0.08, 0.2, 1, 0, 0, 0, false},
	{CHECK_INTAKE_RISE, {"iat", "cooler_out"}, rise, NULL, NULL, NAN, 0.1, 0.2, 1.5, 0, 0, 0,
		false},
	{CHECK_COOLER, {"compressor_out"}, cooler, NULL, NULL, 80, 0.5, 0.3, 3, 0, 0, 0, false},
	{CHECK_EXHAUST_TEMP, {"egt"}, value, NULL, NULL, 850, 0.8, 1, 1, 0, 0, 0, false},
	{CHECK_COOLANT_TEMP, {"coolant"}, value, NULL, NULL, 91, 0.08, 0.1, 1, 0, 0, 0, false},
	{CHECK_OIL_TEMP, {"oil_temp"}, value, NULL, NULL, 100, 0.08, 0.1, 1, 0, 0, 0, false},
	{CHECK_OIL_PRESSURE, {"oil_pressure"}, value, NULL, NULL, 90, 3, 1, 5, 0, 0, 0, false},
	{CHECK_OIL_FALLS, {"oil_pressure"}, share_fallen, NULL, NULL, NAN, 0.8, 0.3, 1.5, 0.15, 0, 0,
		false},
	{CHECK_BATTERY, {"battery"}, value, NULL, NULL, 14, 0.015, 0.01, 0.1, 0, 0, 0, false},
	{CHECK_MAP_FLAT, {"map"}, oracle_flat, NULL, NULL, NAN, 0, 0.1, 0.1, 0, 0, 0, false},
	{CHECK_MAF_FLAT, {"maf"}, oracle_flat, NULL, NULL, NAN, 0, 0.1, 0.1, 0, 0, 0, false},
};
/* clang-format on */

const struct oracle_def *oracle_def_get(enum check_id id)
{
	return &defs[id];
}

bool oracle_values(struct oracle *o, const struct oracle_def *def, const struct true_pull *pull,
		   const struct oracle_setup *setup)
{
	size_t i;

	if (def->fn == value)
		o->primary = setup->channel;
	for (i = 0; i < 2 && o->primary == NULL; i++)
		if (def->primary[i] != NULL && of(o, def->primary[i]) != NULL)
			o->primary = def->primary[i];
	return o->primary != NULL && of(o, "rpm") != NULL && def->fn(o, def, pull, setup);
}
