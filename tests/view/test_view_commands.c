/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The action table, commands and prompt; and that no keys at all break the view. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "view/action.h"
#include "view/both.h"
#include "view/frame.h"
#include "view/key.h"

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

START_TEST(what_tab_completes_can_be_entered)
{
	viewer_play(&w, ":axis ti<Tab><Enter>");
	ck_assert_msg(!w.v->message_bad, "%s", w.v->message);
	ck_assert_int_eq(w.v->overlay.axis, AXIS_TIME);
	viewer_play(&w, ":side A <Enter>");
	ck_assert_int_eq(w.v->mark_side, SIDE_A);
	viewer_play(&w, "/Boost Pressure  <Enter>");
	ck_assert_msg(!w.v->message_bad, "%s", w.v->message);
	ck_assert_int_eq(w.v->panel, PANEL_NONE);
}
END_TEST

START_TEST(the_end_of_a_long_line_is_on_screen)
{
	int row, col;

	viewer_play(&w, ":span 3000:4000<Enter>m");
	viewer_play(&w, "a title that is longer than the whole of the line at the foot of an "
		    "eighty column screen THE END");
	expect_on_screen("THE END");
	frame_caret(w.v, &row, &col);
	ck_assert_int_lt(col, 80);
	viewer_play(&w, "<Home>");
	expect_on_screen("a title that");
	frame_caret(w.v, &row, &col);
	ck_assert_int_eq(col, (int)text_width(w.v->prompt.label));
}
END_TEST

START_TEST(no_control_character_can_be_typed)
{
	viewer_play(&w, ":a\x7f" "b\xc2\x9b" "c\xe2\x80\xae" "d");
	ck_assert_str_eq(w.v->prompt.text.data, "abcd");
}
END_TEST

START_TEST(a_search_is_no_command_to_recall)
{
	viewer_play(&w, ":fit<Enter>/coolant<Enter>:<Up>");
	ck_assert_str_eq(w.v->prompt.text.data, "fit");
}
END_TEST

START_TEST(a_message_without_blanks_is_shown_from_its_first_character)
{
	struct buf text = BUF_INIT;

	buf_puts(&text, "BEGIN");
	buf_pad(&text, 'x', 90);
	buf_puts(&text, "END");
	view_complain(w.v, "%s", text.data);
	expect_on_screen("\nBEGINxxx");
	expect_on_screen("xxxEND");
	buf_release(&text);
}
END_TEST

START_TEST(plain_ascii_is_only_that)
{
	static const char *const keys[] = {
		"", ":only Temp<Enter>", "c", "M", ":only Mode<Enter>v", ":axis time<Enter>n", "p",
		":M\xc3\xa4rz",
	};
	const struct viewer_options o = { .a = "m\xc3\xa4rz.csv", .glyphs = GLYPH_ASCII };
	size_t i;

	write_beside("m\xc3\xa4rz.csv", "Time (s),Engine Speed (rpm),Temp (\xc2\xb0X),Mode,\xe5\xa2\x97\n"
		     "0,2000,1,gr\xc3\xbcn,1\n1,3000,2,wei\xc3\x9f,2\n2,4000,3,gr\xc3\xbcn,3\n");
	write_beside("m\xc3\xa4rz.csv.marks.csv", "pull,axis,from,to,channel,title,note\n"
		     "all,time,0,2,,\xc3\xbc" "ber \xe5\xa2\x97,\n");
	viewer_reopen(&w, &o);
	for (i = 0; i < sizeof keys / sizeof keys[0]; i++) {
		char *screen, *p;

		viewer_play(&w, keys[i]);
		screen = viewer_screen(&w);
		for (p = screen; *p != '\0'; p++)
			ck_assert_msg((unsigned char)*p < 0x80, "after %s:\n%s", keys[i], screen);
		free(screen);
	}
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

static TCase *any_keys(void)
{
	TCase *t = tcase_create("any keys");

	tcase_add_checked_fixture(t, open_both, close_both);
	tcase_set_timeout(t, 120);
	tcase_add_loop_test(t, no_keys_break_two_pulls, 0, 12);
	tcase_add_loop_test(t, no_keys_break_one_log, 0, 12);
	return t;
}

Suite *view_commands_suite(void)
{
	Suite *s = suite_create("view commands");
	TCase *t = tcase_create("commands");

	tcase_add_checked_fixture(t, open_both, close_both);
	tcase_add_test(t, every_action_is_whole);
	tcase_add_test(t, commands_by_their_beginning);
	tcase_add_test(t, wrong_arguments_say_what_is_right);
	tcase_add_test(t, tab_completes);
	tcase_add_test(t, prompt_edits_utf8);
	tcase_add_test(t, an_unknown_key_points_to_help);
	tcase_add_test(t, what_tab_completes_can_be_entered);
	tcase_add_test(t, the_end_of_a_long_line_is_on_screen);
	tcase_add_test(t, no_control_character_can_be_typed);
	tcase_add_test(t, a_search_is_no_command_to_recall);
	tcase_add_test(t, a_message_without_blanks_is_shown_from_its_first_character);
	tcase_add_test(t, plain_ascii_is_only_that);
	suite_add_tcase(s, t);
	suite_add_tcase(s, any_keys());
	return s;
}
