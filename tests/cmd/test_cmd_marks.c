/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of `twinpull marks`. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "../out/read_csv.h"
#include "base/mem.h"
#include "logs.h"

#define MARKS_FILE "before.csv.marks.csv"
#define HEADER "pull,axis,from,to,channel,title,note\n"

Suite *cmd_marks_suite(void);

START_TEST(test_none)
{
	struct place p = place_make();
	json_t *root;
	struct ran r;
	char *file;

	log_write_both(&p);
	r = RUN(&p, "marks", "before.csv");
	ck_assert_int_eq(r.status, 0);
	ck_assert_str_eq(r.out, "before.csv   no marks\n");
	ran_release(&r);
	root = RUN_JSON(&p, "marks", "before.csv");
	assert_fields(root, "file kept_in marks");
	ck_assert_uint_eq(json_array_size(node(root, "marks")), 0);
	json_decref(root);
	file = place_read(&p, MARKS_FILE);
	ck_assert_ptr_null(file);
	place_remove(&p);
}
END_TEST

START_TEST(test_add_and_remove)
{
	struct place p = place_make();
	json_t *root;
	char *file;

	log_write_both(&p);
	EXPECT(&p, 0, "", "marks", "before.csv", "--add", "6000:", "--title", "lean, \"very\"",
	       "--note", "two\nlines", "--channel", "lambda");
	EXPECT(&p, 0, "", "marks", "before.csv@all", "--add", "1:2", "--title", "rolling");
	root = RUN_JSON(&p, "marks", "before.csv@1", "--add", "3:4.5", "--axis", "time",
			"--title", "third");
	ck_assert_uint_eq(json_array_size(node(root, "marks")), 2);
	assert_fields(node(root, "marks.0"),
		      "mark pull axis from to unit channel title note");
	ck_assert_double_eq(at(root, "marks.1.mark"), 3);
	ck_assert_str_eq(json_string_value(node(root, "marks.1.unit")), "s");
	json_decref(root);
	file = place_read(&p, MARKS_FILE);
	ck_assert_str_eq(file, HEADER
		"1,rpm,6000,6500,\"Lambda\",\"lean, \"\"very\"\"\",\"two\nlines\"\n"
		"all,time,1,2,\"\",\"rolling\",\"\"\n"
		"1,time,3,4.5,\"\",\"third\",\"\"\n");
	free(file);
	root = RUN_JSON(&p, "marks", "before.csv", "--remove", "1");
	ck_assert_uint_eq(json_array_size(node(root, "marks")), 2);
	ck_assert(json_is_null(node(root, "marks.0.pull")));
	ck_assert_str_eq(json_string_value(node(root, "marks.1.title")), "third");
	ck_assert_str_eq(json_string_value(node(root, "kept_in")), MARKS_FILE);
	json_decref(root);
	place_remove(&p);
}
END_TEST

START_TEST(test_text_and_csv)
{
	struct place p = place_make();
	struct csv_back csv;
	struct ran r;

	log_write_both(&p);
	place_write(&p, MARKS_FILE, HEADER "1,rpm,6000,6500,Lambda,goes lean,see rail\n"
		    "2,time,1.5,2,,odd,\n");
	r = RUN(&p, "marks", "before.csv");
	ck_assert_str_eq(r.out,
			 "before.csv   2 marks\n"
			 "mark  pull  region         channel  title\n"
			 "   1  @1    6000-6500 rpm  Lambda   goes lean\n"
			 "    see rail\n"
			 "   2  @2    1.50-2.00 s             odd\n");
	ran_release(&r);
	r = RUN(&p, "marks", "before.csv@2", "--format", "csv");
	csv_back_read(&csv, r.out, r.out_len);
	ck_assert_uint_eq(csv.row_count, 2);
	ck_assert_str_eq(csv_back_at(&csv, 1, "mark"), "2");
	ck_assert_str_eq(csv_back_at(&csv, 1, "axis"), "time");
	ck_assert_double_eq(csv_back_number(&csv, 1, "from"), 1.5);
	csv_back_release(&csv);
	ran_release(&r);
	place_remove(&p);
}
END_TEST

/* Whatever is wrong, the file stays as it was. */
START_TEST(test_errors)
{
	const char *const kept = HEADER "1,rpm,6000,6500,,one,\n";
	struct place p = place_make();
	char *file;

	log_write_both(&p);
	place_write(&p, MARKS_FILE, kept);
	EXPECT(&p, 2, "--add needs a --title", "marks", "before.csv", "--add", "1:2");
	EXPECT(&p, 2, "belong to --add", "marks", "before.csv", "--title", "x");
	EXPECT(&p, 2, "either --add or --remove", "marks", "before.csv", "--add", "1:2",
	       "--title", "x", "--remove", "1");
	EXPECT(&p, 2, "--add 5:2: must be FROM:TO", "marks", "before.csv", "--add", "5:2");
	EXPECT(&p, 2, "--add 5: must be FROM:TO", "marks", "before.csv", "--add", "5");
	EXPECT(&p, 2, "--title : must say something", "marks", "before.csv", "--title", "");
	EXPECT(&p, 2, "the pull covers 2000 to 6500", "marks", "before.csv", "--add", "7000:8000",
	       "--title", "x");
	EXPECT(&p, 2, "there is no @3", "marks", "before.csv@3", "--add", "3000:", "--title",
	       "x");
	EXPECT(&p, 2, "no channel \"thrust\"", "marks", "before.csv", "--add", "3000:", "--title",
	       "x", "--channel", "thrust");
	EXPECT(&p, 2, "no rpm axis", "marks", "before.csv@all", "--add", "3000:", "--title", "x",
	       "--axis", "rpm");
	EXPECT(&p, 2, "there is no mark 2, only 1", "marks", "before.csv", "--remove", "2");
	EXPECT(&p, 2, "nothing.csv: no such file", "marks", "nothing.csv");
	EXPECT(&p, 2, "kept nowhere", "marks", "-");
	file = place_read(&p, MARKS_FILE);
	ck_assert_str_eq(file, kept);
	free(file);
	place_write(&p, MARKS_FILE, "not,marks\n");
	EXPECT(&p, 2, MARKS_FILE, "marks", "before.csv", "--add", "3000:", "--title", "x");
	file = place_read(&p, MARKS_FILE);
	ck_assert_str_eq(file, "not,marks\n");
	free(file);
	place_remove(&p);
}
END_TEST

/* A folder that cannot be written: the state directory, and it is said.  Root can. */
START_TEST(test_read_only)
{
	struct place p = place_make();
	char *dir = place_path(&p, "card");
	struct ran r;

	ck_assert_int_eq(mkdir(dir, 0777), 0);
	log_write(&p, "card/before.csv", &log_before);
	ck_assert_int_eq(chmod(dir, 0555), 0);
	if (access(dir, W_OK) != 0) {
		r = RUN(&p, "marks", "card/before.csv", "--add", "3000:", "--title", "there");
		ck_assert_int_eq(r.status, 0);
		ck_assert_ptr_nonnull(strstr(r.err, "the marks are kept in"));
		ck_assert_ptr_nonnull(strstr(r.err, ".local/state/twinpull/"));
		ran_release(&r);
		r = RUN(&p, "marks", "card/before.csv");
		ck_assert_ptr_nonnull(strstr(r.out, "there"));
		ran_release(&r);
	}
	ck_assert_int_eq(chmod(dir, 0755), 0);
	free(dir);
	place_remove(&p);
}
END_TEST

Suite *cmd_marks_suite(void)
{
	Suite *s = suite_create("cmd_marks");
	TCase *t = tcase_create("marks");

	tcase_add_test(t, test_none);
	tcase_add_test(t, test_add_and_remove);
	tcase_add_test(t, test_text_and_csv);
	tcase_add_test(t, test_errors);
	tcase_add_test(t, test_read_only);
	suite_add_tcase(s, t);
	return s;
}
