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
	suite_add_tcase(s, t);
	suite_add_tcase(s, any_keys());
	return s;
}
