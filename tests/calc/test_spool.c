/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of spooling: a boost that is a known ramp reaches each level where it must. */
#include "calc/delta.h"
#include "calc_util.h"

Suite *spool_suite(void);

struct fixture {
	struct datalog *a, *b;
	struct overlay o;
};

/* Both pulls: 2000 rpm and 500 more each second, for 10 s; B's clock is 100 s on. */
static double rpm_a(double t)
{
	return 2000.0 + 500.0 * t;
}

static double rpm_b(double t)
{
	return rpm_a(t - 100.0);
}

/* A: from -10 kPa at the start, 40 a second, up to 150 after 4 s. */
static double boost_a(double t)
{
	return fmin(-10.0 + 40.0 * t, 150.0);
}

/* B: the same a second later, and up to 200 in bar. */
static double boost_b(double t)
{
	return 0.01 * fmin(-50.0 + 40.0 * (t - 100.0), 200.0);
}

static struct datalog *log_from(const char *path, double start)
{
	double t[201];
	size_t i;

	for (i = 0; i < 201; i++)
		t[i] = start + 0.05 * (double)i;
	return make_log(path, t, 201);
}

static void setup(struct fixture *f)
{
	f->a = log_from("a.csv", 0.0);
	f->b = log_from("b.csv", 100.0);
	put_function(f->a, "rpm", Q_RPM, "rpm", rpm_a);
	put_function(f->a, "boost", Q_BOOST, "kPa", boost_a);
	put_function(f->b, "rpm", Q_RPM, "rpm", rpm_b);
	put_function(f->b, "boost", Q_BOOST, "bar", boost_b);
	f->o = (struct overlay){ .axis = AXIS_RPM, .align = ALIGN_CROSSING, .crossing = NAN };
	make_run(&f->o.a, f->a, 0, 200);
	make_run(&f->o.b, f->b, 0, 200);
	ck_assert(overlay_align(&f->o));
}

static void teardown(struct fixture *f)
{
	overlay_release(&f->o);
	datalog_free(f->a);
	datalog_free(f->b);
}

static size_t compute(const struct fixture *f, struct spool_line *lines)
{
	size_t count = 99;

	ck_assert_int_eq(spool_compute(&f->o, lines, &count, NULL), ERR_NONE);
	return count;
}

START_TEST(test_ramp)
{
	/* kPa; seconds since the start: A (level + 10) / 40, B (level + 50) / 40 */
	static const struct {
		double level, share;
	} want[SPOOL_LINES] = { { 50, NAN }, { 100, NAN }, { 75, 0.5 }, { 135, 0.9 } };
	struct spool_line lines[SPOOL_LINES];
	struct fixture f;
	size_t i;

	setup(&f);
	ck_assert_uint_eq(compute(&f, lines), SPOOL_LINES);
	for (i = 0; i < SPOOL_LINES; i++) {
		const double a = (want[i].level + 10.0) / 40.0;
		const double b = (want[i].level + 50.0) / 40.0;

		CHECK_NEAR(lines[i].level, want[i].level, 1e-9);
		CHECK_NEAR(lines[i].share, want[i].share, 0.0);
		CHECK_NEAR(lines[i].seconds_a, a, 1e-9);
		CHECK_NEAR(lines[i].seconds_b, b, 1e-9);
		CHECK_NEAR(lines[i].rpm_a, 2000.0 + 500.0 * a, 1e-6);
		CHECK_NEAR(lines[i].rpm_b, 2000.0 + 500.0 * b, 1e-6);
	}
	teardown(&f);
}
END_TEST

/* Seconds count from where the time axis has its zero; rpm do not move with it. */
START_TEST(test_zero)
{
	struct spool_line lines[SPOOL_LINES];
	struct fixture f;

	setup(&f);
	f.o.crossing = 2500.0;
	f.o.nudge = 0.25;
	ck_assert(overlay_align(&f.o));
	ck_assert_uint_eq(compute(&f, lines), SPOOL_LINES);
	CHECK_NEAR(lines[0].seconds_a, 1.5 - 1.0, 1e-9);
	CHECK_NEAR(lines[0].seconds_b, 2.5 - 1.0 + 0.25, 1e-9);
	CHECK_NEAR(lines[0].rpm_a, 2750.0, 1e-6);
	CHECK_NEAR(lines[0].rpm_b, 3250.0, 1e-6);
	teardown(&f);
}
END_TEST

/* What B never reaches has no place; without B it has none at all. */
START_TEST(test_not_reached)
{
	struct spool_line lines[SPOOL_LINES];
	struct overlay alone;
	struct fixture f;
	struct overlay swapped;
	size_t count, i;

	setup(&f);
	swapped = f.o;
	swapped.a = f.o.b;
	swapped.b = f.o.a;
	ck_assert_int_eq(spool_compute(&swapped, lines, &count, NULL), ERR_NONE);
	ck_assert_uint_eq(count, 4);
	CHECK_NEAR(lines[3].level, 180.0, 1e-9);	/* 90 % of 200; the other has 150 */
	CHECK_NEAR(lines[3].seconds_a, 230.0 / 40.0, 1e-9);
	ck_assert_double_nan(lines[3].rpm_b);
	ck_assert_double_nan(lines[3].seconds_b);
	alone = f.o;
	memset(&alone.b, 0, sizeof alone.b);
	ck_assert_int_eq(spool_compute(&alone, lines, &count, NULL), ERR_NONE);
	ck_assert_uint_eq(count, 4);
	for (i = 0; i < count; i++) {
		ck_assert(!isnan(lines[i].rpm_a));
		ck_assert_double_nan(lines[i].rpm_b);
		ck_assert_double_nan(lines[i].seconds_b);
	}
	teardown(&f);
}
END_TEST

/* Without gauge boost, or with one that is no pressure, there is nothing to say. */
START_TEST(test_no_boost)
{
	struct spool_line lines[SPOOL_LINES];
	struct fixture f;

	setup(&f);
	f.a->channels[1].unit = NULL;
	ck_assert_uint_eq(compute(&f, lines), 0);
	f.a->channels[1].unit = unit_find("kPa", NULL);
	f.a->channels[1].quantity = quantity_get(Q_MAP);
	ck_assert_uint_eq(compute(&f, lines), 0);
	/* only B lacks it */
	f.a->channels[1].quantity = quantity_get(Q_BOOST);
	f.b->channels[1].quantity = quantity_get(Q_NONE);
	ck_assert_uint_eq(compute(&f, lines), 4);
	ck_assert_double_nan(lines[0].rpm_b);
	CHECK_NEAR(lines[0].rpm_a, 2750.0, 1e-6);
	teardown(&f);
}
END_TEST

/* A pull that never makes boost reaches no level, and no share of a vacuum is one. */
static double vacuum(double t)
{
	return -60.0 + t;
}

START_TEST(test_vacuum)
{
	struct overlay o = { .axis = AXIS_RPM, .align = ALIGN_START, .crossing = NAN };
	struct datalog *log = log_from("a.csv", 0.0);
	struct spool_line lines[SPOOL_LINES];
	size_t count, i;

	put_function(log, "rpm", Q_RPM, "rpm", rpm_a);
	put_function(log, "boost", Q_BOOST, "kPa", vacuum);
	make_run(&o.a, log, 0, 200);
	ck_assert_int_eq(spool_compute(&o, lines, &count, NULL), ERR_NONE);
	for (i = 0; i < count; i++) {
		ck_assert_msg(isnan(lines[i].rpm_a), "%g kPa is said to be reached at %g rpm",
			      lines[i].level, lines[i].rpm_a);
		ck_assert_double_nan(lines[i].seconds_a);
	}
	overlay_release(&o);
	datalog_free(log);
}
END_TEST

Suite *spool_suite(void)
{
	Suite *s = suite_create("spool");
	TCase *t = tcase_create("spool");

	tcase_add_test(t, test_ramp);
	tcase_add_test(t, test_zero);
	tcase_add_test(t, test_not_reached);
	tcase_add_test(t, test_no_boost);
	tcase_add_test(t, test_vacuum);
	suite_add_tcase(s, t);
	return s;
}
