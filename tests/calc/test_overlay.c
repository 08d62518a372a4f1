/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of runs and overlays: where zero is under each alignment, and what is common. */
#include "calc_util.h"

Suite *overlay_suite(void);

struct fixture {
	struct datalog *a, *b;
	struct overlay o;
};

/* A rises 500 rpm a second from 2000; B, 40 s on its own clock, 600 from 2300. */
static double rpm_a(double t)
{
	return 2000.0 + 500.0 * t;
}

static double rpm_b(double t)
{
	return 2300.0 + 600.0 * (t - 40.0);
}

static struct datalog *shifted_log(const char *path, double from, size_t rows)
{
	double *t = mem_array(rows, sizeof *t);
	struct datalog *log;
	size_t i;

	for (i = 0; i < rows; i++)
		t[i] = from + 0.05 * (double)i;
	log = make_log(path, t, rows);
	free(t);
	return log;
}

static void setup(struct fixture *f)
{
	f->a = shifted_log("a.csv", 0.0, 161);		/* 8 s: 2000 to 6000 */
	f->b = shifted_log("b.csv", 40.0, 121);		/* 6 s: 2300 to 5900 */
	put_function(f->a, "rpm", Q_RPM, "rpm", rpm_a);
	put_function(f->b, "rpm", Q_RPM, "rpm", rpm_b);
	f->o = (struct overlay){ .axis = AXIS_RPM, .align = ALIGN_CROSSING, .crossing = NAN };
	make_run(&f->o.a, f->a, 0, 160);
	make_run(&f->o.b, f->b, 0, 120);
}

static void teardown(struct fixture *f)
{
	overlay_release(&f->o);
	datalog_free(f->a);
	datalog_free(f->b);
}

/* Times of A and B that stand at position x of the time axis. */
static void check_at(const struct fixture *f, double x, double a, double b)
{
	CHECK_NEAR(axis_map_to_time(&f->o.a.by_time, x), a, 1e-9);
	CHECK_NEAR(axis_map_to_time(&f->o.b.by_time, x), b, 1e-9);
}

START_TEST(test_crossing_first_common)
{
	struct fixture f;

	setup(&f);
	ck_assert(overlay_align(&f.o));
	check_at(&f, 0.0, 0.6, 40.0);		/* 2300 rpm */
	check_at(&f, 1.0, 1.6, 41.0);
	teardown(&f);
}
END_TEST

START_TEST(test_crossing_given)
{
	struct fixture f;

	setup(&f);
	f.o.crossing = 3500.0;
	ck_assert(overlay_align(&f.o));
	check_at(&f, 0.0, 3.0, 42.0);
	ck_assert(overlay_align(&f.o));		/* again: the same */
	check_at(&f, 0.0, 3.0, 42.0);
	/* what only one of them reaches: starts together, and it says so */
	f.o.crossing = 5950.0;
	ck_assert(!overlay_align(&f.o));
	check_at(&f, 0.0, 0.0, 40.0);
	teardown(&f);
}
END_TEST

START_TEST(test_start_and_clock)
{
	struct fixture f;

	setup(&f);
	f.o.align = ALIGN_START;
	ck_assert(overlay_align(&f.o));
	check_at(&f, 0.0, 0.0, 40.0);
	f.o.align = ALIGN_CLOCK;
	ck_assert(overlay_align(&f.o));
	check_at(&f, 1.0, 1.0, NAN);
	check_at(&f, 41.0, NAN, 41.0);
	teardown(&f);
}
END_TEST

/* Nudged by half a second, what B has is seen half a second later. */
START_TEST(test_nudge)
{
	static const enum align modes[] = { ALIGN_CROSSING, ALIGN_START, ALIGN_MATCH, ALIGN_CLOCK };
	size_t i;

	for (i = 0; i < COUNT(modes); i++) {
		struct fixture f;
		double before;

		setup(&f);
		f.o.align = modes[i];
		ck_assert(overlay_align(&f.o));
		before = axis_map_to_position(&f.o.b.by_time, 42.0);
		f.o.nudge = 0.5;
		ck_assert(overlay_align(&f.o));
		CHECK_NEAR(axis_map_to_position(&f.o.b.by_time, 42.0), before + 0.5, 1e-9);
		f.o.nudge = -0.25;
		ck_assert(overlay_align(&f.o));
		CHECK_NEAR(axis_map_to_position(&f.o.b.by_time, 42.0), before - 0.25, 1e-9);
		/* the rpm axis does not move */
		CHECK_NEAR(axis_map_to_time(&f.o.b.by_rpm, 2300.0), 40.0, 1e-9);
		teardown(&f);
	}
}
END_TEST

static double s_curve(double t)
{
	return 3500.0 + 2000.0 * tanh(0.5 * (t - 4.0));
}

static double late_by;

static double s_curve_late(double t)
{
	return s_curve(t - late_by);
}

/* The same run recorded later by a known time: found to a step of 0.02 s. */
START_TEST(test_match)
{
	static const double late[] = { 0.0, 0.7, -0.46, 1.33, -2.1 };
	struct overlay o = { .align = ALIGN_MATCH, .crossing = NAN };
	struct datalog *a = shifted_log("a.csv", 0.0, 181);
	struct datalog *b = shifted_log("b.csv", 0.0, 181);

	late_by = late[_i];
	put_function(a, "rpm", Q_RPM, "rpm", s_curve);
	put_function(b, "rpm", Q_RPM, "rpm", s_curve_late);
	make_run(&o.a, a, 0, 180);
	make_run(&o.b, b, 0, 180);
	ck_assert(overlay_align(&o));
	CHECK_NEAR(axis_map_to_time(&o.b.by_time, 4.0) - axis_map_to_time(&o.a.by_time, 4.0),
		   late_by, 0.011);
	overlay_release(&o);
	datalog_free(a);
	datalog_free(b);
}
END_TEST

/* Without engine speed in common there is neither a crossing nor a match. */
START_TEST(test_nothing_common)
{
	struct fixture f;
	struct overlay o = { .align = ALIGN_CROSSING, .crossing = NAN };
	struct datalog *c;
	double from, to;

	setup(&f);
	c = shifted_log("c.csv", 7.0, 50);
	put_function(c, "other", Q_NONE, NULL, rpm_a);
	make_run(&o.a, f.a, 0, 20);		/* 2000 to 2500 */
	make_run(&o.b, f.b, 60, 120);		/* 4100 to 5900 */
	ck_assert(!overlay_align(&o));
	CHECK_NEAR(axis_map_to_time(&o.b.by_time, 0.0), 43.0, 1e-9);
	o.axis = AXIS_RPM;
	overlay_range(&o, true, &from, &to);
	ck_assert_double_nan(from);
	ck_assert_double_nan(to);
	overlay_range(&o, false, &from, &to);
	CHECK_NEAR(from, 2000.0, 1e-6);
	CHECK_NEAR(to, 5900.0, 1e-6);
	run_release(&o.b);
	make_run(&o.b, c, 0, 49);		/* no engine speed at all */
	ck_assert(!overlay_align(&o));
	o.align = ALIGN_MATCH;
	ck_assert(!overlay_align(&o));
	CHECK_NEAR(axis_map_to_time(&o.b.by_time, 0.0), 7.0, 1e-9);
	overlay_range(&o, true, &from, &to);
	ck_assert_double_nan(from);
	overlay_range(&o, false, &from, &to);
	CHECK_NEAR(from, 2000.0, 1e-6);
	overlay_release(&o);
	datalog_free(c);
	teardown(&f);
}
END_TEST

START_TEST(test_range)
{
	struct fixture f;
	double from, to;

	setup(&f);
	ck_assert(overlay_align(&f.o));
	overlay_range(&f.o, true, &from, &to);
	CHECK_NEAR(from, 2300.0, 1e-6);
	CHECK_NEAR(to, 5900.0, 1e-6);
	overlay_range(&f.o, false, &from, &to);
	CHECK_NEAR(from, 2000.0, 1e-6);
	CHECK_NEAR(to, 6000.0, 1e-6);
	f.o.axis = AXIS_TIME;
	overlay_range(&f.o, true, &from, &to);
	CHECK_NEAR(from, 0.0, 1e-9);
	CHECK_NEAR(to, 6.0, 1e-9);
	overlay_range(&f.o, false, &from, &to);
	CHECK_NEAR(from, -0.6, 1e-9);
	CHECK_NEAR(to, 7.4, 1e-9);
	/* A has no rpm axis: all is B's, nothing is common */
	f.o.axis = AXIS_RPM;
	axis_map_release(&f.o.a.by_rpm);
	overlay_range(&f.o, false, &from, &to);
	CHECK_NEAR(from, 2300.0, 1e-6);
	overlay_range(&f.o, true, &from, &to);
	ck_assert_double_nan(from);
	ck_assert_double_nan(to);
	teardown(&f);
}
END_TEST

/* One run alone: zero at its start, at a crossing, or on its clock. */
START_TEST(test_alone)
{
	struct fixture f;
	double from, to;

	setup(&f);
	run_release(&f.o.a);
	f.o.a = f.o.b;
	memset(&f.o.b, 0, sizeof f.o.b);
	ck_assert(!overlay_has_b(&f.o));
	ck_assert(overlay_align(&f.o));
	CHECK_NEAR(axis_map_to_time(&f.o.a.by_time, 0.0), 40.0, 1e-9);
	f.o.crossing = 3500.0;
	ck_assert(overlay_align(&f.o));
	CHECK_NEAR(axis_map_to_time(&f.o.a.by_time, 0.0), 42.0, 1e-9);
	f.o.align = ALIGN_CLOCK;
	ck_assert(overlay_align(&f.o));
	CHECK_NEAR(axis_map_to_time(&f.o.a.by_time, 42.0), 42.0, 1e-9);
	overlay_range(&f.o, true, &from, &to);
	CHECK_NEAR(from, 2300.0, 1e-6);
	overlay_release(&f.o);
	datalog_free(f.a);
	datalog_free(f.b);
}
END_TEST

/*
 * The whole log: all rows, from 0 at its first or by its own clock, and no rpm axis,
 * for it may hold anything.
 */
START_TEST(test_whole_log)
{
	const struct pulls none = PULLS_INIT;
	struct overlay o = { .align = ALIGN_CROSSING, .crossing = NAN };
	struct fixture f;

	setup(&f);
	ck_assert_int_eq(run_init(&o.a, f.b, &none, RUN_WHOLE, NULL), ERR_NONE);
	ck_assert_uint_eq(o.a.pull.first, 0);
	ck_assert_uint_eq(o.a.pull.last, 120);
	ck_assert_uint_eq(o.a.rpm.n, 121);
	ck_assert_uint_eq(o.a.by_rpm.n, 0);
	ck_assert(overlay_align(&o));
	ck_assert_double_eq(axis_map_to_time(&o.a.by_time, 0.0), o.a.pull.from_s);
	CHECK_NEAR(axis_map_to_time(&o.a.by_time, 1.5), 41.5, 1e-12);
	o.align = ALIGN_CLOCK;
	ck_assert(overlay_align(&o));
	ck_assert_double_eq(axis_map_to_time(&o.a.by_time, 41.5), 41.5);
	run_release(&o.a);
	teardown(&f);
}
END_TEST

START_TEST(test_run_errors)
{
	struct err e = ERR_INIT;
	struct pulls pulls = PULLS_INIT;
	struct fixture f;
	struct pull p;
	struct run r;

	setup(&f);
	ck_assert_int_eq(run_init(&r, f.a, &pulls, 1, &e), ERR_DATA);
	ck_assert_ptr_nonnull(strstr(e.text, "a.csv"));
	ck_assert_ptr_nonnull(strstr(e.text, "0 pulls"));
	ck_assert_ptr_nonnull(strstr(e.text, "@all"));
	p = whole_pull(f.a);
	pulls = (struct pulls){ &p, 1 };
	ck_assert_int_eq(run_init(&r, f.a, &pulls, 2, &e), ERR_DATA);
	ck_assert_ptr_nonnull(strstr(e.text, "1 pull,"));
	ck_assert_int_eq(run_init(&r, f.a, &pulls, 1, &e), ERR_NONE);
	run_release(&r);
	teardown(&f);
}
END_TEST

static double falling(double t)
{
	return 6000.0 - 100.0 * t;
}

/* A pull whose engine speed does not rise has no rpm axis, but it is a run all the same. */
START_TEST(test_falling)
{
	struct datalog *log = shifted_log("x.csv", 0.0, 50);
	struct run r;

	put_function(log, "rpm", Q_RPM, "rpm", falling);
	make_run(&r, log, 0, 49);
	ck_assert_uint_eq(r.by_rpm.n, 0);
	ck_assert_uint_eq(r.rpm.n, 50);
	CHECK_NEAR(axis_map_to(&r.by_time), 49 * 0.05, 1e-9);
	run_release(&r);
	datalog_free(log);
}
END_TEST

/* By the gears where both are known, else by the ratios, and only when they say so. */
START_TEST(test_same_gear)
{
	static const struct {
		int gear_a, gear_b;
		double ratio_a, ratio_b;
		bool same;
	} pulls[] = {
		{ 4, 4, 40, 60, true }, { 3, 4, 40, 40, false }, { 0, 4, 40, 41, true },
		{ 4, 0, 40, 52, false }, { 0, 0, 52, 40, false }, { 0, 0, NAN, 40, true },
		{ 3, 0, 40, NAN, true }, { 0, 0, NAN, NAN, true },
	};
	struct fixture f;
	size_t i;

	setup(&f);
	for (i = 0; i < COUNT(pulls); i++) {
		f.o.a.pull.gear = pulls[i].gear_a;
		f.o.b.pull.gear = pulls[i].gear_b;
		f.o.a.pull.ratio = pulls[i].ratio_a;
		f.o.b.pull.ratio = pulls[i].ratio_b;
		ck_assert_int_eq(overlay_same_gear(&f.o), pulls[i].same);
	}
	run_release(&f.o.b);
	ck_assert(overlay_same_gear(&f.o));
	teardown(&f);
}
END_TEST

/* Engine speed in turns a second comes to rpm. */
START_TEST(test_rpm_unit)
{
	static const double hz[] = { 50.0, 60.0, 70.0 };
	struct datalog *log = make_even_log("x.csv", 1.0, 3);
	struct run r;

	put_channel(log, "n", Q_RPM, "rps", hz);
	make_run(&r, log, 0, 2);
	CHECK_NEAR(axis_map_from(&r.by_rpm), 3000.0, 1e-9);
	CHECK_NEAR(axis_map_to(&r.by_rpm), 4200.0, 1e-9);
	run_release(&r);
	datalog_free(log);
}
END_TEST

START_TEST(test_names)
{
	enum align a;

	for (a = ALIGN_CROSSING; a <= ALIGN_CLOCK; a++) {
		enum align back = ALIGN_CLOCK;

		ck_assert(align_by_name(align_name(a), &back));
		ck_assert_int_eq(a, back);
	}
	ck_assert(!align_by_name("pedal", &a));
	ck_assert(!align_by_name("", &a));
}
END_TEST

Suite *overlay_suite(void)
{
	Suite *s = suite_create("overlay");
	TCase *t = tcase_create("overlay");

	tcase_add_test(t, test_crossing_first_common);
	tcase_add_test(t, test_crossing_given);
	tcase_add_test(t, test_start_and_clock);
	tcase_add_test(t, test_nudge);
	tcase_add_loop_test(t, test_match, 0, 5);
	tcase_add_test(t, test_nothing_common);
	tcase_add_test(t, test_range);
	tcase_add_test(t, test_alone);
	tcase_add_test(t, test_whole_log);
	tcase_add_test(t, test_run_errors);
	tcase_add_test(t, test_falling);
	tcase_add_test(t, test_same_gear);
	tcase_add_test(t, test_rpm_unit);
	tcase_add_test(t, test_names);
	suite_add_tcase(s, t);
	return s;
}
