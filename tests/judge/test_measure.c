/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of what a check sees of a pull, and of the common measures. */
#include "calc/calc_util.h"

#include "judge/measure.h"

Suite *measure_suite(void);

#define ROWS 201
#define STEP 0.05		/* s: the pull lasts 10 s and rises from 2000 to 7000 rpm */

struct stage {
	struct datalog *log;
	struct run run;
	struct car car;
	struct scene scene;
	struct measures out;
};

static double rpm_at(double t)
{
	return 2000 + 500 * t;
}

static void open_stage(struct stage *s)
{
	memset(s, 0, sizeof *s);
	car_init(&s->car);
	s->log = make_even_log("stage.csv", STEP, ROWS);
	put_function(s->log, "rpm", Q_RPM, "rpm", rpm_at);
}

static void set_scene(struct stage *s, size_t first, size_t last)
{
	make_run(&s->run, s->log, first, last);
	ck_assert_int_eq(scene_init(&s->scene, &s->run, NULL, &s->car, log_facts_find(s->log),
				    NULL), ERR_NONE);
}

static void close_stage(struct stage *s)
{
	measures_release(&s->out);
	scene_release(&s->scene);
	run_release(&s->run);
	datalog_free(s->log);
	car_release(&s->car);
}

static void measure(struct stage *s, enum check_id id)
{
	const struct check *c = check_get(id);

	measures_release(&s->out);
	ck_assert_int_eq(c->measure(c, &s->scene, &s->out, NULL), ERR_NONE);
}

static double value_at(const struct stage *s, size_t measure, double t)
{
	ck_assert_uint_lt(measure, s->out.count);
	return series_at(&s->out.list[measure].value, t);
}

static double spooling(double t)
{
	return t < 4 ? 40 * t : 160;
}

static double steady_target(double t)
{
	(void)t;
	return 160;
}

static double never_there(double t)
{
	return t < 4 ? 20 * t : 80;
}

/* Near enough are 8 of 160 kPa: 152 kPa come at 3.8 s. */
START_TEST(test_spool_by_target)
{
	struct stage s;

	open_stage(&s);
	put_function(s.log, "boost", Q_BOOST, "kPa", spooling);
	put_function(s.log, "target", Q_BOOST_TARGET, "kPa", steady_target);
	set_scene(&s, 0, ROWS - 1);
	CHECK_NEAR(s.scene.spooled_s, 3.8, STEP);
	close_stage(&s);
}
END_TEST

/* A touch of the target that does not last is no end of the spool. */
START_TEST(test_spool_must_stay)
{
	double boost[ROWS];
	struct stage s;
	size_t i;

	open_stage(&s);
	for (i = 0; i < ROWS; i++)
		boost[i] = spooling(STEP * (double)i);
	boost[30] = boost[31] = 170;
	put_channel(s.log, "boost", Q_BOOST, "kPa", boost);
	put_function(s.log, "target", Q_BOOST_TARGET, "kPa", steady_target);
	set_scene(&s, 0, ROWS - 1);
	CHECK_NEAR(s.scene.spooled_s, 3.8, STEP);
	close_stage(&s);
}
END_TEST

/* A boost that never comes near is judged from 60 % of the engine speeds on. */
START_TEST(test_spool_given_up)
{
	struct stage s;

	open_stage(&s);
	put_function(s.log, "boost", Q_BOOST, "kPa", never_there);
	put_function(s.log, "target", Q_BOOST_TARGET, "kPa", steady_target);
	set_scene(&s, 0, ROWS - 1);
	CHECK_NEAR(rpm_at(s.scene.spooled_s), 5000, 30);
	close_stage(&s);
}
END_TEST

/* Without a target 95 % of the highest; psi and absolute pressure are understood. */
START_TEST(test_spool_by_highest)
{
	double map[ROWS];
	struct stage s;
	size_t i;

	open_stage(&s);
	for (i = 0; i < ROWS; i++)
		map[i] = (spooling(STEP * (double)i) + 100) / 6.894757293168361;
	put_channel(s.log, "map", Q_MAP, "psi", map);
	set_scene(&s, 0, ROWS - 1);
	CHECK_NEAR(s.scene.spooled_s, 3.8, STEP);
	CHECK_NEAR(series_at(&s.scene.boost, 9.0), 160, 1e-9);
	close_stage(&s);
}
END_TEST

START_TEST(test_scene_without_boost)
{
	struct stage s;

	open_stage(&s);
	set_scene(&s, 20, 100);
	CHECK_NEAR(s.scene.spooled_s, NAN, 0);
	ck_assert_uint_eq(s.scene.boost.n, 0);
	CHECK_NEAR(s.scene.from_s, 1.0, 1e-9);
	CHECK_NEAR(scene_rpm(&s.scene, 3.0), rpm_at(3.0), 1e-6);
	/* Around the pull as logged, beyond the log nothing. */
	CHECK_NEAR(scene_rpm(&s.scene, 8.0), rpm_at(8.0), 1e-6);
	CHECK_NEAR(scene_rpm(&s.scene, 11.0), NAN, 0);
	close_stage(&s);
}
END_TEST

START_TEST(test_injection)
{
	struct stage s;

	open_stage(&s);
	put_function(s.log, "rail", Q_RAIL_PRESSURE, "bar", steady_target);
	set_scene(&s, 0, ROWS - 1);
	ck_assert(s.scene.direct_injection);
	scene_release(&s.scene);
	s.car.injection = INJECTION_PORT;
	ck_assert_int_eq(scene_init(&s.scene, &s.run, NULL, &s.car, log_facts_find(s.log),
				    NULL), ERR_NONE);
	ck_assert(!s.scene.direct_injection);
	close_stage(&s);
}
END_TEST

/* Spans end with the section: what comes behind a jump of the clock is another story. */
START_TEST(test_span_keeps_to_section)
{
	const struct channel *ch;
	struct series v;
	struct stage s;

	open_stage(&s);
	ch = put_function(s.log, "lambda", Q_LAMBDA, "lambda", steady_target);
	free(s.log->sections);
	s.log->sections = mem_array(2, sizeof *s.log->sections);
	s.log->sections[1].first = 120;
	s.log->section_count = 2;
	set_scene(&s, 40, 100);
	ck_assert_int_eq(scene_load_span(&s.scene, ch, "lambda", -5, 50, &v, NULL), ERR_NONE);
	ck_assert_uint_eq(v.n, 120);
	series_release(&v);
	ck_assert_int_eq(scene_load_span(&s.scene, ch, "lambda", 2.0, 2.5, &v, NULL), ERR_NONE);
	ck_assert_uint_eq(v.n, 11);
	series_release(&v);
	ck_assert_int_eq(scene_load(&s.scene, ch, "kPa", &v, NULL), ERR_NONE);
	ck_assert_uint_eq(v.n, 0);
	close_stage(&s);
}
END_TEST

static double warm(double t)
{
	return 68 + 9 * t;	/* degF: 20 degC, and 5 K a second */
}

START_TEST(test_value_and_rise)
{
	struct stage s;

	open_stage(&s);
	put_function(s.log, "iat", Q_INTAKE_TEMP, "degF", warm);
	set_scene(&s, 0, ROWS - 1);
	measure(&s, CHECK_INTAKE_TEMP);
	CHECK_NEAR(value_at(&s, 0, 4.0), 40, 1e-9);
	ck_assert_int_eq(s.out.list[0].relation, RELATION_VALUE);
	/* Over its mean of the first half second, which is 21.25 degC. */
	measure(&s, CHECK_INTAKE_RISE);
	CHECK_NEAR(value_at(&s, 0, 4.0), 40 - 21.25, 1e-9);
	close_stage(&s);
}
END_TEST

static double mixture(double t)
{
	return 0.80 + 0.01 * t;
}

static double wanted(double t)
{
	(void)t;
	return 0.82;
}

static double half(double t)
{
	(void)t;
	return 80;
}

static double falling(double t)
{
	return 100 - 2 * t;
}

static double ten(double t)
{
	(void)t;
	return 10;
}

/* The differences in the check's unit, the share in per cent of the target, bar against MPa. */
START_TEST(test_against_reference)
{
	struct stage s;

	open_stage(&s);
	put_function(s.log, "lambda", Q_LAMBDA, "lambda", mixture);
	put_function(s.log, "lambda target", Q_LAMBDA_TARGET, "lambda", wanted);
	put_function(s.log, "rail", Q_RAIL_PRESSURE, "bar", half);
	put_function(s.log, "rail target", Q_RAIL_TARGET, "MPa", ten);
	set_scene(&s, 0, ROWS - 1);
	measure(&s, CHECK_LEAN_OF_TARGET);
	CHECK_NEAR(value_at(&s, 0, 5.0), 0.85 - 0.82, 1e-9);
	ck_assert_int_eq(s.out.list[0].relation, RELATION_ABOVE);
	CHECK_NEAR(series_at(&s.out.list[0].reference, 5.0), 0.82, 1e-9);
	measure(&s, CHECK_RICH_OF_TARGET);
	CHECK_NEAR(value_at(&s, 0, 1.0), 0.82 - 0.81, 1e-9);
	ck_assert_int_eq(s.out.list[0].relation, RELATION_BELOW);
	measure(&s, CHECK_RAIL);
	CHECK_NEAR(value_at(&s, 0, 5.0), 20, 1e-9);
	CHECK_NEAR(series_at(&s.out.list[0].reference, 5.0), 100, 1e-9);
	ck_assert_int_eq(s.out.list[0].relation, RELATION_SHARE_BELOW);
	close_stage(&s);
}
END_TEST

/* Each bank against its own target. */
START_TEST(test_banks)
{
	struct stage s;

	open_stage(&s);
	put_function(s.log, "lambda 1", Q_LAMBDA, "lambda", mixture)->index = 1;
	put_function(s.log, "lambda 2", Q_LAMBDA, "lambda", wanted)->index = 2;
	put_function(s.log, "target 1", Q_LAMBDA_TARGET, "lambda", wanted)->index = 1;
	put_function(s.log, "target 2", Q_LAMBDA_TARGET, "lambda", mixture)->index = 2;
	set_scene(&s, 0, ROWS - 1);
	measure(&s, CHECK_LEAN_OF_TARGET);
	ck_assert_uint_eq(s.out.count, 2);
	CHECK_NEAR(value_at(&s, 0, 5.0), 0.03, 1e-9);
	CHECK_NEAR(value_at(&s, 1, 5.0), -0.03, 1e-9);
	close_stage(&s);
}
END_TEST

/* It falls by 2 a second from 100: the mean over 0.6 s at its start is 99.7. */
START_TEST(test_share_fallen)
{
	struct stage s;

	open_stage(&s);
	put_function(s.log, "oil", Q_OIL_PRESSURE, "psi", falling);
	set_scene(&s, 0, ROWS - 1);
	measure(&s, CHECK_OIL_FALLS);
	CHECK_NEAR(value_at(&s, 0, 5.0), 100 * (99.7 - 90) / 99.7, 1e-6);
	close_stage(&s);
}
END_TEST

/* A unit that cannot be converted is said, not guessed. */
START_TEST(test_wrong_unit)
{
	struct stage s;

	open_stage(&s);
	put_function(s.log, "egt", Q_EGT, "V", half);
	set_scene(&s, 0, ROWS - 1);
	measure(&s, CHECK_EXHAUST_TEMP);
	ck_assert_uint_eq(s.out.count, 0);
	ck_assert_ptr_nonnull(strstr(s.out.why_not, "egt"));
	close_stage(&s);
}
END_TEST

START_TEST(test_smooth)
{
	static const double t[] = { 0.0, 0.1, 0.2, 0.3, 1.0 };
	static const double v[] = { 1.0, 2.0, 6.0, 1.0, 9.0 };
	struct series s;

	make_series(&s, t, v, 5, false);
	ck_assert_int_eq(measure_smooth(&s, 0.2, NULL), ERR_NONE);
	CHECK_NEAR(s.v[0], 1.5, 1e-12);
	CHECK_NEAR(s.v[1], 3.0, 1e-12);
	CHECK_NEAR(s.v[2], 3.0, 1e-12);
	CHECK_NEAR(s.v[3], 3.5, 1e-12);
	CHECK_NEAR(s.v[4], 9.0, 1e-12);
	series_release(&s);
}
END_TEST

/* What a logger writes for "no value" is out of the mean as soon as it is out of the window. */
START_TEST(test_smooth_absurd_value)
{
	static const double t[] = { 0.0, 0.1, 0.2, 0.3, 0.4, 0.5 };
	static const double v[] = { 1.0, 3.4e38, 2.0, 3.0, 4.0, 5.0 };
	struct series s;

	make_series(&s, t, v, 6, false);
	ck_assert_int_eq(measure_smooth(&s, 0.2, NULL), ERR_NONE);
	CHECK_NEAR(s.v[3], 3.0, 1e-12);
	CHECK_NEAR(s.v[4], 4.0, 1e-12);
	CHECK_NEAR(s.v[5], 4.5, 1e-12);
	series_release(&s);
}
END_TEST

Suite *measure_suite(void)
{
	Suite *s = suite_create("measure");
	TCase *t = tcase_create("measure");

	tcase_add_test(t, test_spool_by_target);
	tcase_add_test(t, test_spool_must_stay);
	tcase_add_test(t, test_spool_given_up);
	tcase_add_test(t, test_spool_by_highest);
	tcase_add_test(t, test_scene_without_boost);
	tcase_add_test(t, test_injection);
	tcase_add_test(t, test_span_keeps_to_section);
	tcase_add_test(t, test_value_and_rise);
	tcase_add_test(t, test_against_reference);
	tcase_add_test(t, test_banks);
	tcase_add_test(t, test_share_fallen);
	tcase_add_test(t, test_wrong_unit);
	tcase_add_test(t, test_smooth);
	tcase_add_test(t, test_smooth_absurd_value);
	suite_add_tcase(s, t);
	return s;
}
