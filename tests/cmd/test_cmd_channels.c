/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of `twinpull channels`, and of what every command says about a bad log. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "../out/read_csv.h"
#include "base/mem.h"
#include "base/path.h"
#include "logs.h"

Suite *cmd_channels_suite(void);

/* Line 3 has no number where one belongs, line 6 none at all, and the clock repeats. */
#define MESSY "time (s),Engine Speed (rpm),boost (kPa),state\n" \
	"0.0,1000,-60,on\n0.1,abc,-50,on\n0.1,1200,,off\n0.2,1300,20,off\nx,y\n0.3,1400,30,on\n"

START_TEST(test_json)
{
	struct place p = place_make();
	json_t *root;
	const json_t *state;

	place_write(&p, "messy.csv", MESSY);
	root = RUN_JSON(&p, "channels", "messy.csv");
	assert_fields(root, "file rows duration_s bad_rows bad_cells ragged_rows places channels "
		      "notes");
	assert_fields(node(root, "channels.0"), "name raw_name quantity index unit raw_unit why "
		      "derived words samples missing rate_hz min max first last");
	assert_fields(node(root, "places.0"), "line field text");
	ck_assert_double_eq(at(root, "rows"), 5);
	ck_assert_double_eq(at(root, "bad_rows"), 1);
	ck_assert_double_eq(at(root, "bad_cells"), 1);
	ck_assert_uint_eq(json_array_size(node(root, "places")), 2);
	ck_assert_str_eq(json_string_value(node(root, "channels.1.name")), "Engine Speed");
	ck_assert_str_eq(json_string_value(node(root, "channels.1.raw_name")),
			 "Engine Speed (rpm)");
	ck_assert_str_eq(json_string_value(node(root, "channels.1.quantity")), "rpm");
	ck_assert_str_eq(json_string_value(node(root, "channels.1.unit")), "rpm");
	ck_assert_str_eq(json_string_value(node(root, "channels.1.raw_unit")), "rpm");
	ck_assert(json_string_length(node(root, "channels.1.why")) > 0);
	ck_assert_double_eq(at(root, "channels.1.samples"), 4);
	ck_assert_double_eq(at(root, "channels.1.missing"), 1);
	ck_assert_double_eq(at(root, "channels.1.first"), 1000);
	ck_assert_double_eq(at(root, "channels.1.last"), 1400);
	ck_assert_double_eq(at(root, "channels.2.min"), -60);
	ck_assert_double_eq(at(root, "channels.2.max"), 30);
	ck_assert(json_is_false(node(root, "channels.2.derived")));
	state = node(root, "channels.3");
	ck_assert(isnan(at(state, "min")) && isnan(at(state, "last")));
	ck_assert_uint_eq(json_array_size(node(state, "words")), 2);
	ck_assert(json_is_null(node(state, "quantity")));
	ck_assert(json_is_null(node(state, "unit")));
	json_decref(root);
	place_remove(&p);
}
END_TEST

/* Nothing is dropped in silence: text shows places and notes, the others warn. */
START_TEST(test_what_was_not_read)
{
	struct place p = place_make();
	struct ran r;

	place_write(&p, "messy.csv", MESSY);
	r = RUN(&p, "channels", "messy.csv");
	ck_assert_int_eq(r.status, 0);
	ck_assert_ptr_nonnull(strstr(r.out, "unread: 1 row, 1 cell"));
	ck_assert_ptr_nonnull(strstr(r.out, "\n  line 3, field 2: \"abc\"\n"));
	ck_assert_ptr_nonnull(strstr(r.out, "\n  line 6: \"x\"\n"));
	ck_assert_ptr_nonnull(strstr(r.out, "\nnotes\n"));
	ck_assert_ptr_nonnull(strstr(r.out, "words: on, off"));
	ran_release(&r);
	EXPECT(&p, 0, "messy.csv: could not read 1 row and 1 cell", "stats", "messy.csv");
	EXPECT(&p, 0, "messy.csv: Time: row 3 repeated the stamp", "stats", "messy.csv");
	EXPECT(&p, 0, "messy.csv: no pull found; the whole log is taken", "stats", "messy.csv");
	place_remove(&p);
}
END_TEST

START_TEST(test_clock)
{
	struct place p = place_make();
	json_t *root;

	place_write(&p, "jump.csv", "t (s),x\n5,1\n6,2\n7,3\n1,4\n2,5\n3,6\n");
	place_write(&p, "rows.csv", "x,y\n1,2\n2,4\n3,5\n4,7\n5,1\n");
	EXPECT(&p, 0, "jumped back", "stats", "jump.csv");
	EXPECT(&p, 0, "rows.csv: no time column: each row counts as one second", "stats",
	       "rows.csv");
	EXPECT(&p, 0, "", "channels", "rows.csv", "--rate", "10");
	root = RUN_JSON(&p, "channels", "rows.csv", "--rate", "10");
	ck_assert_double_eq_tol(at(root, "channels.0.rate_hz"), 10, 1e-9);
	json_decref(root);
	root = RUN_JSON(&p, "channels", "rows.csv");
	ck_assert(json_is_null(node(root, "channels.0.rate_hz")));
	json_decref(root);
	/* behind the jump times go on counting: one number means one instant */
	root = RUN_JSON(&p, "stats", "jump.csv@all");
	ck_assert_double_eq(at(root, "a.from_s"), 5);
	ck_assert_double_gt(at(root, "a.to_s"), 7 + 2 - 1e-9);
	json_decref(root);
	place_remove(&p);
}
END_TEST

START_TEST(test_csv)
{
	struct place p = place_make();
	struct csv_back csv;
	struct ran r;

	log_write_both(&p);
	r = RUN(&p, "channels", "before.csv", "--format", "csv", "--units", "us");
	csv_back_read(&csv, r.out, r.out_len);
	ck_assert_str_eq(csv_back_at(&csv, 6, "name"), "Boost Pressure");
	ck_assert_str_eq(csv_back_at(&csv, 6, "unit"), "psi");
	ck_assert_str_eq(csv_back_at(&csv, 6, "raw_unit"), "kPa");
	ck_assert_double_eq_tol(csv_back_number(&csv, 6, "max"), 120 / 6.894757293168361, 1e-9);
	ck_assert_str_eq(csv_back_at(&csv, 10, "name"), "Fuel System Status");
	ck_assert_str_eq(csv_back_at(&csv, 10, "max"), "");
	ck_assert_double_eq_tol(csv_back_number(&csv, 6, "rate_hz"), 20, 1e-9);
	csv_back_release(&csv);
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_reading_options)
{
	struct place p = place_make();
	json_t *root;

	place_write(&p, "odd.csv", "made by hand\nn|t|x\n1|0,0|5,5\n2|0,5|6,5\n3|1,0|7,5\n");
	root = RUN_JSON(&p, "channels", "odd.csv", "--separator", "|", "--decimal", ",",
			"--header", "2", "--time", "t");
	ck_assert_double_eq(at(root, "rows"), 3);
	ck_assert_str_eq(json_string_value(node(root, "channels.2.name")), "x");
	ck_assert_double_eq(at(root, "channels.2.max"), 7.5);
	ck_assert_double_eq(at(root, "duration_s"), 1);
	json_decref(root);
	EXPECT(&p, 2, "--separator x: must be", "channels", "--separator", "x", "odd.csv");
	EXPECT(&p, 2, "--decimal ;: must be", "channels", "--decimal", ";", "odd.csv");
	EXPECT(&p, 2, "--header 0: must be", "channels", "--header", "0", "odd.csv");
	EXPECT(&p, 2, "--rate 0: must be", "channels", "--rate", "0", "odd.csv");
	EXPECT(&p, 2, "--units si: must be", "channels", "--units", "si", "odd.csv");
	EXPECT(&p, 2, "--min-rise -5: must be", "channels", "--min-rise", "-5", "odd.csv");
	EXPECT(&p, 2, "--format xml: must be", "channels", "--format", "xml", "odd.csv");
	place_remove(&p);
}
END_TEST

/* --names FILE first, then names.ini of the configuration, a relative one ignored. */
START_TEST(test_names)
{
	struct place p = place_make();
	char *dir = place_path(&p, "twinpull");
	char *home = mem_printf("XDG_CONFIG_HOME=%s", p.dir);
	const char *const env[] = { home, NULL };
	const char *const relative[] = { "XDG_CONFIG_HOME=.", NULL };
	const char *const argv[] = { "channels", "before.csv", NULL };
	const struct run_how how = { NULL, env, RUN_OUT_PIPE };
	const struct run_how how_relative = { NULL, relative, RUN_OUT_PIPE };
	struct ran r;
	json_t *root;

	log_write_both(&p);
	ck_assert_int_eq(path_make_dirs(dir, NULL), ERR_NONE);
	place_write(&p, "mine.ini", "[Lambda]\nname = Mixture\n");
	place_write(&p, "twinpull/names.ini", "[Lambda]\nname = Exhaust\n");
	root = RUN_JSON(&p, "channels", "before.csv", "--names", "mine.ini");
	ck_assert_str_eq(json_string_value(node(root, "channels.6.name")), "Mixture");
	json_decref(root);
	r = run_with(&p, argv, &how);
	ck_assert_ptr_nonnull(strstr(r.out, "\nExhaust "));
	ran_release(&r);
	r = run_with(&p, argv, &how_relative);
	ck_assert_ptr_nonnull(strstr(r.out, "\nLambda "));
	ran_release(&r);
	EXPECT(&p, 2, "none.ini", "channels", "before.csv", "--names", "none.ini");
	free(home);
	free(dir);
	place_remove(&p);
}
END_TEST

START_TEST(test_errors)
{
	struct place p = place_make();

	place_write(&p, "empty.csv", "");
	place_write(&p, "words.csv", "a,b\nx,y\nu,v\n");
	EXPECT(&p, 2, "twinpull: nothing.csv: ", "channels", "nothing.csv");
	EXPECT(&p, 2, "twinpull: .: ", "channels", ".");
	EXPECT(&p, 2, "twinpull: empty.csv: ", "channels", "empty.csv");
	EXPECT(&p, 2, "twinpull: words.csv: ", "channels", "words.csv");
	EXPECT(&p, 2, "too many logs: 2, not 1", "channels", "a.csv", "b.csv");
	place_remove(&p);
}
END_TEST

Suite *cmd_channels_suite(void)
{
	Suite *s = suite_create("cmd_channels");
	TCase *t = tcase_create("channels");

	tcase_add_test(t, test_json);
	tcase_add_test(t, test_what_was_not_read);
	tcase_add_test(t, test_clock);
	tcase_add_test(t, test_csv);
	tcase_add_test(t, test_reading_options);
	tcase_add_test(t, test_names);
	tcase_add_test(t, test_errors);
	suite_add_tcase(s, t);
	return s;
}
