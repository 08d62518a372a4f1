/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of `twinpull check`. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "../out/read_csv.h"
#include "base/buf.h"
#include "base/mem.h"
#include "findings.h"
#include "judge/check.h"
#include "logs.h"

Suite *cmd_check_suite(void);

#define FIELDS "id severity channel from_s to_s from_rpm to_rpm worst worst_at_s limit unit " \
	"source text pull worst_at_rpm over_s samples interval_s sure why next may_follow_from"

/* Lean above 6000 rpm, and knock of cylinder 2 from 5000 to 5200 rpm. */
START_TEST(test_json)
{
	struct place p = place_make();
	const json_t *f;
	json_t *root;

	log_write_both(&p);
	root = CHECK_JSON(&p, 1, "after.csv");
	assert_fields(root, "file pull checks_run not_run findings worst_severity limits car "
		      "baseline");
	assert_fields(node(root, "not_run.0"), "id why");
	assert_fields(node(root, "findings.0"), FIELDS);
	ck_assert_str_eq(text_at(root, "file"), "after.csv");
	ck_assert_double_eq(at(root, "pull"), 1);
	ck_assert_str_eq(text_at(root, "worst_severity"), "stop");
	ck_assert_double_eq(at(root, "checks_run") + (double)json_array_size(node(root, "not_run")),
			    CHECK_COUNT);
	ck_assert(json_is_null(node(root, "limits")));
	ck_assert(json_is_null(node(root, "car")));
	ck_assert(json_is_null(node(root, "baseline")));
	f = find(root, "lean");
	ck_assert_str_eq(text_at(f, "severity"), "stop");
	ck_assert_str_eq(text_at(f, "channel"), "Lambda");
	ck_assert_double_eq_tol(at(f, "from_rpm"), 6050, 1);
	ck_assert_double_eq_tol(at(f, "to_rpm"), 6500, 1);
	ck_assert_double_eq_tol(at(f, "from_s"), 106.05, 1e-9);
	ck_assert_double_eq_tol(at(f, "to_s"), 106.5, 1e-9);
	ck_assert_double_eq(at(f, "worst"), 0.95);
	ck_assert_double_eq(at(f, "limit"), 0.9);
	ck_assert_str_eq(text_at(f, "unit"), "λ");
	ck_assert_str_eq(text_at(f, "source"), "common practice, no source");
	ck_assert_double_eq(at(f, "samples"), 10);
	ck_assert(json_is_integer(node(f, "samples")));
	ck_assert_double_eq_tol(at(f, "over_s"), at(f, "to_s") - at(f, "from_s"), 1e-6);
	ck_assert_double_eq_tol(at(f, "interval_s"), 0.05, 1e-9);
	ck_assert_str_eq(text_at(f, "sure"), "clear");
	f = find(root, "knock");
	ck_assert_str_eq(text_at(f, "channel"), "Knock Retard Cyl 2");
	ck_assert_double_eq_tol(at(f, "from_rpm"), 5000, 1);
	ck_assert_double_eq_tol(at(f, "to_rpm"), 5200, 1);
	ck_assert_double_eq(at(f, "worst"), 6);
	ck_assert_double_eq(at(f, "limit"), 5);
	ck_assert_int_eq(strncmp(text_at(f, "text"), "Knock retard, cylinder 2, 5000-5200 rpm: ",
				 41), 0);
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* The healthy log has no finding, and what could not be checked is told all the same. */
START_TEST(test_none)
{
	struct place p = place_make();
	struct ran r;
	json_t *root;

	log_write_both(&p);
	root = CHECK_JSON(&p, 0, "before.csv");
	ck_assert_uint_eq(json_array_size(node(root, "findings")), 0);
	ck_assert_str_eq(text_at(root, "worst_severity"), "none");
	ck_assert_uint_gt(json_array_size(node(root, "not_run")), 20);
	ck_assert_str_eq(why_not(root, "oil_falls"), "not logged: oil pressure");
	ck_assert_ptr_null(why_not(root, "lean"));
	json_decref(root);
	r = RUN(&p, "check", "before.csv");
	ck_assert_int_eq(r.status, 0);
	ck_assert_str_eq(r.err, "");
	ck_assert_int_eq(strncmp(r.out, "before.csv@1   NO FINDING   gear 4, 2000-6500 rpm, "
				 "7.50 s\nNo finding in ", 60), 0);
	ck_assert_ptr_nonnull(strstr(r.out, "\nNot checked, which is not passed:\n"));
	ck_assert_ptr_nonnull(strstr(r.out, "  - oil_pressure, oil_falls: not logged: oil "
				     "pressure\n"));
	ck_assert_ptr_nonnull(strstr(r.out, "Car: not known.\n"));
	ck_assert_ptr_nonnull(strstr(r.out, "Limits: common practice, no source.\n"));
	ck_assert_ptr_null(strstr(r.out, "safe"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_text)
{
	struct place p = place_make();
	const char *head;
	struct ran r;

	log_write_both(&p);
	r = RUN(&p, "check", "after.csv");
	ck_assert_int_eq(r.status, 1);
	ck_assert_str_eq(r.err, "");
	ck_assert_int_eq(strncmp(r.out, "after.csv@1   STOP   ", 21), 0);
	ck_assert_ptr_nonnull(strstr(r.out, ". Do not drive on before "));
	head = strstr(r.out, "\n\nSTOP     5000-5200 rpm: knock retard, cylinder 2\n"
		      "  what   6.0 ° at 5000 rpm, limit 5.0 ° (common practice, no source); "
		      "seen in\n         Knock Retard Cyl 2\n"
		      "  when   105.00-105.20 s: over it for 0.20 s, by 1.0 ° at most; 5 "
		      "samples:\n         clear; shorter than 0.05 s not excluded\n"
		      "  why    ");
	ck_assert_msg(head != NULL, "%s", r.out);
	ck_assert_ptr_nonnull(strstr(head, "\n  next   "));
	ck_assert_ptr_nonnull(strstr(head, "\n\nSTOP     6050-6500 rpm: lean under load\n"));
	ck_assert_ptr_nonnull(strstr(r.out, "A screening aid, not a verdict"));
	assert_width(r.out);
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_ascii)
{
	const char *const env[] = { "LC_ALL=C", NULL };
	const struct run_how how = { NULL, env, RUN_OUT_PIPE };
	const char *const argv[] = { "check", "after.csv", NULL };
	struct place p = place_make();
	struct ran r;
	size_t i;

	log_write_both(&p);
	r = run_with(&p, argv, &how);
	ck_assert_int_eq(r.status, 1);
	ck_assert_ptr_nonnull(strstr(r.out, "6.0 deg at 5000 rpm"));
	ck_assert_ptr_nonnull(strstr(r.out, "0.950 lambda at "));
	for (i = 0; i < r.out_len; i++)
		ck_assert((unsigned char)r.out[i] < 128);
	ran_release(&r);
	place_remove(&p);
}
END_TEST

/* A line for each finding, the fields of JSON behind the file. */
START_TEST(test_csv)
{
	struct place p = place_make();
	struct buf names = BUF_INIT;
	struct csv_back csv;
	struct ran r;
	json_t *root;
	size_t i;

	log_write_both(&p);
	root = CHECK_JSON(&p, 1, "after.csv");
	r = RUN(&p, "check", "--format", "csv", "after.csv");
	ck_assert_int_eq(r.status, 1);
	csv_back_read(&csv, r.out, r.out_len);
	ck_assert_int_eq(csv.ragged, 0);
	for (i = 0; i < csv.columns; i++)
		buf_printf(&names, "%s%s", i > 0 ? " " : "", csv.cells[i]);
	ck_assert_str_eq(buf_text(&names), "file " FIELDS);
	ck_assert_uint_eq(csv.row_count, 1 + json_array_size(node(root, "findings")));
	for (i = 1; i < csv.row_count; i++) {
		const json_t *f = json_array_get(node(root, "findings"), i - 1);

		ck_assert_str_eq(csv_back_at(&csv, i, "file"), "after.csv");
		ck_assert_str_eq(csv_back_at(&csv, i, "id"), text_at(f, "id"));
		ck_assert_str_eq(csv_back_at(&csv, i, "text"), text_at(f, "text"));
		ck_assert_double_eq(csv_back_number(&csv, i, "worst"), at(f, "worst"));
		ck_assert_double_eq(csv_back_number(&csv, i, "over_s"), at(f, "over_s"));
		ck_assert_str_eq(csv_back_at(&csv, i, "next"), text_at(f, "next"));
	}
	csv_back_release(&csv);
	ran_release(&r);
	r = RUN(&p, "check", "--format", "csv", "before.csv");
	ck_assert_int_eq(r.status, 0);
	csv_back_read(&csv, r.out, r.out_len);
	ck_assert_uint_eq(csv.row_count, 1);
	csv_back_release(&csv);
	ran_release(&r);
	buf_release(&names);
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* Notes alone are no reason for exit code 1. */
START_TEST(test_notes)
{
	struct log_how how = log_before;
	struct place p = place_make();
	struct ran r;
	json_t *root;

	how.lambda_top = 0.87;
	log_write(&p, "a.csv", &how);
	root = CHECK_JSON(&p, 0, "a.csv");
	ck_assert_str_eq(text_at(root, "worst_severity"), "note");
	ck_assert_uint_eq(json_array_size(node(root, "findings")), 1);
	ck_assert_str_eq(text_at(root, "findings.0.severity"), "note");
	json_decref(root);
	r = RUN(&p, "check", "a.csv");
	ck_assert_ptr_nonnull(strstr(r.out, "a.csv@1   NOTE   "));
	ck_assert_ptr_nonnull(strstr(r.out, "\n1 finding: note. Worth knowing.\n"));
	ran_release(&r);
	how.lambda_top = 0.89;
	log_write(&p, "a.csv", &how);
	root = CHECK_JSON(&p, 1, "a.csv");
	ck_assert_str_eq(text_at(root, "worst_severity"), "caution");
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* The severest come first, and are counted. */
START_TEST(test_order)
{
	struct log_how how = log_after;
	struct place p = place_make();
	struct ran r;

	how.lambda_top = 0.87;
	log_write(&p, "a.csv", &how);
	place_write(&p, "l.ini", "[knock_odd]\ncheck = off\n");
	r = RUN(&p, "check", "a.csv", "--limits", "l.ini");
	ck_assert_int_eq(r.status, 1);
	ck_assert_ptr_nonnull(strstr(r.out, "\n2 findings: 1 stop, 1 note. Do not drive on "
				     "before what says stop is explained.\n"));
	ck_assert_ptr_nonnull(strstr(r.out, "\n\nSTOP     5000"));
	ck_assert_ptr_nonnull(strstr(strstr(r.out, "\n\nSTOP     5000"), "\n\nNOTE     60"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

/* Two pulls of one log, made by laying two logs behind each other. */
static void write_two_pulls(const struct place *p)
{
	struct buf both = BUF_INIT;
	struct log_how how = log_after;
	char *a, *b;

	log_write(p, "a.csv", &log_before);
	how.starts = 60.0;
	log_write(p, "b.csv", &how);
	a = place_read(p, "a.csv");
	b = place_read(p, "b.csv");
	buf_puts(&both, a);
	buf_puts(&both, strchr(b, '\n') + 1);
	place_write(p, "two.csv", buf_text(&both));
	buf_release(&both);
	free(a);
	free(b);
}

START_TEST(test_all)
{
	struct place p = place_make();
	const json_t *f;
	struct ran r;
	json_t *root;

	write_two_pulls(&p);
	json_decref(CHECK_JSON(&p, 0, "two.csv@1"));
	root = CHECK_JSON(&p, 1, "two.csv@all");
	ck_assert(json_is_null(node(root, "pull")));
	f = find(root, "lean");
	ck_assert_double_eq(at(f, "pull"), 2);
	ck_assert_double_eq_tol(at(f, "from_s"), 66.05, 1e-6);
	json_decref(root);
	root = CHECK_JSON(&p, 1, "two.csv@2");
	ck_assert_double_eq(at(root, "pull"), 2);
	json_decref(root);
	r = RUN(&p, "check", "two.csv@all");
	ck_assert_int_eq(strncmp(r.out, "two.csv@all   STOP   2 pulls\n", 29), 0);
	ck_assert_ptr_nonnull(strstr(r.out, "\n\nSTOP     @2 5000-5200 rpm: knock retard"));
	ran_release(&r);
	EXPECT(&p, 2, "two.csv has 2 pulls", "check", "two.csv@3");
	place_remove(&p);
}
END_TEST

START_TEST(test_against)
{
	struct place p = place_make();
	struct ran r;
	json_t *root;

	log_write_both(&p);
	write_two_pulls(&p);
	root = CHECK_JSON(&p, 1, "after.csv", "--against", "two.csv@2");
	assert_fields(node(root, "baseline"), "file pull");
	ck_assert_str_eq(text_at(root, "baseline.file"), "two.csv");
	ck_assert_double_eq(at(root, "baseline.pull"), 2);
	json_decref(root);
	r = RUN(&p, "check", "after.csv", "--against", "before.csv");
	ck_assert_ptr_nonnull(strstr(r.out, " Baseline: before.csv@1.\n"));
	ran_release(&r);
	EXPECT(&p, 2, "a baseline is one pull", "check", "after.csv", "--against", "two.csv@all");
	EXPECT(&p, 2, "nothing.csv", "check", "after.csv", "--against", "nothing.csv");
	place_write(&p, "roll.csv", "time (s),rpm,pedal (%)\n0,2000,8\n1,2010,8\n2,2000,8\n");
	EXPECT(&p, 2, "roll.csv: no pull was found, so it is no baseline", "check", "after.csv",
	       "--against", "roll.csv");
	EXPECT(&p, 2, "only one of", "check", "-", "--against", "-");
	EXPECT(&p, 2, "would overwrite the baseline", "check", "after.csv", "--against",
	       "before.csv", "-o", "before.csv");
	place_remove(&p);
}
END_TEST

/* Worst value, limit and unit go together, in the log's unit or in that of the system. */
START_TEST(test_units)
{
	struct place p = place_make();
	const json_t *f;
	json_t *root;

	log_write(&p, "a.csv", &log_before);
	place_write(&p, "n.ini", "[Boost Pressure]\nquantity = map\n");
	place_write(&p, "l.ini", "[manifold_pressure]\nstop = 100\n");
	root = CHECK_JSON(&p, 1, "a.csv", "--names", "n.ini", "--limits", "l.ini");
	f = find(root, "manifold_pressure");
	ck_assert_str_eq(text_at(f, "unit"), "kPa");
	ck_assert_double_eq_tol(at(f, "worst"), 120, 1e-9);
	ck_assert_double_eq_tol(at(f, "limit"), 100, 1e-9);
	ck_assert_str_eq(text_at(f, "source"), "l.ini");
	json_decref(root);
	root = CHECK_JSON(&p, 1, "a.csv", "--names", "n.ini", "--limits", "l.ini", "--units",
			  "us");
	f = find(root, "manifold_pressure");
	ck_assert_str_eq(text_at(f, "unit"), "psi");
	/* 1 psi = 6.894757 kPa */
	ck_assert_double_eq_tol(at(f, "worst"), 120 / 6.894757, 1e-5);
	ck_assert_double_eq_tol(at(f, "limit"), 100 / 6.894757, 1e-5);
	ck_assert_ptr_nonnull(strstr(text_at(f, "text"), ": 17.4 psi at "));
	ck_assert_ptr_nonnull(strstr(text_at(f, "text"), "limit 14.5 psi (l.ini)"));
	json_decref(root);
	place_remove(&p);
}
END_TEST

START_TEST(test_wrong_use)
{
	struct place p = place_make();

	log_write_both(&p);
	EXPECT(&p, 2, "check: no log is named", "check");
	EXPECT(&p, 2, "check: too many logs", "check", "before.csv", "after.csv");
	EXPECT(&p, 2, "no pull was found", "check", "before.csv", "--min-rise", "5000");
	EXPECT(&p, 2, "--limits : must name a file", "check", "before.csv", "--limits", "");
	EXPECT(&p, 1, "", "check", "after.csv", "-o", "out.txt");
	EXPECT(&p, 2, "text only", "check", "--list-checks", "--format", "json");
	place_remove(&p);
}
END_TEST

Suite *cmd_check_suite(void)
{
	Suite *s = suite_create("cmd_check");
	TCase *t = tcase_create("check");

	tcase_add_test(t, test_json);
	tcase_add_test(t, test_none);
	tcase_add_test(t, test_text);
	tcase_add_test(t, test_ascii);
	tcase_add_test(t, test_csv);
	tcase_add_test(t, test_notes);
	tcase_add_test(t, test_order);
	tcase_add_test(t, test_all);
	tcase_add_test(t, test_against);
	tcase_add_test(t, test_units);
	tcase_add_test(t, test_wrong_use);
	suite_add_tcase(s, t);
	return s;
}
