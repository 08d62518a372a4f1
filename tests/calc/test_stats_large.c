/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Statistics of many samples, which go by blocks, against a plain sum and a sort of them;
 * from a series and from where they lie in a log.
 */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "calc/stats.h"

Suite *stats_large_suite(void);

#define MOST 60000

static uint32_t draw(uint32_t *state)
{
	*state = *state * 1664525u + 1013904223u;
	return *state >> 8;
}

/*
 * One kind of channel each: noise, steps, one level, a far level, spikes, a ramp, idle and
 * then not, the last bits of a clock, halves.
 */
static double value(int kind, size_t i, uint32_t *state)
{
	static const double levels[] = { 0, 0, 0, 3, 3, 4.5 };
	const double noise = (double)draw(state) / 16777216.0;

	switch (kind) {
	case 0:
		return noise;
	case 1:
		return levels[draw(state) % 6];
	case 2:
		return -12.25;
	case 3:
		return 1e7 + 0.1 * (double)(i % 3);
	case 4:
		return draw(state) % 997 == 0 ? 1e12 * (noise - 0.5) : round(50.0 * noise);
	case 5:
		return 0.01 * (double)i;
	case 6:
		return i < 20000 ? 800.0 : 4000.0 + 2500.0 * sin(0.001 * (double)i) + noise;
	case 7:
		return 1700000012.0 + ldexp(draw(state) % 5, -22);
	default:
		return draw(state) % 2 != 0 ? noise * 1e-3 : 100.0 + noise;
	}
}

#define KINDS 9

static double t[MOST], v[MOST], rpm[MOST], sorted[MOST];

static int by_value(const void *a, const void *b)
{
	const double x = *(const double *)a;
	const double y = *(const double *)b;

	return (x > y) - (x < y);
}

static double quantile(size_t n, double q)
{
	const double at = q * (double)(n - 1);
	const size_t k = (size_t)at;

	const double weight = at - (double)k;

	return k == n - 1 ? sorted[k] : (1 - weight) * sorted[k] + weight * sorted[k + 1];
}

static void check_near(const char *what, double got, double want, double scale)
{
	ck_assert_msg(isnan(want) ? isnan(got) : fabs(got - want) <= 1e-11 * scale,
		      "%s is %.17g, not %.17g", what, got, want);
}

static long double mean(const double *x, size_t n)
{
	long double sum = 0;
	size_t i;

	for (i = 0; i < n; i++)
		sum += x[i];
	return sum / (long double)n;
}

/* The mean above the first: that is a small number, and so has more places. */
static long double mean_above(const double *x, size_t n)
{
	long double sum = 0;
	size_t i;

	for (i = 0; i < n; i++)
		sum += (long double)x[i] - x[0];
	return sum / (long double)n;
}

static long double products(const double *x, const double *y, size_t lag, size_t n)
{
	const long double mx = mean_above(x, n);
	const long double my = mean_above(y, n);
	long double sum = 0;
	size_t i;

	for (i = lag; i < n; i++)
		sum += ((long double)x[i - lag] - x[0] - mx) * ((long double)y[i] - y[0] - my);
	return sum;
}

static void check_sums(const double *f, size_t first, size_t n)
{
	const double *x = v + first;
	const long double squares = products(x, x, 0, n);
	const double sd = (double)sqrtl(squares / (long double)(n - 1));
	const double per_s = (double)(products(t + first, x, 0, n) /
				      products(t + first, t + first, 0, n));
	const double per_rpm = (double)(products(rpm + first, x, 0, n) /
					products(rpm + first, rpm + first, 0, n));
	long double area = 0;
	size_t i;

	for (i = 1; i < n; i++)
		area += (long double)(t[first + i] - t[first + i - 1]) * (x[i] + x[i - 1]) / 2;
	check_near("mean", f[STATS_MEAN], (double)mean(x, n), fabs((double)mean(x, n)) + sd);
	check_near("sd", f[STATS_SD], sd, sd);
	check_near("lag1", f[STATS_LAG1], sd > 0 ? (double)(products(x, x, 1, n) / squares) : NAN,
		   1.0);
	check_near("slope", f[STATS_SLOPE_PER_S], per_s, 1e3 * sd);
	check_near("slope by rpm", f[STATS_SLOPE_PER_KRPM], 1000 * per_rpm, 1e3 * sd);
	check_near("integral", f[STATS_INTEGRAL], (double)area,
		   (fabs((double)mean(x, n)) + sd) * (t[first + n - 1] - t[first]));
}

static void check_order(const double *f, size_t first, size_t n)
{
	size_t least = first, most = first, i;

	memcpy(sorted, v + first, n * sizeof(*v));
	qsort(sorted, n, sizeof(*sorted), by_value);
	for (i = first; i < first + n; i++) {
		least = v[i] < v[least] ? i : least;
		most = v[i] > v[most] ? i : most;
	}
	ck_assert_uint_eq((size_t)f[STATS_N], n);
	ck_assert(f[STATS_MIN] == v[least] && f[STATS_MAX] == v[most]);
	ck_assert(f[STATS_MIN_AT] == t[least] && f[STATS_MAX_AT] == t[most]);
	ck_assert(f[STATS_FIRST] == v[first] && f[STATS_LAST] == v[first + n - 1]);
	ck_assert(f[STATS_MEDIAN] == quantile(n, 0.5));
	ck_assert(f[STATS_P05] == quantile(n, 0.05));
	ck_assert(f[STATS_P95] == quantile(n, 0.95));
}

static void make(int kind, size_t n)
{
	uint32_t state = 20310512u + (uint32_t)kind;
	size_t i;

	for (i = 0; i < n; i++) {
		t[i] = 5.0 + 0.01 * (double)i;
		v[i] = value(kind, i, &state);
		rpm[i] = 3000.0 + (double)(draw(&state) % 3000);
	}
}

static struct datalog *make_log(size_t n)
{
	struct datalog *log = datalog_new("made");
	struct column *c = column_new();
	size_t i;

	for (i = 0; i < n; i++)
		ck_assert(column_push(c, v[i]));
	log->rows = n;
	log->time = malloc(n * sizeof(*t));
	memcpy(log->time, t, n * sizeof(*t));
	datalog_add(log, "made", "", c);
	return log;
}

START_TEST(test_against_plain)
{
	static const size_t lengths[] = { 2, 511, 512, 513, 1025, 16384, 16385, MOST };
	size_t k;

	for (k = 0; k < sizeof(lengths) / sizeof(lengths[0]); k++) {
		const size_t n = lengths[k];
		const size_t first = n > 100 ? 7 : 0;
		const size_t part = n > 100 ? n - 20 : n;
		struct series s, by;
		struct samples lying;
		struct axis_map m;
		struct stats st, other;
		struct datalog *log;

		make(_i, n);
		log = make_log(n);
		ck_assert_int_eq(series_from(&s, t, v, n, false, NULL), ERR_NONE);
		ck_assert_int_eq(series_from(&by, t, rpm, n, false, NULL), ERR_NONE);
		axis_map_time(&m, t[0], t[n - 1], 0.0);
		ck_assert_int_eq(stats_span(&s, &m, &by, t[first], t[first + part - 1], &st, NULL),
				 ERR_NONE);
		check_order(st.field, first, part);
		check_sums(st.field, first, part);
		lying = samples_of_channel(log, &log->channels[0], 0, n - 1, NULL);
		lying.hole = s.hole;
		ck_assert_int_eq(stats_samples(&lying, 1, &m, &by, t[first], t[first + part - 1],
					       &other, NULL), ERR_NONE);
		ck_assert_mem_eq(&st, &other, sizeof(st));
		axis_map_release(&m);
		series_release(&s);
		series_release(&by);
		datalog_free(log);
	}
}
END_TEST

/* Where engine speed is known for a part only, and there is a hole: as by pieces. */
START_TEST(test_gaps)
{
	struct series s, by;
	struct axis_map m;
	struct stats st;
	const size_t n = 4000, hole = 1300, with = 2100;
	size_t i;

	make(0, n);
	for (i = hole; i < n; i++)
		t[i] += 7.0;
	ck_assert_int_eq(series_from(&s, t, v, n, true, NULL), ERR_NONE);
	ck_assert_int_eq(series_from(&by, t, rpm, with, false, NULL), ERR_NONE);
	axis_map_time(&m, t[0], t[n - 1], 0.0);
	ck_assert_int_eq(stats_span(&s, &m, &by, -INFINITY, INFINITY, &st, NULL), ERR_NONE);
	check_near("slope by rpm", st.field[STATS_SLOPE_PER_KRPM],
		   1000 * (double)(products(rpm, v, 0, with) / products(rpm, rpm, 0, with)), 1.0);
	check_near("held", st.field[STATS_INTEGRAL],
		   0.01 * (double)(mean(v, n) * (long double)n - v[hole - 1] - v[n - 1]), 1.0);
	check_near("time mean", st.field[STATS_TIME_MEAN],
		   st.field[STATS_INTEGRAL] / (0.01 * (double)(n - 2)), 1.0);
	axis_map_release(&m);
	series_release(&s);
	series_release(&by);
}
END_TEST

Suite *stats_large_suite(void)
{
	Suite *s = suite_create("stats_large");
	TCase *c = tcase_create("stats_large");

	tcase_add_loop_test(c, test_against_plain, 0, KINDS);
	tcase_add_test(c, test_gaps);
	suite_add_tcase(s, c);
	return s;
}
