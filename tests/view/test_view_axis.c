/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Axis, window and cursors: what the actions do to them. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "view/action.h"
#include "view/both.h"
#include "view/lanes.h"

START_TEST(opens_on_engine_speed_with_all_of_both)
{
	ck_assert_int_eq(w.v->overlay.axis, AXIS_RPM);
	ck_assert_double_le(w.v->from, w.v->overlay.a.pull.from_rpm + 50);
	ck_assert_double_ge(w.v->to, w.v->overlay.b.pull.to_rpm - 50);
}
END_TEST

START_TEST(axis_change_keeps_the_instants)
{
	struct view *v = w.v;
	double t[2];
	int i;

	viewer_play(&w, ":span 3500:4800<Enter>");
	for (i = 0; i < 2; i++)
		t[i] = axis_map_to_time(&v->overlay.a.by_rpm, v->cursor[i]);
	viewer_play(&w, "x");
	ck_assert_int_eq(v->overlay.axis, AXIS_TIME);
	for (i = 0; i < 2; i++)
		ck_assert_double_eq_tol(axis_map_to_time(&v->overlay.a.by_time, v->cursor[i]),
					t[i], 1e-9);
	viewer_play(&w, "x");
	ck_assert_double_eq_tol(v->cursor[0], 3500, 1e-6);
	ck_assert_double_eq_tol(v->cursor[1], 4800, 1e-6);
}
END_TEST

START_TEST(time_zero_is_the_common_crossing)
{
	struct view *v = w.v;
	const double rpm = fmax(axis_map_from(&v->overlay.a.by_rpm),
				axis_map_from(&v->overlay.b.by_rpm));

	viewer_play(&w, "x");
	ck_assert_double_eq_tol(axis_map_to_position(&v->overlay.a.by_rpm,
				axis_map_to_time(&v->overlay.a.by_time, 0.0)), rpm, 1e-6);
	ck_assert_double_eq_tol(axis_map_to_position(&v->overlay.b.by_rpm,
				axis_map_to_time(&v->overlay.b.by_time, 0.0)), rpm, 1e-6);
}
END_TEST

START_TEST(align_at_an_engine_speed)
{
	struct view *v = w.v;

	viewer_play(&w, ":align crossing 4000<Enter>");
	ck_assert_int_eq(v->overlay.axis, AXIS_TIME);
	ck_assert_double_eq_tol(axis_map_to_position(&v->overlay.a.by_rpm,
				axis_map_to_time(&v->overlay.a.by_time, 0.0)), 4000, 1e-6);
	ck_assert_double_eq_tol(axis_map_to_position(&v->overlay.b.by_rpm,
				axis_map_to_time(&v->overlay.b.by_time, 0.0)), 4000, 1e-6);
}
END_TEST

START_TEST(nudge_shifts_b_alone)
{
	struct view *v = w.v;
	double a, b;

	viewer_play(&w, "x");
	a = axis_map_to_time(&v->overlay.a.by_time, 1.0);
	b = axis_map_to_time(&v->overlay.b.by_time, 1.0);
	viewer_play(&w, ":nudge 0.25<Enter>");
	ck_assert_double_eq_tol(axis_map_to_time(&v->overlay.a.by_time, 1.0), a, 1e-9);
	ck_assert_double_eq_tol(axis_map_to_time(&v->overlay.b.by_time, 1.0), b - 0.25, 1e-9);
	viewer_play(&w, ",");
	ck_assert_double_eq_tol(v->overlay.nudge, 0.20, 1e-9);
}
END_TEST

START_TEST(zoom_keeps_the_cursor_in_its_column)
{
	struct view *v = w.v;
	double share;

	viewer_play(&w, ":goto 4200<Enter>");
	share = (v->cursor[0] - v->from) / (v->to - v->from);
	viewer_play(&w, "+");
	ck_assert_double_eq_tol((v->cursor[0] - v->from) / (v->to - v->from), share, 1e-9);
	viewer_play(&w, "f");
	ck_assert_double_eq_tol((v->cursor[0] - v->from) / (v->to - v->from), share, 1e-9);
}
END_TEST

START_TEST(cursor_stops_at_the_ends)
{
	struct view *v = w.v;

	viewer_play(&w, "<Home><Left><Left>");
	ck_assert_double_eq(v->cursor[0], v->from);
	viewer_play(&w, "<End><Right><Right>");
	ck_assert_double_eq(v->cursor[0], v->to);
	viewer_play(&w, ":goto 99999<Enter>");
	ck_assert_double_eq(v->cursor[0], v->to);
}
END_TEST

START_TEST(cursor_scrolls_a_zoomed_window)
{
	struct view *v = w.v;

	viewer_play(&w, ":span 3000:3500<Enter>z<End>");
	ck_assert_double_ge(v->to, v->cursor[v->active] - 1e-9);
	ck_assert_double_lt(v->to - v->from, 600);
}
END_TEST

START_TEST(begin_collapses_the_span)
{
	struct view *v = w.v;

	viewer_play(&w, ":goto 3000<Enter><Space>");
	ck_assert_double_eq(v->cursor[0], v->cursor[1]);
	ck_assert_int_eq(v->active, 1);
	viewer_play(&w, "<S-Right>");
	ck_assert_double_gt(v->cursor[1], v->cursor[0]);
}
END_TEST

START_TEST(resize_keeps_positions)
{
	struct view *v = w.v;
	char *screen;

	viewer_play(&w, ":span 3000:4000<Enter>");
	view_resize(v, 50, 200);
	free(viewer_screen(&w));
	view_resize(v, 12, 40);
	screen = viewer_screen(&w);
	ck_assert_ptr_nonnull(strstr(screen, "span 3000 to 4000 rpm"));
	free(screen);
}
END_TEST

/* ---- finding ---- */

START_TEST(highest_lambda_late_in_the_pull_is_the_lean_region)
{
	struct view *v = w.v;

	viewer_play(&w, ":lane lambda<Enter>:span 5000:6800<Enter>z>");
	ck_assert_double_gt(v->cursor[v->active], 6000);
	ck_assert_double_gt(lane_value(v, lane_chosen(v), SIDE_B, v->cursor[v->active]), 0.88);
}
END_TEST

START_TEST(apart_finds_the_lost_timing)
{
	struct view *v = w.v;

	viewer_play(&w, ":lane knock_retard3<Enter>=");
	ck_assert_double_gt(v->cursor[v->active], 5000);
	ck_assert_double_lt(v->cursor[v->active], 5500);
}
END_TEST

START_TEST(zooming_out_works_from_however_close)
{
	struct view *v = w.v;
	double width;
	int i;

	viewer_play(&w, ":goto 4000<Enter>");
	for (i = 0; i < 12; i++)
		viewer_play(&w, "+");
	viewer_play(&w, ":span 4000:4000.5<Enter>z");
	width = v->to - v->from;
	ck_assert_double_lt(width, 1.0);
	viewer_play(&w, "-");
	ck_assert_double_eq_tol(v->to - v->from, 2.0 * width, 1e-9);
}
END_TEST

/* Far from 0 a time axis has no room for the pull's own seconds. */
START_TEST(no_shift_makes_the_axis_useless)
{
	struct view *v = w.v;

	viewer_play(&w, "x:nudge 1e17<Enter>");
	ck_assert(w.v->message_bad);
	ck_assert_double_lt(v->to - v->from, 1000.0);
}
END_TEST

/* In a whole log of 80 columns pulls 3 and 4 stand side by side: no pull 34. */
START_TEST(numbers_of_pulls_do_not_run_together)
{
	const struct viewer_options alone = { .a = "drive.csv" };
	char *screen, *strip;

	viewer_reopen(&w, &alone);
	screen = viewer_screen(&w);
	strip = strstr(screen, "pulls, marks");
	ck_assert_ptr_nonnull(strip);
	*strchr(strip, '\n') = '\0';
	ck_assert_msg(strstr(strip, "3") != NULL && strstr(strip, "34") == NULL, "%s", strip);
	free(screen);
}
END_TEST

/* A alone is on screen: what A and B share lies to the right of it. */
START_TEST(without_a_span_the_screen_is_in_order)
{
	struct view *v = w.v;
	double from, to;

	viewer_play(&w, ":axis time<Enter>:nudge 8<Enter>:span 0:2<Enter>z<Esc>");
	ck_assert(!v->span_on);
	ck_assert_double_lt(v->to, axis_map_from(&v->overlay.b.by_time));
	view_span(v, &from, &to);
	ck_assert_double_lt(from, to);
}
END_TEST

Suite *view_axis_suite(void)
{
	Suite *s = suite_create("view axis");
	TCase *t = tcase_create("axis");

	tcase_add_checked_fixture(t, open_both, close_both);
	tcase_add_test(t, opens_on_engine_speed_with_all_of_both);
	tcase_add_test(t, axis_change_keeps_the_instants);
	tcase_add_test(t, time_zero_is_the_common_crossing);
	tcase_add_test(t, align_at_an_engine_speed);
	tcase_add_test(t, nudge_shifts_b_alone);
	tcase_add_test(t, zoom_keeps_the_cursor_in_its_column);
	tcase_add_test(t, cursor_stops_at_the_ends);
	tcase_add_test(t, cursor_scrolls_a_zoomed_window);
	tcase_add_test(t, begin_collapses_the_span);
	tcase_add_test(t, resize_keeps_positions);
	tcase_add_test(t, highest_lambda_late_in_the_pull_is_the_lean_region);
	tcase_add_test(t, apart_finds_the_lost_timing);
	tcase_add_test(t, zooming_out_works_from_however_close);
	tcase_add_test(t, no_shift_makes_the_axis_useless);
	tcase_add_test(t, numbers_of_pulls_do_not_run_together);
	tcase_add_test(t, without_a_span_the_screen_is_in_order);
	suite_add_tcase(s, t);
	return s;
}
