/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The list of findings, going to them, and making marks of them; at the end the samples
 * as a person sees them.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "view/faults.h"
#include "view/findings.h"
#include "view/lanes.h"
#include "view/still.h"
#include "view/where.h"

/* ---- the list ---- */

START_TEST(the_list_has_findings_and_what_did_not_run)
{
	struct viewer_options o = lambda_lane;

	o.cols = 80;
	open_own(&healthy, &faulty, NULL, &o);
	viewer_play(&w, "F");
	expect_on_screen("A healthy.csv@1: no finding in 1 checks; 42 could not run");
	expect_on_screen("B faulty.csv@1: 1 finding in 1 checks, the worst stop; 42 could not run");
	expect_on_screen(" stop    B lean under load");
	expect_on_screen("0.950 lambda, limit 0.900");
	expect_on_screen("(common practice, no source)");	/* in full, of the chosen one */
	expect_on_screen("not run AB knock retard: switched off");
	expect_on_screen("A screening aid: calibrator and engine maker come first.");
	viewer_play(&w, "/knock<Enter>");
	expect_not_on_screen("lean under load");
	viewer_play(&w, "<Esc><Esc>");
	expect_not_on_screen("A screening aid");
}
END_TEST

START_TEST(the_severest_comes_first)
{
	struct fault mild = { "mild.csv", 0.89, 10.0, 1 };

	open_own(&mild, &faulty, NULL, &lambda_lane);
	ck_assert_uint_eq(w.v->spot_count, 2);
	ck_assert_int_eq(w.v->spots[0].side, SIDE_B);
	ck_assert_int_eq(findings_get(w.v, w.v->spots[0])->severity, SEVERITY_STOP);
	ck_assert_int_eq(w.v->spots[1].side, SIDE_A);
	ck_assert_int_eq(findings_get(w.v, w.v->spots[1])->severity, SEVERITY_CAUTION);
}
END_TEST

/* ---- going to them ---- */

static void expect_span_at(enum side side, size_t at)
{
	double from, to;

	ck_assert(where_finding(w.v, side, &w.v->findings[side].findings[at], &from, &to));
	ck_assert(w.v->span_on);
	ck_assert_double_eq_tol(w.v->cursor[0], from, 1e-6);
	ck_assert_double_eq_tol(w.v->cursor[1], to, 1e-6);
}

START_TEST(enter_goes_there_and_shows_the_lane)
{
	const struct viewer_options o = { .channels = "lambda,rpm", .only = lean_only };
	struct buf title = BUF_INIT;

	open_own(&healthy, &faulty, NULL, &o);
	viewer_play(&w, "X");		/* hides lambda */
	expect_not_on_screen(">Lambda");
	viewer_play(&w, "F<Enter>");
	ck_assert_int_eq(w.v->panel, PANEL_NONE);
	expect_span_at(SIDE_B, 0);
	ck_assert(lane_chosen(w.v)->shown);
	lane_title(w.v, lane_chosen(w.v), &title);
	ck_assert_str_eq(title.data, "Lambda");
	ck_assert_ptr_nonnull(strstr(w.v->message, "B stop: lean under load, 0.950"));
	ck_assert_ptr_nonnull(strstr(w.v->message, "limit 0.900"));
	ck_assert_ptr_nonnull(strstr(w.v->message, "(common practice, no source)"));
	buf_release(&title);
}
END_TEST

START_TEST(stepping_follows_the_axis)
{
	open_own(&faulty, &twice, NULL, &lambda_lane);
	viewer_play(&w, "<Home>)");
	expect_span_at(w.v->spots[w.v->spot_at].side, 0);
	ck_assert_int_eq(w.v->spots[w.v->spot_at].side, SIDE_A);
	viewer_play(&w, ")");		/* at the same place, of B */
	ck_assert_int_eq(w.v->spots[w.v->spot_at].side, SIDE_B);
	viewer_play(&w, ")");
	ck_assert_ptr_nonnull(strstr(w.v->message, "no finding after here"));
	viewer_play(&w, "(");
	ck_assert_int_eq(w.v->spots[w.v->spot_at].side, SIDE_A);
	viewer_play(&w, "(");
	ck_assert_ptr_nonnull(strstr(w.v->message, "no finding before here"));
	viewer_play(&w, "<Esc><End>(");
	ck_assert_int_eq(w.v->spots[w.v->spot_at].side, SIDE_B);
}
END_TEST

/* Limiter and trims are judged behind the pull too: such a finding is at its end. */
START_TEST(one_behind_the_pull_is_gone_to_at_its_end)
{
	struct finding *f;
	double from, to;

	open_own(&healthy, &faulty, NULL, &lambda_lane);
	f = &w.v->findings[SIDE_B].findings[0];
	f->from_s = w.v->overlay.b.pull.to_s + 1.0;
	f->to_s = f->from_s + 0.5;
	ck_assert(!where_finding(w.v, SIDE_B, f, &from, &to));
	ck_assert_double_eq(from, axis_map_to(&w.v->overlay.b.by_rpm));
	ck_assert_double_eq(to, from);
	viewer_play(&w, "<Home>)");
	ck_assert_ptr_nonnull(strstr(w.v->message, "outside this pull"));
	ck_assert_double_eq_tol(w.v->cursor[0], from, 1e-6);
	expect_not_on_screen("\\ \\");	/* it is not in the lane */
	viewer_play(&w, "!");		/* by the log's time */
	ck_assert_int_eq(w.v->sources[1].marks.list[0].axis, AXIS_TIME);
	ck_assert_double_eq(w.v->sources[1].marks.list[0].from, f->from_s);
	/* before it, at its beginning */
	f->from_s = f->to_s = w.v->overlay.b.pull.from_s - 1.0;
	ck_assert(!where_finding(w.v, SIDE_B, f, &from, &to));
	ck_assert_double_eq(from, axis_map_from(&w.v->overlay.b.by_rpm));
}
END_TEST

START_TEST(in_a_whole_log)
{
	const struct finding *f;

	open_own(&twice, NULL, "twice.csv@all", &lambda_lane);
	ck_assert_uint_eq(w.v->overlay.a.number, RUN_WHOLE);
	ck_assert_uint_eq(w.v->findings[SIDE_A].count, 2);
	viewer_play(&w, "<Home>)");
	expect_span_at(SIDE_A, 0);
	viewer_play(&w, ")");
	expect_span_at(SIDE_A, 1);
	f = &w.v->findings[SIDE_A].findings[1];
	ck_assert_uint_eq(f->pull, 2);
	viewer_play(&w, "!");
	ck_assert_uint_eq(w.v->sources[0].marks.list[0].pull, 2);
	ck_assert_int_eq(w.v->sources[0].marks.list[0].axis, AXIS_TIME);
	ck_assert_double_eq(w.v->sources[0].marks.list[0].from, f->from_s);
	ck_assert_double_eq(w.v->sources[0].marks.list[0].to, f->to_s);
	viewer_play(&w, "F");
	expect_on_screen("@2 40");
}
END_TEST

/* ---- marks ---- */

START_TEST(a_finding_becomes_a_mark)
{
	struct marks *m;

	open_own(&healthy, &faulty, NULL, &lambda_lane);
	m = &w.v->sources[1].marks;
	viewer_play(&w, "F!");
	ck_assert_uint_eq(w.v->sources[0].marks.count, 0);
	ck_assert_uint_eq(m->count, 1);
	ck_assert_str_eq(m->list[0].title, "lean under load");
	ck_assert_ptr_nonnull(strstr(m->list[0].note, "0.950"));
	ck_assert_ptr_nonnull(strstr(m->list[0].note, "common practice, no source"));
	ck_assert_str_eq(m->list[0].channel, "Lambda");
	ck_assert_uint_eq(m->list[0].pull, 1);
	ck_assert_int_eq(m->list[0].axis, AXIS_RPM);
	ck_assert_double_eq_tol(m->list[0].from, 4000, 30);
	ck_assert_double_eq_tol(m->list[0].to, 5000, 30);
	viewer_play(&w, "!");		/* once is enough */
	ck_assert_uint_eq(m->count, 1);
	ck_assert_ptr_nonnull(strstr(w.v->message, "a mark already"));
	viewer_play(&w, "u");
	ck_assert_uint_eq(m->count, 0);
}
END_TEST

START_TEST(the_finding_at_the_cursor_becomes_a_mark)
{
	open_own(&healthy, &faulty, NULL, &lambda_lane);
	viewer_play(&w, ":goto 5500<Enter>!");
	ck_assert_uint_eq(w.v->sources[1].marks.count, 0);
	ck_assert_ptr_nonnull(strstr(w.v->message, "no finding at the cursor"));
	viewer_play(&w, ":goto 4500<Enter>!");
	ck_assert_uint_eq(w.v->sources[1].marks.count, 1);
	viewer_play(&w, "u<Home>):mark-finding<Enter>");	/* the one gone to */
	ck_assert_uint_eq(w.v->sources[1].marks.count, 1);
	viewer_play(&w, "M");
	expect_on_screen("lean under load");
}
END_TEST

/* ---- the samples ---- */

START_TEST(the_first_screen_of_the_samples)
{
	ck_assert_uint_eq(w.v->findings[SIDE_A].count, 0);
	ck_assert_uint_gt(w.v->findings[SIDE_B].count, 1);
	expect_on_screen("before.csv@1 gear 4  0 found");
	expect_on_screen("knock retard, cylinder 3 SS");	/* on the strip */
	expect_on_screen("[stop");
	expect_on_screen("B knock retard, cylinder 3; B ");	/* in words */
	expect_on_screen("B stop|");				/* at the lanes */
}
END_TEST

START_TEST(a_still_picture_shows_them_too)
{
	struct canvas *c = still_draw(w.v);
	struct buf out = BUF_INIT;

	canvas_write_text(c, &out);
	ck_assert_ptr_nonnull(strstr(out.data, "knock retard, cylinder 3 SS"));
	ck_assert_ptr_nonnull(strstr(out.data, " stop"));
	ck_assert_ptr_null(strstr(out.data, "F lists"));
	canvas_free(c);
	buf_release(&out);
}
END_TEST

START_TEST(the_smallest_screen_still_counts_them)
{
	struct viewer_options o = both;

	o.rows = 12;
	o.cols = 40;
	viewer_reopen(&w, &o);
	expect_on_screen("0 found B");
	expect_on_screen(" stop\n");
	viewer_play(&w, "F");
	expect_on_screen("stop    B knock retard");
	expect_on_screen("A screening aid");
}
END_TEST

Suite *view_findings_go_suite(void)
{
	Suite *s = suite_create("view_findings_go");
	TCase *t = tcase_create("going");

	tcase_set_timeout(t, 60);
	tcase_add_checked_fixture(t, open_both, close_both);
	tcase_add_test(t, the_list_has_findings_and_what_did_not_run);
	tcase_add_test(t, the_severest_comes_first);
	tcase_add_test(t, enter_goes_there_and_shows_the_lane);
	tcase_add_test(t, stepping_follows_the_axis);
	tcase_add_test(t, one_behind_the_pull_is_gone_to_at_its_end);
	tcase_add_test(t, in_a_whole_log);
	tcase_add_test(t, a_finding_becomes_a_mark);
	tcase_add_test(t, the_finding_at_the_cursor_becomes_a_mark);
	tcase_add_test(t, the_first_screen_of_the_samples);
	tcase_add_test(t, a_still_picture_shows_them_too);
	tcase_add_test(t, the_smallest_screen_still_counts_them);
	suite_add_tcase(s, t);
	return s;
}
