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
#include "view/lists.h"

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
	d = series_at(&lane->data.difference, 4321.0);
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

START_TEST(a_hidden_lane_is_gone)
{
	expect_on_screen("Boost");
	viewer_play(&w, "X<Esc>");
	viewer_play(&w, "<Right>");	/* takes the message away, which names it */
	expect_not_on_screen("Boost");
}
END_TEST

static void expect_selected(const char *name)
{
	struct buf text = BUF_INIT;

	list_row(w.v, w.v->list.selected, &text);
	ck_assert_msg(strstr(text.data, name) != NULL, "'%s' is selected", text.data);
	buf_release(&text);
}

START_TEST(a_lane_moves_in_a_filtered_list)
{
	viewer_play(&w, "c/knock cyl<Enter><Down><Down>");
	expect_selected("Cyl 3");
	viewer_play(&w, "K");
	expect_selected("Cyl 3");
	ck_assert_uint_lt(shown_lane("knock_retard3"), shown_lane("knock_retard2"));
	ck_assert_uint_gt(shown_lane("knock_retard3"), shown_lane("knock_retard1"));
	viewer_play(&w, "KKK");
	expect_selected("Cyl 3");
	ck_assert_uint_lt(shown_lane("knock_retard3"), shown_lane("knock_retard1"));
	viewer_play(&w, "JJJJJ");
	expect_selected("Cyl 3");
	ck_assert_uint_gt(shown_lane("knock_retard3"), shown_lane("knock_retard4"));
}
END_TEST

START_TEST(an_unknown_name_keeps_exactly_these_lanes)
{
	viewer_play(&w, ":only lambda,boost<Enter>d:only lambda,nosuch<Enter>");
	ck_assert(w.v->message_bad);
	ck_assert_uint_eq(lanes_shown(w.v), 3);
	ck_assert_uint_eq(shown_lane("lambda"), 0);
}
END_TEST

START_TEST(exchanging_a_and_b_keeps_the_lanes)
{
	double a;

	viewer_play(&w, ":only lambda,boost<Enter>d<Down><Down>t");
	ck_assert_int_gt(lane_chosen(w.v)->rows, 0);
	a = lane_value(w.v, lane_chosen(w.v), SIDE_A, 4000.0);
	viewer_play(&w, "w");
	ck_assert_double_eq(lane_value(w.v, lane_chosen(w.v), SIDE_B, 4000.0), a);
	ck_assert_uint_eq(lanes_shown(w.v), 3);
	ck_assert_uint_eq(shown_lane("lambda"), 0);
	ck_assert_uint_eq(w.v->chosen, shown_lane("boost"));
	ck_assert_int_gt(lane_chosen(w.v)->rows, 0);
	ck_assert_ptr_eq(w.v->pairs.list[w.v->lanes[0].pair].a,
			 datalog_channel(w.v->overlay.a.log, "lambda", NULL));
}
END_TEST

/* ---- logs of the test's own ---- */

static const struct viewer_options own = { .a = "a.csv", .b = "b.csv" };

/* Ten rows a second; value(i) is written as it stands. */
static void write_log(const char *name, const char *title, const char *(*value)(int i))
{
	struct buf text = BUF_INIT;
	int i;

	buf_printf(&text, "Time (s),Engine Speed (rpm),%s\n", title);
	for (i = 0; i < 60; i++)
		buf_printf(&text, "%.1f,%d,%s\n", i / 10.0, 2000 + 50 * i, value(i));
	write_beside(name, text.data);
	buf_release(&text);
}

static const char *open_late(int i)
{
	return i < 30 ? "closed" : "open";
}

static const char *open_early(int i)
{
	return i < 30 ? "open" : i < 50 ? "closed" : "stuck";
}

START_TEST(one_word_is_one_height_in_a_and_b)
{
	struct lane *lane;

	write_log("a.csv", "Valve", open_late);
	write_log("b.csv", "Valve", open_early);
	viewer_reopen(&w, &own);
	viewer_play(&w, ":only Valve<Enter>:axis time<Enter>");
	lane = lane_chosen(w.v);
	ck_assert_str_eq(lane_word(w.v, lane, lane_value(w.v, lane, SIDE_A, 1.0)), "closed");
	ck_assert_str_eq(lane_word(w.v, lane, lane_value(w.v, lane, SIDE_B, 1.0)), "open");
	ck_assert_str_eq(lane_word(w.v, lane, lane_value(w.v, lane, SIDE_B, 5.5)), "stuck");
	ck_assert_double_ne(lane_value(w.v, lane, SIDE_A, 1.0), lane_value(w.v, lane, SIDE_B, 1.0));
	ck_assert_double_eq(lane_value(w.v, lane, SIDE_A, 1.0), lane_value(w.v, lane, SIDE_B, 4.0));
	ck_assert_double_eq(lane_value(w.v, lane, SIDE_A, 4.0), lane_value(w.v, lane, SIDE_B, 1.0));
}
END_TEST

START_TEST(words_are_not_reckoned_with)
{
	write_log("a.csv", "Valve", open_late);
	write_log("b.csv", "Valve", open_early);
	viewer_reopen(&w, &own);
	viewer_play(&w, ":only Valve<Enter>:axis time<Enter>:goto 1<Enter>d");
	ck_assert_uint_eq(lanes_shown(w.v), 1);
	ck_assert_ptr_nonnull(strstr(w.v->message, "words"));
	viewer_play(&w, "s");
	expect_on_screen("holds words");
	expect_not_on_screen("median");
	viewer_play(&w, "v");
	expect_on_screen(" closed ");
}
END_TEST

static const char *one_hole(int i)
{
	return i >= 20 && i < 40 ? "" : i < 20 ? "10" : "50";
}

static const char *no_hole(int i)
{
	return i < 30 ? "20" : "70";
}

START_TEST(a_difference_breaks_where_either_has_a_hole)
{
	struct lane *lane;
	double lowest = INFINITY;
	size_t i;

	write_log("a.csv", "Level (%)", one_hole);
	write_log("b.csv", "Level (%)", no_hole);
	viewer_reopen(&w, &own);
	viewer_play(&w, ":axis time<Enter>:only Level<Enter>d<Down>");
	lane = lane_chosen(w.v);
	ck_assert(lane->delta);
	lane_load(w.v, lane);
	ck_assert_double_eq_tol(series_at(&lane->data.difference, 1.0), 10.0, 1e-9);
	ck_assert_double_eq_tol(series_at(&lane->data.difference, 1.9), 10.0, 1e-9);
	ck_assert_double_eq_tol(series_at(&lane->data.difference, 5.0), 20.0, 1e-9);
	ck_assert(isnan(series_at(&lane->data.difference, 2.5)));
	ck_assert(isnan(series_at(&lane->data.difference, 3.5)));
	for (i = 0; i < lane->data.difference.n; i++)
		lowest = fmin(lowest, lane->data.difference.v[i]);
	ck_assert_double_eq_tol(lowest, 10.0, 1e-9);
}
END_TEST

static const char *very_large(int i)
{
	return i % 2 == 0 ? "1234567890" : "1234567891";
}

/* A number without its last digits would be another number. */
START_TEST(numbers_too_wide_for_their_place_are_not_cut)
{
	const struct viewer_options alone = { .a = "a.csv" };

	write_log("a.csv", "Ticks", very_large);
	viewer_reopen(&w, &alone);
	viewer_play(&w, ":only Ticks<Enter>");
	expect_on_screen("1.23e9");
	expect_not_on_screen(" 1234567");
	viewer_play(&w, "s");	/* here is room */
	expect_on_screen(" min            1234567890");
	viewer_play(&w, "v");
	expect_on_screen("1.23e9");
	expect_on_screen(" 123456789");
}
END_TEST

/* Fewer columns, not fewer digits. */
START_TEST(a_narrow_panel_keeps_its_digits)
{
	static const struct viewer_options narrow = { .a = "before.csv", .b = "after.csv",
						      .cols = 50, .rows = 20 };

	viewer_reopen(&w, &narrow);
	viewer_play(&w, "s");
	expect_on_screen(" min at           1908        1914");
	viewer_play(&w, "v");
	expect_on_screen(" Boost Pressure      109.7      159.7      +50.0");
	viewer_play(&w, "<Space><Right>");
	expect_on_screen("A at 1  B at 1   B-A 1  A at 2");
	expect_not_on_screen("B at 2");
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
	tcase_add_test(t, a_hidden_lane_is_gone);
	tcase_add_test(t, a_lane_moves_in_a_filtered_list);
	tcase_add_test(t, an_unknown_name_keeps_exactly_these_lanes);
	tcase_add_test(t, exchanging_a_and_b_keeps_the_lanes);
	tcase_add_test(t, one_word_is_one_height_in_a_and_b);
	tcase_add_test(t, words_are_not_reckoned_with);
	tcase_add_test(t, a_difference_breaks_where_either_has_a_hole);
	tcase_add_test(t, numbers_too_wide_for_their_place_are_not_cut);
	tcase_add_test(t, a_narrow_panel_keeps_its_digits);
	suite_add_tcase(s, t);
	return s;
}
