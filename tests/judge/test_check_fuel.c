/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the checks of the fuel supply. */
#include "check_util.h"

Suite *check_fuel_suite(void);

#define RATE 20.0
#define PULL_S 8.0
#define PSI 6.894757293168361

static double rail_at(double t)
{
	return t < 5 ? 150 : 120;
}

static void begin(struct bench_pull *b)
{
	bench_begin(b, RATE, 1, PULL_S, 1);
}

START_TEST(test_rail_falls)
{
	struct bench_pull b;

	begin(&b);
	bench_add(&b, "rail", Q_RAIL_PRESSURE, "bar", rail_at);
	bench_measure(&b, CHECK_RAIL_FALLS);
	CHECK_NEAR(bench_value(&b, 0, 3), 0, 1e-9);
	CHECK_NEAR(bench_value(&b, 0, 7), 20, 1e-9);
	bench_end(&b);
}
END_TEST

/* Not where the target tells more; a target without values in the pull is none. */
START_TEST(test_rail_falls_with_target)
{
	struct bench_pull b;

	begin(&b);
	bench_add(&b, "rail", Q_RAIL_PRESSURE, "bar", rail_at);
	bench_add_constant(&b, "target", Q_RAIL_TARGET, "bar", 150);
	bench_measure(&b, CHECK_RAIL_FALLS);
	bench_assert_refused(&b, "judged against its target");
	bench_end(&b);

	begin(&b);
	bench_add(&b, "rail", Q_RAIL_PRESSURE, "bar", rail_at);
	bench_add_constant(&b, "target", Q_RAIL_TARGET, "bar", NAN);
	bench_measure(&b, CHECK_RAIL_FALLS);
	CHECK_NEAR(bench_value(&b, 0, 7), 20, 1e-9);
	bench_end(&b);
}
END_TEST

static double sagging(double t)
{
	return t <= 0.5 ? 400 : t < 4 ? 380 : 300;
}

/* From 400 kPa: 5 % and 25 %.  A rising pressure is below zero. */
START_TEST(test_direct)
{
	struct bench_pull b;

	begin(&b);
	b.car.injection = INJECTION_DIRECT;
	bench_add_constant(&b, "boost", Q_BOOST, "kPa", 100);
	bench_add(&b, "low side", Q_FUEL_PRESSURE, "kPa", sagging);
	bench_measure(&b, CHECK_FUEL_PRESSURE);
	ck_assert_uint_eq(b.out.count, 1);
	CHECK_NEAR(bench_value(&b, 0, 2), 5, 1e-9);
	CHECK_NEAR(bench_value(&b, 0, 6), 25, 1e-9);
	ck_assert_int_eq(b.out.list[0].relation, RELATION_SHARE_BELOW);
	CHECK_NEAR(series_at(&b.out.list[0].reference, 6), 400, 1e-9);
	bench_end(&b);
}
END_TEST

/* The regulator holds 300 kPa over the manifold, which rises from 0 to 150 kPa gauge. */
static double boost_at(double t)
{
	return t <= 0.5 ? 0 : fmin(100 * (t - 0.5), 150);
}

static double held(double t)
{
	return (300 + boost_at(t)) / PSI;
}

static double not_held(double t)
{
	return (300 + (t < 5 ? boost_at(t) : 60)) / PSI;
}

START_TEST(test_port)
{
	struct bench_pull b;

	begin(&b);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_at);
	bench_add(&b, "good", Q_FUEL_PRESSURE, "psi", held);
	bench_add(&b, "bad", Q_FUEL_PRESSURE, "psi", not_held);
	bench_measure(&b, CHECK_FUEL_PRESSURE);
	ck_assert_uint_eq(b.out.count, 2);
	CHECK_NEAR(bench_highest(&b, 0), 0, 1e-9);
	CHECK_NEAR(bench_lowest(&b, 0), 0, 1e-9);
	CHECK_NEAR(bench_value(&b, 1, 7), 30, 1e-9);
	ck_assert_int_eq(b.out.list[0].relation, RELATION_NONE);
	bench_end(&b);
}
END_TEST

/* With rail pressure in the log it is direct injection, and without boost as logged. */
START_TEST(test_as_logged)
{
	struct bench_pull b;

	begin(&b);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_at);
	bench_add(&b, "low side", Q_FUEL_PRESSURE, "psi", held);
	bench_add(&b, "rail", Q_RAIL_PRESSURE, "bar", rail_at);
	bench_measure(&b, CHECK_FUEL_PRESSURE);
	CHECK_NEAR(bench_value(&b, 0, 6), -50, 1e-9);
	bench_end(&b);

	begin(&b);
	bench_add(&b, "low side", Q_FUEL_PRESSURE, "psi", held);
	bench_measure(&b, CHECK_FUEL_PRESSURE);
	CHECK_NEAR(bench_value(&b, 0, 6), -50, 1e-9);
	bench_end(&b);
}
END_TEST

/* Boost is read between the readings of the fuel pressure. */
START_TEST(test_polled)
{
	struct bench_pull b;

	begin(&b);
	bench_add_polled(&b, "boost", Q_BOOST, "kPa", boost_at, 2, 0);
	bench_add_polled(&b, "low side", Q_FUEL_PRESSURE, "psi", held, 4, 1);
	bench_measure(&b, CHECK_FUEL_PRESSURE);
	ck_assert_uint_gt(b.out.list[0].value.n, 30);
	ck_assert(bench_highest(&b, 0) < 2);
	ck_assert(bench_lowest(&b, 0) > -2);
	bench_end(&b);
}
END_TEST

START_TEST(test_pressure_refused)
{
	struct bench_pull b;

	begin(&b);
	bench_add_constant(&b, "low side", Q_FUEL_PRESSURE, "kPa", 0);
	bench_measure(&b, CHECK_FUEL_PRESSURE);
	bench_assert_refused(&b, "not above zero");
	bench_end(&b);

	begin(&b);
	bench_add(&b, "boost", Q_BOOST, "kPa", boost_at);
	bench_add_constant(&b, "low side", Q_FUEL_PRESSURE, "V", 3);
	bench_measure(&b, CHECK_FUEL_PRESSURE);
	bench_assert_refused(&b, "unit");
	bench_end(&b);
}
END_TEST

static double duty_at(double t)
{
	return 0.5 + 0.05 * t;
}

START_TEST(test_duty)
{
	struct bench_pull b;

	begin(&b);
	bench_add(&b, "duty", Q_INJECTOR_DUTY, "lambda", duty_at);
	bench_measure(&b, CHECK_INJECTOR_DUTY);
	CHECK_NEAR(bench_value(&b, 0, 6), 80, 1e-9);
	ck_assert_int_eq(b.out.list[0].relation, RELATION_VALUE);
	bench_end(&b);

	begin(&b);
	b.car.injection = INJECTION_DIRECT;
	bench_add(&b, "duty", Q_INJECTOR_DUTY, "%", duty_at);
	bench_measure(&b, CHECK_INJECTOR_DUTY);
	bench_assert_refused(&b, "direct injection");
	bench_end(&b);
}
END_TEST

Suite *check_fuel_suite(void)
{
	Suite *s = suite_create("check_fuel");
	TCase *t = tcase_create("check_fuel");

	tcase_add_test(t, test_rail_falls);
	tcase_add_test(t, test_rail_falls_with_target);
	tcase_add_test(t, test_direct);
	tcase_add_test(t, test_port);
	tcase_add_test(t, test_as_logged);
	tcase_add_test(t, test_polled);
	tcase_add_test(t, test_pressure_refused);
	tcase_add_test(t, test_duty);
	suite_add_tcase(s, t);
	return s;
}
