/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the checks of the mixture: lean trend, rich by fuel, trims. */
#include "check_util.h"

Suite *check_mixture_suite(void);

#define RATE 20.0
#define PULL_S 8.0

static double boost_at(double t)
{
	return fmin(100 * fmax(t, 0), 150);
}

/* From 0.95 down to 0.80 at 2 s, level to 5 s, then up by 0.03 a second. */
static double leaning(double t)
{
	if (t < 2)
		return 0.95 - 0.075 * fmax(t, 0);
	return t < 5 ? 0.80 : 0.80 + 0.03 * (t - 5);
}

static double target_rising(double t)
{
	return t < 6 ? 0.80 : 0.80 + 0.01 * (t - 6);
}

static void begin(struct bench_pull *b)
{
	bench_begin(b, RATE, 10, PULL_S, 12);
	bench_add(b, "boost", Q_BOOST, "kPa", boost_at);
}

START_TEST(test_trend)
{
	struct bench_pull b;

	begin(&b);
	bench_add(&b, "lambda", Q_LAMBDA, "lambda", leaning);
	bench_measure(&b, CHECK_LEAN_TREND);
	ck_assert_uint_eq(b.out.count, 1);
	CHECK_NEAR(bench_value(&b, 0, 4.0), 0.0, 1e-9);
	CHECK_NEAR(bench_value(&b, 0, 7.0), 0.06, 1e-9);
	/* Where it comes down it is never above its lowest by more than the smoothing. */
	ck_assert(bench_value(&b, 0, 1.5) < 0.001);
	/* Not judged before it has settled and the engine is under boost. */
	ck_assert(b.out.list[0].value.t[0] >= 0.5);
	ck_assert_int_eq(b.out.list[0].relation, RELATION_ABOVE);
	CHECK_NEAR(series_at(&b.out.list[0].reference, 7.0), 0.80, 1e-9);
	bench_end(&b);
}
END_TEST

/* What the target allows is no fault; its own fall is no licence. */
START_TEST(test_trend_of_target)
{
	struct bench_pull b;

	begin(&b);
	bench_add(&b, "lambda", Q_LAMBDA, "lambda", leaning);
	bench_add(&b, "target", Q_LAMBDA_TARGET, "lambda", target_rising);
	bench_measure(&b, CHECK_LEAN_TREND);
	CHECK_NEAR(bench_value(&b, 0, 5.5), 0.015, 1e-9);
	CHECK_NEAR(bench_value(&b, 0, 7.0), 0.05, 1e-9);
	bench_end(&b);
}
END_TEST

/* Each bank by itself, one polled in turn with its own times. */
START_TEST(test_trend_of_banks)
{
	struct bench_pull b;
	struct channel *second;

	begin(&b);
	bench_add_constant(&b, "lambda 1", Q_LAMBDA, "lambda", 0.8)->index = 1;
	second = bench_add_polled(&b, "lambda 2", Q_LAMBDA, "lambda", leaning, 4, 1);
	second->index = 2;
	bench_measure(&b, CHECK_LEAN_TREND);
	ck_assert_uint_eq(b.out.count, 2);
	CHECK_NEAR(bench_highest(&b, 0), 0.0, 1e-9);
	CHECK_NEAR(bench_value(&b, 1, 7.0), 0.06, 1e-9);
	ck_assert_str_eq(b.out.list[1].channel->name, "lambda 2");
	bench_end(&b);
}
END_TEST

/* Noise lowers the lowest so far; of three times a good sensor's no more than 0.015. */
START_TEST(test_trend_with_noise)
{
	uint64_t seed = 1;
	int round;

	for (round = 0; round < 20; round++) {
		struct bench_pull b;
		double v[1000];
		size_t i;

		bench_begin(&b, round % 2 == 0 ? 5 : 20, 0, 10, 0);
		for (i = 0; i < bench_rows(&b); i++)
			v[i] = 0.8 + 0.0075 * bench_noise(&seed);
		bench_add_values(&b, "lambda", Q_LAMBDA, "lambda", v);
		bench_measure(&b, CHECK_LEAN_TREND);
		/* Single samples at 5 a second are not smoothed: three of them make a finding. */
		if (round % 2 != 0)
			ck_assert(bench_highest(&b, 0) < 0.02);
		measure_smooth(&b.out.list[0].value, 0.5, NULL);
		ck_assert(bench_highest(&b, 0) < 0.025);
		bench_end(&b);
	}
}
END_TEST

/* A spike of richness for a tenth of a second is not where the mixture was. */
static double spiked(double t)
{
	return t > 2.99 && t < 3.06 ? 0.70 : 0.80;
}

START_TEST(test_trend_spike)
{
	struct bench_pull b;

	begin(&b);
	bench_add(&b, "lambda", Q_LAMBDA, "lambda", spiked);
	bench_measure(&b, CHECK_LEAN_TREND);
	ck_assert(bench_highest(&b, 0) < 0.02);
	bench_end(&b);
}
END_TEST

START_TEST(test_trend_without_boost)
{
	struct bench_pull b;

	bench_begin(&b, RATE, 0, PULL_S, 0);
	bench_add_constant(&b, "boost", Q_BOOST, "kPa", 10);
	bench_add(&b, "lambda", Q_LAMBDA, "lambda", leaning);
	bench_measure(&b, CHECK_LEAN_TREND);
	bench_assert_refused(&b, "under boost");
	bench_end(&b);
}
END_TEST

static void measure_rich(struct bench_pull *b, const char *unit, double ethanol, enum check_id id)
{
	begin(b);
	bench_add_constant(b, "lambda", Q_LAMBDA, "lambda", 0.78);
	if (unit != NULL)
		bench_add_constant(b, "ethanol", Q_ETHANOL, unit, ethanol);
	bench_measure(b, id);
}

/* The limit of the fuel: per cent and share are the same, and at 50 % it is still petrol. */
START_TEST(test_rich)
{
	static const struct {
		const char *unit;
		double ethanol;
		bool is_ethanol;
	} cases[] = {
		{ NULL, 0, false }, { "%", 10, false }, { "%", 50, false }, { "%", 85, true },
		{ "lambda", 0.1, false }, { "lambda", 0.85, true },
	};
	size_t i;

	for (i = 0; i < COUNT(cases); i++) {
		struct bench_pull b;

		measure_rich(&b, cases[i].unit, cases[i].ethanol, CHECK_RICH);
		if (cases[i].is_ethanol)
			bench_assert_refused(&b, "ethanol fuel (85 %)");
		else
			CHECK_NEAR(bench_value(&b, 0, 4), 0.78, 1e-12);
		bench_end(&b);
		if (cases[i].unit == NULL)
			continue;
		measure_rich(&b, cases[i].unit, cases[i].ethanol, CHECK_RICH_ETHANOL);
		if (cases[i].is_ethanol)
			CHECK_NEAR(bench_value(&b, 0, 4), 0.78, 1e-12);
		else
			bench_assert_refused(&b, "no ethanol fuel");
		bench_end(&b);
	}
}
END_TEST

START_TEST(test_rich_wrong_unit)
{
	struct bench_pull b;

	measure_rich(&b, "V", 3, CHECK_RICH_ETHANOL);
	bench_assert_refused(&b, "unit");
	bench_end(&b);
	measure_rich(&b, "V", 3, CHECK_RICH);
	CHECK_NEAR(bench_value(&b, 0, 4), 0.78, 1e-12);
	bench_end(&b);
}
END_TEST

/* A quarter of the way before the pull, up from 3 s behind it to 6 s, then part of the way. */
static double pedal_at(double t)
{
	if (t < 0)
		return 25;
	return t <= PULL_S ? 100 : t < PULL_S + 3 ? 0 : 30;
}

static double short_at(double t)
{
	return t < 0 ? 4 : t <= PULL_S ? 0 : 90;
}

static double short_around(double t)
{
	return t < 0 ? 4 : t <= PULL_S ? 50 : t < PULL_S + 3 ? 90 : -12;
}

static void begin_trims(struct bench_pull *b, double (*pedal)(double))
{
	bench_begin(b, RATE, 10, PULL_S, 12);
	if (pedal != NULL)
		bench_add(b, "pedal", Q_PEDAL, "%", pedal);
}

/* |4 + 2| before, |-12 + 2| behind; nothing of the pull, of overrun or further off. */
START_TEST(test_trims)
{
	struct bench_pull b;
	const struct series *v;
	size_t i;

	begin_trims(&b, pedal_at);
	bench_add(&b, "short", Q_TRIM_SHORT, "%", short_around);
	bench_add_constant(&b, "long", Q_TRIM_LONG, "%", 2);
	bench_measure(&b, CHECK_TRIMS);
	ck_assert_uint_eq(b.out.count, 1);
	v = &b.out.list[0].value;
	CHECK_NEAR(v->t[0], -8, 0.051);
	CHECK_NEAR(v->t[v->n - 1], PULL_S + 9.5, 0.051);
	for (i = 0; i < v->n; i++) {
		ck_assert(v->t[i] < 0 || v->t[i] >= PULL_S + 3 - 1e-9);
		CHECK_NEAR(v->v[i], v->t[i] < 0 ? 6.0 : 10.0, 1e-9);
	}
	bench_end(&b);
}
END_TEST

/* A swing of the short trim is smoothed away; a share is as good as per cent. */
static double swinging(double t)
{
	return 0.10 + 0.03 * sin(2 * 3.14159265358979 * 2 * t);
}

START_TEST(test_trims_swing)
{
	struct bench_pull b;

	begin_trims(&b, pedal_at);
	bench_add(&b, "short", Q_TRIM_SHORT, "lambda", swinging);
	bench_measure(&b, CHECK_TRIMS);
	CHECK_NEAR(bench_value(&b, 0, -4), 10, 0.3);
	ck_assert(bench_highest(&b, 0) < 12.0);
	bench_end(&b);
}
END_TEST

/* One bank beside the other, the long trim alone, and none of another bank added. */
START_TEST(test_trims_banks)
{
	struct bench_pull b;

	begin_trims(&b, pedal_at);
	bench_add_constant(&b, "short 1", Q_TRIM_SHORT, "%", 1)->index = 1;
	bench_add_constant(&b, "long 1", Q_TRIM_LONG, "%", 2)->index = 1;
	bench_add_constant(&b, "short 2", Q_TRIM_SHORT, "%", -4)->index = 2;
	bench_add_constant(&b, "long 2", Q_TRIM_LONG, "%", -8)->index = 2;
	bench_measure(&b, CHECK_TRIMS);
	ck_assert_uint_eq(b.out.count, 2);
	CHECK_NEAR(bench_value(&b, 0, -4), 3, 1e-9);
	CHECK_NEAR(bench_value(&b, 1, -4), 12, 1e-9);
	bench_end(&b);

	begin_trims(&b, pedal_at);
	bench_add_constant(&b, "long", Q_TRIM_LONG, "%", -9);
	bench_measure(&b, CHECK_TRIMS);
	ck_assert_uint_eq(b.out.count, 1);
	CHECK_NEAR(bench_value(&b, 0, -4), 9, 1e-9);
	bench_end(&b);
}
END_TEST

/* Another pull from 5 s to 4 s before this one: what is before it, and 1.5 s behind, is not seen. */
static double pedal_twice(double t)
{
	return t >= -5 && t < -4 ? 100 : pedal_at(t);
}

START_TEST(test_trims_other_pull)
{
	struct bench_pull b;

	begin_trims(&b, pedal_twice);
	bench_add_constant(&b, "short", Q_TRIM_SHORT, "%", 5);
	bench_measure(&b, CHECK_TRIMS);
	CHECK_NEAR(b.out.list[0].value.t[0], -2.5, 0.101);
	bench_end(&b);
}
END_TEST

/* Nor is another section of the log. */
START_TEST(test_trims_section)
{
	struct bench_pull b;

	begin_trims(&b, pedal_at);
	bench_add_constant(&b, "short", Q_TRIM_SHORT, "%", 5);
	bench_cut(&b, bench_row(&b, -3));
	bench_measure(&b, CHECK_TRIMS);
	CHECK_NEAR(b.out.list[0].value.t[0], -3, 1e-9);
	bench_end(&b);
}
END_TEST

static double lambda_cut(double t)
{
	return t < 0 ? 1.9 : 1.0;
}

/* Where no fuel burns nothing is trimmed, whatever the pedal says. */
START_TEST(test_trims_fuel_cut)
{
	struct bench_pull b;

	begin_trims(&b, pedal_at);
	bench_add(&b, "short", Q_TRIM_SHORT, "%", short_around);
	bench_add(&b, "lambda", Q_LAMBDA, "lambda", lambda_cut);
	bench_measure(&b, CHECK_TRIMS);
	ck_assert(b.out.list[0].value.t[0] > PULL_S);
	bench_end(&b);
}
END_TEST

static double pedal_lifted(double t)
{
	return t >= 0 && t <= PULL_S ? 100 : 0;
}

START_TEST(test_trims_refused)
{
	struct bench_pull b;

	begin_trims(&b, NULL);
	bench_add(&b, "short", Q_TRIM_SHORT, "%", short_at);
	bench_measure(&b, CHECK_TRIMS);
	bench_assert_refused(&b, "neither pedal nor throttle");
	bench_end(&b);

	/* On overrun all the time: engine speed is above 1500 rpm but for the last seconds. */
	bench_begin(&b, RATE, 10, PULL_S, 4);
	bench_add(&b, "throttle", Q_THROTTLE, "%", pedal_lifted);
	bench_add(&b, "short", Q_TRIM_SHORT, "%", short_at);
	bench_measure(&b, CHECK_TRIMS);
	bench_assert_refused(&b, "less than 1.5 s");
	bench_end(&b);
}
END_TEST

Suite *check_mixture_suite(void)
{
	Suite *s = suite_create("check_mixture");
	TCase *t = tcase_create("check_mixture");

	tcase_add_test(t, test_trend);
	tcase_add_test(t, test_trend_of_target);
	tcase_add_test(t, test_trend_of_banks);
	tcase_add_test(t, test_trend_with_noise);
	tcase_add_test(t, test_trend_spike);
	tcase_add_test(t, test_trend_without_boost);
	tcase_add_test(t, test_rich);
	tcase_add_test(t, test_rich_wrong_unit);
	tcase_add_test(t, test_trims);
	tcase_add_test(t, test_trims_swing);
	tcase_add_test(t, test_trims_banks);
	tcase_add_test(t, test_trims_other_pull);
	tcase_add_test(t, test_trims_section);
	tcase_add_test(t, test_trims_fuel_cut);
	tcase_add_test(t, test_trims_refused);
	suite_add_tcase(s, t);
	return s;
}
