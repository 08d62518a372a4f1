/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The statistics against certified values: NIST/ITL Statistical Reference
 * Datasets, "Univariate Summary Statistics" (all nine sets) and "Linear Least
 * Squares Regression" (Norris).  Where the data come from: data/README.md.
 *
 * Tolerances: the decimals of a set are not exact in binary, so that with the
 * given doubles even exact arithmetic misses the certified sd by 3.5e-10 of it for
 * NumAcc3 and 5.6e-9 for NumAcc4; the other tolerances leave two digits above
 * what a sound two-pass computation gives.
 */
#include "calc/stats.h"
#include "outside_util.h"

Suite *nist_suite(void);

static const struct set {
	const char *name;
	size_t n;
	double mean, sd, lag1;			/* certified */
	double mean_tol, sd_tol, lag1_tol;	/* relative */
	double median, min, max;		/* by R 4.2.2, not certified */
} sets[] = {
	{ "Lew", 200, -177.435000000000, 277.332168044316, -0.307304800605679,
	  1e-13, 1e-12, 1e-12, -162, -579, 300 },
	{ "Lottery", 218, 518.958715596330, 291.699727470969, -0.120948622967393,
	  1e-13, 1e-12, 1e-12, 522.5, 4, 999 },
	{ "Mavro", 50, 2.00185600000000, 0.000429123454003053, 0.937989183438248,
	  1e-13, 1e-11, 1e-12, 2.0018, 2.0013, 2.0027 },
	{ "Michelso", 100, 299.852400000000, 0.0790105478190518, 0.535199668621283,
	  1e-13, 1e-11, 1e-12, 299.85, 299.62, 300.07 },
	{ "NumAcc1", 3, 10000002, 1, -0.5, 1e-13, 1e-12, 1e-12, 10000002, 10000001, 10000003 },
	{ "NumAcc2", 1001, 1.2, 0.1, -0.999, 1e-13, 1e-11, 1e-12, 1.2, 1.1, 1.3 },
	{ "NumAcc3", 1001, 1000000.2, 0.1, -0.999, 1e-13, 1e-9, 1e-10, 1000000.2, 1000000.1,
	  1000000.3 },
	{ "NumAcc4", 1001, 10000000.2, 0.1, -0.999, 1e-13, 1e-8, 1e-8, 10000000.2, 10000000.1,
	  10000000.3 },
	{ "PiDigits", 5000, 4.53480000000000, 2.86733906028871, -0.00355099287237972,
	  1e-13, 1e-12, 1e-12, 5, 0, 9 },
};

static size_t read_set(const struct set *set, double *v)
{
	char *file = mem_printf("nist/%s.txt", set->name);
	const size_t n = read_numbers(file, v, MOST_NUMBERS);

	free(file);
	ck_assert_uint_eq(n, set->n);
	return n;
}

static void check_set(const struct set *set, const struct stats *st)
{
	const double *f = st->field;

	CHECK_RELATIVE(f[STATS_N], (double)set->n, 0.0);
	CHECK_RELATIVE(f[STATS_MEAN], set->mean, set->mean_tol);
	CHECK_RELATIVE(f[STATS_SD], set->sd, set->sd_tol);
	CHECK_RELATIVE(f[STATS_LAG1], set->lag1, set->lag1_tol);
	CHECK_RELATIVE(f[STATS_MEDIAN], set->median, 0.0);
	CHECK_RELATIVE(f[STATS_MIN], set->min, 0.0);
	CHECK_RELATIVE(f[STATS_MAX], set->max, 0.0);
}

START_TEST(test_univariate)
{
	static double v[MOST_NUMBERS];
	const size_t n = read_set(&sets[_i], v);
	struct stats st;

	ck_assert_int_eq(stats_values(v, n, &st, NULL), ERR_NONE);
	check_set(&sets[_i], &st);
}
END_TEST

/* The same through a span of a log at 20 Hz. */
START_TEST(test_univariate_span)
{
	static double t[MOST_NUMBERS], v[MOST_NUMBERS];
	const size_t n = read_set(&sets[_i], v);
	struct series s;
	struct axis_map m;
	struct stats st;
	size_t i;

	for (i = 0; i < n; i++)
		t[i] = 0.05 * (double)i;
	ck_assert_int_eq(series_from(&s, t, v, n, false, NULL), ERR_NONE);
	axis_map_time(&m, t[0], t[n - 1], t[0]);
	ck_assert_int_eq(stats_span(&s, &m, NULL, -INFINITY, INFINITY, &st, NULL), ERR_NONE);
	check_set(&sets[_i], &st);
	axis_map_release(&m);
	series_release(&s);
}
END_TEST

/* sd from sum and sum of squares in one pass: what these sets are made to break. */
static double one_pass_sd(const double *v, size_t n)
{
	volatile double sum = 0.0;
	volatile double squares = 0.0;
	size_t i;

	for (i = 0; i < n; i++) {
		sum += v[i];
		squares += v[i] * v[i];
	}
	return sqrt((squares - sum * sum / (double)n) / (double)(n - 1));
}

/* On NumAcc4 a one-pass variance would fail the tolerance above (it is not even positive). */
START_TEST(test_one_pass_fails)
{
	static double v[MOST_NUMBERS];
	const struct set *set = &sets[7];
	const size_t n = read_set(set, v);

	ck_assert_str_eq(set->name, "NumAcc4");
	ck_assert(!(relative(one_pass_sd(v, n), set->sd) <= set->sd_tol));
	/* and the function is not at fault: it does for an easy set */
	CHECK_RELATIVE(one_pass_sd(v, read_set(&sets[0], v)), sets[0].sd, 1e-12);
}
END_TEST

/*
 * Type 7 quantiles of three of the sets, by R 4.2.2 quantile(); Hyndman and Fan,
 * The American Statistician 50, 361 (1996).
 */
START_TEST(test_quantiles)
{
	static const struct {
		size_t set;
		double p05, p50, p95;
	} want[] = {
		{ 0, -572, -162, 199.05 },
		{ 1, 45.05, 522.5, 957.2 },
		{ 3, 299.739, 299.85, 299.98 },
	};
	static double v[MOST_NUMBERS];
	struct stats st;
	size_t i;

	for (i = 0; i < COUNT(want); i++) {
		const size_t n = read_set(&sets[want[i].set], v);

		ck_assert_int_eq(stats_values(v, n, &st, NULL), ERR_NONE);
		CHECK_RELATIVE(st.field[STATS_P05], want[i].p05, 1e-12);
		CHECK_RELATIVE(st.field[STATS_MEDIAN], want[i].p50, 1e-12);
		CHECK_RELATIVE(st.field[STATS_P95], want[i].p95, 1e-12);
	}
}
END_TEST

#define NORRIS 36
#define NORRIS_SLOPE 1.00211681802045	/* certified */
#define NORRIS_TOL 1e-13

static int by_x(const void *a, const void *b)
{
	const double *const p = a;
	const double *const q = b;

	return (p[1] > q[1]) - (p[1] < q[1]);
}

/* x as time (put in order, which changes no slope), then as engine speed, in file order. */
START_TEST(test_norris)
{
	double pairs[NORRIS][2];
	double row[NORRIS], x[NORRIS], y[NORRIS];
	struct series s, rpm;
	struct axis_map m;
	struct stats st;
	size_t i;

	ck_assert_uint_eq(read_numbers("nist/Norris.csv", &pairs[0][0], 2 * NORRIS), 2 * NORRIS);
	for (i = 0; i < NORRIS; i++) {
		row[i] = (double)i;
		y[i] = pairs[i][0];
		x[i] = pairs[i][1];
	}
	ck_assert_int_eq(series_from(&s, row, y, NORRIS, false, NULL), ERR_NONE);
	ck_assert_int_eq(series_from(&rpm, row, x, NORRIS, false, NULL), ERR_NONE);
	axis_map_time(&m, 0.0, NORRIS - 1, 0.0);
	ck_assert_int_eq(stats_span(&s, &m, &rpm, 0.0, NORRIS, &st, NULL), ERR_NONE);
	CHECK_RELATIVE(st.field[STATS_SLOPE_PER_KRPM], 1000.0 * NORRIS_SLOPE, NORRIS_TOL);
	series_release(&s);
	series_release(&rpm);
	axis_map_release(&m);

	qsort(pairs, NORRIS, sizeof pairs[0], by_x);
	for (i = 0; i < NORRIS; i++) {
		y[i] = pairs[i][0];
		x[i] = pairs[i][1];
	}
	ck_assert_int_eq(series_from(&s, x, y, NORRIS, false, NULL), ERR_NONE);
	axis_map_time(&m, x[0], x[NORRIS - 1], 0.0);
	ck_assert_int_eq(stats_span(&s, &m, NULL, 0.0, 1e9, &st, NULL), ERR_NONE);
	ck_assert_double_eq(st.field[STATS_N], NORRIS);
	CHECK_RELATIVE(st.field[STATS_SLOPE_PER_S], NORRIS_SLOPE, NORRIS_TOL);
	ck_assert_double_nan(st.field[STATS_SLOPE_PER_KRPM]);
	series_release(&s);
	axis_map_release(&m);
}
END_TEST

Suite *nist_suite(void)
{
	Suite *s = suite_create("nist");
	TCase *t = tcase_create("nist");

	tcase_add_loop_test(t, test_univariate, 0, COUNT(sets));
	tcase_add_loop_test(t, test_univariate_span, 0, COUNT(sets));
	tcase_add_test(t, test_one_pass_fails);
	tcase_add_test(t, test_quantiles);
	tcase_add_test(t, test_norris);
	suite_add_tcase(s, t);
	return s;
}
