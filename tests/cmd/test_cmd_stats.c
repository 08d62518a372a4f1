/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of `twinpull stats`, with numbers worked out by hand from the logs of logs.c. */
#include <check.h>
#include <math.h>
#include <string.h>

#include "../out/read_csv.h"
#include "logs.h"

#define NEAR 1e-6	/* the logs have four decimals */

Suite *cmd_stats_suite(void);

#define RUN_FIELDS "file pull from_s to_s rows"
#define STATS_KEYS "n min min_at max max_at mean time_mean sd median p05 p95 first last " \
	"change slope_per_s slope_per_krpm integral lag1"

START_TEST(test_fields)
{
	struct place p = place_make();
	json_t *root;

	log_write_both(&p);
	root = RUN_JSON(&p, "stats", "before.csv", "after.csv");
	assert_fields(root, "axis from to unit a b channels");
	assert_fields(node(root, "a"), RUN_FIELDS);
	assert_fields(node(root, "b"), RUN_FIELDS);
	assert_fields(node(root, "channels.0"), "name quantity unit a b delta");
	assert_fields(node(root, "channels.0.a"), STATS_KEYS);
	assert_fields(node(root, "channels.0.b"), STATS_KEYS);
	assert_fields(node(root, "channels.0.delta"), STATS_KEYS);
	ck_assert_str_eq(json_string_value(node(root, "axis")), "rpm");
	ck_assert_str_eq(json_string_value(node(root, "unit")), "rpm");
	ck_assert_str_eq(json_string_value(node(root, "a.file")), "before.csv");
	ck_assert_str_eq(json_string_value(node(root, "b.file")), "after.csv");
	ck_assert(json_is_integer(node(root, "channels.0.a.n")));
	json_decref(root);
	root = RUN_JSON(&p, "stats", "before.csv@1");
	assert_fields(root, "axis from to unit a b channels");
	ck_assert(json_is_null(node(root, "b")));
	ck_assert(json_is_null(node(root, "channels.0.b")));
	ck_assert(json_is_null(node(root, "channels.0.delta")));
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* Samples of A stand every 30 rpm, those in the span from 2510 to 3080: boost 51 to 108. */
static void assert_boost_a(const json_t *root)
{
	const json_t *a = node(root, "channels.0.a");

	ck_assert_double_eq(at(a, "n"), 20);
	ck_assert_double_eq_tol(at(a, "min"), 51.0, NEAR);
	ck_assert_double_eq_tol(at(a, "min_at"), 2510, NEAR);
	ck_assert_double_eq_tol(at(a, "max"), 108.0, NEAR);
	ck_assert_double_eq_tol(at(a, "max_at"), 3080, NEAR);
	ck_assert_double_eq_tol(at(a, "mean"), 79.5, NEAR);
	ck_assert_double_eq_tol(at(a, "time_mean"), 80.0, NEAR);
	ck_assert_double_eq_tol(at(a, "integral"), 80.0, NEAR);
	ck_assert_double_eq_tol(at(a, "sd"), 3.0 * sqrt(35.0), NEAR);
	ck_assert_double_eq_tol(at(a, "median"), 79.5, NEAR);
	ck_assert_double_eq_tol(at(a, "p05"), 51.0 + 0.05 * 19 * 3.0, NEAR);
	ck_assert_double_eq_tol(at(a, "p95"), 51.0 + 0.95 * 19 * 3.0, NEAR);
	ck_assert_double_eq_tol(at(a, "first"), 51.0, NEAR);
	ck_assert_double_eq_tol(at(a, "last"), 108.0, NEAR);
	ck_assert_double_eq_tol(at(a, "change"), 57.0, NEAR);
	ck_assert_double_eq_tol(at(a, "slope_per_s"), 60.0, NEAR);
	ck_assert_double_eq_tol(at(a, "slope_per_krpm"), 100.0, NEAR);
}

/* B every 50 rpm, from 2500 to 3100: boost 0 to 60. */
START_TEST(test_numbers)
{
	struct place p = place_make();
	json_t *root;

	log_write_both(&p);
	root = RUN_JSON(&p, "stats", "before.csv", "after.csv", "--span", "2500:3100",
			"--channel", "boost");
	ck_assert_uint_eq(json_array_size(node(root, "channels")), 1);
	ck_assert_str_eq(json_string_value(node(root, "channels.0.name")), "Boost Pressure");
	ck_assert_str_eq(json_string_value(node(root, "channels.0.quantity")), "boost");
	ck_assert_str_eq(json_string_value(node(root, "channels.0.unit")), "kPa");
	ck_assert_double_eq(at(root, "from"), 2500);
	ck_assert_double_eq(at(root, "to"), 3100);
	ck_assert_double_eq_tol(at(root, "a.from_s"), 2.0 + 500.0 / 600.0, NEAR);
	ck_assert_double_eq_tol(at(root, "a.to_s"), 2.0 + 1100.0 / 600.0, NEAR);
	ck_assert_double_eq_tol(at(root, "b.from_s"), 102.0 + 500.0 / 1000.0, NEAR);
	ck_assert_double_eq(at(root, "a.pull"), 1);
	ck_assert_double_eq(at(root, "a.rows"), 20);
	ck_assert_double_eq(at(root, "b.rows"), 13);
	assert_boost_a(root);
	ck_assert_double_eq_tol(at(root, "channels.0.b.mean"), 30.0, NEAR);
	ck_assert_double_eq_tol(at(root, "channels.0.b.integral"), 30.0 * 0.6, NEAR);
	ck_assert_double_eq(at(root, "channels.0.delta.n"), -7);
	ck_assert_double_eq_tol(at(root, "channels.0.delta.mean"), 30.0 - 79.5, NEAR);
	ck_assert_double_eq_tol(at(root, "channels.0.delta.max_at"), 20, NEAR);
	ck_assert_double_eq_tol(at(root, "channels.0.delta.slope_per_s"), 40.0, NEAR);
	json_decref(root);
	place_remove(&p);
}
END_TEST

/*
 * Any CSV of numbers: all rows, all columns of numbers, the time column too.
 * Quantiles: Hyndman and Fan's type 7 by R 4.2, quantile(x, type = 7).
 */
START_TEST(test_whole_file)
{
	struct place p = place_make();
	json_t *root;

	place_write(&p, "x.csv", "t (ms),x,w\n0,2.1,a\n10,3.4,b\n20,3.9,a\n30,5.0,a\n40,6.2,a\n"
		    "50,7.7,a\n60,8.8,a\n70,9.1,b\n80,11.3,a\n90,14.0,a\n");
	root = RUN_JSON(&p, "stats", "x.csv@all", "--axis", "time");
	ck_assert_uint_eq(json_array_size(node(root, "channels")), 2);
	ck_assert(json_is_null(node(root, "a.pull")));
	ck_assert_double_eq(at(root, "a.rows"), 10);
	ck_assert_double_eq(at(root, "a.from_s"), 0);
	ck_assert_double_eq_tol(at(root, "a.to_s"), 0.09, 1e-15);
	ck_assert_str_eq(json_string_value(node(root, "channels.0.unit")), "ms");
	ck_assert_double_eq(at(root, "channels.0.a.mean"), 45);
	ck_assert(json_is_null(node(root, "channels.1.quantity")));
	ck_assert(json_is_null(node(root, "channels.1.unit")));
	ck_assert_double_eq(at(root, "channels.1.a.n"), 10);
	ck_assert_double_eq_tol(at(root, "channels.1.a.mean"), 7.15, 1e-13);
	ck_assert_double_eq_tol(at(root, "channels.1.a.p05"), 2.685, 1e-13);
	ck_assert_double_eq_tol(at(root, "channels.1.a.median"), 6.95, 1e-13);
	ck_assert_double_eq_tol(at(root, "channels.1.a.p95"), 12.785, 1e-13);
	ck_assert(json_is_null(node(root, "channels.1.a.slope_per_krpm")));
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* CSV and JSON hold the same numbers. */
START_TEST(test_csv)
{
	static const char *const fields[] = { "n", "min", "max_at", "mean", "sd", "lag1" };
	struct place p = place_make();
	struct csv_back csv;
	json_t *root;
	struct ran r;
	size_t i;

	log_write_both(&p);
	root = RUN_JSON(&p, "stats", "before.csv", "after.csv", "--channel", "lambda",
			"--channel", "boost");
	r = RUN(&p, "stats", "before.csv", "after.csv", "--channel", "lambda,boost", "--format",
		"csv");
	ck_assert_int_eq(r.status, 0);
	csv_back_read(&csv, r.out, r.out_len);
	ck_assert_uint_eq(csv.row_count, 7);
	ck_assert_str_eq(csv_back_at(&csv, 1, "run"), "A");
	ck_assert_str_eq(csv_back_at(&csv, 2, "run"), "B");
	ck_assert_str_eq(csv_back_at(&csv, 3, "run"), "B-A");
	ck_assert_str_eq(csv_back_at(&csv, 2, "file"), "after.csv");
	ck_assert_str_eq(csv_back_at(&csv, 2, "pull"), "1");
	ck_assert_str_eq(csv_back_at(&csv, 3, "file"), "");
	ck_assert_str_eq(csv_back_at(&csv, 4, "quantity"), "boost");
	ck_assert_str_eq(csv_back_at(&csv, 4, "unit"), "kPa");
	ck_assert_str_eq(csv_back_at(&csv, 4, "axis"), "rpm");
	for (i = 0; i < sizeof fields / sizeof fields[0]; i++) {
		char path[40];

		snprintf(path, sizeof path, "channels.1.delta.%s", fields[i]);
		ck_assert(csv_back_number(&csv, 6, fields[i]) == at(root, path));
	}
	csv_back_release(&csv);
	ran_release(&r);
	json_decref(root);
	place_remove(&p);
}
END_TEST

START_TEST(test_text)
{
	struct place p = place_make();
	struct ran r;

	log_write_both(&p);
	r = RUN(&p, "stats", "before.csv", "after.csv", "--channel", "boost,lambda", "--span",
		"2500:3100");
	ck_assert_str_eq(r.err, "");
	ck_assert_str_eq(r.out,
		"A  before.csv@1  gear 4  2000-6500 rpm  7.50 s\n"
		"B  after.csv@1   gear 4  2000-6500 rpm  4.50 s\n"
		"span 2500-3100 rpm   A 1.00 s   B 0.60 s   B-A -0.40 s\n"
		"\n"
		"channel         unit         mean     min  min at     max  max at\n"
		"Boost Pressure  kPa   A     79.50   51.00    2510  108.00    3080\n"
		"                      B     30.00    0.00    2500   60.00    3100\n"
		"                      B-A  -49.50  -51.00          -48.00\n"
		"\n"
		"Lambda          \xce\xbb     A     0.850   0.850    2510   0.850    2510\n"
		"                      B     0.850   0.850    2500   0.850    2500\n"
		"                      B-A   0.000   0.000           0.000\n");
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_units)
{
	struct place p = place_make();
	json_t *root;

	log_write_both(&p);
	root = RUN_JSON(&p, "stats", "before.csv", "--span", "2500:3100", "--channel", "boost",
			"--units", "us");
	ck_assert_str_eq(json_string_value(node(root, "channels.0.unit")), "psi");
	/* 1 psi = 6.894757293168361 kPa: NIST SP 811, appendix B, from the exact definitions */
	ck_assert_double_eq_tol(at(root, "channels.0.a.mean"), 79.5 / 6.894757293168361, NEAR);
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* Where the zero of the time axis is, and what both cover from there. */
START_TEST(test_alignment)
{
	struct place p = place_make();
	json_t *root;

	log_write_both(&p);
	root = RUN_JSON(&p, "stats", "before.csv", "after.csv", "--axis", "time");
	ck_assert_str_eq(json_string_value(node(root, "unit")), "s");
	ck_assert_double_eq_tol(at(root, "from"), 0, NEAR);
	ck_assert_double_eq_tol(at(root, "to"), 4.5, NEAR);
	json_decref(root);
	root = RUN_JSON(&p, "stats", "before.csv", "after.csv", "--axis", "time", "--at", "3000");
	ck_assert_double_eq_tol(at(root, "from"), -1000.0 / 1000.0, NEAR);
	ck_assert_double_eq_tol(at(root, "to"), 3500.0 / 1000.0, NEAR);
	ck_assert_double_eq_tol(at(root, "a.from_s"), 2.0 + 1000.0 / 600.0 - 1000.0 / 1000.0,
				NEAR);
	json_decref(root);
	root = RUN_JSON(&p, "stats", "before.csv", "after.csv", "--axis", "time", "--align",
			"start", "--nudge", "0.5");
	ck_assert_double_eq_tol(at(root, "from"), 0.5, NEAR);
	ck_assert_double_eq_tol(at(root, "to"), 5.0, NEAR);
	ck_assert_double_eq_tol(at(root, "b.from_s"), 102.0, NEAR);
	json_decref(root);
	EXPECT(&p, 2, "nothing in common on the time axis", "stats", "before.csv", "after.csv",
	       "--axis", "time", "--align", "clock");
	place_remove(&p);
}
END_TEST

START_TEST(test_span_is_cut)
{
	struct place p = place_make();
	json_t *root;

	log_write_both(&p);
	EXPECT(&p, 0, "cut to what the pull covers: 2000 to 6500 rpm", "stats", "before.csv",
	       "--span", "1000:3000");
	root = RUN_JSON(&p, "stats", "before.csv", "--span", "6000:");
	ck_assert_double_eq_tol(at(root, "to"), 6500, NEAR);
	json_decref(root);
	root = RUN_JSON(&p, "stats", "before.csv", "--span", ":3000");
	ck_assert_double_eq_tol(at(root, "from"), 2000, NEAR);
	ck_assert_double_eq(at(root, "to"), 3000);
	json_decref(root);
	EXPECT(&p, 2, "the pull covers 2000 to 6500 rpm", "stats", "before.csv", "--span",
	       "7000:8000");
	place_remove(&p);
}
END_TEST

START_TEST(test_standard_input)
{
	const struct run_how how = {
		"time (s),x\n0,1\n1,3\n2,5\n", NULL, RUN_OUT_PIPE,
	};
	const char *const argv[] = { "stats", "-", "--format", "csv", NULL };
	struct place p = place_make();
	struct csv_back csv;
	struct ran r;

	r = run_with(&p, argv, &how);
	ck_assert_int_eq(r.status, 0);
	csv_back_read(&csv, r.out, r.out_len);
	ck_assert_str_eq(csv_back_at(&csv, 2, "name"), "x");
	ck_assert_str_eq(csv_back_at(&csv, 2, "mean"), "3");
	csv_back_release(&csv);
	ran_release(&r);
	EXPECT(&p, 2, "standard input can be only one", "stats", "-", "-");
	place_remove(&p);
}
END_TEST

START_TEST(test_errors)
{
	struct log_how third = log_after;
	struct place p = place_make();

	third.gear = 3;
	log_write_both(&p);
	log_write(&p, "third.csv", &third);
	EXPECT(&p, 2, "nothing.csv: ", "stats", "nothing.csv");
	EXPECT(&p, 2, "stats: no log is named", "stats");
	EXPECT(&p, 2, "too many logs", "stats", "before.csv", "after.csv", "third.csv");
	EXPECT(&p, 2, "there is no @2", "stats", "before.csv@2");
	EXPECT(&p, 2, "behind '@'", "stats", "before.csv@0");
	EXPECT(&p, 2, "no rpm axis; use --axis time", "stats", "before.csv@all", "--axis", "rpm");
	EXPECT(&p, 2, "no channel \"thrust\"", "stats", "before.csv", "--channel", "thrust");
	EXPECT(&p, 2, "holds words, not numbers", "stats", "before.csv", "--channel",
	       "Fuel System Status");
	EXPECT(&p, 2, "--at 9000 rpm is outside", "stats", "before.csv", "--at", "9000");
	EXPECT(&p, 2, "--at belongs to --align crossing", "stats", "before.csv", "--at", "3000",
	       "--align", "match");
	EXPECT(&p, 0, "A is in gear 4 and B in gear 3", "stats", "before.csv", "third.csv");
	place_remove(&p);
}
END_TEST

Suite *cmd_stats_suite(void)
{
	Suite *s = suite_create("cmd_stats");
	TCase *t = tcase_create("stats");

	tcase_add_test(t, test_fields);
	tcase_add_test(t, test_numbers);
	tcase_add_test(t, test_whole_file);
	tcase_add_test(t, test_csv);
	tcase_add_test(t, test_text);
	tcase_add_test(t, test_units);
	tcase_add_test(t, test_alignment);
	tcase_add_test(t, test_span_is_cut);
	tcase_add_test(t, test_standard_input);
	tcase_add_test(t, test_errors);
	suite_add_tcase(s, t);
	return s;
}
