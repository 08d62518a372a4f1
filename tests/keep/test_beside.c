/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where files about the car are found: beside the log, then in the configuration. */
#include "base/base_util.h"
#include "keep/beside.h"

Suite *beside_suite(void);

static void check_found(const char *log, const char *want)
{
	char *got = beside_find(log, "car.ini");

	if (want == NULL)
		ck_assert_ptr_null(got);
	else
		ck_assert_str_eq(got, want);
	free(got);
}

START_TEST(beside_the_log_first)
{
	char *dir = new_folder();
	char *logs = path_join(dir, "logs");
	char *config = path_join(dir, "config");
	char *own = path_join(config, "twinpull");
	char *log = path_join(logs, "run.csv");
	char *here = path_join(logs, "car.ini");
	char *there = path_join(own, "car.ini");

	ck_assert_int_eq(path_make_dirs(logs, NULL), ERR_NONE);
	ck_assert_int_eq(path_make_dirs(own, NULL), ERR_NONE);
	setenv("XDG_CONFIG_HOME", config, 1);
	check_found(log, NULL);
	check_found("-", NULL);
	put_file(there, "");
	check_found(log, there);
	check_found("-", there);
	put_file(here, "");
	check_found(log, here);
	check_found("-", there);
	ck_assert_int_eq(chdir(logs), 0);
	check_found("run.csv", "./car.ini");
	check_found("-", there);
	ck_assert_int_eq(unlink(here), 0);
	check_found("run.csv", there);
	/* A link that leads nowhere is not there. */
	ck_assert_int_eq(symlink("gone.ini", here), 0);
	check_found("run.csv", there);

	setenv("XDG_CONFIG_HOME", "relative", 1);
	unsetenv("HOME");
	check_found("run.csv", NULL);
	ck_assert_int_eq(chdir("/"), 0);
	free(there);
	free(here);
	free(log);
	free(own);
	free(config);
	free(logs);
	drop_folder(dir);
}
END_TEST

START_TEST(a_named_file_comes_first)
{
	char *dir = new_folder();
	char *log = path_join(dir, "run.csv");
	char *here = path_join(dir, "car.ini");
	char *got;

	put_file(here, "");
	got = beside_choose(NULL, log, "car.ini");
	ck_assert_str_eq(got, here);
	free(got);
	got = beside_choose("other.ini", log, "car.ini");
	ck_assert_str_eq(got, "other.ini");	/* whether it exists is the reader's business */
	free(got);
	ck_assert_ptr_null(beside_choose("none", log, "car.ini"));
	free(here);
	free(log);
	drop_folder(dir);
}
END_TEST

Suite *beside_suite(void)
{
	Suite *s = suite_create("beside");
	TCase *t = tcase_create("beside");

	tcase_add_test(t, beside_the_log_first);
	tcase_add_test(t, a_named_file_comes_first);
	suite_add_tcase(s, t);
	return s;
}
