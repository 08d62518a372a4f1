/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of series: values between samples, holes, missing samples, conversion. */
#include "base/base_util.h"
#include "calc_util.h"

Suite *series_suite(void);

START_TEST(test_linear)
{
	static const double t[] = { 1.0, 2.0, 4.0, 5.0 };
	static const double v[] = { 10.0, 20.0, 0.0, 8.0 };
	struct series s;

	make_series(&s, t, v, 4, false);
	ck_assert_uint_eq(s.n, 4);
	ck_assert_double_eq(series_at(&s, 1.0), 10.0);
	ck_assert_double_eq(series_at(&s, 1.25), 12.5);
	ck_assert_double_eq(series_at(&s, 2.0), 20.0);
	ck_assert_double_eq(series_at(&s, 3.5), 5.0);
	ck_assert_double_eq(series_at(&s, 4.75), 6.0);
	ck_assert_double_eq(series_at(&s, 5.0), 8.0);
	ck_assert_double_nan(series_at(&s, nextafter(1.0, 0.0)));
	ck_assert_double_nan(series_at(&s, nextafter(5.0, 6.0)));
	ck_assert_double_nan(series_at(&s, NAN));
	ck_assert_double_nan(series_at(&s, INFINITY));
	ck_assert_double_nan(series_at(&s, -INFINITY));
	series_release(&s);
	ck_assert_double_nan(series_at(&s, 1.0));
}
END_TEST

START_TEST(test_held)
{
	static const double t[] = { 1.0, 2.0, 4.0 };
	static const double v[] = { 3.0, 4.0, 5.0 };
	struct series s;

	make_series(&s, t, v, 3, true);
	ck_assert_double_eq(series_at(&s, 1.0), 3.0);
	ck_assert_double_eq(series_at(&s, nextafter(2.0, 0.0)), 3.0);
	ck_assert_double_eq(series_at(&s, 2.0), 4.0);
	ck_assert_double_eq(series_at(&s, 3.9), 4.0);
	ck_assert_double_eq(series_at(&s, 4.0), 5.0);
	ck_assert_double_nan(series_at(&s, 4.1));
	ck_assert_double_nan(series_at(&s, 0.9));
	series_release(&s);
}
END_TEST

/* Twice the same time: the first of the two counts there, and nothing breaks. */
START_TEST(test_repeated_time)
{
	static const double t[] = { 0.0, 1.0, 1.0, 1.0, 2.0 };
	static const double v[] = { 0.0, 10.0, 20.0, 30.0, 40.0 };
	struct series s;

	make_series(&s, t, v, 5, false);
	ck_assert_double_eq(series_at(&s, 1.0), 10.0);
	ck_assert_double_eq(series_at(&s, 0.5), 5.0);
	ck_assert_double_eq(series_at(&s, 1.5), 35.0);
	ck_assert_uint_eq(series_lower(&s, 1.0), 1);
	ck_assert_uint_eq(series_lower(&s, 1.1), 4);
	series_release(&s);
}
END_TEST

START_TEST(test_missing_left_out)
{
	static const double t[] = { 0.0, 1.0, 2.0, NAN, 3.0, 4.0 };
	static const double v[] = { NAN, 1.0, NAN, 5.0, 3.0, NAN };
	struct series s;

	make_series(&s, t, v, 6, false);
	ck_assert_uint_eq(s.n, 2);
	ck_assert_double_eq(series_at(&s, 2.0), 2.0);
	ck_assert_double_nan(series_at(&s, 0.5));
	series_release(&s);
	make_series(&s, t, v, 0, false);
	ck_assert_uint_eq(s.n, 0);
	series_release(&s);
	make_series(&s, t, (double[]){ NAN, NAN }, 2, false);
	ck_assert_uint_eq(s.n, 0);
	ck_assert_double_nan(series_at(&s, 0.0));
	series_release(&s);
}
END_TEST

/* Intervals 1, 1, 5, 1, 5.01, 1: the median is 1; across more than 5 of it is nothing. */
START_TEST(test_hole)
{
	static const double t[] = { 0.0, 1.0, 2.0, 7.0, 8.0, 13.01, 14.01 };
	static const double v[] = { 0.0, 1.0, 2.0, 7.0, 8.0, 13.0, 14.0 };
	struct series s;

	make_series(&s, t, v, 7, _i == 1);
	ck_assert_double_eq(series_at(&s, 4.0), _i == 1 ? 2.0 : 4.0);
	ck_assert_double_eq(series_at(&s, 8.0), 8.0);
	ck_assert_double_nan(series_at(&s, nextafter(8.0, 9.0)));
	ck_assert_double_nan(series_at(&s, 10.0));
	ck_assert_double_nan(series_at(&s, nextafter(13.01, 0.0)));
	ck_assert_double_eq(series_at(&s, 13.01), 13.0);
	series_release(&s);
}
END_TEST

/* The median of an even count of intervals is the middle of the two in the middle. */
START_TEST(test_hole_even_median)
{
	static const double t[] = { 0.0, 1.0, 2.0, 5.0, 16.0 };	/* 1, 1, 3, 11: median 2 */
	struct series s;

	make_series(&s, t, t, 5, false);
	CHECK_NEAR(s.hole, 10.0, 0.01);
	ck_assert_double_nan(series_at(&s, 8.0));
	ck_assert_double_eq(series_at(&s, 4.0), 4.0);
	series_release(&s);
}
END_TEST

/* Time stamps that repeat are no intervals: a logger's coarse clock makes no holes. */
START_TEST(test_hole_coarse_clock)
{
	static const double t[] = { 0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3 };
	struct series s;

	make_series(&s, t, t, COUNT(t), false);
	CHECK_NEAR(s.hole, 5.0, 0.01);
	ck_assert_double_eq(series_at(&s, 1.5), 1.5);
	series_release(&s);
}
END_TEST

/*
 * Four rows lost at 10 Hz leave a gap of exactly five intervals, and rounding
 * must not make it a hole at one place of the log and none at another.
 */
START_TEST(test_hole_rounding)
{
	double t[400];
	int at, k;

	for (at = 1; at < 380; at++) {
		struct series s;
		size_t n = 0;

		for (k = 0; k < 400; k++)
			if (k <= at || k >= at + 5)
				t[n++] = 0.1 * k;
		make_series(&s, t, t, n, false);
		if (isnan(series_at(&s, 0.1 * (at + 2))))
			ck_abort_msg("a hole after %.17g, where the gap is %.17g and the limit "
				     "%.17g", t[at], t[at + 1] - t[at], s.hole);
		series_release(&s);
	}
}
END_TEST

static int by_value(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

/* As it is written: the middle of all the intervals above 0, sorted. */
static double plain_median(const double *t, size_t n)
{
	double *gaps = malloc(n * sizeof *gaps);
	size_t count = 0;
	double out;
	size_t i;

	for (i = 1; i < n; i++)
		if (t[i] > t[i - 1])
			gaps[count++] = t[i] - t[i - 1];
	qsort(gaps, count, sizeof *gaps, by_value);
	out = count == 0 ? NAN : 0.5 * (gaps[(count - 1) / 2] + gaps[count / 2]);
	free(gaps);
	return out;
}

/* A clock that is even, that shakes, that stands now and then, of two rates, or anything. */
static double next_gap(int kind, uint64_t *state, bool first_half)
{
	const double r = rng_range(state, 0.0, 1.0);

	switch (kind) {
	case 0:
		return 0.01;
	case 1:
		return 0.01 + 0.002 * r;
	case 2:
		return r < 0.45 ? 0.0 : r < 0.7 ? 0.01 : 0.02;
	case 3:
		return first_half ? 0.01 : 0.05 + 0.01 * r;
	default:
		return exp(20.0 * r - 10.0);
	}
}

START_TEST(test_hole_is_of_the_median)
{
	uint64_t state = (uint64_t)_i + 1;
	const size_t n = 3 + (size_t)rng_below(&state, _i % 4 == 0 ? 20 : 20000);
	const int kind = _i % 5;
	double *t = malloc(n * sizeof *t);
	double wanted, hole;
	size_t i;

	t[0] = kind == 4 ? 0.0 : 1e5;
	for (i = 1; i < n; i++)
		t[i] = t[i - 1] + next_gap(kind, &state, i < n / 2);
	wanted = SERIES_HOLE_INTERVALS * plain_median(t, n);
	ck_assert_int_eq(series_hole(t, n, &hole, NULL), ERR_NONE);
	if (isnan(wanted))
		ck_assert(isinf(hole));
	else
		ck_assert_msg(fabs(hole - wanted) <= 2e-5 * wanted, "%zu of kind %d: %.17g, not %.17g",
			      n, kind, hole, wanted);
	free(t);
}
END_TEST

/* With fewer than three samples there is no telling what a hole would be. */
START_TEST(test_hole_two)
{
	static const double t[] = { 0.0, 1000.0 };
	struct series s;

	make_series(&s, t, t, 2, false);
	ck_assert_double_eq(series_at(&s, 500.0), 500.0);
	series_release(&s);
	make_series(&s, t + 1, t, 1, false);
	ck_assert_double_eq(series_at(&s, 1000.0), 0.0);
	ck_assert_double_nan(series_at(&s, 999.0));
	series_release(&s);
}
END_TEST

/* Between samples never outside what they span; at a sample exactly its value. */
START_TEST(test_random)
{
	uint64_t seed = 41 + (uint64_t)_i;
	double t[50], v[50];
	int round, i;

	for (round = 0; round < 300; round++) {
		struct series s;

		for (i = 0; i < 50; i++) {
			t[i] = (i > 0 ? t[i - 1] : rng_range(&seed, -100, 2e9)) +
			       rng_range(&seed, 0.01, 0.04);
			v[i] = rng_magnitude(&seed, 6.0);
		}
		make_series(&s, t, v, 50, false);
		for (i = 0; i < 49; i++) {
			const double at = t[i] + (t[i + 1] - t[i]) * rng_range(&seed, 0.0, 1.0);
			const double got = series_at(&s, at);

			ck_assert_double_eq(series_at(&s, t[i]), v[i]);
			ck_assert_double_ge(got, fmin(v[i], v[i + 1]) - 1e-9 * fabs(v[i]));
			ck_assert_double_le(got, fmax(v[i], v[i + 1]) + 1e-9 * fabs(v[i]));
			ck_assert_uint_eq(series_lower(&s, at), (size_t)i + (at > t[i]));
		}
		series_release(&s);
	}
}
END_TEST

/* Rows of a log, with blanks between as of channels polled in turn, in another unit. */
START_TEST(test_load)
{
	static const double psi[] = { 1.0, NAN, 3.0, NAN, 5.0, 6.0 };
	struct datalog *log = make_even_log("x.csv", 0.5, 6);
	const struct channel *ch = put_channel(log, "p", Q_BOOST, "psi", psi);
	const struct unit *kpa = unit_find("kPa", NULL);
	struct series s;

	ck_assert_int_eq(series_load(&s, log, ch, 1, 4, NULL, NULL), ERR_NONE);
	ck_assert_uint_eq(s.n, 2);
	ck_assert(!s.stepped);
	ck_assert_double_eq(s.t[0], 1.0);
	ck_assert_double_eq(s.v[1], 5.0);
	series_release(&s);
	ck_assert_int_eq(series_load(&s, log, ch, 0, 5, kpa, NULL), ERR_NONE);
	ck_assert_uint_eq(s.n, 4);
	CHECK_NEAR(s.v[3], 6.0 * 6.894757293168362, 1e-12);
	series_release(&s);
	ck_assert_int_eq(series_load(&s, log, ch, 6, 9, NULL, NULL), ERR_NONE);
	ck_assert_uint_eq(s.n, 0);
	series_release(&s);
	ck_assert_int_eq(series_load(&s, log, ch, 3, 2, NULL, NULL), ERR_NONE);
	ck_assert_uint_eq(s.n, 0);
	series_release(&s);
	datalog_free(log);
}
END_TEST

/* Gears and words are held; a plain number is not. */
START_TEST(test_load_stepped)
{
	static const double v[] = { 0.0, 1.0, 0.0, 1.0 };
	char **words = mem_array(2, sizeof *words);
	struct datalog *log = make_even_log("x.csv", 1.0, 4);
	const struct channel *ch[3];
	struct series s;
	size_t i;

	words[0] = mem_strdup("off");
	words[1] = mem_strdup("on");
	put_channel(log, "gear", Q_GEAR, NULL, v);
	put_channel(log, "lamp", Q_NONE, NULL, v);
	put_channel(log, "thing", Q_NONE, NULL, v);
	column_set_words(log->channels[1].column, words, 2);
	for (i = 0; i < 3; i++) {
		ch[i] = &log->channels[i];
		ck_assert_int_eq(series_load(&s, log, ch[i], 0, 3, NULL, NULL), ERR_NONE);
		ck_assert_int_eq(s.stepped, i < 2);
		ck_assert_double_eq(series_at(&s, 0.5), i < 2 ? 0.0 : 0.5);
		series_release(&s);
	}
	datalog_free(log);
}
END_TEST

/* The same samples as copied; the times are the log's own where none is missing. */
START_TEST(test_share)
{
	static const double time[] = { 0.0, 0.1, 0.2, 0.35, 0.4, 0.5 };
	static const double whole[] = { 1, 2, 3, 4, 5, 6 };
	static const double blank[] = { 1, 2, NAN, 4, 5, 6 };
	struct datalog *log = make_log("log", time, 6);
	struct series own, shared, other;
	size_t i;
	int k;

	put_channel(log, "whole", Q_SPEED, "km/h", whole);
	put_channel(log, "blank", Q_SPEED, "km/h", blank);
	for (k = 0; k < 2; k++) {
		const struct channel *ch = &log->channels[k];

		ck_assert_int_eq(series_load(&own, log, ch, 1, 4, NULL, NULL), ERR_NONE);
		ck_assert_int_eq(series_share(&shared, log, ch, 1, 4, NULL, NULL, NULL), ERR_NONE);
		ck_assert(shared.shared == (k == 0));
		ck_assert(!own.shared);
		ck_assert_uint_eq(shared.n, own.n);
		for (i = 0; i < own.n; i++) {
			ck_assert_double_eq(shared.t[i], own.t[i]);
			ck_assert_double_eq(shared.v[i], own.v[i]);
		}
		ck_assert_double_eq(shared.hole, own.hole);
		series_release(&own);
		if (k > 0)
			series_release(&shared);
		else
			other = shared;
	}
	other.hole = 77.0;	/* taken over for the same rows, and for no others */
	ck_assert_int_eq(series_share(&shared, log, &log->channels[0], 1, 4, NULL, &other, NULL),
			 ERR_NONE);
	ck_assert_double_eq(shared.hole, 77.0);
	series_release(&shared);
	ck_assert_int_eq(series_share(&shared, log, &log->channels[0], 1, 5, NULL, &other, NULL),
			 ERR_NONE);
	ck_assert_double_ne(shared.hole, 77.0);
	ck_assert_int_eq(series_own(&shared, NULL), ERR_NONE);
	ck_assert(!shared.shared);
	ck_assert_ptr_ne(shared.t, log->time + 1);
	ck_assert_mem_eq(shared.t, log->time + 1, 5 * sizeof *shared.t);
	series_release(&shared);
	series_release(&other);
	datalog_free(log);
}
END_TEST

/* As looked up one by one: by small steps, by leaps, before, behind and at samples. */
START_TEST(test_walk)
{
	static const double steps[] = { 0.0, 0.003, 0.05, 0.1, 3.0, 17.0 };
	enum { N = 400 };
	double t[N], v[N];
	struct series s;
	size_t i;

	for (i = 0; i < N; i++) {
		t[i] = 0.1 * (double)(i / 2 * 2) + (i > 200 ? 5.0 : 0.0);
		v[i] = (double)(i * i % 37);
	}
	ck_assert_int_eq(series_from(&s, t, v, N, false, NULL), ERR_NONE);
	for (i = 0; i < sizeof steps / sizeof steps[0]; i++) {
		struct series_walk walk = { &s, 0 };
		double at = -1.0;
		int k;

		for (k = 0; k < 500; k++, at += steps[(i + (size_t)(k % 7 == 0)) % 6]) {
			const double expected = series_at(&s, at);
			const double got = series_walk_at(&walk, at);

			ck_assert(isnan(expected) ? isnan(got) : got == expected);
		}
	}
	series_release(&s);
}
END_TEST

Suite *series_suite(void)
{
	Suite *s = suite_create("series");
	TCase *t = tcase_create("series");

	tcase_add_test(t, test_linear);
	tcase_add_test(t, test_held);
	tcase_add_test(t, test_repeated_time);
	tcase_add_test(t, test_missing_left_out);
	tcase_add_loop_test(t, test_hole, 0, 2);
	tcase_add_test(t, test_hole_even_median);
	tcase_add_test(t, test_hole_coarse_clock);
	tcase_add_test(t, test_hole_rounding);
	tcase_add_loop_test(t, test_hole_is_of_the_median, 0, 200);
	tcase_add_test(t, test_hole_two);
	tcase_add_loop_test(t, test_random, 0, 4);
	tcase_add_test(t, test_load);
	tcase_add_test(t, test_load_stepped);
	tcase_add_test(t, test_share);
	tcase_add_test(t, test_walk);
	suite_add_tcase(s, t);
	return s;
}
