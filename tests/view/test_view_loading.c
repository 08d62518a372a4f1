/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Lanes that are loaded in the background: what is on the screen meanwhile, keys that need
 * them, and that in the end it is the screen of a view that waits for each.
 */
#include <check.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>

#include "base/bell.h"
#include "base/gate.h"
#include "base/mem.h"
#include "base/path.h"
#include "draw/draw_util.h"
#include "view/export.h"
#include "view/frame.h"
#include "view/lanes.h"
#include "view/refresh.h"
#include "view/viewer.h"

Suite *view_loading_suite(void);

#define ROWS 40
#define COLS 120
#define KEYS_PLAYED 60
#define LET_GO_MS 2		/* how long some may come through the gate */

static struct bell news;
static struct errands *loader;
static struct viewer w;
static bool fails;		/* for want of memory, not because a log is large */

static bool go_on(void *of)
{
	return errands_go_on(of);
}

static void work(struct errands *of, void *errand)
{
	struct lane_wish *wish = errand;

	gate_pass(go_on, of);
	if (fails)
		wish->code = err_set(&wish->error, ERR_MEMORY, "out of memory for 5 samples");
	else
		lane_errands.work(of, errand);
}

static void release(void *errand)
{
	lane_errands.release(errand);
}

static const struct errand_kind held = { work, release };

static struct viewer open_logs(const char *a, const char *b, struct errands *of)
{
	return viewer_open(&(struct viewer_options){ .a = a, .b = b, .rows = ROWS, .cols = COLS,
						     .loader = of });
}

static void set_up(void)
{
	ck_assert(bell_open(&news));
	fails = false;
	gate_hold(false);
	loader = errands_new(&held, news.ring);
	w = open_logs("before.csv", "after.csv", loader);
}

static void tear_down(void)
{
	viewer_close(&w);
	errands_free(loader);
	bell_close(&news);
}

static char *draw(struct viewer *of)
{
	struct canvas *c = canvas_new(ROWS, COLS);
	char *out;

	frame_draw(of->v, c);
	out = canvas_string(c);
	canvas_free(c);
	return out;
}

static int count_on_screen(const char *word)
{
	char *screen = draw(&w);
	const char *at = screen;
	int n = 0;

	while ((at = strstr(at, word)) != NULL) {
		n++;
		at += strlen(word);
	}
	free(screen);
	return n;
}

static void expect(const char *word)
{
	ck_assert_int_gt(count_on_screen(word), 0);
}

static void expect_not(const char *word)
{
	ck_assert_int_eq(count_on_screen(word), 0);
}

/* Draws until all that is drawn is there. */
static void load(void)
{
	gate_open();
	free(draw(&w));
	while (lanes_are_awaited(w.v)) {
		gate_await_news(news.hear);
		lanes_take(w.v);
		free(draw(&w));
	}
}

/* A bar between two keys is where it is drawn. */
static void play(struct viewer *of, const char *keys)
{
	char *all = mem_strdup(keys);
	char *rest = all;
	char *part;

	while ((part = strsep(&rest, "|")) != NULL) {
		viewer_play(of, part);
		free(draw(of));
	}
	free(all);
}

/* Two screens; Check cannot take the whole of them in a message. */
static void expect_same(char *got, char *wanted)
{
	size_t line = 0;
	size_t i;

	for (i = 0; got[i] != '\0' && got[i] == wanted[i]; i++)
		if (got[i] == '\n')
			line = i + 1;
	ck_assert_msg(got[i] == wanted[i], "got\n%.*s\nbut wanted\n%.*s",
		      (int)strcspn(got + line, "\n"), got + line,
		      (int)strcspn(wanted + line, "\n"), wanted + line);
	free(got);
	free(wanted);
}

/* The screen must be that of a view that loads at once, after the same keys. */
static void expect_as_at_once(const char *keys)
{
	struct viewer other = open_logs("before.csv", "after.csv", NULL);

	free(draw(&other));
	play(&other, keys);
	expect_same(draw(&w), draw(&other));
	viewer_close(&other);
}

START_TEST(lanes_are_empty_until_they_are_loaded)
{
	int lanes;

	lanes = count_on_screen(FRAME_LOADING);
	ck_assert_int_ge(lanes, 4);
	expect("Boost");
	ck_assert_int_eq(count_on_screen("B-A "), 1);	/* at the foot: no values beside them */
	gate_await(1);
	lanes_take(w.v);		/* nothing is there to take */
	ck_assert_int_eq(count_on_screen(FRAME_LOADING), lanes);
	load();
	expect_not(FRAME_LOADING);
	expect_as_at_once("");
}
END_TEST

START_TEST(keys_act_while_they_are_loaded)
{
	static const char *const keys[] = {
		"x|<Right><Right>++|<Space><S-Right>", "d", "x|.|d|,", "x|d|.|,,,", "y", ">", "w", "d|w|K",
		"v", "s", "<Space><S-Left>|s", ":only Boost<Enter>|y", ":lane Lambda<Enter>|X",
		":pull b all<Enter>|x",
	};

	free(draw(&w));
	gate_await(1);
	play(&w, keys[_i]);
	load();
	expect_as_at_once(keys[_i]);
}
END_TEST

START_TEST(panels_say_that_it_is_loaded)
{
	int lanes;

	free(draw(&w));
	lanes = count_on_screen(FRAME_LOADING);
	viewer_play(&w, "s");
	ck_assert_int_ge(count_on_screen(FRAME_LOADING), 2);
	expect_not("median");
	viewer_play(&w, "v");
	ck_assert_int_ge(count_on_screen(FRAME_LOADING), lanes);
	load();
	expect_as_at_once("sv");
}
END_TEST

static void let_some_come(void)
{
	gate_open();
	poll(NULL, 0, LET_GO_MS);
	gate_hold(false);
	lanes_take(w.v);
}

/* Keys at random, while what is loaded comes now and then: the same in the end. */
START_TEST(it_is_the_same_in_the_end)
{
	static const char *const keys[] = {
		"<Left>", "<Right>", "L", "[", "]", "+", "-", "d", "<End>", "x", ",", ".", "w", "<Down>",
		"s", "v", "<Space>", "<Esc>", "J", "K", "X", ":align start<Enter>", "f", "t", "y",
		"d", ".", ",", "w",
	};
	struct viewer other = open_logs("before.csv", "after.csv", NULL);
	uint64_t state = (uint64_t)_i + 1;
	int i;

	for (i = 0; i < KEYS_PLAYED; i++) {
		const char *key = keys[rnd_below(&state, (int)(sizeof keys / sizeof keys[0]))];

		viewer_play(&w, key);
		viewer_play(&other, key);
		free(draw(&w));
		free(draw(&other));
		if (rnd_below(&state, 3) == 0)
			let_some_come();
	}
	load();
	expect_same(draw(&w), draw(&other));
	viewer_close(&other);
}
END_TEST

/* What was asked of the pull before must not be shown as if it were of this one. */
START_TEST(another_pull_is_not_the_one_that_was_loaded)
{
	free(draw(&w));
	gate_await(1);
	viewer_play(&w, ":pull b all<Enter>");
	free(draw(&w));
	load();
	expect_as_at_once(":pull b all<Enter>");
}
END_TEST

START_TEST(what_is_written_waits_for_it)
{
	struct viewer other = open_logs("before.csv", "after.csv", NULL);
	struct buf got = BUF_INIT;
	struct buf wanted = BUF_INIT;

	free(draw(&w));
	free(draw(&other));
	ck_assert_int_eq(export_window_csv(w.v, &got, NULL), ERR_NONE);
	ck_assert_int_eq(export_window_csv(other.v, &wanted, NULL), ERR_NONE);
	ck_assert_str_eq(got.data, wanted.data);
	buf_clear(&got);
	buf_clear(&wanted);
	ck_assert_int_eq(export_picture(w.v, &got, NULL), ERR_NONE);
	ck_assert_int_eq(export_picture(other.v, &wanted, NULL), ERR_NONE);
	ck_assert_str_eq(got.data, wanted.data);
	buf_release(&got);
	buf_release(&wanted);
	viewer_close(&other);
}
END_TEST

/* Said once; the lane stays empty, and nobody tries again and again. */
START_TEST(without_memory_it_is_said)
{
	fails = true;
	load();
	expect("out of memory for 5 samples");
	expect_not(FRAME_LOADING);
	ck_assert(!lanes_are_awaited(w.v));
	viewer_play(&w, "<Right>");
	ck_assert(!lanes_are_awaited(w.v));
}
END_TEST

/* ---- logs that grow ---- */

static struct loaded load_again(const char *name)
{
	static const struct load_options guess_all;
	char *path = viewer_path(&w, name);
	struct loaded out;

	ck_assert_int_eq(load_log(path, &guess_all, &out, NULL), ERR_NONE);
	free(path);
	return out;
}

static void refresh(bool anew)
{
	struct loaded l = load_again("after.csv");

	ck_assert_int_eq(view_refresh(w.v, 1, &l, anew, NULL), ERR_NONE);
}

/* A log of two channels, the second one's cells by its row. */
static void write_grown(size_t rows, const char *title, const char *(*cell)(size_t row))
{
	char *path = viewer_path(&w, "grown.csv");
	struct buf text = BUF_INIT;
	size_t i;

	buf_printf(&text, "Time (s),Oil Temp (degC),%s\n", title);
	for (i = 0; i < rows; i++)
		buf_printf(&text, "%zu.0,9%zu,%s\n", i, i % 10, cell(i));
	ck_assert_int_eq(path_write_atomic(path, text.data, text.len, NULL), ERR_NONE);
	buf_release(&text);
	free(path);
}

/* Opens the first rows, shows both channels, and refreshes with more rows. */
static void grow(const char *title, const char *(*cell)(size_t row))
{
	char *keys = mem_printf(":only Oil,%s<Enter>", title);
	struct loaded l;

	write_grown(20, title, cell);
	viewer_reopen(&w, &(struct viewer_options){ .a = "grown.csv", .rows = ROWS, .cols = COLS,
						    .loader = loader });
	viewer_play(&w, keys);
	viewer_play(&w, "<Right>");
	free(keys);
	load();
	expect_not(FRAME_LOADING);
	gate_hold(false);
	write_grown(30, title, cell);
	l = load_again("grown.csv");
	ck_assert_int_eq(view_refresh(w.v, 0, &l, false, NULL), ERR_NONE);
}

/* Also where the lanes are chosen anew, as they are before the first key. */
START_TEST(what_was_there_stays_until_there_is_more)
{
	const char *keys = _i == 0 ? "" : "<Right>";
	char *before;

	load();
	viewer_play(&w, keys);
	before = draw(&w);
	gate_hold(false);
	refresh(false);
	expect_same(draw(&w), mem_strdup(before));
	ck_assert(lanes_are_awaited(w.v));
	refresh(false);		/* and again, before anything has come */
	expect_same(draw(&w), before);
	load();
	expect_as_at_once(keys);
}
END_TEST

START_TEST(of_another_log_nothing_stays)
{
	load();
	gate_hold(false);
	refresh(true);
	ck_assert_int_ge(count_on_screen(FRAME_LOADING), 4);
	load();
	expect_not(FRAME_LOADING);
}
END_TEST

static const char *valve(size_t row)
{
	return row < 10 ? "closed" : "open";
}

/* They are numbered by what is in the log, and a log that has grown may have others. */
START_TEST(words_do_not_stay)
{
	grow("Valve", valve);
	ck_assert_int_eq(count_on_screen(FRAME_LOADING), 1);
	load();
	expect_not(FRAME_LOADING);
	expect("open");
}
END_TEST

static const char *pressure(size_t row)
{
	return row < 10 ? "14.5" : row < 20 ? "20.1" : "210.0";
}

/* What was taken for psi turns out to be kPa. */
START_TEST(what_had_another_unit_does_not_stay)
{
	grow("MAP", pressure);
	ck_assert_int_eq(count_on_screen(FRAME_LOADING), 1);
	load();
	expect_not(FRAME_LOADING);
	expect("kPa");
}
END_TEST

/* The same pairs of channels: what is loaded of them is, and what is under way will be. */
START_TEST(other_lanes_of_the_same_channels_have_it)
{
	free(draw(&w));
	gate_await(1);
	viewer_play(&w, ":only Lambda,Boost<Enter>");
	load();
	expect_as_at_once(":only Lambda,Boost<Enter>");
	gate_hold(false);
	viewer_play(&w, ":only Boost<Enter>");
	expect_not(FRAME_LOADING);
	expect_as_at_once(":only Boost<Enter>");
}
END_TEST

/* A log that nobody draws is not kept for it. */
START_TEST(hidden_lanes_keep_no_old_log)
{
	size_t i;

	viewer_play(&w, ":show Lambda<Enter>");
	load();
	viewer_play(&w, ":only Boost<Enter>");
	refresh(false);
	refresh(false);
	for (i = 0; i < w.v->lane_count; i++)
		if (!w.v->lanes[i].shown)
			ck_assert(lane_data_is_empty(&w.v->lanes[i].data));
}
END_TEST

Suite *view_loading_suite(void)
{
	Suite *s = suite_create("view_loading");
	TCase *t = tcase_create("loading");

	tcase_add_checked_fixture(t, set_up, tear_down);
	tcase_set_timeout(t, 120);
	tcase_add_test(t, lanes_are_empty_until_they_are_loaded);
	tcase_add_loop_test(t, keys_act_while_they_are_loaded, 0, 14);
	tcase_add_test(t, panels_say_that_it_is_loaded);
	tcase_add_loop_test(t, it_is_the_same_in_the_end, 0, 20);
	tcase_add_test(t, another_pull_is_not_the_one_that_was_loaded);
	tcase_add_test(t, what_is_written_waits_for_it);
	tcase_add_test(t, without_memory_it_is_said);
	tcase_add_loop_test(t, what_was_there_stays_until_there_is_more, 0, 2);
	tcase_add_test(t, of_another_log_nothing_stays);
	tcase_add_test(t, words_do_not_stay);
	tcase_add_test(t, what_had_another_unit_does_not_stay);
	tcase_add_test(t, other_lanes_of_the_same_channels_have_it);
	tcase_add_test(t, hidden_lanes_keep_no_old_log);
	suite_add_tcase(s, t);
	return s;
}
