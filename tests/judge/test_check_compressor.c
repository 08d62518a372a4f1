/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Tests of the checks of compressor and charge air cooler.
 *
 * Expected numbers marked "outside" were computed with R 4.2.2, apart from this program, from
 * textbook formulas quoted from memory: pressure ratio (gauge + air) / (air - inlet loss),
 * corrected flow m sqrt(T / Tref) / (p / pref), cooler outlet T2 - e (T2 - Tair).  The rest
 * is worked out by hand.
 */
#include "check_util.h"

Suite *check_compressor_suite(void);

#define PSI 6.894757293168361	/* kPa, NIST SP 811 (2008), appendix B, to double precision */

static double rising_to(double t, double to)
{
	return t < 0 ? 0.4 * to : fmin(0.4 * to + 0.2 * to * t, to);
}

static double turbo_krpm(double t)
{
	return rising_to(t, 180);
}

START_TEST(turbo_speed_is_a_share_of_the_highest_allowed)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	b.car.turbo_speed_rpm = 200000;
	bench_add(&b, "turbo", Q_TURBO_SPEED, "krpm", turbo_krpm);
	bench_measure(&b, CHECK_TURBO_SPEED);
	ck_assert_uint_eq(b.out.count, 1);
	CHECK_NEAR(bench_value(&b, 0, 0.0), 36, 1e-9);
	CHECK_NEAR(bench_value(&b, 0, 8.0), 90, 1e-9);
	bench_end(&b);
}
END_TEST

START_TEST(without_the_car_file_nothing_is_judged)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "turbo", Q_TURBO_SPEED, "krpm", turbo_krpm);
	bench_add_constant(&b, "maf", Q_MAF, "g/s", 200);
	bench_add_constant(&b, "map", Q_MAP, "kPa", 200);
	bench_add_constant(&b, "baro", Q_BARO, "kPa", 100);
	bench_measure(&b, CHECK_TURBO_SPEED);
	bench_assert_refused(&b, "the car file gives no turbo_speed_rpm");
	bench_measure(&b, CHECK_PRESSURE_RATIO);
	bench_assert_refused(&b, "the car file gives no pressure_ratio");
	bench_measure(&b, CHECK_COMPRESSOR_FLOW);
	bench_assert_refused(&b, "the car file gives no compressor edge");
	bench_end(&b);
}
END_TEST

/* 22 psi of boost; value in per cent of an allowed ratio of 1 is 100 times the ratio. */
static void assert_ratio(double baro_kpa, double loss_kpa, double want)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	b.car.pressure_ratio = 1;
	b.car.inlet_loss_kpa = loss_kpa;
	bench_add_constant(&b, "map", Q_MAP, "psi", 22 + baro_kpa / PSI);
	bench_add_constant(&b, "baro", Q_BARO, "bar", baro_kpa / 100);
	bench_measure(&b, CHECK_PRESSURE_RATIO);
	ck_assert_uint_eq(b.out.count, 1);
	CHECK_NEAR(bench_value(&b, 0, 5.0) / 100, want, 1e-6 * want);
	bench_end(&b);
}

START_TEST(pressure_ratio_against_outside_numbers)
{
	assert_ratio(101.325, 0, 2.497011);	/* outside */
	assert_ratio(101.325, 2, 2.547291);	/* outside */
	assert_ratio(84.556, 0, 2.793896);	/* outside */
}
END_TEST

static double map_spool(double t)
{
	return rising_to(t, 240);
}

static double boost_spool(double t)
{
	return map_spool(t) - 96;
}

START_TEST(air_pressure_from_absolute_and_gauge)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	b.car.pressure_ratio = 2.5;
	bench_add_polled(&b, "map", Q_MAP, "kPa", map_spool, 3, 0);
	bench_add_polled(&b, "boost", Q_BOOST, "kPa", boost_spool, 3, 1);
	bench_measure(&b, CHECK_PRESSURE_RATIO);
	ck_assert_uint_eq(b.out.count, 1);
	CHECK_NEAR(bench_value(&b, 0, 6.0), 100 * 240 / 96.0 / 2.5, 1e-6);
	bench_end(&b);
}
END_TEST

START_TEST(air_pressure_that_cannot_be)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	b.car.pressure_ratio = 2.5;
	bench_add_constant(&b, "map", Q_MAP, "kPa", 200);
	bench_add_constant(&b, "baro", Q_BARO, "kPa", 0);
	bench_measure(&b, CHECK_PRESSURE_RATIO);
	bench_assert_refused(&b, "pressure of the air before the compressor");
	bench_end(&b);
}
END_TEST

/* An upright edge of 1 kg/s: the value is 100 times the corrected flow in kg/s. */
static void set_edge(struct car *car)
{
	car->edge.n = 2;
	car->edge.ratio[0] = 1.5;
	car->edge.ratio[1] = 3;
	car->edge.flow[0] = car->edge.flow[1] = 1;
}

static void assert_flow(double reference_k, double reference_kpa, double want)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	set_edge(&b.car);
	b.car.reference_c = reference_k - 273.15;
	b.car.reference_kpa = reference_kpa;
	bench_add_constant(&b, "maf", Q_MAF, "g/s", 250);
	bench_add_constant(&b, "map", Q_MAP, "kPa", 200);
	bench_add_constant(&b, "baro", Q_BARO, "kPa", 96);
	bench_add_constant(&b, "ambient", Q_AMBIENT_TEMP, "degC", 30);
	bench_measure(&b, CHECK_COMPRESSOR_FLOW);
	ck_assert_uint_eq(b.out.count, 1);
	ck_assert_ptr_null(b.out.list[0].detail);
	CHECK_NEAR(bench_value(&b, 0, 5.0) / 100, want, 1e-6 * want);
	bench_end(&b);
}

START_TEST(corrected_flow_against_outside_numbers)
{
	assert_flow(288.15, 101.325, 0.27064803);	/* outside */
	assert_flow(298.15, 100.0, 0.26259119);		/* outside */
	assert_flow(302.778, 96.18, 0.25062257);	/* outside */
}
END_TEST

START_TEST(inlet_loss_and_reference_temperature)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	set_edge(&b.car);
	b.car.reference_c = 25;
	b.car.reference_kpa = 100;
	b.car.inlet_loss_kpa = 4;
	bench_add_constant(&b, "maf", Q_MAF, "g/s", 240);
	bench_add_constant(&b, "map", Q_MAP, "kPa", 200);
	bench_add_constant(&b, "baro", Q_BARO, "kPa", 100);
	bench_measure(&b, CHECK_COMPRESSOR_FLOW);
	CHECK_NEAR(bench_value(&b, 0, 5.0), 25, 1e-9);	/* 0.24 / 0.96, no heat known */
	ck_assert_str_eq(b.out.list[0].detail,
			 "ambient temperature is not known, 25 degC taken");
	bench_end(&b);
}
END_TEST

/* The edge reaches from 1.5 to 3: below, the spool, there is nothing to judge. */
START_TEST(only_where_the_edge_is)
{
	struct bench_pull b;
	const struct series *v;

	bench_begin(&b, 20, 2, 10, 2);
	set_edge(&b.car);
	bench_add_constant(&b, "maf", Q_MAF, "kg/h", 720);
	bench_add(&b, "map", Q_MAP, "kPa", map_spool);
	bench_add_constant(&b, "baro", Q_BARO, "kPa", 100);
	bench_measure(&b, CHECK_COMPRESSOR_FLOW);
	v = &b.out.list[0].value;
	CHECK_NEAR(v->t[0], (150 - 96) / 48.0, 0.051);
	ck_assert_double_ge(v->t[0], (150 - 96) / 48.0);
	CHECK_NEAR(v->v[0], 20, 1e-9);
	bench_end(&b);
	bench_begin(&b, 20, 2, 10, 2);
	set_edge(&b.car);
	bench_add_constant(&b, "maf", Q_MAF, "kg/h", 720);
	bench_add_constant(&b, "map", Q_MAP, "kPa", 140);
	bench_add_constant(&b, "baro", Q_BARO, "kPa", 100);
	bench_measure(&b, CHECK_COMPRESSOR_FLOW);
	bench_assert_refused(&b, "nowhere within the car file's compressor edge");
	bench_end(&b);
}
END_TEST

START_TEST(air_mass_must_be_a_mass)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	set_edge(&b.car);
	bench_add_constant(&b, "maf", Q_MAF, "V", 3);
	bench_add_constant(&b, "map", Q_MAP, "kPa", 200);
	bench_add_constant(&b, "baro", Q_BARO, "kPa", 100);
	bench_measure(&b, CHECK_COMPRESSOR_FLOW);
	bench_assert_refused(&b, "cannot be converted into kg/s");
	bench_end(&b);
}
END_TEST

/* From 50 degC, which is too little over the air, to 141.84585 degC (outside: ratio 2.5). */
static double compressor_out(double t)
{
	return t < 4 ? 50 : 141.84585;
}

static double compressor_out_f(double t)
{
	return compressor_out(t) * 1.8 + 32;
}

START_TEST(cooler_against_outside_numbers)
{
	struct bench_pull b;
	const struct series *v;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add(&b, "compressor out", Q_COMPRESSOR_OUT_TEMP, "degF", compressor_out_f);
	bench_add_constant(&b, "cooler out", Q_COOLER_OUT_TEMP, "degC", 50.46146);
	bench_add_constant(&b, "ambient", Q_AMBIENT_TEMP, "degC", 20);
	bench_measure(&b, CHECK_COOLER);
	ck_assert_uint_eq(b.out.count, 1);
	v = &b.out.list[0].value;
	CHECK_NEAR(v->t[0], 4, 1e-9);
	CHECK_NEAR(bench_value(&b, 0, 8.0), 75, 1e-4);	/* outside */
	bench_end(&b);
}
END_TEST

START_TEST(cooler_with_nothing_to_cool)
{
	struct bench_pull b;

	bench_begin(&b, 20, 2, 10, 2);
	bench_add_constant(&b, "compressor out", Q_COMPRESSOR_OUT_TEMP, "degC", 55);
	bench_add_constant(&b, "intake", Q_INTAKE_TEMP, "degC", 30);
	bench_add_constant(&b, "ambient", Q_AMBIENT_TEMP, "degC", 20);
	bench_measure(&b, CHECK_COOLER);
	bench_assert_refused(&b, "nowhere heats the air by 40 degC");
	bench_end(&b);
}
END_TEST

Suite *check_compressor_suite(void)
{
	Suite *s = suite_create("check_compressor");
	TCase *c = tcase_create("compressor");

	tcase_add_test(c, turbo_speed_is_a_share_of_the_highest_allowed);
	tcase_add_test(c, without_the_car_file_nothing_is_judged);
	tcase_add_test(c, pressure_ratio_against_outside_numbers);
	tcase_add_test(c, air_pressure_from_absolute_and_gauge);
	tcase_add_test(c, air_pressure_that_cannot_be);
	tcase_add_test(c, corrected_flow_against_outside_numbers);
	tcase_add_test(c, inlet_loss_and_reference_temperature);
	tcase_add_test(c, only_where_the_edge_is);
	tcase_add_test(c, air_mass_must_be_a_mass);
	suite_add_tcase(s, c);
	c = tcase_create("cooler");
	tcase_add_test(c, cooler_against_outside_numbers);
	tcase_add_test(c, cooler_with_nothing_to_cool);
	suite_add_tcase(s, c);
	return s;
}
