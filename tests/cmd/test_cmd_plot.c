/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `twinpull plot`: the picture is of what was asked for, or there is none. */
#include <check.h>
#include <jansson.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/path.h"
#include "cmd/logs.h"
#include "cmd/run.h"

static void copy_log(struct place *p, const char *from, const char *to)
{
	char *path = mem_printf("%s/samples/%s", SRCDIR, from);
	struct buf text = BUF_INIT;

	ck_assert_int_eq(path_read_all(path, &text, NULL), ERR_NONE);
	place_write(p, to, buf_text(&text));
	buf_release(&text);
	free(path);
}

START_TEST(test_text)
{
	struct place p = place_make();
	struct ran r;

	copy_log(&p, "before.csv", "a.csv");
	copy_log(&p, "after.csv", "b.csv");
	r = RUN(&p, "plot", "--glyphs", "ascii", "--size", "80x24", "a.csv", "b.csv");
	ck_assert_int_eq(r.status, 0);
	ck_assert_ptr_nonnull(strstr(r.out, "A *** a.csv@1"));
	ck_assert_ptr_nonnull(strstr(r.out, "highest"));
	ck_assert_ptr_null(strchr(r.out, '\033'));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_samples)
{
	struct place p = place_make();
	struct ran r;
	json_t *root, *channel;
	size_t n;

	copy_log(&p, "before.csv", "a.csv");
	r = RUN(&p, "plot", "--format", "json", "--channel", "boost", "--span", "3000:3500", "a.csv");
	ck_assert_int_eq(r.status, 0);
	root = json_loads(r.out, 0, NULL);
	ck_assert_str_eq(json_string_value(json_object_get(root, "axis")), "rpm");
	ck_assert_double_eq(json_number_value(json_object_get(root, "from")), 3000);
	ck_assert_double_eq(json_number_value(json_object_get(root, "to")), 3500);
	channel = json_array_get(json_object_get(root, "channels"), 0);
	ck_assert_str_eq(json_string_value(json_object_get(channel, "quantity")), "boost");
	ck_assert(json_is_null(json_object_get(channel, "b")));
	channel = json_object_get(channel, "a");
	n = json_array_size(json_object_get(channel, "value"));
	ck_assert_uint_gt(n, 10);
	ck_assert_uint_eq(json_array_size(json_object_get(channel, "at")), n);
	ck_assert_uint_eq(json_array_size(json_object_get(channel, "time_s")), n);
	json_decref(root);
	ran_release(&r);
	r = RUN(&p, "plot", "--format", "csv", "--channel", "boost", "a.csv");
	ck_assert_int_eq(strncmp(r.out, "side,time_s,axis_rpm,", 21), 0);
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_nothing_else_than_asked)
{
	struct place p = place_make();

	copy_log(&p, "before.csv", "a.csv");
	place_write(&p, "rpmless.csv", "Time (s),Boost (kPa)\n0,1\n1,20\n2,30\n3,40\n4,35\n");
	EXPECT(&p, 2, "nothing is there between 100 and 200 rpm", "plot", "--span", "100:200", "a.csv");
	EXPECT(&p, 2, "--axis time", "plot", "--axis", "rpm", "rpmless.csv");
	EXPECT(&p, 0, "without engine speed", "plot", "a.csv", "rpmless.csv");
	EXPECT(&p, 2, "COLUMNSxROWS", "plot", "--size", "5x5", "a.csv");
	EXPECT(&p, 2, "ascii, blocks or braille", "plot", "--glyphs", "dots", "a.csv");
	place_remove(&p);
}
END_TEST

/* Two spellings of one file are one file: its marks are one list. */
START_TEST(test_one_file_by_two_names)
{
	struct place p = place_make();
	struct ran r;

	copy_log(&p, "drive.csv", "d.csv");
	r = RUN(&p, "view", "--play", ":span 3000:4000<Enter>:mark in b<Enter>b:mark in a<Enter>",
		"d.csv@1", "./d.csv@2");
	ck_assert_int_eq(r.status, 0);
	ran_release(&r);
	r = RUN(&p, "marks", "d.csv");
	ck_assert_ptr_nonnull(strstr(r.out, "in a"));
	ck_assert_ptr_nonnull(strstr(r.out, "in b"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

START_TEST(test_marks_send_no_escapes)
{
	struct place p = place_make();
	struct ran r;

	copy_log(&p, "before.csv", "a.csv");
	place_write(&p, "a.csv.marks.csv", "pull,axis,from,to,channel,title,note\n"
		    "1,rpm,3000,4000,\"\033[2Jx\",\"\033]0;hi\007\",\"two\nlines\033[1m\"\n");
	r = RUN(&p, "marks", "--format", "csv", "a.csv");
	ck_assert_int_eq(r.status, 0);
	ck_assert_ptr_null(strpbrk(r.out, "\033\007"));
	ck_assert_ptr_nonnull(strstr(r.out, "two\nlines"));
	ran_release(&r);
	r = RUN(&p, "marks", "a.csv");
	ck_assert_ptr_null(strpbrk(r.out, "\033\007"));
	ran_release(&r);
	r = RUN(&p, "view", "--play", "M", "a.csv@1");
	ck_assert_ptr_null(strpbrk(r.out, "\033\007"));
	ran_release(&r);
	place_remove(&p);
}
END_TEST

Suite *cmd_plot_suite(void)
{
	Suite *s = suite_create("cmd_plot");
	TCase *t = tcase_create("plot");

	tcase_set_timeout(t, 60);
	tcase_add_test(t, test_text);
	tcase_add_test(t, test_samples);
	tcase_add_test(t, test_nothing_else_than_asked);
	tcase_add_test(t, test_one_file_by_two_names);
	tcase_add_test(t, test_marks_send_no_escapes);
	suite_add_tcase(s, t);
	return s;
}
