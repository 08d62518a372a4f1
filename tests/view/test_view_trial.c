/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a first trial by somebody new to the program found, one test each. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/path.h"
#include "base/text.h"
#include "view/action.h"
#include "view/both.h"
#include "view/frame.h"
#include "view/lanes.h"

START_TEST(one_cursor_until_a_span_begins)
{
	double from, to;

	ck_assert(!w.v->span_on);
	expect_on_screen("on screen 1908 to ");
	viewer_play(&w, "m");
	ck_assert_ptr_nonnull(strstr(w.v->message, "Space begins"));
	ck_assert(!w.v->prompt.open);
	viewer_play(&w, "<Space><S-Right>");
	ck_assert(w.v->span_on);
	view_span(w.v, &from, &to);
	ck_assert_double_gt(to, from);
	viewer_play(&w, "<Esc>");
	ck_assert(!w.v->span_on);
}
END_TEST

START_TEST(aligning_from_engine_speed_keeps_the_span)
{
	double from, to, t0;

	viewer_play(&w, ":span 4000:5000<Enter>");
	t0 = axis_map_to_time(&w.v->overlay.a.by_rpm, 4000.0);
	viewer_play(&w, "a");
	view_span(w.v, &from, &to);
	ck_assert_double_eq_tol(axis_map_to_time(&w.v->overlay.a.by_time, from), t0, 1e-6);
	viewer_play(&w, "x");
	view_span(w.v, &from, &to);
	ck_assert_double_eq_tol(from, 4000, 1e-6);
	ck_assert_double_eq_tol(to, 5000, 1e-6);
}
END_TEST

START_TEST(a_number_alone_aligns)
{
	viewer_play(&w, ":align 3000<Enter>");
	ck_assert(!w.v->message_bad);
	viewer_play(&w, ":nudge -0.15<Enter>");
	expect_on_screen("s from 3000 rpm");
	expect_on_screen("B shifted -0.15 s");
}
END_TEST

START_TEST(another_pull_keeps_the_place_on_the_axis)
{
	const struct viewer_options pulls = { .a = "drive.csv@1", .b = "drive.csv@2" };
	double from, to;

	viewer_reopen(&w, &pulls);
	viewer_play(&w, ":span 3000:4000<Enter>P");
	view_span(w.v, &from, &to);
	ck_assert_double_eq_tol(from, 3000, 1e-6);
	ck_assert_double_eq_tol(to, 4000, 1e-6);
}
END_TEST

START_TEST(marks_that_begin_together_are_all_reached)
{
	viewer_play(&w, ":span 6000:6500<Enter>:mark one<Enter>:mark two<Enter>b:mark base<Enter>");
	viewer_play(&w, "<Esc><Home>n");
	ck_assert_ptr_nonnull(strstr(w.v->message, "base"));
	viewer_play(&w, "n");
	ck_assert_ptr_nonnull(strstr(w.v->message, "one"));
	viewer_play(&w, "n");
	ck_assert_ptr_nonnull(strstr(w.v->message, "two"));
	viewer_play(&w, "n");
	ck_assert_ptr_nonnull(strstr(w.v->message, "no mark after"));
	viewer_play(&w, "N");
	ck_assert_ptr_nonnull(strstr(w.v->message, "one"));
}
END_TEST

START_TEST(undo_works_in_an_empty_list)
{
	viewer_play(&w, ":span 6000:6500<Enter>:mark one<Enter>Md");
	expect_on_screen("no marks");
	viewer_play(&w, "u");
	ck_assert_uint_eq(w.v->sources[1].marks.count, 1);
}
END_TEST

START_TEST(b_without_engine_speed_opens_on_time)
{
	static const char rpmless[] = "Time (s),Boost (kPa)\n0,1\n1,20\n2,30\n3,40\n4,35\n";
	const struct viewer_options o = { .a = "before.csv", .b = "rpmless.csv" };
	char *path = viewer_path(&w, "rpmless.csv");

	ck_assert_int_eq(path_write_atomic(path, rpmless, strlen(rpmless), NULL), ERR_NONE);
	viewer_reopen(&w, &o);
	ck_assert_int_eq(w.v->overlay.axis, AXIS_TIME);
	ck_assert_ptr_nonnull(strstr(w.v->message, "without engine speed"));
	viewer_play(&w, "x");
	ck_assert_int_eq(w.v->overlay.axis, AXIS_TIME);
	free(path);
}
END_TEST

START_TEST(different_gears_are_said)
{
	const struct viewer_options o = { .a = "drive.csv@1", .b = "drive.csv@2" };

	viewer_reopen(&w, &o);
	ck_assert_ptr_nonnull(strstr(w.v->message, "different gears"));
}
END_TEST

START_TEST(the_tip_in_does_not_flatten_lambda)
{
	struct lane *lane;

	viewer_play(&w, ":lane lambda<Enter>");
	lane = lane_chosen(w.v);
	lane_load(w.v, lane);
	ck_assert_double_le(lane->scale.high, 0.98);
	viewer_play(&w, ":scale 0.75:1<Enter>");
	ck_assert_double_eq(lane->scale.low, 0.75);
	ck_assert_double_eq(lane->scale.high, 1.0);
	viewer_play(&w, "y:span 6500:6800<Enter>zy");
	ck_assert_double_ge(lane->scale.low, 0.8);
	viewer_play(&w, "y:scale 1:0<Enter>");
	ck_assert(w.v->message_bad);
}
END_TEST

START_TEST(knock_is_not_drawn_below_zero)
{
	struct lane *lane;

	viewer_play(&w, ":lane knock_retard2<Enter>");
	lane = lane_chosen(w.v);
	lane_load(w.v, lane);
	ck_assert_double_eq(lane->scale.low, 0.0);
}
END_TEST

START_TEST(a_search_with_several_answers_lists_them)
{
	viewer_play(&w, "/knock<Enter>");
	ck_assert_int_eq(w.v->panel, PANEL_LANES);
	expect_on_screen("Knock Retard Cyl 2");
	viewer_play(&w, "<Esc><Esc>/coolant<Enter>");
	ck_assert_int_eq(w.v->panel, PANEL_NONE);
}
END_TEST

START_TEST(a_proposed_name_is_typed_over)
{
	viewer_play(&w, "Eout");
	ck_assert_str_eq(w.v->prompt.text.data, "out");
	viewer_play(&w, "<Esc>E<BSpace>x");
	ck_assert_str_eq(w.v->prompt.text.data, "span.csx");
}
END_TEST

START_TEST(what_was_found_is_said)
{
	viewer_play(&w, ":lane boost<Enter>>");
	ck_assert_ptr_nonnull(strstr(w.v->message, "highest Boost Pressure: B 161.0 at"));
	viewer_play(&w, "X");
	ck_assert_ptr_nonnull(strstr(w.v->message, "hid Boost Pressure"));
}
END_TEST

START_TEST(a_long_message_takes_two_rows)
{
	view_complain(w.v, "%s", "one two three four five six seven eight nine ten eleven twelve "
		      "thirteen fourteen fifteen the end");
	expect_on_screen("the end");
	expect_on_screen("one two three");
}
END_TEST

START_TEST(the_keys_of_the_job_are_at_the_foot_at_80_columns)
{
	static const char *const needed[] = { "? help", "q quit", "F findings", "Space span", "x axis",
					      "c channels", "s stats", "m mark" };
	size_t i;

	for (i = 0; i < sizeof needed / sizeof needed[0]; i++)
		expect_on_screen(needed[i]);
}
END_TEST

START_TEST(names_are_told_apart_in_the_values)
{
	viewer_play(&w, ":only knock_retard2,knock_retard3<Enter>v");
	expect_on_screen("Cyl 2");
	expect_on_screen("Cyl 3");
}
END_TEST

START_TEST(spool_is_on_the_screen)
{
	viewer_play(&w, "r");
	expect_on_screen("boost gets to 100 kPa");
	expect_on_screen("B-A rpm");
}
END_TEST

Suite *view_trial_suite(void)
{
	Suite *s = suite_create("view trial");
	TCase *t = tcase_create("trial");

	tcase_add_checked_fixture(t, open_both, close_both);
	tcase_add_test(t, one_cursor_until_a_span_begins);
	tcase_add_test(t, aligning_from_engine_speed_keeps_the_span);
	tcase_add_test(t, a_number_alone_aligns);
	tcase_add_test(t, another_pull_keeps_the_place_on_the_axis);
	tcase_add_test(t, marks_that_begin_together_are_all_reached);
	tcase_add_test(t, undo_works_in_an_empty_list);
	tcase_add_test(t, b_without_engine_speed_opens_on_time);
	tcase_add_test(t, different_gears_are_said);
	tcase_add_test(t, the_tip_in_does_not_flatten_lambda);
	tcase_add_test(t, knock_is_not_drawn_below_zero);
	tcase_add_test(t, a_search_with_several_answers_lists_them);
	tcase_add_test(t, a_proposed_name_is_typed_over);
	tcase_add_test(t, what_was_found_is_said);
	tcase_add_test(t, a_long_message_takes_two_rows);
	tcase_add_test(t, the_keys_of_the_job_are_at_the_foot_at_80_columns);
	tcase_add_test(t, names_are_told_apart_in_the_values);
	tcase_add_test(t, spool_is_on_the_screen);
	suite_add_tcase(s, t);
	return s;
}
