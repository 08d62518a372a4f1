/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the actions do to the state, and that no keys at all can break it. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/path.h"
#include "base/text.h"
#include "view/action.h"
#include "view/frame.h"
#include "view/key.h"
#include "view/lanes.h"
#include "view/viewer.h"

static const struct viewer_options both = { .a = "before.csv", .b = "after.csv" };
static struct viewer w;

static void open_both(void)
{
	w = viewer_open(&both);
}

static void close_it(void)
{
	viewer_close(&w);
}

static size_t shown_lane(const char *name)
{
	const size_t lane = lane_by_name(w.v, name, NULL);

	ck_assert_uint_ne(lane, SIZE_MAX);
	return lane;
}

/* ---- axis and window ---- */

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

/* ---- lanes ---- */

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

/* ---- marks ---- */

START_TEST(marks_come_back)
{
	char *screen;

	viewer_play(&w, ":span 6100:6800<Enter>mlean, \"up\" top<Enter>rail sags \xe2\x80\x93 look<Enter>");
	viewer_reopen(&w, &both);
	ck_assert_uint_eq(w.v->sources[1].marks.count, 1);
	ck_assert_str_eq(w.v->sources[1].marks.list[0].title, "lean, \"up\" top");
	ck_assert_double_eq(w.v->sources[1].marks.list[0].from, 6100);
	viewer_play(&w, "n");
	ck_assert_double_eq_tol(w.v->cursor[0], 6100, 1e-6);
	ck_assert_double_eq_tol(w.v->cursor[1], 6800, 1e-6);
	screen = viewer_screen(&w);
	ck_assert_ptr_nonnull(strstr(screen, "lean, \"up\" top: rail sags"));
	free(screen);
}
END_TEST

START_TEST(a_mark_by_time_means_the_same_after_realigning)
{
	const struct run *b = &w.v->overlay.b;
	double t0;

	viewer_play(&w, "x:span 2:3<Enter>:mark by time<Enter>");
	t0 = axis_map_to_time(&b->by_time, 2.0);
	ck_assert_double_eq_tol(w.v->sources[1].marks.list[0].from, t0, 1e-3);
	viewer_play(&w, ":align start<Enter>:goto 0<Enter>M<Enter>");
	ck_assert_double_eq_tol(axis_map_to_time(&b->by_time, w.v->cursor[0]), t0, 2e-3);
}
END_TEST

START_TEST(undo_takes_back_every_change)
{
	struct marks *m = &w.v->sources[1].marks;

	viewer_play(&w, ":span 3000:4000<Enter>:mark one<Enter>:mark two<Enter>Md");
	ck_assert_uint_eq(m->count, 1);
	ck_assert_str_eq(m->list[0].title, "two");
	viewer_play(&w, "u");
	ck_assert_uint_eq(m->count, 2);
	viewer_play(&w, "e<C-u>changed<Enter><Enter>");
	ck_assert_str_eq(m->list[0].title, "changed");
	viewer_play(&w, "<Esc>uuu");
	ck_assert_uint_eq(m->count, 0);
	viewer_play(&w, "u");
	ck_assert_ptr_nonnull(strstr(w.v->message, "no change"));
	viewer_reopen(&w, &both);
	ck_assert_uint_eq(w.v->sources[1].marks.count, 0);
}
END_TEST

START_TEST(marks_go_to_the_chosen_side)
{
	viewer_play(&w, "b<Space><S-Right>:mark in the baseline<Enter>");
	ck_assert_uint_eq(w.v->sources[0].marks.count, 1);
	ck_assert_uint_eq(w.v->sources[1].marks.count, 0);
}
END_TEST

START_TEST(a_broken_marks_file_is_never_written_over)
{
	char *path = viewer_path(&w, "after.csv.marks.csv");
	static const char broken[] = "pull,axis,from,to,channel,title,note\n1,rpm,x,2,,,\n";
	struct buf text = BUF_INIT;

	ck_assert_int_eq(path_write_atomic(path, broken, strlen(broken), NULL), ERR_NONE);
	viewer_reopen(&w, &both);
	ck_assert(w.v->message_bad);
	viewer_play(&w, "<Space><S-Right>:mark no<Enter>");
	ck_assert(w.v->message_bad);
	ck_assert_int_eq(path_read_all(path, &text, NULL), ERR_NONE);
	ck_assert_str_eq(text.data, broken);
	buf_release(&text);
	free(path);
}
END_TEST

/* ---- pulls ---- */

START_TEST(pulls_are_chosen)
{
	const struct viewer_options alone = { .a = "drive.csv" };

	viewer_reopen(&w, &alone);
	ck_assert_int_eq(w.v->overlay.axis, AXIS_TIME);
	ck_assert_uint_eq(w.v->overlay.a.number, RUN_WHOLE);
	viewer_play(&w, "<Enter>");
	ck_assert_uint_eq(w.v->overlay.a.number, pull_best(&w.v->sources[0].loaded.pulls));
	viewer_play(&w, "p<Down>a<Down>b<Esc>");
	ck_assert_uint_eq(w.v->overlay.a.number, 1);
	ck_assert_uint_eq(w.v->overlay.b.number, 2);
	ck_assert_int_eq(w.v->overlay.axis, AXIS_RPM);
	viewer_play(&w, "w");
	ck_assert_uint_eq(w.v->overlay.a.number, 2);
	ck_assert_uint_eq(w.v->overlay.b.number, 1);
	viewer_play(&w, "P");
	ck_assert_uint_eq(w.v->overlay.b.number, 2);
}
END_TEST

START_TEST(a_mark_of_another_pull_brings_it_on_screen)
{
	const struct viewer_options second = { .a = "drive.csv@2" };

	viewer_reopen(&w, &second);
	viewer_play(&w, ":span 3000:4000<Enter>:mark second<Enter>p<Home><Down>a<Esc>");
	ck_assert_uint_eq(w.v->overlay.a.number, 1);
	viewer_play(&w, "M<Enter>");
	ck_assert_uint_eq(w.v->overlay.a.number, 2);
	ck_assert_double_eq_tol(w.v->cursor[0], 3000, 1e-6);
}
END_TEST

/* ---- export ---- */

START_TEST(export_has_the_samples_and_makes_up_none)
{
	char *path = viewer_path(&w, "span.csv");
	struct buf line = BUF_INIT;
	struct buf text = BUF_INIT;

	buf_printf(&line, ":only boost,lambda<Enter>:span 3000:3200<Enter>:export %s<Enter>", path);
	viewer_play(&w, line.data);
	ck_assert_msg(!w.v->message_bad, "%s", w.v->message);
	ck_assert_int_eq(path_read_all(path, &text, NULL), ERR_NONE);
	ck_assert_int_eq(strncmp(text.data, "side,time_s,axis_rpm,\"Boost Pressure (kPa)\",\"Lambda", 50), 0);
	ck_assert_ptr_nonnull(strstr(text.data, "\r\nB,"));
	viewer_play(&w, line.data + strlen(":only boost,lambda<Enter>"));
	ck_assert_msg(w.v->message_bad, "an existing file was written over");
	buf_release(&text);
	buf_release(&line);
	free(path);
}
END_TEST

/* ---- commands and the table ---- */

START_TEST(every_action_is_whole)
{
	size_t i, k;

	for (i = 0; i < action_count(); i++) {
		const struct action *a = action_by_index(i);

		ck_assert_ptr_nonnull(a->fn);
		ck_assert_ptr_eq(action_by_name(a->name), a);
		ck_assert_msg(30 + text_width(a->help) <= 79, "help of %s is too long", a->name);
		for (k = 0; k < i; k++) {
			const char *p = a->keys;
			uint32_t key, other;

			while (*p != '\0') {
				const char *q = action_by_index(k)->keys;

				p += strspn(p, " ");
				ck_assert_int_eq(key_parse(&p, &key, NULL), ERR_NONE);
				while (*q != '\0') {
					q += strspn(q, " ");
					ck_assert_int_eq(key_parse(&q, &other, NULL), ERR_NONE);
					ck_assert_msg(key != other, "%s and %s share a key", a->name,
						      action_by_index(k)->name);
				}
			}
		}
	}
}
END_TEST

START_TEST(commands_by_their_beginning)
{
	viewer_play(&w, ":ax time<Enter>");
	ck_assert_int_eq(w.v->overlay.axis, AXIS_TIME);
	viewer_play(&w, ":s<Enter>");
	ck_assert(w.v->message_bad);
	ck_assert_ptr_nonnull(strstr(w.v->message, "could be"));
	viewer_play(&w, ":nonsense<Enter>");
	ck_assert_ptr_nonnull(strstr(w.v->message, "no command"));
}
END_TEST

START_TEST(wrong_arguments_say_what_is_right)
{
	static const char *const wrong[] = {
		":axis sideways<Enter>", ":align up<Enter>", ":align crossing fast<Enter>",
		":span 3000<Enter>", ":span a:b<Enter>", ":goto x<Enter>", ":nudge x<Enter>",
		":lane nosuch<Enter>", ":hide nosuch<Enter>", ":side C<Enter>", ":only<Enter>",
		":export /nonexistent/dir/f.csv<Enter>",
	};
	size_t i;

	for (i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
		viewer_play(&w, wrong[i]);
		ck_assert_msg(w.v->message_bad, "%s was taken", wrong[i]);
	}
}
END_TEST

START_TEST(tab_completes)
{
	viewer_play(&w, ":alig<Tab>");
	ck_assert_str_eq(w.v->prompt.text.data, "align ");
	viewer_play(&w, "cl<Tab>");
	ck_assert_str_eq(w.v->prompt.text.data, "align clock ");
	viewer_play(&w, "<Esc>:show cool<Tab>");
	ck_assert_str_eq(w.v->prompt.text.data, "show Coolant Temperature ");
	viewer_play(&w, "<Esc>/rail<Tab>");
	ck_assert_msg(strncmp(w.v->prompt.text.data, "Fuel Rail Pressure", 18) == 0, "%s",
		      w.v->prompt.text.data);
}
END_TEST

START_TEST(prompt_edits_utf8)
{
	viewer_play(&w, ":ab\xc2\xb0" "c<Left><Left><BSpace>X<Home>Y<Del><End>Z");
	ck_assert_str_eq(w.v->prompt.text.data, "YX\xc2\xb0" "cZ");
	viewer_play(&w, "<C-u>goto 3000<Enter>:<Up>");
	ck_assert_str_eq(w.v->prompt.text.data, "goto 3000");
	viewer_play(&w, "<Down>");
	ck_assert_str_eq(w.v->prompt.text.data, "");
}
END_TEST

START_TEST(an_unknown_key_points_to_help)
{
	viewer_play(&w, "~");
	ck_assert_ptr_nonnull(strstr(w.v->message, "?"));
}
END_TEST

/* ---- anything ---- */

static uint64_t next_random(uint64_t *state)
{
	*state ^= *state << 13;
	*state ^= *state >> 7;
	*state ^= *state << 17;
	return *state;
}

/* Random keys, sizes and drawings; run under the sanitizers this finds what a person would. */
static void hammer(uint64_t seed, int keys)
{
	uint64_t state = seed * UINT64_C(0x9e3779b97f4a7c15) + 1;
	int i;

	ck_assert_int_eq(chdir(w.dir), 0);
	for (i = 0; i < keys && !w.v->quit; i++) {
		const uint64_t r = next_random(&state);
		uint32_t key = r % 4 == 0 ? KEY_FIRST + (uint32_t)(r >> 8) % 19 :
			' ' + (uint32_t)(r >> 8) % 95;

		if (key == 'q' || key == KEY_INTERRUPT)
			continue;
		view_key(w.v, key);
		if (r % 97 == 0)
			view_resize(w.v, (int)(r >> 16) % 60, (int)(r >> 24) % 220);
		if (r % 5 == 0)
			free(viewer_screen(&w));
		ck_assert_double_le(w.v->from, w.v->to);
		ck_assert(!isnan(w.v->cursor[0]) && !isnan(w.v->cursor[1]));
		ck_assert(w.v->chosen == w.v->lane_count || w.v->lanes[w.v->chosen].shown);
	}
}

START_TEST(no_keys_break_two_pulls)
{
	hammer((uint64_t)_i + 1, 1500);
}
END_TEST

START_TEST(no_keys_break_one_log)
{
	const struct viewer_options alone = { .a = _i % 2 == 0 ? "drive.csv" : "after.csv@1" };

	viewer_reopen(&w, &alone);
	hammer((uint64_t)_i + 101, 1500);
}
END_TEST

static void add_all(TCase *t)
{
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
	tcase_add_test(t, lanes_hide_and_show);
	tcase_add_test(t, lanes_move);
	tcase_add_test(t, only_an_unknown_channel_keeps_the_lanes);
	tcase_add_test(t, delta_lane_is_b_minus_a);
	tcase_add_test(t, eighty_lanes_can_all_be_reached);
	tcase_add_test(t, marks_come_back);
	tcase_add_test(t, a_mark_by_time_means_the_same_after_realigning);
	tcase_add_test(t, undo_takes_back_every_change);
	tcase_add_test(t, marks_go_to_the_chosen_side);
	tcase_add_test(t, a_broken_marks_file_is_never_written_over);
	tcase_add_test(t, pulls_are_chosen);
	tcase_add_test(t, a_mark_of_another_pull_brings_it_on_screen);
	tcase_add_test(t, export_has_the_samples_and_makes_up_none);
	tcase_add_test(t, every_action_is_whole);
	tcase_add_test(t, commands_by_their_beginning);
	tcase_add_test(t, wrong_arguments_say_what_is_right);
	tcase_add_test(t, tab_completes);
	tcase_add_test(t, prompt_edits_utf8);
	tcase_add_test(t, an_unknown_key_points_to_help);
}

Suite *view_suite(void)
{
	Suite *s = suite_create("view");
	TCase *t = tcase_create("actions");
	TCase *any = tcase_create("any keys");

	tcase_add_checked_fixture(t, open_both, close_it);
	add_all(t);
	suite_add_tcase(s, t);
	tcase_add_checked_fixture(any, open_both, close_it);
	tcase_set_timeout(any, 120);
	tcase_add_loop_test(any, no_keys_break_two_pulls, 0, 12);
	tcase_add_loop_test(any, no_keys_break_one_log, 0, 12);
	suite_add_tcase(s, any);
	return s;
}
