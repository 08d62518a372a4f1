/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of `twinpull pulls`. */
#include <check.h>
#include <string.h>

#include "../out/read_csv.h"
#include "logs.h"

Suite *cmd_pulls_suite(void);

START_TEST(test_json)
{
	struct place p = place_make();
	json_t *root;

	log_write_both(&p);
	root = RUN_JSON(&p, "pulls", "before.csv", "after.csv");
	assert_fields(root, "logs");
	assert_fields(node(root, "logs.0"), "file rows duration_s pulls");
	assert_fields(node(root, "logs.1.pulls.0"),
		      "pull gear ratio from_s to_s from_rpm to_rpm samples weak");
	ck_assert_str_eq(json_string_value(node(root, "logs.1.file")), "after.csv");
	ck_assert(json_is_integer(node(root, "logs.0.rows")));
	ck_assert_double_eq(at(root, "logs.0.rows"), 40 + 151 + 40);
	ck_assert_double_eq_tol(at(root, "logs.0.duration_s"), 11.5, 1e-9);
	ck_assert_uint_eq(json_array_size(node(root, "logs.0.pulls")), 1);
	ck_assert_double_eq(at(root, "logs.0.pulls.0.pull"), 1);
	ck_assert_double_eq(at(root, "logs.0.pulls.0.gear"), 4);
	ck_assert_double_eq_tol(at(root, "logs.0.pulls.0.ratio"), 50.0, 1e-3);
	ck_assert_double_eq_tol(at(root, "logs.0.pulls.0.from_s"), 2.0, 0.051);
	ck_assert_double_eq_tol(at(root, "logs.0.pulls.0.to_s"), 9.5, 0.051);
	ck_assert_double_eq_tol(at(root, "logs.1.pulls.0.from_s"), 102.0, 0.051);
	ck_assert_double_eq_tol(at(root, "logs.0.pulls.0.from_rpm"), 2000, 31);
	ck_assert_double_eq_tol(at(root, "logs.0.pulls.0.to_rpm"), 6500, 31);
	ck_assert_double_eq_tol(at(root, "logs.0.pulls.0.samples"), 151, 1);
	ck_assert_uint_eq(json_array_size(node(root, "logs.0.pulls.0.weak")), 0);
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* Without gear and road speed both are null, and that weakens the pull. */
START_TEST(test_no_gear)
{
	struct log_how how = log_before;
	struct place p = place_make();
	struct ran r;
	json_t *root;

	how.gear = 0;
	log_write(&p, "a.csv", &how);
	root = RUN_JSON(&p, "pulls", "a.csv");
	ck_assert(json_is_null(node(root, "logs.0.pulls.0.gear")));
	ck_assert(json_is_null(node(root, "logs.0.pulls.0.ratio")));
	ck_assert_str_eq(json_string_value(node(root, "logs.0.pulls.0.weak.0")), "no_speed");
	json_decref(root);
	r = RUN(&p, "pulls", "a.csv");
	ck_assert_ptr_nonnull(strstr(r.out, "\n    no road speed channel"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_csv)
{
	struct log_how how = log_before;
	struct place p = place_make();
	struct csv_back csv;
	struct ran r;

	how.gear = 0;
	log_write_both(&p);
	log_write(&p, "a,b.csv", &how);
	r = RUN(&p, "pulls", "--format", "csv", "before.csv", "a,b.csv");
	ck_assert_int_eq(r.status, 0);
	csv_back_read(&csv, r.out, r.out_len);
	ck_assert_uint_eq(csv.row_count, 3);
	ck_assert_str_eq(csv_back_at(&csv, 1, "file"), "before.csv");
	ck_assert_str_eq(csv_back_at(&csv, 1, "gear"), "4");
	ck_assert_str_eq(csv_back_at(&csv, 1, "weak"), "");
	ck_assert_str_eq(csv_back_at(&csv, 2, "file"), "a,b.csv");
	ck_assert_str_eq(csv_back_at(&csv, 2, "pull"), "1");
	ck_assert_str_eq(csv_back_at(&csv, 2, "gear"), "");
	ck_assert_str_eq(csv_back_at(&csv, 2, "ratio"), "");
	ck_assert_str_eq(csv_back_at(&csv, 2, "weak"), "no_speed");
	ck_assert_double_eq_tol(csv_back_number(&csv, 2, "to_rpm"), 6500, 31);
	csv_back_release(&csv);
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_text)
{
	struct place p = place_make();
	struct ran r;

	log_write_both(&p);
	r = RUN(&p, "pulls", "before.csv");
	ck_assert_int_eq(r.status, 0);
	ck_assert_str_eq(r.err, "");
	ck_assert_str_eq(r.out,
			 "before.csv   231 rows   11.5 s   1 pull\n"
			 "pull  gear  from rpm  to rpm  seconds  samples  starts at s\n"
			 "  @1  4         2000    6500     7.50      151         2.00\n");
	ran_release(&r);
	place_remove(&p);
}
END_TEST

/* A higher bar leaves no pull, which is no trouble. */
START_TEST(test_none)
{
	struct place p = place_make();
	struct ran r;
	json_t *root;

	log_write_both(&p);
	root = RUN_JSON(&p, "pulls", "before.csv", "--min-rise", "5000");
	ck_assert_uint_eq(json_array_size(node(root, "logs.0.pulls")), 0);
	json_decref(root);
	r = RUN(&p, "pulls", "--min-rise=5000", "before.csv");
	ck_assert_int_eq(r.status, 0);
	ck_assert_str_eq(r.out, "before.csv   231 rows   11.5 s   no pull\n");
	ran_release(&r);
	place_remove(&p);
}
END_TEST

/* One bad log does not hide the others, but the exit code says it. */
START_TEST(test_some_fail)
{
	struct place p = place_make();
	struct ran r;

	log_write_both(&p);
	place_write(&p, "plain.csv", "t (s),x\n0,1\n1,2\n2,3\n");
	r = RUN(&p, "pulls", "nothing.csv", "before.csv", "plain.csv", "after.csv");
	ck_assert_int_eq(r.status, 2);
	ck_assert_ptr_nonnull(strstr(r.err, "twinpull: nothing.csv: "));
	ck_assert_ptr_nonnull(strstr(r.err, "twinpull: plain.csv: no engine speed"));
	ck_assert_ptr_nonnull(strstr(r.out, "before.csv "));
	ck_assert_ptr_nonnull(strstr(r.out, "after.csv "));
	ran_release(&r);
	EXPECT(&p, 2, "plain.csv: no engine speed", "pulls", "plain.csv");
	EXPECT(&p, 2, "no log is named", "pulls");
	place_remove(&p);
}
END_TEST

Suite *cmd_pulls_suite(void)
{
	Suite *s = suite_create("cmd_pulls");
	TCase *t = tcase_create("pulls");

	tcase_add_test(t, test_json);
	tcase_add_test(t, test_no_gear);
	tcase_add_test(t, test_csv);
	tcase_add_test(t, test_text);
	tcase_add_test(t, test_none);
	tcase_add_test(t, test_some_fail);
	suite_add_tcase(s, t);
	return s;
}
