/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the checks of knock retard and of timing against a baseline. */
#include "check_util.h"

Suite *check_knock_suite(void);

#define RATE 20.0
#define PULL_S 8.0

/* 3 deg from 4 s to 5 s, else nothing. */
static double event(double t)
{
	return t >= 4 && t <= 5 ? 3 : 0;
}

static double event_negative(double t)
{
	return -event(t);
}

static void begin(struct bench_pull *b)
{
	bench_begin(b, RATE, 3, PULL_S, 3);
}

static struct channel *add_cylinder(struct bench_pull *b, int cylinder, double (*value)(double))
{
	char name[32];
	struct channel *ch;

	snprintf(name, sizeof name, "knock %d", cylinder);
	ch = bench_add(b, name, Q_KNOCK_RETARD, "deg", value);
	ch->index = cylinder;
	return ch;
}

static double none(double t)
{
	(void)t;
	return 0;
}

START_TEST(test_positive)
{
	struct bench_pull b;

	begin(&b);
	add_cylinder(&b, 0, event);
	bench_measure(&b, CHECK_KNOCK);
	ck_assert_uint_eq(b.out.count, 1);
	CHECK_NEAR(bench_value(&b, 0, 4.5), 3, 1e-12);
	CHECK_NEAR(bench_value(&b, 0, 2), 0, 1e-12);
	ck_assert_int_eq(b.out.list[0].relation, RELATION_VALUE);
	ck_assert_ptr_null(b.out.list[0].detail);
	CHECK_NEAR(b.out.list[0].value.t[0], 0, 1e-9);
	bench_end(&b);
}
END_TEST

/* The sign is the log's: a channel without knock of its own follows the others. */
START_TEST(test_negative)
{
	struct bench_pull b;

	begin(&b);
	add_cylinder(&b, 1, event_negative);
	add_cylinder(&b, 2, none);
	bench_measure(&b, CHECK_KNOCK);
	ck_assert_uint_eq(b.out.count, 2);
	CHECK_NEAR(bench_value(&b, 0, 4.5), 3, 1e-12);
	CHECK_NEAR(bench_value(&b, 1, 4.5), 0, 1e-12);
	ck_assert_int_eq(b.out.list[0].relation, RELATION_NEGATED);
	ck_assert_int_eq(b.out.list[1].relation, RELATION_NEGATED);
	ck_assert_str_eq(b.out.list[0].detail, "retard is negative in this log");
	bench_end(&b);
}
END_TEST

/* Knock outside of the pull tells the sign too. */
static double outside(double t)
{
	return t < -1 ? -4 : t > 5 && t < 5.3 ? -0.4 : 0;
}

START_TEST(test_sign_of_whole_log)
{
	struct bench_pull b;

	begin(&b);
	add_cylinder(&b, 1, outside);
	bench_measure(&b, CHECK_KNOCK);
	CHECK_NEAR(bench_highest(&b, 0), 0.4, 1e-12);
	CHECK_NEAR(bench_lowest(&b, 0), 0, 1e-12);
	bench_end(&b);
}
END_TEST

/* Learned +1 all along with 5 deg of the other sign for a moment: the larger counts. */
static double learned(double t)
{
	return t >= 4 && t <= 4.2 ? -5 : 1;
}

START_TEST(test_both_signs)
{
	struct bench_pull b;

	begin(&b);
	add_cylinder(&b, 1, learned);
	bench_measure(&b, CHECK_KNOCK);
	CHECK_NEAR(bench_value(&b, 0, 4.1), 5, 1e-12);
	CHECK_NEAR(bench_value(&b, 0, 2), -1, 1e-12);
	ck_assert_int_eq(b.out.list[0].relation, RELATION_NEGATED);
	ck_assert(strncmp(b.out.list[0].detail, "sign taken as negative", 22) == 0);
	bench_end(&b);
}
END_TEST

START_TEST(test_wrong_unit)
{
	struct bench_pull b;

	begin(&b);
	bench_add(&b, "knock", Q_KNOCK_RETARD, "V", event);
	bench_measure(&b, CHECK_KNOCK);
	bench_assert_refused(&b, "unit");
	bench_measure(&b, CHECK_KNOCK_ODD);
	bench_assert_refused(&b, "has 0");
	bench_end(&b);
}
END_TEST

static double common(double t)
{
	return t >= 4 && t <= 5 ? 2 : 0.5;
}

static double common_negative(double t)
{
	return -common(t);
}

static double worse_negative(double t)
{
	return t >= 4 && t <= 5 ? -6 : -0.5;
}

/* 6 against 2, 2 and 2: apart by 4; the others are under the median or at it. */
START_TEST(test_odd)
{
	struct bench_pull b;
	int k;

	begin(&b);
	for (k = 1; k <= 4; k++)
		add_cylinder(&b, k, k == 3 ? worse_negative : common_negative);
	bench_measure(&b, CHECK_KNOCK_ODD);
	ck_assert_uint_eq(b.out.count, 4);
	CHECK_NEAR(bench_value(&b, 2, 4.5), 4, 1e-12);
	CHECK_NEAR(bench_value(&b, 0, 4.5), 0, 1e-12);
	CHECK_NEAR(bench_value(&b, 2, 2), 0, 1e-12);
	ck_assert_int_eq(b.out.list[2].channel->index, 3);
	ck_assert_int_eq(b.out.list[2].relation, RELATION_NONE);
	bench_end(&b);
}
END_TEST

/* Of three the median of the others is their mean; polled in turn, each at its own times. */
START_TEST(test_odd_polled)
{
	struct bench_pull b;
	int k;

	begin(&b);
	for (k = 1; k <= 3; k++) {
		struct channel *ch = bench_add_polled(&b, k == 1 ? "a" : k == 2 ? "b" : "c",
						      Q_KNOCK_RETARD, "deg",
						      k == 2 ? worse_negative : none, 3,
						      (size_t)k - 1);

		ch->index = k;
	}
	bench_measure(&b, CHECK_KNOCK_ODD);
	ck_assert_uint_eq(b.out.count, 3);
	CHECK_NEAR(bench_value(&b, 1, 4.6), 6, 1e-9);
	CHECK_NEAR(bench_value(&b, 0, 4.6), -3, 1e-9);
	/* Neither end of the pull is lost: the others are known around it. */
	ck_assert(b.out.list[1].value.t[0] < 0.15);
	ck_assert(b.out.list[1].value.t[b.out.list[1].value.n - 1] > PULL_S - 0.15);
	bench_end(&b);
}
END_TEST

static double with_hole(double t)
{
	return t > 3.5 && t < 5.5 ? NAN : common(t);
}

/* Where only one other is known, none is odd. */
START_TEST(test_odd_missing)
{
	struct bench_pull b;
	const struct series *v;
	size_t i;

	begin(&b);
	add_cylinder(&b, 1, event);
	add_cylinder(&b, 2, common);
	add_cylinder(&b, 3, with_hole);
	bench_measure(&b, CHECK_KNOCK_ODD);
	v = &b.out.list[0].value;
	for (i = 0; i < v->n; i++)
		ck_assert(v->t[i] <= 3.5 + 1e-9 || v->t[i] >= 5.5 - 1e-9);
	bench_end(&b);
}
END_TEST

/* Cylinder 0 is all of them, and a cylinder that is there twice is one. */
START_TEST(test_odd_refused)
{
	struct bench_pull b;

	begin(&b);
	add_cylinder(&b, 0, event);
	add_cylinder(&b, 1, event);
	add_cylinder(&b, 2, none);
	bench_add(&b, "again", Q_KNOCK_RETARD, "deg", none)->index = 2;
	bench_measure(&b, CHECK_KNOCK_ODD);
	bench_assert_refused(&b, "at least 3 cylinders");
	bench_measure(&b, CHECK_KNOCK_ALL);
	ck_assert_str_eq(b.out.list[0].detail, "all 2 cylinders");
	bench_end(&b);
}
END_TEST

START_TEST(test_all)
{
	struct bench_pull b;

	begin(&b);
	add_cylinder(&b, 1, worse_negative);
	add_cylinder(&b, 2, common_negative);
	add_cylinder(&b, 3, event_negative);
	bench_measure(&b, CHECK_KNOCK_ALL);
	ck_assert_uint_eq(b.out.count, 1);
	CHECK_NEAR(bench_value(&b, 0, 4.5), 2, 1e-12);
	CHECK_NEAR(bench_value(&b, 0, 2), 0, 1e-12);
	ck_assert_str_eq(b.out.list[0].detail, "all 3 cylinders");
	ck_assert_int_eq(b.out.list[0].channel->index, 1);
	ck_assert_int_eq(b.out.list[0].relation, RELATION_NEGATED);
	bench_end(&b);
}
END_TEST

/* Where one cylinder is missing for long, nothing is said of all. */
START_TEST(test_all_missing)
{
	struct bench_pull b;
	const struct series *v;
	size_t i;

	begin(&b);
	add_cylinder(&b, 1, common);
	add_cylinder(&b, 2, with_hole);
	bench_measure(&b, CHECK_KNOCK_ALL);
	v = &b.out.list[0].value;
	for (i = 0; i < v->n; i++)
		ck_assert(v->t[i] <= 3.5 + 1e-9 || v->t[i] >= 5.5 - 1e-9);
	CHECK_NEAR(bench_highest(&b, 0), 0.5, 1e-12);
	bench_end(&b);
}
END_TEST

START_TEST(test_all_refused)
{
	struct bench_pull b;

	begin(&b);
	add_cylinder(&b, 1, event);
	bench_measure(&b, CHECK_KNOCK_ALL);
	bench_assert_refused(&b, "two cylinders");
	bench_end(&b);
}
END_TEST

/* Timing: by engine speed 10 deg + 2 deg per 1000 rpm over 2000 rpm. */
static double by_speed(double t)
{
	return 10 + 2 * (bench_rpm(t) - BENCH_RPM_AT_START) / 1000;
}

/* 4 deg less from 4500 rpm on. */
static double retarded(double t)
{
	return by_speed(t) - (bench_rpm(t) >= 4500 ? 4 : 0);
}

static double map_before(double t)
{
	(void)t;
	return 200;
}

/* 30 kPa more above 5500 rpm. */
static double map_after(double t)
{
	return bench_rpm(t) >= 5500 ? 230 : 209;
}

struct two {
	struct bench_pull before;
	struct bench_pull after;
};

/* The baseline begins 2 s later in its log, at another rate and with another pull length. */
static void begin_two(struct two *w)
{
	bench_begin(&w->before, 10, 5, 7, 1);
	bench_begin(&w->after, 20, 3, PULL_S, 1);
	bench_add(&w->after, "timing", Q_IGNITION, "deg", retarded);
}

static void compare(struct two *w)
{
	bench_scene(&w->before);
	w->after.baseline = &w->before.run;
	bench_measure(&w->after, CHECK_TIMING_AGAINST);
}

static void end_two(struct two *w)
{
	bench_end(&w->after);
	bench_end(&w->before);
}

START_TEST(test_against)
{
	struct two w;
	const struct series *v;

	begin_two(&w);
	bench_add(&w.before, "timing", Q_IGNITION, "deg", by_speed);
	bench_add(&w.before, "map", Q_MAP, "kPa", map_before);
	bench_add(&w.after, "map", Q_MAP, "kPa", map_after);
	compare(&w);
	ck_assert_uint_eq(w.after.out.count, 1);
	CHECK_NEAR(bench_value(&w.after, 0, 3), 0, 1e-6);
	CHECK_NEAR(bench_value(&w.after, 0, 6), 4, 1e-6);
	CHECK_NEAR(series_at(&w.after.out.list[0].reference, 6), by_speed(6), 1e-6);
	ck_assert_int_eq(w.after.out.list[0].relation, RELATION_BELOW);
	ck_assert_ptr_null(w.after.out.list[0].detail);
	/* Above 5500 rpm (7 s) the load is another, and there the baseline ends too. */
	v = &w.after.out.list[0].value;
	CHECK_NEAR(v->t[v->n - 1], 7, 0.051);
	end_two(&w);
}
END_TEST

/* Gauge boost serves where one log has no absolute pressure; psi is understood. */
START_TEST(test_against_boost)
{
	struct two w;

	begin_two(&w);
	bench_add(&w.before, "timing", Q_IGNITION, "deg", by_speed);
	bench_add_constant(&w.before, "boost", Q_BOOST, "kPa", 100);
	bench_add(&w.after, "map", Q_MAP, "kPa", map_after);
	bench_add_constant(&w.after, "boost", Q_BOOST, "psi", 109 / 6.894757293168361);
	compare(&w);
	CHECK_NEAR(bench_value(&w.after, 0, 6), 4, 1e-6);
	end_two(&w);

	begin_two(&w);
	bench_add(&w.before, "timing", Q_IGNITION, "deg", by_speed);
	bench_add_constant(&w.before, "boost", Q_BOOST, "kPa", 100);
	bench_add_constant(&w.after, "boost", Q_BOOST, "psi", 111 / 6.894757293168361);
	compare(&w);
	bench_assert_refused(&w.after, "load");
	end_two(&w);
}
END_TEST

START_TEST(test_against_no_load)
{
	struct two w;

	begin_two(&w);
	bench_add(&w.before, "timing", Q_IGNITION, "deg", by_speed);
	bench_add(&w.after, "map", Q_MAP, "kPa", map_after);
	compare(&w);
	CHECK_NEAR(bench_value(&w.after, 0, 6), 4, 1e-6);
	ck_assert(strstr(w.after.out.list[0].detail, "load was not compared") != NULL);
	end_two(&w);
}
END_TEST

START_TEST(test_against_refused)
{
	struct two w;

	begin_two(&w);
	bench_measure(&w.after, CHECK_TIMING_AGAINST);
	bench_assert_refused(&w.after, "no baseline was given");
	end_two(&w);

	begin_two(&w);
	compare(&w);
	bench_assert_refused(&w.after, "baseline has no ignition");
	end_two(&w);
}
END_TEST

Suite *check_knock_suite(void)
{
	Suite *s = suite_create("check_knock");
	TCase *t = tcase_create("check_knock");

	tcase_add_test(t, test_positive);
	tcase_add_test(t, test_negative);
	tcase_add_test(t, test_sign_of_whole_log);
	tcase_add_test(t, test_both_signs);
	tcase_add_test(t, test_wrong_unit);
	tcase_add_test(t, test_odd);
	tcase_add_test(t, test_odd_polled);
	tcase_add_test(t, test_odd_missing);
	tcase_add_test(t, test_odd_refused);
	tcase_add_test(t, test_all);
	tcase_add_test(t, test_all_missing);
	tcase_add_test(t, test_all_refused);
	tcase_add_test(t, test_against);
	tcase_add_test(t, test_against_boost);
	tcase_add_test(t, test_against_no_load);
	tcase_add_test(t, test_against_refused);
	suite_add_tcase(s, t);
	return s;
}
