/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of `twinpull diff`, with numbers worked out by hand from the logs of logs.c. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "../out/read_csv.h"
#include "logs.h"

#define NEAR 1e-6

Suite *cmd_diff_suite(void);

START_TEST(test_fields)
{
	struct place p = place_make();
	json_t *root;

	log_write_both(&p);
	root = RUN_JSON(&p, "diff", "before.csv", "after.csv");
	assert_fields(root, "axis from to unit a b bands elapsed spool largest");
	assert_fields(node(root, "a"), "file pull from_s to_s rows");
	assert_fields(node(root, "b"), "file pull from_s to_s rows");
	assert_fields(node(root, "bands.0"), "from to elapsed channels");
	assert_fields(node(root, "bands.0.elapsed"), "a b delta");
	assert_fields(node(root, "bands.0.channels.0"),
		      "name quantity unit a b delta percent");
	assert_fields(node(root, "elapsed"), "a b delta");
	assert_fields(node(root, "spool.0"), "level_kpa share rpm seconds");
	assert_fields(node(root, "spool.0.rpm"), "a b delta");
	assert_fields(node(root, "spool.0.seconds"), "a b delta");
	assert_fields(node(root, "largest.0"), "name quantity unit a b delta at");
	json_decref(root);
	place_remove(&p);
}
END_TEST

START_TEST(test_bands)
{
	struct place p = place_make();
	json_t *root;

	log_write_both(&p);
	root = RUN_JSON(&p, "diff", "before.csv", "after.csv", "--channel", "boost");
	ck_assert_uint_eq(json_array_size(node(root, "bands")), 9);
	ck_assert_double_eq_tol(at(root, "bands.0.from"), 2000, NEAR);
	ck_assert_double_eq(at(root, "bands.0.to"), 2500);
	ck_assert_double_eq(at(root, "bands.4.from"), 4000);
	ck_assert_double_eq_tol(at(root, "bands.4.elapsed.a"), 500.0 / 600.0, NEAR);
	ck_assert_double_eq_tol(at(root, "bands.4.elapsed.b"), 0.5, NEAR);
	ck_assert_double_eq_tol(at(root, "bands.1.channels.0.a"), 75.0, NEAR);
	ck_assert_double_eq_tol(at(root, "bands.1.channels.0.b"), 25.0, NEAR);
	ck_assert_double_eq_tol(at(root, "bands.1.channels.0.delta"), -50.0, NEAR);
	ck_assert_double_eq_tol(at(root, "bands.1.channels.0.percent"), -200.0 / 3.0, NEAR);
	ck_assert_double_eq_tol(at(root, "bands.4.channels.0.a"), 120.0, NEAR);
	ck_assert_double_eq_tol(at(root, "bands.4.channels.0.b"), 175.0, NEAR);
	ck_assert_double_eq_tol(at(root, "elapsed.a"), 7.5, NEAR);
	ck_assert_double_eq_tol(at(root, "elapsed.b"), 4.5, NEAR);
	ck_assert_double_eq_tol(at(root, "elapsed.delta"), -3.0, NEAR);
	ck_assert_double_eq_tol(at(root, "largest.0.delta"), 80.0, NEAR);
	ck_assert_double_ge(at(root, "largest.0.at"), 4500.0 - NEAR);
	json_decref(root);
	root = RUN_JSON(&p, "diff", "before.csv", "after.csv", "--channel", "boost", "--band",
			"1000", "--span", "2500:");
	ck_assert_uint_eq(json_array_size(node(root, "bands")), 5);
	ck_assert_double_eq(at(root, "bands.0.from"), 2500);
	ck_assert_double_eq(at(root, "bands.0.to"), 3000);
	ck_assert_double_eq(at(root, "bands.1.to"), 4000);
	ck_assert_double_eq_tol(at(root, "bands.4.to"), 6500, NEAR);
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* Boost is (rpm - 2000)/10 in A and (rpm - 2500)/10 in B; seconds count from 2000 rpm. */
START_TEST(test_spool)
{
	static const double level[] = { 50, 100, 60, 108 };
	struct place p = place_make();
	json_t *root;
	size_t i;

	log_write_both(&p);
	root = RUN_JSON(&p, "diff", "before.csv", "after.csv");
	ck_assert_uint_eq(json_array_size(node(root, "spool")), 4);
	for (i = 0; i < 4; i++) {
		const json_t *line = json_array_get(node(root, "spool"), i);
		const double rpm_a = 2000 + 10 * level[i];
		const double rpm_b = 2500 + 10 * level[i];

		ck_assert_double_eq_tol(at(line, "level_kpa"), level[i], NEAR);
		ck_assert_double_eq_tol(at(line, "rpm.a"), rpm_a, NEAR);
		ck_assert_double_eq_tol(at(line, "rpm.b"), rpm_b, NEAR);
		ck_assert_double_eq_tol(at(line, "rpm.delta"), 500, NEAR);
		ck_assert_double_eq_tol(at(line, "seconds.a"), (rpm_a - 2000) / 600, NEAR);
		ck_assert_double_eq_tol(at(line, "seconds.b"), (rpm_b - 2000) / 1000, NEAR);
	}
	ck_assert(json_is_null(node(root, "spool.0.share")));
	ck_assert_double_eq(at(root, "spool.3.share"), 0.9);
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* What B never reaches is null there, not extrapolated. */
START_TEST(test_spool_not_reached)
{
	struct log_how weak = log_after;
	struct place p = place_make();
	json_t *root;
	struct ran r;

	weak.top = 70.0;
	log_write_both(&p);
	log_write(&p, "weak.csv", &weak);
	root = RUN_JSON(&p, "diff", "before.csv", "weak.csv");
	ck_assert_double_eq_tol(at(root, "spool.0.rpm.b"), 3000, NEAR);
	ck_assert(json_is_null(node(root, "spool.1.rpm.b")));
	ck_assert(json_is_null(node(root, "spool.1.seconds.delta")));
	json_decref(root);
	r = RUN(&p, "diff", "before.csv", "weak.csv");
	ck_assert_ptr_nonnull(strstr(r.out,
		"boost 100 kPa              3000  1.67      -     -      -      -\n"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

/* Text shows what tells most: of the cylinders the one that differs. */
START_TEST(test_text)
{
	struct place p = place_make();
	struct ran r;
	const char *line;

	log_write_both(&p);
	r = RUN(&p, "diff", "before.csv", "after.csv");
	ck_assert_int_eq(r.status, 0);
	ck_assert_str_eq(r.err, "");
	ck_assert_ptr_nonnull(strstr(r.out, "span 2000-6500 rpm   A 7.50 s   B 4.50 s   "
				     "B-A -3.00 s\n"));
	ck_assert_ptr_nonnull(strstr(r.out, "Knock Retard Cyl 2"));
	ck_assert_ptr_null(strstr(r.out, "Knock Retard Cyl 1"));
	ck_assert_ptr_nonnull(strstr(r.out,
		"\n4000-4500   0.83  0.50  -0.33   120.00  175.00  +55.00   "));
	ck_assert_ptr_nonnull(strstr(r.out,
		"\nboost 50 kPa               2500  0.83   3000  1.00   +500  +0.17\n"));
	ck_assert_ptr_nonnull(strstr(r.out, "\n    s count from 2000 rpm\n"));
	ck_assert_ptr_null(strstr(r.out, "Accelerator Pedal"));
	line = strstr(r.out, "\nlargest differences");
	ck_assert_ptr_nonnull(line);
	ck_assert_ptr_nonnull(strstr(line,
		"\nKnock Retard Cyl 2   \xc2\xb0        0.0     6.0    +6.0"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

static size_t widest(const char *text)
{
	size_t most = 0;

	while (*text != '\0') {
		const size_t n = strcspn(text, "\n");

		most = n > most ? n : most;
		text += n + (text[n] == '\n');
	}
	return most;
}

START_TEST(test_width)
{
	static const char *const env[] = { "LC_ALL=C", NULL };
	const struct run_how how = { NULL, env, RUN_OUT_PIPE };
	const char *const argv[] = {
		"diff", "before.csv", "after.csv", "--channel", "all", NULL,
	};
	struct place p = place_make();
	struct ran r;
	const char *c;

	log_write_both(&p);
	r = run_with(&p, argv, &how);
	ck_assert_int_eq(r.status, 0);
	ck_assert_uint_le(widest(r.out), 80);
	for (c = r.out; *c != '\0'; c++)
		ck_assert_msg(*c == '\n' || (*c >= ' ' && *c <= '~'), "byte %d", *c);
	ck_assert_ptr_nonnull(strstr(r.out, "Lambda lambda"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_csv)
{
	struct place p = place_make();
	struct csv_back csv;
	struct ran r;

	log_write_both(&p);
	r = RUN(&p, "diff", "before.csv", "after.csv", "--format", "csv", "--channel", "boost",
		"--span", "4000:5000");
	ck_assert_int_eq(r.status, 0);
	csv_back_read(&csv, r.out, r.out_len);
	/* header, span, two bands of two lines, four spool lines in rpm and s, largest */
	ck_assert_uint_eq(csv.row_count, 1 + 1 + 4 + 8 + 1);
	ck_assert_str_eq(csv_back_at(&csv, 1, "part"), "span");
	ck_assert_double_eq_tol(csv_back_number(&csv, 1, "delta"), 1.0 - 1000.0 / 600,
				NEAR);
	ck_assert_str_eq(csv_back_at(&csv, 2, "part"), "elapsed");
	ck_assert_str_eq(csv_back_at(&csv, 3, "part"), "band");
	ck_assert_str_eq(csv_back_at(&csv, 3, "name"), "Boost Pressure");
	ck_assert_double_eq_tol(csv_back_number(&csv, 3, "b"), 175, NEAR);
	ck_assert_double_eq_tol(csv_back_number(&csv, 3, "percent"), 5500.0 / 120, NEAR);
	ck_assert_str_eq(csv_back_at(&csv, 6, "part"), "spool");
	ck_assert_str_eq(csv_back_at(&csv, 6, "unit"), "rpm");
	ck_assert_double_eq_tol(csv_back_number(&csv, 6, "level_kpa"), 50, NEAR);
	ck_assert_double_eq_tol(csv_back_number(&csv, 6, "a"), 2500, NEAR);
	ck_assert_str_eq(csv_back_at(&csv, 7, "unit"), "s");
	ck_assert_str_eq(csv_back_at(&csv, 14, "part"), "largest");
	ck_assert_double_eq_tol(csv_back_number(&csv, 14, "delta"), 80, NEAR);
	csv_back_release(&csv);
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_time_axis)
{
	struct place p = place_make();
	json_t *root;

	log_write_both(&p);
	root = RUN_JSON(&p, "diff", "before.csv", "after.csv", "--axis", "time", "--channel",
			"rpm");
	ck_assert_str_eq(json_string_value(node(root, "unit")), "s");
	ck_assert_uint_eq(json_array_size(node(root, "bands")), 5);
	ck_assert_double_eq_tol(at(root, "bands.2.channels.0.a"), 2000 + 600 * 2.5, NEAR);
	ck_assert_double_eq_tol(at(root, "bands.2.channels.0.b"), 2000 + 1000 * 2.5, NEAR);
	ck_assert_double_eq_tol(at(root, "largest.0.delta"), 400 * 4.5, NEAR);
	ck_assert_double_eq_tol(at(root, "largest.0.at"), 4.5, NEAR);
	json_decref(root);
	place_remove(&p);
}
END_TEST

START_TEST(test_same)
{
	struct place p = place_make();
	struct ran r;

	log_write_both(&p);
	r = RUN(&p, "diff", "before.csv", "before.csv");
	ck_assert_int_eq(r.status, 0);
	ck_assert_ptr_nonnull(strstr(r.out, "\nno channel differs\n"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

static double largest(const json_t *root, const char *quantity, size_t nth, const char *field)
{
	const json_t *list = node(root, "largest");
	const json_t *line;
	size_t i;

	json_array_foreach(list, i, line) {
		const char *q = json_string_value(node(line, "quantity"));

		if (q != NULL && strcmp(q, quantity) == 0 && nth-- == 0)
			return at(line, field);
	}
	ck_abort_msg("no %s", quantity);
	return NAN;
}

/*
 * The story of the samples: rail pressure and mixture are wrong above 6000 rpm, and
 * cylinder 3 loses timing at about 5200.  The text leads with just these.
 */
START_TEST(test_samples)
{
	const char *const after = SRCDIR "/samples/after.csv";
	const char *const fixed = SRCDIR "/samples/after-fixed.csv";
	struct place p = place_make();
	json_t *root = RUN_JSON(&p, "diff", fixed, after);
	const char *const want[] = { "Fuel Rail Pressure", "Knock Retard Cyl 3", "lambda error" };
	const char *line;
	struct ran r;
	size_t i;

	ck_assert_double_le(largest(root, "rail_pressure", 0, "delta"), -20.0);
	ck_assert_double_ge(largest(root, "rail_pressure", 0, "at"), 6000.0);
	ck_assert_double_ge(largest(root, "lambda", 0, "delta"), 0.08);
	ck_assert_double_ge(largest(root, "lambda", 0, "at"), 6000.0);
	ck_assert_double_ge(largest(root, "knock_retard", 2, "delta"), 5.0);
	ck_assert_double_eq_tol(largest(root, "knock_retard", 2, "at"), 5240.0, 110.0);
	json_decref(root);
	r = RUN(&p, "diff", fixed, after);
	line = strstr(r.out, "\nlargest differences");
	ck_assert_ptr_nonnull(line);
	line++;
	for (i = 0; i < 3; i++) {
		line = strchr(line, '\n') + 1;
		ck_assert_msg(strncmp(line, want[i], strlen(want[i])) == 0, "%.40s", line);
	}
	ran_release(&r);
	r = RUN(&p, "diff", SRCDIR "/samples/before.csv", after);
	line = strstr(r.out, "\nlargest differences");
	ck_assert_ptr_nonnull(line);
	ck_assert_ptr_nonnull(strstr(line, "\nBoost Pressure "));
	ck_assert_ptr_null(strstr(line, "\nManifold"));	/* the same said again */
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_errors)
{
	struct place p = place_make();

	log_write_both(&p);
	EXPECT(&p, 2, "two logs are needed", "diff", "before.csv");
	EXPECT(&p, 2, "--band 0: must be a width", "diff", "before.csv", "after.csv", "--band",
	       "0");
	EXPECT(&p, 2, "--band x: must be a width", "diff", "before.csv", "after.csv", "--band",
	       "x");
	EXPECT(&p, 2, "more than 1000 bands", "diff", "before.csv", "after.csv", "--band", "1");
	EXPECT(&p, 2, "A and B both cover 2000 to 6500", "diff", "before.csv", "after.csv",
	       "--span", "7000:");
	place_remove(&p);
}
END_TEST

static size_t times_said(const struct ran *r, const char *words)
{
	const char *at = r->err;
	size_t n = 0;

	while ((at = strstr(at, words)) != NULL) {
		at += strlen(words);
		n++;
	}
	return n;
}

/* Two runs of one file are read once, and nothing else is different. */
START_TEST(test_one_file)
{
	struct place p = place_make();
	struct ran once, twice;
	char *text;

	log_write(&p, "a.csv", &log_before);
	text = place_read(&p, "a.csv");
	strstr(text + strlen(text) / 2, ",0.850,")[2] = '?';	/* a cell that is no number */
	place_write(&p, "a.csv", text);
	free(text);
	once = RUN(&p, "diff", "a.csv@1", "a.csv@all", "--axis", "time", "--format", "csv");
	twice = RUN(&p, "diff", "a.csv@1", "./a.csv@all", "--axis", "time", "--format", "csv");
	ck_assert_int_eq(once.status, 0);
	ck_assert_int_eq(twice.status, 0);
	ck_assert_str_eq(once.out, twice.out);
	ck_assert_uint_eq(times_said(&once, "could not read"), 1);
	ck_assert_uint_eq(times_said(&twice, "could not read"), 2);
	ran_release(&once);
	ran_release(&twice);
	place_remove(&p);
}
END_TEST

Suite *cmd_diff_suite(void)
{
	Suite *s = suite_create("cmd_diff");
	TCase *t = tcase_create("diff");

	tcase_add_test(t, test_fields);
	tcase_add_test(t, test_bands);
	tcase_add_test(t, test_spool);
	tcase_add_test(t, test_spool_not_reached);
	tcase_add_test(t, test_text);
	tcase_add_test(t, test_width);
	tcase_add_test(t, test_csv);
	tcase_add_test(t, test_time_axis);
	tcase_add_test(t, test_same);
	tcase_add_test(t, test_one_file);
	tcase_add_test(t, test_samples);
	tcase_add_test(t, test_errors);
	suite_add_tcase(s, t);
	return s;
}
