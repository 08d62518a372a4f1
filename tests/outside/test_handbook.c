/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Worked examples from regulations, papers and other programs' manuals.  Each
 * names its source.  "By R" means recomputed with R 4.2.2.
 */
#include "calc/derive.h"
#include "calc/load.h"
#include "calc/profile.h"
#include "calc/stats.h"
#include "calc/calc_util.h"
#include "outside_util.h"

Suite *handbook_suite(void);

static void values(struct stats *st, const double *v, size_t n)
{
	ck_assert_int_eq(stats_values(v, n, st, NULL), ERR_NONE);
}

/*
 * 40 CFR 1065.602 "Statistics" (text of 2024), paragraphs (b) mean, (c) standard
 * deviation, (d) root mean square, (e) accuracy.  The digits beyond those printed
 * there are by R.
 */
START_TEST(test_cfr_1065_602)
{
	static const double y[] = { 10.60, 11.91, 11.09 };
	static const double measured[] = { 1806.4, 1803.1, 1798.9 };
	struct stats st;
	double mean, sd;

	values(&st, y, 3);
	mean = st.field[STATS_MEAN];
	sd = st.field[STATS_SD];
	CHECK_RELATIVE(mean, 11.20, 1e-12);
	CHECK_RELATIVE(sd, 0.6618912297, 1e-9);
	CHECK_NEAR(sd, 0.6619, 5e-5);
	CHECK_RELATIVE(sqrt(mean * mean + sd * sd * 2.0 / 3.0), 11.2130311097, 1e-9);
	values(&st, measured, 3);
	CHECK_RELATIVE(fabs(st.field[STATS_MEAN] - 1800.0), 2.8, 1e-9);
}
END_TEST

/* 40 CFR 1065.602 (m) median, even and odd count (inputs from there, results by R). */
START_TEST(test_cfr_median)
{
	static const double y[] = { 41.515, 41.780, 41.861, 41.902 };
	static const double mixed[] = { 41.902, 41.515, 41.861, 41.780 };
	struct stats st;

	values(&st, y, 4);
	CHECK_RELATIVE(st.field[STATS_MEDIAN], 41.8205, 1e-12);
	values(&st, mixed, 4);
	CHECK_RELATIVE(st.field[STATS_MEDIAN], 41.8205, 1e-12);
	ck_assert_double_eq(mixed[0], 41.902);	/* the caller's values stay in order */
	values(&st, y, 3);
	CHECK_RELATIVE(st.field[STATS_MEDIAN], 41.780, 1e-12);
}
END_TEST

/*
 * Quantiles of type 7 in Hyndman and Fan, The American Statistician 50, 361
 * (1996); by R quantile(type = 7).  Types 6 and 8 give other numbers (p05 2.1 and
 * 2.1, p95 14 and 14).
 */
START_TEST(test_hyndman_fan)
{
	static const double x[] = { 6.2, 2.1, 14.0, 3.4, 9.1, 3.9, 5.0, 11.3, 7.7, 8.8 };
	struct stats st;

	values(&st, x, 10);
	CHECK_RELATIVE(st.field[STATS_P05], 2.685, 1e-12);
	CHECK_RELATIVE(st.field[STATS_MEDIAN], 6.95, 1e-12);
	CHECK_RELATIVE(st.field[STATS_P95], 12.785, 1e-12);
}
END_TEST

/* Trapezoid mean over time, whole and over a span whose ends lie between samples; by R. */
START_TEST(test_trapezoid)
{
	static const double t[] = { 0, 0.1, 0.3, 0.35, 0.7, 1.0 };
	static const double y[] = { 10, 12, 18, 17, 25, 24 };
	struct series s;
	struct axis_map m;
	struct stats st;

	make_series(&s, t, y, 6, false);
	axis_map_time(&m, 0.0, 1.0, 0.0);
	ck_assert_int_eq(stats_span(&s, &m, NULL, 0.0, 1.0, &st, NULL), ERR_NONE);
	CHECK_RELATIVE(st.field[STATS_INTEGRAL], 19.675, 1e-12);
	CHECK_RELATIVE(st.field[STATS_TIME_MEAN], 19.675, 1e-12);
	CHECK_RELATIVE(st.field[STATS_MEAN], 17.6666666667, 1e-10);
	ck_assert_int_eq(stats_span(&s, &m, NULL, 0.2, 0.8, &st, NULL), ERR_NONE);
	CHECK_RELATIVE(st.field[STATS_INTEGRAL], 12.3583333333, 1e-10);
	CHECK_RELATIVE(st.field[STATS_TIME_MEAN], 20.5972222222, 1e-10);
	ck_assert_double_eq(st.field[STATS_N], 3);
	CHECK_RELATIVE(series_at(&s, 0.8), 24.6666666667, 1e-10);
	series_release(&s);
	axis_map_release(&m);
}
END_TEST

/*
 * Linear interpolation through Akima's data, J. ACM 17, 589 (1970) (data from
 * memory); by R approx().
 */
START_TEST(test_linear_akima)
{
	static const double x[] = { 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10 };
	static const double y[] = { 10, 10, 10, 10, 10, 10, 10.5, 15, 50, 60, 85 };
	static const double at[] = { 0.5, 2.5, 5.5, 6.5, 7.5, 8.5, 9.5 };
	static const double want[] = { 10, 10, 10.25, 12.75, 32.5, 55, 72.5 };
	struct series s;
	size_t i;

	make_series(&s, x, y, COUNT(x), false);
	for (i = 0; i < COUNT(at); i++)
		CHECK_RELATIVE(series_at(&s, at[i]), want[i], 1e-12);
	series_release(&s);
}
END_TEST

/*
 * The same through a map: the RPN 14 data of Fritsch and Carlson, SIAM J. Numer.
 * Anal. 17, 238 (1980) (data from memory); by R approx().
 */
START_TEST(test_linear_rpn14)
{
	static const double x[] = { 7.99, 8.09, 8.19, 8.7, 9.2, 10, 12, 15, 20 };
	static const double y[] = {
		0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994,
	};
	static const double at[] = { 8.0, 8.15, 8.5, 9.0, 9.6, 11, 13, 18 };
	static const double want[] = {
		2.76429e-06, 0.02626093716, 0.1199935098039, 0.34933, 0.706584, 0.971188,
		0.9990636666667, 0.999964,
	};
	struct series s;
	struct axis_map m;
	size_t i;

	make_series(&s, x, y, COUNT(x), false);
	ck_assert_int_eq(axis_map_rpm(&m, &s, NULL), ERR_NONE);
	for (i = 0; i < COUNT(at); i++) {
		CHECK_NEAR(axis_map_to_position(&m, at[i]), want[i], 1e-10);
		CHECK_NEAR(axis_map_to_time(&m, want[i]), at[i], 1e-8);
	}
	series_release(&s);
	axis_map_release(&m);
}
END_TEST

/* Two runs aligned by engine speed; by R approx(). */
#define RUN_SAMPLES 4

static void make_side(struct profile *p, const double *rpm, const double *v)
{
	static const double t[RUN_SAMPLES] = { 0.0, 1.0, 2.0, 3.0 };
	struct series s, speed;
	struct axis_map m;

	make_series(&speed, t, rpm, RUN_SAMPLES, false);
	make_series(&s, t, v, RUN_SAMPLES, false);
	ck_assert_int_eq(axis_map_rpm(&m, &speed, NULL), ERR_NONE);
	ck_assert_int_eq(profile_build(p, &s, &m, NULL), ERR_NONE);
	axis_map_release(&m);
	series_release(&s);
	series_release(&speed);
}

START_TEST(test_two_runs)
{
	static const double rpm_a[] = { 2000, 3000, 4500, 6000 };
	static const double rpm_b[] = { 1800, 3200, 4400, 6200 };
	static const double value_a[] = { 0, 50, 120, 110 };
	static const double value_b[] = { 5, 70, 130, 125 };
	static const double want[][3] = {
		{ 2000, 0, 14.2857142857 }, { 2500, 25, 37.5 }, { 3500, 73.3333333333, 85 },
		{ 5000, 116.6666666667, 128.3333333333 }, { 6000, 110, 125.5555555556 },
	};
	struct profile a, b;
	double sum = 0.0;
	size_t i;

	make_side(&a, rpm_a, value_a);
	make_side(&b, rpm_b, value_b);
	for (i = 0; i < COUNT(want); i++) {
		CHECK_NEAR(profile_at(&a, want[i][0]), want[i][1], 1e-9);
		CHECK_NEAR(profile_at(&b, want[i][0]), want[i][2], 1e-9);
	}
	for (i = 0; i < 9; i++) {
		const double rpm = 2000.0 + 500.0 * (double)i;

		sum += profile_at(&b, rpm) - profile_at(&a, rpm);
	}
	CHECK_RELATIVE(sum / 9.0, 12.5617283951, 1e-11);
	/* the trapezoid mean on the 500 rpm grid counts its two ends by half */
	sum -= 0.5 * (14.285714285714286 + 15.555555555555556);
	CHECK_RELATIVE(sum / 8.0, 12.2668650794, 1e-10);
	ck_assert_double_nan(profile_at(&a, 1999.9));
	ck_assert_double_nan(profile_at(&a, 6000.1));
	profile_release(&a);
	profile_release(&b);
}
END_TEST

/* 98.5 km/h at 5.0 s and 101.2 at 5.1: 100 km/h at 5.0555555556 s; by R. */
START_TEST(test_threshold)
{
	static const double t[] = { 4.9, 5.0, 5.1 };
	static const double v[] = { 96.0, 98.5, 101.2 };
	struct axis_map m;
	struct series s;
	struct profile p;

	make_series(&s, t, v, 3, false);
	axis_map_time(&m, 4.9, 5.1, 0.0);
	ck_assert_int_eq(profile_build(&p, &s, &m, NULL), ERR_NONE);
	CHECK_NEAR(profile_reaches(&p, -INFINITY, 100.0), 5.0555555556, 1e-10);
	profile_release(&p);
	series_release(&s);
	axis_map_release(&m);
}
END_TEST

/*
 * R's datasets::mtcars (Henderson and Velleman, Biometrics 37, 391, 1981), read as a
 * log of 10 rows a second; by R mean(), sd(), quantile().
 */
START_TEST(test_mtcars)
{
	static const struct {
		const char *name;
		double mean, sd, p05, p50, p95;
	} want[] = {
		{ "hp", 146.6875, 68.5628684893, 63.65, 123.0, 253.55 },
		{ "wt", 3.21725, 0.97845744299, 1.736, 3.325, 5.29275 },
		{ "qsec", 17.84875, 1.7869432361, 15.0455, 17.71, 20.1045 },
	};
	const struct log_ref whole = { NULL, REF_WHOLE, 0 };
	struct load_options options = { .csv = { .rate = 10.0 } };
	struct err e = ERR_INIT;
	struct loaded l;
	struct run run;
	size_t i;

	ck_assert_msg(load_log(OUTSIDE_DATA "mtcars_hp_wt_qsec.csv", &options, &l, &e) == ERR_NONE,
		      "%s", e.text);
	ck_assert_uint_eq(l.log->rows, 32);
	ck_assert_int_eq(load_run(&l, &whole, &run, &e), ERR_NONE);
	for (i = 0; i < COUNT(want); i++) {
		const struct channel *ch = datalog_channel(l.log, want[i].name, &e);
		struct series s;
		struct stats st;

		ck_assert_ptr_nonnull(ch);
		ck_assert_int_eq(series_load(&s, l.log, ch, 0, 31, NULL, &e), ERR_NONE);
		ck_assert_int_eq(stats_span(&s, &run.by_time, NULL, -INFINITY, INFINITY, &st, &e),
				 ERR_NONE);
		ck_assert_double_eq(st.field[STATS_N], 32);
		CHECK_RELATIVE(st.field[STATS_MEAN], want[i].mean, 1e-12);
		CHECK_RELATIVE(st.field[STATS_SD], want[i].sd, 1e-11);
		CHECK_RELATIVE(st.field[STATS_P05], want[i].p05, 1e-12);
		CHECK_RELATIVE(st.field[STATS_MEDIAN], want[i].p50, 1e-12);
		CHECK_RELATIVE(st.field[STATS_P95], want[i].p95, 1e-12);
		series_release(&s);
	}
	run_release(&run);
	loaded_release(&l);
}
END_TEST

/*
 * Five-point slopes of Savitzky and Golay, Anal. Chem. 36, 1627 (1964): the input
 * of scipy.signal.savgol_filter's documentation, window 5, order 2, first
 * derivative, step 0.1; by scipy 1.10.1.  Half a second around a sample is five
 * samples at 10 Hz, and between the ends a straight line has the same slope.
 */
START_TEST(test_slope_savitzky_golay)
{
	static const double speed[] = { 2, 2, 5, 2, 1, 0, 1, 4, 9 };
	static const double want[] = { -2, -8, -10, 4, 20 };
	struct datalog *log = make_even_log("x.csv", 0.1, COUNT(speed));
	const struct channel *accel;
	size_t i;

	put_channel(log, "speed", Q_SPEED, "m/s", speed);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	accel = datalog_find(log, Q_ACCEL);
	ck_assert_ptr_nonnull(accel);
	for (i = 0; i < COUNT(want); i++)
		CHECK_NEAR(column_at(accel->column, i + 2), want[i], 1e-11);
	datalog_free(log);
}
END_TEST

/*
 * Gauge and absolute pressure, with the psi that follows from the exact pound, inch
 * and standard gravity (NIST SP 811): 22 psi gauge are 253.0096604497 kPa absolute
 * at 101.325 kPa of air and 236.2406604497 at 84.556; by R.
 */
START_TEST(test_gauge_to_absolute)
{
	static const double psi[] = { 22.0, 22.0 };
	static const double air[] = { 101.325, 84.556 };
	static const double want[] = { 253.0096604497, 236.2406604497 };
	struct datalog *log = make_even_log("x.csv", 1.0, 2);
	const struct channel *map;
	size_t i;

	put_channel(log, "boost", Q_BOOST, "psi", psi);
	put_channel(log, "baro", Q_BARO, "kPa", air);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	map = datalog_find(log, Q_MAP);
	ck_assert_ptr_nonnull(map);
	for (i = 0; i < 2; i++)
		CHECK_RELATIVE(unit_convert(column_at(map->column, i), map->unit,
					    unit_find("kPa", NULL)), want[i], 1e-12);
	datalog_free(log);
}
END_TEST

Suite *handbook_suite(void)
{
	Suite *s = suite_create("handbook");
	TCase *t = tcase_create("handbook");

	tcase_add_test(t, test_cfr_1065_602);
	tcase_add_test(t, test_cfr_median);
	tcase_add_test(t, test_hyndman_fan);
	tcase_add_test(t, test_trapezoid);
	tcase_add_test(t, test_linear_akima);
	tcase_add_test(t, test_linear_rpn14);
	tcase_add_test(t, test_two_runs);
	tcase_add_test(t, test_threshold);
	tcase_add_test(t, test_mtcars);
	tcase_add_test(t, test_slope_savitzky_golay);
	tcase_add_test(t, test_gauge_to_absolute);
	suite_add_tcase(s, t);
	return s;
}
