/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lanes: which are shown, in what order, with what. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "view/action.h"
#include "view/both.h"
#include "view/lanes.h"

static size_t shown_lane(const char *name)
{
	const size_t lane = lane_by_name(w.v, name, NULL);

	ck_assert_uint_ne(lane, SIZE_MAX);
	return lane;
}

START_TEST(lanes_hide_and_show)
{
	const size_t before = lanes_shown(w.v);

	viewer_play(&w, "X");
	ck_assert_uint_eq(lanes_shown(w.v), before - 1);
	viewer_play(&w, ":show Coolant Temperature<Enter>");
	ck_assert_uint_eq(lanes_shown(w.v), before);
	ck_assert_uint_eq(w.v->chosen, shown_lane("Coolant Temperature"));
	viewer_play(&w, ":only boost,lambda<Enter>");
	ck_assert_uint_eq(lanes_shown(w.v), 2);
}
END_TEST

START_TEST(lanes_move)
{
	const size_t lambda = shown_lane("lambda");
	const size_t pair = w.v->lanes[lambda].pair;

	viewer_play(&w, ":lane lambda<Enter>K");
	ck_assert_uint_eq(w.v->lanes[0].pair, pair);
	ck_assert_uint_eq(w.v->chosen, 0);
	viewer_play(&w, "J");
	ck_assert_uint_eq(w.v->lanes[w.v->chosen].pair, pair);
	ck_assert_uint_ne(w.v->chosen, 0);
}
END_TEST

START_TEST(only_an_unknown_channel_keeps_the_lanes)
{
	viewer_play(&w, ":only nosuchthing<Enter>");
	ck_assert(w.v->message_bad);
	ck_assert_ptr_nonnull(strstr(w.v->message, "nosuchthing"));
	ck_assert_uint_gt(lanes_shown(w.v), 2);
}
END_TEST

START_TEST(delta_lane_is_b_minus_a)
{
	struct lane *lane;
	double a, b, d;

	viewer_play(&w, ":lane boost<Enter>d<Down>");
	lane = lane_chosen(w.v);
	ck_assert(lane->delta);
	lane_load(w.v, lane);
	a = lane_value(w.v, lane, SIDE_A, 4321.0);
	b = lane_value(w.v, lane, SIDE_B, 4321.0);
	d = series_at(&lane->difference, 4321.0);
	ck_assert_double_gt(b - a, 20.0);
	ck_assert_double_eq_tol(d, b - a, 1e-6);
	viewer_play(&w, "d");
	ck_assert(!lane_chosen(w.v)->delta);
}
END_TEST

START_TEST(eighty_lanes_can_all_be_reached)
{
	size_t i;

	for (i = 0; i < w.v->lane_count; i++)
		lane_show(w.v, i, true);
	for (i = 0; i < w.v->lane_count; i++) {
		char *screen = viewer_screen(&w);
		struct buf title = BUF_INIT;

		lane_title(w.v, lane_chosen(w.v), &title);
		/* a long word is broken: its beginning tells it */
		title.data[strcspn(title.data, " ")] = '\0';
		if (strlen(title.data) > 9)
			title.data[9] = '\0';
		ck_assert_msg(strstr(screen, title.data) != NULL, "%s in\n%s", title.data, screen);
		ck_assert_ptr_nonnull(strchr(screen, '>'));
		buf_release(&title);
		free(screen);
		viewer_play(&w, "<Down>");
	}
}
END_TEST

Suite *view_lanes_suite(void)
{
	Suite *s = suite_create("view lanes");
	TCase *t = tcase_create("lanes");

	tcase_add_checked_fixture(t, open_both, close_both);
	tcase_add_test(t, lanes_hide_and_show);
	tcase_add_test(t, lanes_move);
	tcase_add_test(t, only_an_unknown_channel_keeps_the_lanes);
	tcase_add_test(t, delta_lane_is_b_minus_a);
	tcase_add_test(t, eighty_lanes_can_all_be_reached);
	suite_add_tcase(s, t);
	return s;
}
