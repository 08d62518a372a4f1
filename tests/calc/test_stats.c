/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Tests of the statistics of a span.  Reference values from outside are in
 * tests/outside; here are the definitions: what counts as in the span, what the
 * ends do, what holes and steps do, which fields are missing when.
 */
#include "calc/stats.h"
#include "calc_util.h"

Suite *stats_suite(void);

static struct stats span_of(const struct series *s, const struct axis_map *m,
			    const struct series *rpm, double from, double to)
{
	struct stats st;

	ck_assert_int_eq(stats_span(s, m, rpm, from, to, &st, NULL), ERR_NONE);
	return st;
}

START_TEST(test_table)
{
	int f, g;

	for (f = 0; f < STATS_FIELDS; f++) {
		const struct stats_info *info = stats_info((enum stats_field)f);

		ck_assert_ptr_nonnull(info->key);
		ck_assert_uint_le(strlen(info->title), 9);
		for (g = 0; g < f; g++)
			ck_assert_str_ne(info->key, stats_info((enum stats_field)g)->key);
	}
}
END_TEST

START_TEST(test_values_few)
{
	static const double one[] = { 7.0 };
	static const double same[] = { 0.1, 0.1, 0.1 };
	struct stats st;
	int f;

	ck_assert_int_eq(stats_values(NULL, 0, &st, NULL), ERR_NONE);
	for (f = 0; f < STATS_FIELDS; f++)
		CHECK_NEAR(st.field[f], f == STATS_N ? 0.0 : NAN, 0.0);
	ck_assert_int_eq(stats_values(one, 1, &st, NULL), ERR_NONE);
	ck_assert_double_eq(st.field[STATS_MEAN], 7.0);
	ck_assert_double_eq(st.field[STATS_P05], 7.0);
	ck_assert_double_eq(st.field[STATS_CHANGE], 0.0);
	ck_assert_double_nan(st.field[STATS_SD]);
	ck_assert_double_nan(st.field[STATS_LAG1]);
	ck_assert_double_nan(st.field[STATS_MIN_AT]);
	ck_assert_int_eq(stats_values(same, 3, &st, NULL), ERR_NONE);
	ck_assert_double_eq(st.field[STATS_MEAN], 0.1);
	ck_assert_double_eq(st.field[STATS_SD], 0.0);
	ck_assert_double_nan(st.field[STATS_LAG1]);
}
END_TEST

/* Five samples a second apart, a span that takes three of them and two half pieces. */
START_TEST(test_span_ends)
{
	static const double t[] = { 10, 11, 12, 13, 14 };
	static const double v[] = { 5, 1, 9, 3, 7 };
	struct series s;
	struct axis_map m;
	struct stats st;

	make_series(&s, t, v, 5, false);
	axis_map_time(&m, 10.0, 14.0, 10.0);
	st = span_of(&s, &m, NULL, 0.5, 3.5);
	ck_assert_double_eq(st.field[STATS_N], 3);
	ck_assert_double_eq(st.field[STATS_MIN], 1);
	ck_assert_double_eq(st.field[STATS_MIN_AT], 1);
	ck_assert_double_eq(st.field[STATS_MAX], 9);
	ck_assert_double_eq(st.field[STATS_MAX_AT], 2);
	ck_assert_double_eq(st.field[STATS_FIRST], 1);
	ck_assert_double_eq(st.field[STATS_LAST], 3);
	ck_assert_double_eq(st.field[STATS_CHANGE], 2);
	/* 3 to 1 over half a second, 1-9, 9-3, then 3 to 5 over half a second */
	CHECK_NEAR(st.field[STATS_INTEGRAL], 1.0 + 5.0 + 6.0 + 2.0, 1e-12);
	CHECK_NEAR(st.field[STATS_TIME_MEAN], 14.0 / 3.0, 1e-12);
	CHECK_NEAR(st.field[STATS_SLOPE_PER_S], 1.0, 1e-12);
	ck_assert_double_nan(st.field[STATS_SLOPE_PER_KRPM]);
	/* both ends on samples: both are in */
	st = span_of(&s, &m, NULL, 1.0, 3.0);
	ck_assert_double_eq(st.field[STATS_N], 3);
	/* between two samples: none, but the mean over time is there */
	st = span_of(&s, &m, NULL, 1.25, 1.75);
	ck_assert_double_eq(st.field[STATS_N], 0);
	ck_assert_double_nan(st.field[STATS_MEAN]);
	CHECK_NEAR(st.field[STATS_TIME_MEAN], 5.0, 1e-12);
	CHECK_NEAR(st.field[STATS_INTEGRAL], 2.5, 1e-12);
	/* no width: a sample, and no area */
	st = span_of(&s, &m, NULL, 2.0, 2.0);
	ck_assert_double_eq(st.field[STATS_N], 1);
	ck_assert_double_eq(st.field[STATS_MEAN], 9);
	ck_assert_double_nan(st.field[STATS_TIME_MEAN]);
	ck_assert_double_nan(st.field[STATS_INTEGRAL]);
	ck_assert_double_nan(st.field[STATS_SLOPE_PER_S]);
	series_release(&s);
	axis_map_release(&m);
}
END_TEST

/* Cut to what the map covers, and nothing where it covers nothing. */
START_TEST(test_span_outside)
{
	static const double t[] = { 0, 1, 2, 3 };
	static const double v[] = { 1, 2, 3, 4 };
	static const double spans[][2] = {
		{ 3.5, 9.0 }, { -9.0, -0.1 }, { 2.0, 1.0 }, { INFINITY, INFINITY },
	};
	const struct axis_map none = AXIS_MAP_INIT;
	struct series s;
	struct axis_map m;
	struct stats st;
	size_t i;
	int f;

	make_series(&s, t, v, 4, false);
	axis_map_time(&m, 0.0, 3.0, 0.0);
	st = span_of(&s, &m, NULL, -100.0, 100.0);
	ck_assert_double_eq(st.field[STATS_N], 4);
	CHECK_NEAR(st.field[STATS_INTEGRAL], 7.5, 1e-12);
	for (i = 0; i < COUNT(spans) + 1; i++) {
		st = i < COUNT(spans) ? span_of(&s, &m, NULL, spans[i][0], spans[i][1]) :
			span_of(&s, &none, NULL, 0.0, 1.0);
		for (f = 0; f < STATS_FIELDS; f++)
			CHECK_NEAR(st.field[f], f == STATS_N ? 0.0 : NAN, 0.0);
	}
	series_release(&s);
	axis_map_release(&m);
}
END_TEST

/* A series that begins late and ends early: only where it is, time counts. */
START_TEST(test_short_series)
{
	static const double t[] = { 4, 5, 6 };
	static const double v[] = { 1, 2, 3 };
	struct series s;
	struct axis_map m;
	struct stats st;

	make_series(&s, t, v, 3, false);
	axis_map_time(&m, 0.0, 10.0, 0.0);
	st = span_of(&s, &m, NULL, 0.0, 10.0);
	ck_assert_double_eq(st.field[STATS_N], 3);
	CHECK_NEAR(st.field[STATS_INTEGRAL], 4.0, 1e-12);
	CHECK_NEAR(st.field[STATS_TIME_MEAN], 2.0, 1e-12);
	st = span_of(&s, &m, NULL, 0.0, 3.0);
	ck_assert_double_eq(st.field[STATS_N], 0);
	ck_assert_double_nan(st.field[STATS_INTEGRAL]);
	series_release(&s);
	axis_map_release(&m);
}
END_TEST

/* Samples at 0..4 and 20..24: the hole of 16 s counts for no time and no area. */
START_TEST(test_hole)
{
	static const double t[] = { 0, 1, 2, 3, 4, 20, 21, 22, 23, 24 };
	static const double v[] = { 2, 2, 2, 2, 2, 6, 6, 6, 6, 6 };
	struct series s;
	struct axis_map m;
	struct stats st;

	make_series(&s, t, v, 10, false);
	axis_map_time(&m, 0.0, 24.0, 0.0);
	st = span_of(&s, &m, NULL, 0.0, 24.0);
	ck_assert_double_eq(st.field[STATS_N], 10);
	CHECK_NEAR(st.field[STATS_INTEGRAL], 8.0 + 24.0, 1e-12);
	CHECK_NEAR(st.field[STATS_TIME_MEAN], 4.0, 1e-12);
	/* from within the hole */
	st = span_of(&s, &m, NULL, 10.0, 21.0);
	ck_assert_double_eq(st.field[STATS_N], 2);
	CHECK_NEAR(st.field[STATS_INTEGRAL], 6.0, 1e-12);
	/* to within the hole, and wholly within it */
	st = span_of(&s, &m, NULL, 3.5, 10.0);
	CHECK_NEAR(st.field[STATS_INTEGRAL], 1.0, 1e-12);
	st = span_of(&s, &m, NULL, 6.0, 10.0);
	ck_assert_double_eq(st.field[STATS_N], 0);
	ck_assert_double_nan(st.field[STATS_TIME_MEAN]);
	series_release(&s);
	axis_map_release(&m);
}
END_TEST

/* A gear: held until the next sample, so its mean over time is no trapezoid. */
START_TEST(test_stepped)
{
	static const double t[] = { 0, 1, 2, 3 };
	static const double v[] = { 3, 3, 4, 4 };
	struct series s;
	struct axis_map m;
	struct stats st;

	make_series(&s, t, v, 4, true);
	axis_map_time(&m, 0.0, 3.0, 0.0);
	st = span_of(&s, &m, NULL, 0.5, 2.75);
	CHECK_NEAR(st.field[STATS_INTEGRAL], 0.5 * 3 + 1.0 * 3 + 0.75 * 4, 1e-12);
	CHECK_NEAR(st.field[STATS_TIME_MEAN], 7.5 / 2.25, 1e-12);
	series_release(&s);
	axis_map_release(&m);
}
END_TEST

/* Where the same value comes twice, the first place counts. */
START_TEST(test_first_of_equals)
{
	static const double t[] = { 0, 1, 2, 3, 4 };
	static const double v[] = { 5, 9, 1, 9, 1 };
	struct series s;
	struct axis_map m;
	struct stats st;

	make_series(&s, t, v, 5, false);
	axis_map_time(&m, 0.0, 4.0, -100.0);
	st = span_of(&s, &m, NULL, 0.0, 200.0);
	ck_assert_double_eq(st.field[STATS_MAX_AT], 101.0);
	ck_assert_double_eq(st.field[STATS_MIN_AT], 102.0);
	series_release(&s);
	axis_map_release(&m);
}
END_TEST

/* On the rpm axis: the span means times, positions are rpm, the slope is per 1000 of it. */
START_TEST(test_rpm_axis)
{
	double t[101], v[101], rpm[101];
	struct series s, speed;
	struct axis_map m;
	struct stats st;
	size_t i;

	for (i = 0; i < 101; i++) {
		t[i] = 0.05 * (double)i;
		rpm[i] = 2000.0 + 50.0 * (double)i;		/* 1000 a second */
		v[i] = 10.0 + 0.03 * (rpm[i] - 2000.0);		/* 30 per 1000 rpm */
	}
	make_series(&s, t, v, 101, false);
	make_series(&speed, t, rpm, 101, false);
	ck_assert_int_eq(axis_map_rpm(&m, &speed, NULL), ERR_NONE);
	st = span_of(&s, &m, &speed, 3000.0, 5000.0);
	ck_assert_double_eq(st.field[STATS_N], 41);
	CHECK_NEAR(st.field[STATS_SLOPE_PER_KRPM], 30.0, 1e-10);
	CHECK_NEAR(st.field[STATS_SLOPE_PER_S], 30.0, 1e-10);
	CHECK_NEAR(st.field[STATS_MIN_AT], 3000.0, 1e-9);
	CHECK_NEAR(st.field[STATS_MAX_AT], 5000.0, 1e-9);
	CHECK_NEAR(st.field[STATS_INTEGRAL], 2.0 * 70.0, 1e-10);
	/* engine speed over itself */
	st = span_of(&speed, &m, &speed, 3000.0, 5000.0);
	CHECK_NEAR(st.field[STATS_SLOPE_PER_KRPM], 1000.0, 1e-9);
	series_release(&s);
	series_release(&speed);
	axis_map_release(&m);
}
END_TEST

/* Samples for which there is no engine speed have no part in the slope over it. */
START_TEST(test_slope_without_rpm)
{
	static const double t[] = { 0, 1, 2, 3, 4, 5 };
	static const double v[] = { 99, 1, 2, 3, 99, 99 };
	static const double rpm_t[] = { 0.5, 1.5, 2.5, 3.5 };
	static const double rpm_v[] = { 1500, 2500, 3500, 4500 };
	struct series s, rpm, flat;
	struct axis_map m;
	struct stats st;

	make_series(&s, t, v, 6, false);
	make_series(&rpm, rpm_t, rpm_v, 4, false);
	make_series(&flat, rpm_t, (double[]){ 3000, 3000, 3000, 3000 }, 4, false);
	axis_map_time(&m, 0.0, 5.0, 0.0);
	st = span_of(&s, &m, &rpm, 0.0, 5.0);
	CHECK_NEAR(st.field[STATS_SLOPE_PER_KRPM], 1.0, 1e-12);
	st = span_of(&s, &m, &flat, 0.0, 5.0);
	ck_assert_double_nan(st.field[STATS_SLOPE_PER_KRPM]);
	st = span_of(&s, &m, &rpm, 0.0, 0.2);
	ck_assert_double_nan(st.field[STATS_SLOPE_PER_KRPM]);
	series_release(&s);
	series_release(&rpm);
	series_release(&flat);
	axis_map_release(&m);
}
END_TEST

/* A clock in seconds since 1970, and a value far from zero: no digits are lost. */
START_TEST(test_far_from_zero)
{
	static double t[2001], v[2001];
	struct series s;
	struct axis_map m;
	struct stats st;
	size_t i;

	for (i = 0; i < 2001; i++) {
		t[i] = 1.7e9 + (double)i / 64.0;	/* exact in binary */
		v[i] = 1e6 + (double)i / 32.0;
	}
	make_series(&s, t, v, 2001, false);
	axis_map_time(&m, t[0], t[2000], t[0]);
	st = span_of(&s, &m, NULL, 0.0, 1000.0);
	CHECK_NEAR(st.field[STATS_SLOPE_PER_S], 2.0, 2e-12);
	CHECK_NEAR(st.field[STATS_MEAN], 1e6 + 1000.0 / 32.0, 1e-9);
	CHECK_NEAR(st.field[STATS_INTEGRAL], (1e6 + 1000.0 / 32.0) * 2000.0 / 64.0, 1e-4);
	ck_assert_double_eq(st.field[STATS_MAX_AT], 2000.0 / 64.0);
	series_release(&s);
	axis_map_release(&m);
}
END_TEST

/* Spans side by side add up: n, integral and time, wherever they are cut. */
START_TEST(test_spans_add_up)
{
	uint64_t seed = 111 + (uint64_t)_i;
	double t[80], v[80];
	int round, i;

	for (round = 0; round < 200; round++) {
		struct series s;
		struct axis_map m;
		struct stats all, left, right;
		double cut;

		for (i = 0; i < 80; i++) {
			const double gap = rng_below(&seed, 20) == 0 ? 1.0 : 0.05;

			t[i] = i == 0 ? 3.0 : t[i - 1] + gap * rng_range(&seed, 0.5, 1.5);
			v[i] = rng_magnitude(&seed, 2.0);
		}
		make_series(&s, t, v, 80, _i == 1);
		axis_map_time(&m, t[0], t[79], t[0]);
		cut = rng_range(&seed, 0.0, t[79] - t[0]);
		all = span_of(&s, &m, NULL, 0.0, INFINITY);
		left = span_of(&s, &m, NULL, 0.0, cut);
		right = span_of(&s, &m, NULL, nextafter(cut, INFINITY), INFINITY);
		ck_assert_double_eq(left.field[STATS_N] + right.field[STATS_N], 80.0);
		CHECK_NEAR((isnan(left.field[STATS_INTEGRAL]) ? 0 : left.field[STATS_INTEGRAL]) +
			   (isnan(right.field[STATS_INTEGRAL]) ? 0 : right.field[STATS_INTEGRAL]),
			   all.field[STATS_INTEGRAL], 1e-9);
		ck_assert_double_eq(fmin(left.field[STATS_MIN], right.field[STATS_MIN]),
				    all.field[STATS_MIN]);
		ck_assert_double_eq(fmax(left.field[STATS_MAX], right.field[STATS_MAX]),
				    all.field[STATS_MAX]);
		series_release(&s);
		axis_map_release(&m);
	}
}
END_TEST

START_TEST(test_subtract)
{
	static const double a[] = { 1, 2, 3 };
	static const double b[] = { 2, 4, 9, 9 };
	struct stats x, y, none, d;
	int f;

	ck_assert_int_eq(stats_values(a, 3, &x, NULL), ERR_NONE);
	ck_assert_int_eq(stats_values(b, 4, &y, NULL), ERR_NONE);
	ck_assert_int_eq(stats_values(NULL, 0, &none, NULL), ERR_NONE);
	stats_subtract(&x, &y, &d);
	ck_assert_double_eq(d.field[STATS_N], 1);
	ck_assert_double_eq(d.field[STATS_MEAN], 4);
	ck_assert_double_eq(d.field[STATS_MAX], 6);
	ck_assert_double_nan(d.field[STATS_MIN_AT]);
	stats_subtract(&x, &none, &d);
	for (f = STATS_N + 1; f < STATS_FIELDS; f++)
		ck_assert_double_nan(d.field[f]);
}
END_TEST

Suite *stats_suite(void)
{
	Suite *s = suite_create("stats");
	TCase *t = tcase_create("stats");

	tcase_add_test(t, test_table);
	tcase_add_test(t, test_values_few);
	tcase_add_test(t, test_span_ends);
	tcase_add_test(t, test_span_outside);
	tcase_add_test(t, test_short_series);
	tcase_add_test(t, test_hole);
	tcase_add_test(t, test_stepped);
	tcase_add_test(t, test_first_of_equals);
	tcase_add_test(t, test_rpm_axis);
	tcase_add_test(t, test_slope_without_rpm);
	tcase_add_test(t, test_far_from_zero);
	tcase_add_loop_test(t, test_spans_add_up, 0, 2);
	tcase_add_test(t, test_subtract);
	suite_add_tcase(s, t);
	return s;
}
