/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Tests of the axis map: the isotonic fit against a brute-force formula and
 * against its own optimality conditions, and the map's promises.
 */
#include <float.h>

#include "calc/axis.h"
#include "calc_util.h"

Suite *axis_suite(void);

#define MOST 60

/*
 * The min-max formula of isotonic regression: fit_i is the greatest over a <= i
 * of the least over b >= i of the weighted mean of y[a..b].  (Robertson, Wright
 * and Dykstra, "Order Restricted Statistical Inference", 1988, section 1.4; from
 * memory.)
 */
static double min_max(const double *y, const double *w, int n, int i)
{
	double most = -INFINITY;
	int a, b, k;

	for (a = 0; a <= i; a++) {
		double least = INFINITY;

		for (b = i; b < n; b++) {
			long double sum = 0.0L, weight = 0.0L;

			for (k = a; k <= b; k++) {
				sum += (long double)w[k] * y[k];
				weight += w[k];
			}
			least = fmin(least, (double)(sum / weight));
		}
		most = fmax(most, least);
	}
	return most;
}

/* Wiggling, in whole steps (many ties), or falling throughout. */
static double sample(uint64_t *seed, int kind, int i)
{
	switch (kind) {
	case 0: return 2000.0 + 50.0 * i + rng_range(seed, -200.0, 200.0);
	case 1: return 25.0 * rng_below(seed, 8);
	case 2: return -30.0 * i + rng_range(seed, -5.0, 5.0);
	default: return rng_magnitude(seed, 3.0);
	}
}

START_TEST(test_isotonic_min_max)
{
	uint64_t seed = 51 + (uint64_t)_i;
	double y[MOST], fit[MOST], w[MOST];
	int round, i;

	for (round = 0; round < 60; round++) {
		const int n = 1 + rng_below(&seed, MOST);
		const bool weighted = rng_below(&seed, 2);
		double size = 0.0;

		for (i = 0; i < n; i++) {
			fit[i] = y[i] = sample(&seed, _i, i);
			w[i] = weighted ? rng_range(&seed, 0.1, 3.0) : 1.0;
			size = fmax(size, fabs(y[i]));
		}
		ck_assert_int_eq(axis_isotonic(fit, weighted ? w : NULL, (size_t)n, NULL),
				 ERR_NONE);
		for (i = 0; i < n; i++)
			CHECK_NEAR(fit[i], min_max(y, w, n, i), 1e-12 * size);
	}
}
END_TEST

/*
 * Optimal if and only if: never falling; the residuals of each level sum to 0; and
 * over the first k of a level their sum is never below 0 (else the level would be
 * better split).  These are the Kuhn-Tucker conditions of the least-squares problem.
 */
START_TEST(test_isotonic_optimal)
{
	uint64_t seed = 61 + (uint64_t)_i;
	int round;

	for (round = 0; round < 20; round++) {
		const size_t n = 2000;
		double *y = mem_array(n, sizeof *y);
		double *fit = mem_array(n, sizeof *fit);
		double size = 1.0;
		size_t i, from;

		for (i = 0; i < n; i++) {
			fit[i] = y[i] = sample(&seed, _i, (int)i % 500);
			size = fmax(size, fabs(y[i]));
		}
		ck_assert_int_eq(axis_isotonic(fit, NULL, n, NULL), ERR_NONE);
		for (from = 0; from < n;) {
			long double sum = 0.0L;

			ck_assert(from == 0 || fit[from] > fit[from - 1]);
			for (i = from; i < n && fit[i] == fit[from]; i++) {
				sum += (long double)y[i] - fit[from];
				ck_assert_double_ge((double)sum, -1e-12 * size * (double)n);
			}
			ck_assert_double_le((double)fabsl(sum), 1e-12 * size * (double)n);
			from = i;
		}
		free(y);
		free(fit);
	}
}
END_TEST

START_TEST(test_isotonic_cases)
{
	double rising[] = { 1.0, 2.0, 3.0 };
	double falling[] = { 3.0, 2.0, 1.0 };
	double weighted[] = { 4.0, 1.0 };
	static const double w[] = { 1.0, 2.0 };

	ck_assert_int_eq(axis_isotonic(rising, NULL, 3, NULL), ERR_NONE);
	ck_assert(rising[0] == 1.0 && rising[1] == 2.0 && rising[2] == 3.0);
	ck_assert_int_eq(axis_isotonic(falling, NULL, 3, NULL), ERR_NONE);
	ck_assert(falling[0] == 2.0 && falling[1] == 2.0 && falling[2] == 2.0);
	ck_assert_int_eq(axis_isotonic(weighted, w, 2, NULL), ERR_NONE);
	ck_assert(weighted[0] == 2.0 && weighted[1] == 2.0);
	ck_assert_int_eq(axis_isotonic(NULL, NULL, 0, NULL), ERR_NONE);
}
END_TEST

/*
 * The example of R's isoreg() help page, isoreg(c(1,0,4,3,3,5,4,2,0)): recomputed
 * by R 4.2.2, yf = 0.5 0.5 3 3 3 3 3 3 3.
 */
START_TEST(test_isotonic_against_r)
{
	static const double want[] = { 0.5, 0.5, 3, 3, 3, 3, 3, 3, 3 };
	double y[] = { 1, 0, 4, 3, 3, 5, 4, 2, 0 };
	size_t i;

	ck_assert_int_eq(axis_isotonic(y, NULL, COUNT(y), NULL), ERR_NONE);
	for (i = 0; i < COUNT(y); i++)
		ck_assert_double_eq(y[i], want[i]);
}
END_TEST

START_TEST(test_time_map)
{
	struct axis_map m;

	axis_map_time(&m, 10.0, 20.0, 12.0);
	ck_assert_double_eq(axis_map_from(&m), -2.0);
	ck_assert_double_eq(axis_map_to(&m), 8.0);
	ck_assert_double_eq(axis_map_to_time(&m, 0.0), 12.0);
	ck_assert_double_eq(axis_map_to_position(&m, 15.0), 3.0);
	ck_assert_double_eq(axis_map_to_time(&m, -2.0), 10.0);
	ck_assert_double_eq(axis_map_to_time(&m, 8.0), 20.0);
	ck_assert_double_nan(axis_map_to_time(&m, nextafter(-2.0, -3.0)));
	ck_assert_double_nan(axis_map_to_time(&m, nextafter(8.0, 9.0)));
	ck_assert_double_nan(axis_map_to_position(&m, nextafter(10.0, 9.0)));
	ck_assert_double_nan(axis_map_to_position(&m, nextafter(20.0, 21.0)));
	ck_assert_double_nan(axis_map_to_time(&m, NAN));
	axis_map_release(&m);
	ck_assert_double_nan(axis_map_from(&m));
	ck_assert_double_nan(axis_map_to(&m));
	ck_assert_double_nan(axis_map_to_time(&m, 0.0));
	axis_map_time(&m, 5.0, 5.0, 0.0);
	ck_assert_uint_eq(m.n, 0);
	ck_assert_double_nan(axis_map_to_position(&m, 5.0));
	axis_map_time(&m, 5.0, NAN, 0.0);
	ck_assert_uint_eq(m.n, 0);
}
END_TEST

/*
 * With the log's own clock a position is its time, to the last bit: a span that
 * begins at a sample's time has that sample in it.
 */
START_TEST(test_time_map_exact)
{
	uint64_t seed = 71;
	int round, i;

	for (round = 0; round < 200; round++) {
		const double from = rng_below(&seed, 1000) / 100.0;
		const double to = from + 5.0 + rng_below(&seed, 1000) / 100.0;
		struct axis_map m;

		axis_map_time(&m, from, to, 0.0);
		for (i = 0; i < 100; i++) {
			const double t = from + rng_below(&seed, 500) / 100.0;

			ck_assert_double_eq(axis_map_to_time(&m, t), t);
			ck_assert_double_eq(axis_map_to_position(&m, t), t);
		}
		axis_map_release(&m);
	}
}
END_TEST

/* With another zero a sample's time comes back from its position. */
START_TEST(test_time_map_shift)
{
	uint64_t seed = 81;
	int round, i;

	for (round = 0; round < 200; round++) {
		const double clock = rng_below(&seed, 2) ? 0.0 : rng_range(&seed, 0.0, 2e9);
		const double from = clock + rng_below(&seed, 10000) / 100.0;
		const double to = from + 5.0 + rng_below(&seed, 1000) / 100.0;
		const double zero = from + rng_below(&seed, 300) / 100.0;
		struct axis_map m;

		axis_map_time(&m, from, to, zero);
		ck_assert_double_eq(axis_map_to_time(&m, axis_map_from(&m)), from);
		ck_assert_double_eq(axis_map_to_time(&m, axis_map_to(&m)), to);
		for (i = 0; i < 100; i++) {
			const double t = from + rng_below(&seed, 500) / 100.0;
			const double p = axis_map_to_position(&m, t);

			ck_assert_double_eq(p, t - zero);
			ck_assert_double_eq(axis_map_to_time(&m, p), t);
		}
		axis_map_release(&m);
	}
}
END_TEST

START_TEST(test_rpm_map_cases)
{
	static const double t[] = { 0.0, 1.0, 2.0, 3.0, 4.0, 5.0 };
	static const double v[] = { 2000, 3000, 2800, 3100, 4000, 5000 };
	struct err e = ERR_INIT;
	struct axis_map m;
	struct series s;

	make_series(&s, t, v, 6, false);
	ck_assert_int_eq(axis_map_rpm(&m, &s, &e), ERR_NONE);
	/* 3000 and 2800 are one level, 2900, which stands between its two times */
	ck_assert_uint_eq(m.n, 5);
	ck_assert_double_eq(m.position[1], 2900.0);
	ck_assert_double_eq(m.time[1], 1.5);
	ck_assert_double_eq(axis_map_to_time(&m, 2450.0), 0.75);
	ck_assert_double_eq(axis_map_to_time(&m, 3550.0), 3.5);
	ck_assert_double_eq(axis_map_to_position(&m, 4.5), 4500.0);
	ck_assert_double_eq(axis_map_from(&m), 2000.0);
	ck_assert_double_eq(axis_map_to(&m), 5000.0);
	axis_map_release(&m);
	series_release(&s);
	ck_assert_str_eq(axis_name(AXIS_TIME), "time");
	ck_assert_str_eq(axis_unit(AXIS_TIME), "s");
	ck_assert_str_eq(axis_name(AXIS_RPM), "rpm");
	ck_assert_str_eq(axis_unit(AXIS_RPM), "rpm");
}
END_TEST

/* The first and the last level keep the pull's own ends. */
START_TEST(test_rpm_map_ends)
{
	static const double t[] = { 0.0, 1.0, 2.0, 3.0, 4.0, 5.0 };
	static const double v[] = { 2100, 1900, 3000, 4000, 5100, 4900 };
	struct axis_map m;
	struct series s;

	make_series(&s, t, v, 6, false);
	ck_assert_int_eq(axis_map_rpm(&m, &s, NULL), ERR_NONE);
	ck_assert_double_eq(m.time[0], 0.0);
	ck_assert_double_eq(m.position[0], 2000.0);
	ck_assert_double_eq(m.time[m.n - 1], 5.0);
	ck_assert_double_eq(m.position[m.n - 1], 5000.0);
	axis_map_release(&m);
	series_release(&s);
}
END_TEST

START_TEST(test_rpm_map_refused)
{
	static const double t[] = { 0.0, 1.0, 2.0 };
	static const double rpm[][3] = {
		{ 3000, 3000, 3000 }, { 3000, 2000, 1000 }, { 3000, 3100, 2000 },
	};
	static const double same_time[] = { 1.0, 1.0, 1.0 };
	static const double rising[] = { 1000, 2000, 3000 };
	struct axis_map m;
	struct series s;
	size_t i;

	for (i = 0; i < COUNT(rpm) + 3; i++) {
		struct err e = ERR_INIT;

		if (i < COUNT(rpm))
			make_series(&s, t, rpm[i], 3, false);
		else if (i == COUNT(rpm))
			make_series(&s, same_time, rising, 3, false);
		else
			make_series(&s, t, rising, i - COUNT(rpm) - 1, false);
		ck_assert_int_eq(axis_map_rpm(&m, &s, &e), ERR_DATA);
		ck_assert_ptr_nonnull(strstr(e.text, "time axis"));
		ck_assert_uint_eq(m.n, 0);
		ck_assert_double_nan(axis_map_to_time(&m, 3000.0));
		series_release(&s);
	}
}
END_TEST

/* A pull that wiggles: noise, a gear-like dip, plateaus, repeated times. */
static void random_pull(struct series *s, uint64_t *seed)
{
	double t[400], v[400];
	const size_t n = (size_t)(5 + rng_below(seed, 395));
	const double noise = rng_range(seed, 0.0, 300.0);
	const double start = rng_below(seed, 2) ? 0.0 : rng_range(seed, 0.0, 1e6);
	size_t i;

	for (i = 0; i < n; i++) {
		const double step = rng_below(seed, 10) == 0 ? 0.0 : rng_range(seed, 0.02, 0.08);

		t[i] = i == 0 ? start : t[i - 1] + step;
		v[i] = 1500.0 + 5500.0 * (double)i / (double)n + rng_range(seed, -noise, noise);
		if (rng_below(seed, 3) == 0)
			v[i] = 25.0 * floor(v[i] / 25.0);
	}
	make_series(s, t, v, n, false);
}

START_TEST(test_rpm_map_random)
{
	uint64_t seed = 91 + (uint64_t)_i;
	int round, i;

	for (round = 0; round < 300; round++) {
		struct axis_map m;
		struct series s;
		double before = -INFINITY;
		double steep = 0.0;
		double low, high;
		size_t k;

		random_pull(&s, &seed);
		if (axis_map_rpm(&m, &s, NULL) != ERR_NONE) {
			series_release(&s);
			continue;
		}
		low = axis_map_from(&m);
		high = axis_map_to(&m);
		for (k = 0; k < m.n; k++) {
			ck_assert(k == 0 || m.position[k] > m.position[k - 1]);
			ck_assert(k == 0 || m.time[k] > m.time[k - 1]);
			if (k > 0)
				steep = fmax(steep, (m.position[k] - m.position[k - 1]) /
					     (m.time[k] - m.time[k - 1]));
			ck_assert_double_eq(axis_map_to_time(&m, m.position[k]), m.time[k]);
			ck_assert_double_eq(axis_map_to_position(&m, m.time[k]), m.position[k]);
		}
		ck_assert_double_ge(m.time[0], s.t[0]);
		ck_assert_double_le(m.time[m.n - 1], s.t[s.n - 1]);
		for (i = 0; i <= 500; i++) {
			const double p = i == 500 ? high : low + (high - low) * i / 500.0;
			const double t = axis_map_to_time(&m, p);

			ck_assert_double_ge(t, before);
			before = t;
			/* the time is rounded, which counts more where the map is steep */
			CHECK_NEAR(axis_map_to_position(&m, t), p,
				   1e-9 + steep * 4.0 * DBL_EPSILON * t);
		}
		/* one step inside each end there is still something, one outside nothing */
		ck_assert(!isnan(axis_map_to_position(&m, axis_map_to_time(&m, nextafter(high, 0)))));
		ck_assert(!isnan(axis_map_to_position(&m, axis_map_to_time(&m, nextafter(low, high)))));
		ck_assert_double_nan(axis_map_to_time(&m, nextafter(high, INFINITY)));
		ck_assert_double_nan(axis_map_to_time(&m, nextafter(low, 0)));
		ck_assert_double_nan(axis_map_to_position(&m, nextafter(m.time[0], -1.0)));
		ck_assert_double_nan(axis_map_to_position(&m, nextafter(m.time[m.n - 1], INFINITY)));
		axis_map_release(&m);
		series_release(&s);
	}
}
END_TEST

/* Within a piece the map stays within its ends, to the last bit. */
START_TEST(test_map_never_outside)
{
	uint64_t seed = 101;
	int round, i;

	for (round = 0; round < 20000; round++) {
		double position[2] = { rng_range(&seed, 0, 3000), 0 };
		double time[2] = { rng_range(&seed, -10, 0), rng_range(&seed, 0, 10) };
		struct axis_map m = AXIS_MAP_INIT;

		position[1] = position[0] + rng_range(&seed, 0.1, 5000);
		m.kind = AXIS_RPM;
		m.n = 2;
		m.position = position;
		m.time = time;
		for (i = 0; i < 4; i++) {
			const double p = i < 2 ? nextafter(position[i], position[1 - i]) :
				rng_range(&seed, position[0], position[1]);
			const double t = axis_map_to_time(&m, p);

			ck_assert(t >= time[0] && t <= time[1]);
		}
	}
}
END_TEST

Suite *axis_suite(void)
{
	Suite *s = suite_create("axis");
	TCase *t = tcase_create("axis");

	tcase_set_timeout(t, 60);
	tcase_add_loop_test(t, test_isotonic_min_max, 0, 4);
	tcase_add_loop_test(t, test_isotonic_optimal, 0, 4);
	tcase_add_test(t, test_isotonic_cases);
	tcase_add_test(t, test_isotonic_against_r);
	tcase_add_test(t, test_time_map);
	tcase_add_test(t, test_time_map_exact);
	tcase_add_test(t, test_time_map_shift);
	tcase_add_test(t, test_rpm_map_cases);
	tcase_add_test(t, test_rpm_map_ends);
	tcase_add_test(t, test_rpm_map_refused);
	tcase_add_loop_test(t, test_rpm_map_random, 0, 4);
	tcase_add_test(t, test_map_never_outside);
	suite_add_tcase(s, t);
	return s;
}
