/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log that comes bit by bit: what opens afresh, and what stays where a person is. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/path.h"
#include "data/csv_read.h"
#include "view/lanes.h"
#include "view/refresh.h"
#include "view/viewer.h"

Suite *view_refresh_suite(void);

static struct loaded load_text(const char *name, const struct buf *text)
{
	static const struct load_options guess_all;
	struct datalog *log;
	struct loaded out;
	struct err e = ERR_INIT;

	ck_assert_msg(csv_read_memory(name, text->data, text->len, NULL, &log, &e) == ERR_NONE, "%s",
		      e.text);
	ck_assert_int_eq(load_finish(log, &guess_all, &out, &e), ERR_NONE);
	return out;
}

static void read_sample(const char *name, struct buf *text)
{
	char *path = mem_printf("%s/samples/%s", SRCDIR, name);

	ck_assert_int_eq(path_read_all(path, text, NULL), ERR_NONE);
	free(path);
}

/* The first `lines` lines of a sample, ready to work on; of each only `cells` cells. */
static struct loaded first_lines(const char *name, size_t lines, size_t cells)
{
	struct buf text = BUF_INIT;
	struct buf part = BUF_INIT;
	struct loaded out;
	size_t cell = 0;
	size_t i;

	read_sample(name, &text);
	for (i = 0; i < text.len && lines > 0; i++) {
		const char c = text.data[i];

		cell = c == '\n' ? 0 : cell + (c == ',');
		lines -= c == '\n';
		if (cell < cells)
			buf_putc(&part, c);
	}
	out = load_text(name, &part);
	buf_release(&text);
	buf_release(&part);
	return out;
}

#define WHOLE 100000

static void refresh(struct viewer *w, size_t source, const char *name, size_t lines)
{
	struct loaded l = first_lines(name, lines, WHOLE);
	struct err e = ERR_INIT;

	ck_assert_msg(view_refresh(w->v, source, &l, false, &e) == ERR_NONE, "%s", e.text);
	ck_assert_ptr_null(l.log);
}

static struct viewer open_two(void)
{
	return viewer_open(&(struct viewer_options){ .a = "before.csv", .b = "after.csv" });
}

static void expect_screen(struct viewer *w, const char *wanted)
{
	char *screen = viewer_screen(w);

	ck_assert_str_eq(screen, wanted);
	free(screen);
}

START_TEST(opens_afresh_until_the_first_key)
{
	struct viewer w = open_two();
	char *complete = viewer_screen(&w);

	refresh(&w, 1, "after.csv", 150);	/* no pull yet: it may not look the same */
	ck_assert_uint_eq(w.v->overlay.b.number, RUN_WHOLE);
	ck_assert_int_eq(w.v->overlay.axis, AXIS_TIME);
	free(viewer_screen(&w));
	refresh(&w, 1, "after.csv", 600);
	ck_assert_uint_eq(w.v->overlay.b.number, 1);
	ck_assert_int_eq(w.v->overlay.axis, AXIS_RPM);
	refresh(&w, 1, "after.csv", WHOLE);
	expect_screen(&w, complete);
	free(complete);
	viewer_close(&w);
}
END_TEST

START_TEST(stays_where_a_person_is)
{
	static const char *const keys[] = {
		"+<Right><Right><Space><S-Right>", "x+<Left><Space><S-Left>", "cX<Esc>Jt", "s", "F<Down>",
		":align match<Enter>+++", "d-", "p",
	};
	size_t i;

	for (i = 0; i < sizeof keys / sizeof keys[0]; i++) {
		struct viewer w = open_two();
		char *before;

		viewer_play(&w, keys[i]);
		before = viewer_screen(&w);
		refresh(&w, 1, "after.csv", WHOLE);
		refresh(&w, 0, "before.csv", WHOLE);
		expect_screen(&w, before);
		free(before);
		viewer_close(&w);
	}
}
END_TEST

START_TEST(stays_at_an_instant_of_a_whole_log)
{
	struct viewer w = viewer_open(&(struct viewer_options){ .a = "drive.csv" });
	double from, to, cursor;

	refresh(&w, 0, "drive.csv", 3000);
	viewer_play(&w, "<Esc>+++<S-Left>");
	from = w.v->from;
	to = w.v->to;
	cursor = w.v->cursor[w.v->active];
	refresh(&w, 0, "drive.csv", WHOLE);
	ck_assert_double_eq_tol(w.v->from, from, 1e-6);
	ck_assert_double_eq_tol(w.v->to, to, 1e-6);
	ck_assert_double_eq_tol(w.v->cursor[w.v->active], cursor, 1e-6);
	viewer_close(&w);
}
END_TEST

START_TEST(a_whole_log_on_screen_stays_whole)
{
	struct viewer w = viewer_open(&(struct viewer_options){ .a = "drive.csv" });
	double low, high;

	refresh(&w, 0, "drive.csv", 3000);
	viewer_play(&w, "<S-Left>");
	refresh(&w, 0, "drive.csv", WHOLE);
	overlay_range(&w.v->overlay, false, &low, &high);
	ck_assert_double_eq(w.v->from, low);
	ck_assert_double_eq(w.v->to, high);
	viewer_close(&w);
}
END_TEST

START_TEST(lanes_stay_when_channels_come_or_go)
{
	struct viewer w = open_two();
	struct loaded few = first_lines("after.csv", WHOLE, 6);
	struct err e = ERR_INIT;
	struct buf title = BUF_INIT;
	size_t shown;

	viewer_play(&w, ":only MAP<Enter>");
	shown = lanes_shown(w.v);
	ck_assert_uint_ge(shown, 1);
	lane_title(w.v, lane_chosen(w.v), &title);
	ck_assert_int_eq(view_refresh(w.v, 1, &few, false, &e), ERR_NONE);
	ck_assert_uint_eq(lanes_shown(w.v), shown);
	buf_putc(&title, '|');
	lane_title(w.v, lane_chosen(w.v), &title);
	ck_assert_int_eq(strncmp(title.data, strchr(title.data, '|') + 1, title.len / 2), 0);
	refresh(&w, 1, "after.csv", WHOLE);
	ck_assert_uint_eq(lanes_shown(w.v), shown);
	free(viewer_screen(&w));
	buf_release(&title);
	viewer_close(&w);
}
END_TEST

START_TEST(a_tag_stands_apart_from_a_long_title)
{
	static const char title[] = "KnockRetardOfCylinderThree,";
	struct viewer w = viewer_open(&(struct viewer_options){ .a = "after.csv@1", .rows = 30,
							  .cols = 70 });
	struct buf text = BUF_INIT, longer = BUF_INIT;
	struct err e = ERR_INIT;
	struct loaded l;
	char *screen;
	const char *at;

	read_sample("after.csv", &text);
	at = strstr(text.data, "Knock Retard Cyl 3");
	ck_assert_ptr_nonnull(at);
	buf_add(&longer, text.data, (size_t)(at - text.data));
	buf_puts(&longer, title);
	buf_puts(&longer, strchr(at, ',') + 1);
	l = load_text("after.csv", &longer);
	ck_assert_msg(view_refresh(w.v, 0, &l, false, &e) == ERR_NONE, "%s", e.text);
	screen = viewer_screen(&w);
	ck_assert_msg(strstr(screen, " OfCylinderThre A:S") != NULL, "%s", screen);
	free(screen);
	buf_release(&text);
	buf_release(&longer);
	viewer_close(&w);
}
END_TEST

/* ---- live ---- */

static bool is_at_end(const struct view *v)
{
	double low, high;

	overlay_range(&v->overlay, false, &low, &high);
	return v->to >= high && v->cursor[v->active] >= high && !v->span_on;
}

START_TEST(goes_along_while_the_cursor_is_at_the_end)
{
	struct viewer w = viewer_open(&(struct viewer_options){ .a = "drive.csv" });
	double from;

	view_coming(w.v, 0, COMING_LIVE, 1.0);
	refresh(&w, 0, "drive.csv", 3000);
	ck_assert(is_at_end(w.v));
	ck_assert_double_le(w.v->to - w.v->from, LIVE_WIDTH + 1e-9);
	viewer_play(&w, "++");	/* a key: what is on screen stays, but for the end */
	ck_assert(is_at_end(w.v));
	from = w.v->from;
	refresh(&w, 0, "drive.csv", 3200);
	ck_assert(is_at_end(w.v));
	ck_assert_double_gt(w.v->from, from);
	viewer_play(&w, "<S-Left>");
	from = w.v->from;
	refresh(&w, 0, "drive.csv", 3400);
	ck_assert(!is_at_end(w.v));
	ck_assert_double_eq_tol(w.v->from, from, 1e-6);
	viewer_play(&w, "<End>");
	refresh(&w, 0, "drive.csv", 3600);
	ck_assert(is_at_end(w.v));
	viewer_close(&w);
}
END_TEST

/* The end of a log that is still read is not where it stands at the moment. */
START_TEST(stays_at_the_end_while_the_log_is_read)
{
	static const char *const keys[] = { "<End>", "+++<End>" };
	size_t i;

	for (i = 0; i < 2; i++) {
		struct viewer w = viewer_open(&(struct viewer_options){ .a = "drive.csv" });
		double width;

		view_coming(w.v, 0, COMING_REST, 0.5);
		refresh(&w, 0, "drive.csv", 3000);
		viewer_play(&w, "<Esc>");
		viewer_play(&w, keys[i]);
		ck_assert(is_at_end(w.v));
		width = w.v->to - w.v->from;
		refresh(&w, 0, "drive.csv", 4000);
		ck_assert(is_at_end(w.v));
		if (i == 1)
			ck_assert_double_eq_tol(w.v->to - w.v->from, width, 1e-6);
		else
			ck_assert_double_gt(w.v->to - w.v->from, width);
		view_coming(w.v, 0, COMING_NONE, NAN);
		refresh(&w, 0, "drive.csv", WHOLE);
		ck_assert(is_at_end(w.v));
		viewer_close(&w);
	}
}
END_TEST

/* Of the pull that comes in, what is true now; when it is past, what was found. */
START_TEST(a_pull_is_told_of_while_it_lasts)
{
	struct viewer w = viewer_open(&(struct viewer_options){ .a = "before.csv" });
	size_t lines = 0;
	char *first;

	view_coming(w.v, 0, COMING_LIVE, 1.0);
	refresh(&w, 0, "before.csv", 20);
	view_hush(w.v);
	while (w.v->message == NULL)
		refresh(&w, 0, "before.csv", 40 + (lines += 10));
	ck_assert_int_eq(strncmp(w.v->message, "pull 1: ", 8), 0);
	first = mem_strdup(w.v->message);
	refresh(&w, 0, "before.csv", 40 + (lines += 60));
	ck_assert_int_eq(strncmp(w.v->message, "pull 1: ", 8), 0);
	ck_assert_str_ne(w.v->message, first);
	free(first);
	viewer_play(&w, "<Right>");
	ck_assert_ptr_null(w.v->message);
	refresh(&w, 0, "before.csv", 40 + (lines += 60));
	ck_assert_ptr_null(w.v->message);
	viewer_close(&w);
}
END_TEST

START_TEST(a_pull_that_is_past_is_told_of_no_longer)
{
	struct viewer w = viewer_open(&(struct viewer_options){ .a = "drive.csv" });
	size_t lines = 20;

	view_coming(w.v, 0, COMING_LIVE, 1.0);
	refresh(&w, 0, "drive.csv", lines);
	while (w.v->sources[0].loaded.pulls.count == 0)
		refresh(&w, 0, "drive.csv", lines += 40);
	ck_assert_ptr_nonnull(w.v->message);
	while (w.v->message != NULL && lines < 6000) {
		ck_assert_uint_eq(w.v->sources[0].loaded.pulls.count, 1);
		refresh(&w, 0, "drive.csv", lines += 40);
	}
	ck_assert_ptr_null(w.v->message);
	viewer_close(&w);
}
END_TEST

START_TEST(what_is_found_in_a_part_is_not_all)
{
	struct viewer w = open_two();
	char *screen;

	view_coming(w.v, 1, COMING_REST, 0.6);
	screen = viewer_screen(&w);
	ck_assert_ptr_nonnull(strstr(screen, "5+ stop"));
	ck_assert_ptr_nonnull(strstr(screen, "0 found"));
	free(screen);
	view_coming(w.v, 1, COMING_NONE, NAN);
	screen = viewer_screen(&w);
	ck_assert_ptr_null(strstr(screen, "so far"));
	free(screen);
	viewer_close(&w);
}
END_TEST

START_TEST(shows_the_newest_pull_unless_another_is_chosen)
{
	struct viewer w = viewer_open(&(struct viewer_options){ .a = "before.csv", .b = "drive.csv" });
	const size_t all = w.v->sources[1].loaded.pulls.count;
	size_t lines = 6063;

	ck_assert_uint_ge(all, 3);
	view_coming(w.v, 1, COMING_LIVE, 1.0);
	viewer_play(&w, "<Right>");
	while (w.v->sources[1].loaded.pulls.count != 1)
		refresh(&w, 1, "drive.csv", lines -= 400);
	ck_assert_uint_eq(w.v->overlay.b.number, 1);
	while (w.v->sources[1].loaded.pulls.count != 2)
		refresh(&w, 1, "drive.csv", lines += 100);
	ck_assert_uint_eq(w.v->overlay.b.number, 2);
	ck_assert_str_eq(w.v->message, "B is now pull 2, the newest; p lists the pulls");
	viewer_play(&w, "P");	/* behind the last comes the first */
	ck_assert_uint_eq(w.v->overlay.b.number, 1);
	refresh(&w, 1, "drive.csv", WHOLE);
	ck_assert_uint_eq(w.v->overlay.b.number, 1);
	ck_assert_ptr_nonnull(strstr(w.v->message, "has come; p lists the pulls"));
	viewer_close(&w);
}
END_TEST

START_TEST(another_log_in_its_place)
{
	struct viewer w = viewer_open(&(struct viewer_options){ .a = "before.csv", .b = "drive.csv" });
	struct loaded l = first_lines("after.csv", WHOLE, WHOLE);
	struct err e = ERR_INIT;

	view_coming(w.v, 1, COMING_LIVE, 1.0);
	viewer_play(&w, "P++");
	ck_assert_int_eq(view_refresh(w.v, 1, &l, true, &e), ERR_NONE);
	ck_assert_uint_eq(w.v->overlay.b.number, 1);
	ck_assert_str_eq(w.v->message, "another log has begun");
	free(viewer_screen(&w));
	viewer_close(&w);
}
END_TEST

/* A pull that was chosen in the log before keeps no pull of this one from the screen. */
START_TEST(a_choice_ends_with_its_log)
{
	struct viewer w = viewer_open(&(struct viewer_options){ .a = "before.csv", .b = "drive.csv" });
	struct loaded begun = first_lines("after.csv", 40, 40);
	struct err e = ERR_INIT;

	view_coming(w.v, 1, COMING_LIVE, 1.0);
	viewer_play(&w, "P");
	ck_assert_int_eq(view_refresh(w.v, 1, &begun, true, &e), ERR_NONE);
	ck_assert_uint_eq(w.v->overlay.b.number, RUN_WHOLE);
	refresh(&w, 1, "after.csv", WHOLE);
	ck_assert_uint_eq(w.v->overlay.b.number, 1);
	viewer_close(&w);
}
END_TEST

START_TEST(says_what_is_still_to_come)
{
	struct viewer w = open_two();
	struct buf text = BUF_INIT;
	char *screen;

	view_coming_text(w.v, &text);
	ck_assert_uint_eq(text.len, 0);
	view_coming(w.v, 1, COMING_REST, 0.349);
	screen = viewer_screen(&w);
	ck_assert_ptr_nonnull(strstr(screen, "reading 34 %"));
	free(screen);
	view_coming(w.v, 1, COMING_LIVE, 0.5);
	view_coming_text(w.v, &text);
	ck_assert_str_eq(text.data, "live");
	view_silence(w.v, 1, 10.0);
	buf_clear(&text);
	view_coming_text(w.v, &text);
	ck_assert_str_eq(text.data, "live, silent for 10 s");
	view_silence(w.v, 1, 180.0);
	buf_clear(&text);
	view_coming_text(w.v, &text);
	ck_assert_str_eq(text.data, "live, silent for 3 min");
	buf_release(&text);
	viewer_close(&w);
}
END_TEST

Suite *view_refresh_suite(void)
{
	Suite *s = suite_create("view_refresh");
	TCase *t = tcase_create("refresh");

	tcase_set_timeout(t, 120);
	tcase_add_test(t, opens_afresh_until_the_first_key);
	tcase_add_test(t, stays_where_a_person_is);
	tcase_add_test(t, stays_at_an_instant_of_a_whole_log);
	tcase_add_test(t, a_whole_log_on_screen_stays_whole);
	tcase_add_test(t, lanes_stay_when_channels_come_or_go);
	tcase_add_test(t, goes_along_while_the_cursor_is_at_the_end);
	tcase_add_test(t, shows_the_newest_pull_unless_another_is_chosen);
	tcase_add_test(t, another_log_in_its_place);
	tcase_add_test(t, a_choice_ends_with_its_log);
	tcase_add_test(t, a_tag_stands_apart_from_a_long_title);
	tcase_add_test(t, says_what_is_still_to_come);
	tcase_add_test(t, stays_at_the_end_while_the_log_is_read);
	tcase_add_test(t, a_pull_is_told_of_while_it_lasts);
	tcase_add_test(t, a_pull_that_is_past_is_told_of_no_longer);
	tcase_add_test(t, what_is_found_in_a_part_is_not_all);
	suite_add_tcase(s, t);
	return s;
}
