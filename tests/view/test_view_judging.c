/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Judging in the background, as the view sees it: what is on the screen before it is over,
 * keys meanwhile, and that only findings of what is shown are shown.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/path.h"
#include "judge/held.h"
#include "view/both.h"
#include "view/findings.h"
#include "view/lanes.h"
#include "view/refresh.h"

static int news[2];
static struct checking *checking;
static struct viewer_options options;

static void set_up(void)
{
	ck_assert_int_eq(pipe(news), 0);
	gate_hold(false);
	checking = checking_new(news[1], held_check);
	options = (struct viewer_options){ .a = "before.csv", .b = "after.csv", .rows = 40,
					   .cols = 120, .checking = checking };
	w = viewer_open(&options);
}

static void tear_down(void)
{
	checking_free(checking);
	viewer_close(&w);
	close(news[0]);
	close(news[1]);
}

/* Lets the checks run to their end. */
static void judge(void)
{
	findings_begin(w.v);
	gate_open();
	gate_await_news(news[0]);
	findings_take(w.v);
	ck_assert(!findings_are_due(w.v));
}

/* The screen as it is where nothing is judged in the background; keys may be "". */
static char *screen_at_once(const char *keys)
{
	struct viewer_options o = options;
	struct viewer other;
	char *screen;

	o.checking = NULL;
	other = viewer_open(&o);
	viewer_play(&other, keys);
	screen = viewer_screen(&other);
	viewer_close(&other);
	return screen;
}

static void expect_screen(char *wanted)
{
	char *screen = viewer_screen(&w);

	ck_assert_str_eq(screen, wanted);
	free(screen);
	free(wanted);
}

/* A log of the rows of a sample, over and over: each time is a section of its own. */
static void write_again_and_again(const char *name, const char *sample, int times)
{
	char *path = mem_printf("%s/samples/%s", SRCDIR, sample);
	struct buf text = BUF_INIT, all = BUF_INIT;
	const char *rows;

	ck_assert_int_eq(path_read_all(path, &text, NULL), ERR_NONE);
	rows = text.data;
	while (*rows == '#')
		rows = strchr(rows, '\n') + 1;
	rows = strchr(rows, '\n') + 1;		/* names */
	rows = strchr(rows, '\n') + 1;		/* units */
	buf_add(&all, text.data, (size_t)(rows - text.data));
	while (times-- > 0)
		buf_puts(&all, rows);
	write_beside(name, all.data);
	buf_release(&text);
	buf_release(&all);
	free(path);
}

START_TEST(a_picture_comes_before_the_findings)
{
	ck_assert(findings_are_due(w.v));
	expect_on_screen("judging");
	expect_not_on_screen("no finding");
	expect_not_on_screen("0 found");
	findings_begin(w.v);
	gate_await(1);
	expect_on_screen("judging");
	findings_take(w.v);		/* nothing is there to take */
	ck_assert(findings_are_due(w.v));
	judge();
	expect_on_screen("5 findings, stop");
	expect_not_on_screen("judging");
	expect_screen(screen_at_once(""));
}
END_TEST

START_TEST(keys_act_while_it_is_judged)
{
	static const char keys[] = "x<Right><Right>++<Space><S-Right>t:lane boost<Enter>";
	double cursor;

	findings_begin(w.v);
	gate_await(1);
	cursor = w.v->cursor[0];
	viewer_play(&w, "<Right>");
	ck_assert_double_gt(w.v->cursor[0], cursor);
	viewer_play(&w, "<Left>");
	viewer_play(&w, keys);
	ck_assert_int_eq(w.v->overlay.axis, AXIS_TIME);
	ck_assert(findings_are_due(w.v));
	expect_on_screen("judging");
	judge();
	expect_on_screen("5 findings, stop");
	viewer_play(&w, ")");
	ck_assert_uint_lt(w.v->spot_at, w.v->spot_count);
}
END_TEST

START_TEST(what_asks_for_findings_says_that_they_are_due)
{
	static const char *const keys[] = { ")", "(", "!" };
	size_t i;

	for (i = 0; i < sizeof keys / sizeof keys[0]; i++) {
		viewer_play(&w, keys[i]);
		ck_assert_ptr_nonnull(strstr(w.v->message, "the checks still run"));
	}
	judge();
	ck_assert_ptr_null(w.v->message);	/* they do no longer */
	viewer_play(&w, ")");
	ck_assert_ptr_nonnull(w.v->message);
	findings_judge(w.v);
	judge();
	ck_assert_ptr_nonnull(w.v->message);	/* this one was about a finding */
}
END_TEST

START_TEST(the_list_fills_while_it_is_open)
{
	viewer_play(&w, "F");
	expect_on_screen("before.csv: being judged");
	expect_on_screen("after.csv: being judged");
	expect_not_on_screen("no finding");
	judge();
	expect_screen(screen_at_once("F"));
	viewer_play(&w, "<Down><Down>");
	expect_screen(screen_at_once("F<Down><Down>"));
	gate_hold(false);
	findings_judge(w.v);
	expect_on_screen("being judged");
	judge();
	expect_screen(screen_at_once("F<Down><Down>"));
}
END_TEST

/* The lanes of what is found are shown, but not to somebody who chose lanes. */
START_TEST(lanes_chosen_meanwhile_stay)
{
	viewer_play(&w, ":only boost<Enter>");
	judge();
	expect_screen(screen_at_once(":only boost<Enter>"));
}
END_TEST

/* A pull with coolant so hot that its lane has to be shown. */
static void write_hot(const char *name)
{
	struct buf out = BUF_INIT;
	int row;

	buf_puts(&out, "Time (s),Engine Speed (rpm),Accelerator Pedal (%),Vehicle Speed (km/h),"
		 "Lambda,Lambda Target,Ignition Timing (deg),Boost Pressure (kPa),"
		 "Boost Target (kPa),Wastegate Duty (%),Intake Temperature (C),"
		 "Air Flow (g/s),Coolant Temperature (C)\n");
	for (row = 0; row < 240; row++) {
		const bool pull = row >= 40 && row <= 200;
		const int rpm = pull ? 2000 + 25 * (row - 40) : 2000;

		buf_printf(&out, "%.2f,%d,%d,%.1f,%.2f,%.2f,10,%d,%d,40,%d,%d,%d\n", row / 20.0,
			   rpm, pull ? 100 : 10, rpm / 40.0, pull ? 0.8 : 1.0, pull ? 0.8 : 1.0,
			   pull ? 60 : 0, pull ? 60 : 0, 30 + row % 3, rpm / 40, 130 + row % 2);
	}
	write_beside(name, out.data);
	buf_release(&out);
}

static size_t count_shown(void)
{
	size_t n = 0, i;

	for (i = 0; i < w.v->lane_count; i++)
		n += w.v->lanes[i].shown;
	return n;
}

START_TEST(lanes_of_findings_come_with_them)
{
	size_t before;

	write_hot("hot.csv");
	options.a = "hot.csv@1";
	options.b = NULL;
	viewer_reopen(&w, &options);
	before = count_shown();
	viewer_play(&w, "<Right>");
	judge();
	ck_assert_uint_gt(count_shown(), before);
	viewer_play(&w, "<Right>");
	expect_on_screen("Coolant");
}
END_TEST

/* Of the runs as they are now, not as they were when the checks began. */
START_TEST(another_run_is_judged_instead)
{
	findings_begin(w.v);
	gate_await(1);
	viewer_play(&w, "w");		/* A and B exchanged */
	findings_take(w.v);
	ck_assert(findings_are_due(w.v));
	judge();
	expect_screen(screen_at_once("w"));
}
END_TEST

/* Verdicts that wait to be taken are of the runs before. */
START_TEST(findings_that_came_too_late_are_not_shown)
{
	findings_begin(w.v);
	gate_open();
	gate_await_news(news[0]);
	viewer_play(&w, "w");
	findings_take(w.v);
	ck_assert(findings_are_due(w.v));
	expect_on_screen("judging");
	judge();
	expect_screen(screen_at_once("w"));
}
END_TEST

static void refresh(size_t source, const char *name)
{
	const struct load_options o = { 0 };
	char *path = viewer_path(&w, name);
	struct loaded l;

	ck_assert_int_eq(load_log(path, &o, &l, NULL), ERR_NONE);
	ck_assert_int_eq(view_refresh(w.v, source, &l, false, NULL), ERR_NONE);
	free(path);
}

/* before.csv is healthy: nothing of after.csv may be seen in it, nor read once it is freed. */
START_TEST(findings_of_older_data_are_not_shown)
{
	viewer_play(&w, "<Right>");
	gate_hold(true);
	findings_begin(w.v);
	gate_await(1);
	refresh(1, "before.csv");
	ck_assert(findings_are_due(w.v));
	expect_on_screen("judging");
	gate_open();			/* the older data are judged to their end, for nobody */
	findings_take(w.v);
	ck_assert(findings_are_due(w.v));
	judge();
	ck_assert_uint_eq(w.v->findings[SIDE_B].count, w.v->findings[SIDE_A].count);
	expect_not_on_screen("stop");
	gate_hold(false);
	refresh(1, "after.csv");
	expect_not_on_screen("no finding");
	judge();
	expect_on_screen("5 findings, stop");
}
END_TEST

START_TEST(the_finding_gone_to_is_found_again)
{
	size_t at;

	judge();
	viewer_play(&w, "))");
	at = w.v->spot_at;
	ck_assert_uint_lt(at, w.v->spot_count);
	gate_hold(false);
	findings_judge(w.v);
	findings_begin(w.v);
	findings_judge(w.v);		/* put off once more */
	ck_assert_uint_ge(w.v->spot_at, w.v->spot_count);
	judge();
	ck_assert_uint_eq(w.v->spot_at, at);
}
END_TEST

START_TEST(many_pulls_are_judged_unless_they_are_still_written)
{
	write_again_and_again("many.csv", "drive.csv", 3);
	options.a = "many.csv";
	options.b = NULL;
	viewer_reopen(&w, &options);
	expect_on_screen("judging");
	judge();
	ck_assert_uint_eq(w.v->findings[SIDE_A].pulls, 15);
	options.coming = COMING_LIVE;
	viewer_reopen(&w, &options);
	ck_assert(!findings_are_due(w.v));
	expect_on_screen("not judged");
	gate_hold(false);
	viewer_play(&w, "F");
	expect_on_screen("being judged");
	judge();
	ck_assert_uint_eq(w.v->findings[SIDE_A].pulls, 15);
	refresh(0, "many.csv");
	ck_assert(!findings_are_due(w.v));
	expect_on_screen("it is still written and has 15 pulls");
	view_coming(w.v, 0, COMING_NONE, 1.0);
	ck_assert(findings_are_due(w.v));
	judge();
	ck_assert_uint_eq(w.v->findings[SIDE_A].pulls, 15);
}
END_TEST

START_TEST(leaving_while_it_is_judged)
{
	findings_begin(w.v);
	gate_await(1);
	viewer_play(&w, "q");
	ck_assert(w.v->quit);
}
END_TEST

Suite *view_judging_suite(void);

Suite *view_judging_suite(void)
{
	Suite *s = suite_create("view_judging");
	TCase *t = tcase_create("judging");

	tcase_add_checked_fixture(t, set_up, tear_down);
	tcase_set_timeout(t, 120);
	tcase_add_test(t, a_picture_comes_before_the_findings);
	tcase_add_test(t, keys_act_while_it_is_judged);
	tcase_add_test(t, what_asks_for_findings_says_that_they_are_due);
	tcase_add_test(t, the_list_fills_while_it_is_open);
	tcase_add_test(t, lanes_chosen_meanwhile_stay);
	tcase_add_test(t, lanes_of_findings_come_with_them);
	tcase_add_test(t, another_run_is_judged_instead);
	tcase_add_test(t, findings_that_came_too_late_are_not_shown);
	tcase_add_test(t, findings_of_older_data_are_not_shown);
	tcase_add_test(t, the_finding_gone_to_is_found_again);
	tcase_add_test(t, many_pulls_are_judged_unless_they_are_still_written);
	tcase_add_test(t, leaving_while_it_is_judged);
	suite_add_tcase(s, t);
	return s;
}
