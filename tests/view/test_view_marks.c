/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Marks, pulls and what is written of them. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/path.h"
#include "view/action.h"
#include "view/both.h"
#include "view/export.h"
#include "view/still.h"
#include "view/where.h"

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

/* Its ends are no whole rpm or ms: rounded, both would lie outside. */
static void open_odd_pull(void)
{
	const struct viewer_options odd = { .a = "odd.csv@1" };
	struct buf text = BUF_INIT;
	int i;

	buf_puts(&text, "Time (s),Engine Speed (rpm)\n");
	for (i = 0; i < 200; i++)
		buf_printf(&text, "%.4f,%.1f\n", 0.0004 + 0.05 * i + 0.0002 * (i > 100),
			   2000.4 + 20.0 * i + 0.2 * (i > 100));
	write_beside("odd.csv", text.data);
	viewer_reopen(&w, &odd);
	buf_release(&text);
}

START_TEST(a_mark_at_the_very_end_is_seen)
{
	static const char *const axes[] = { ":axis rpm<Enter>", ":axis time<Enter>" };
	const struct marks *marks;
	const struct axis_map *map;
	double ends[2], from, to;
	int i;

	open_odd_pull();
	viewer_play(&w, axes[_i]);
	map = overlay_map(&w.v->overlay, &w.v->overlay.a);
	marks = &w.v->sources[0].marks;
	ends[0] = axis_map_from(map);
	ends[1] = axis_map_to(map);
	for (i = 0; i < 2; i++) {
		view_set_span(w.v, ends[i], ends[i], 0);
		viewer_play(&w, ":mark an end<Enter>");
		ck_assert_uint_eq(marks->count, (size_t)i + 1);
		ck_assert(where_mark(w.v, SIDE_A, 0, &marks->list[i], &from, &to));
		ck_assert_double_eq_tol(from, ends[i], _i == 0 ? 1.0 : 1e-3);
	}
	viewer_play(&w, "M<Enter>");
	ck_assert(!w.v->message_bad);
}
END_TEST

START_TEST(an_undo_that_cannot_be_saved_changes_nothing)
{
	struct marks *m = &w.v->sources[1].marks;
	char *path;

	viewer_play(&w, ":span 3000:4000<Enter>:mark one<Enter>");
	ck_assert_uint_eq(m->count, 1);
	path = m->path;
	m->path = viewer_path(&w, "no/such/folder/marks.csv");
	viewer_play(&w, "u");
	ck_assert(w.v->message_bad);
	ck_assert_uint_eq(m->count, 1);
	free(m->path);
	m->path = path;
	viewer_play(&w, "u");
	ck_assert(!w.v->message_bad);
	ck_assert_uint_eq(m->count, 0);
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

/* A file is read elsewhere: what the screen can show is not its business. */
START_TEST(what_is_written_does_not_depend_on_the_screen)
{
	const struct viewer_options plain = { .a = "before.csv", .b = "after.csv",
					      .glyphs = GLYPH_ASCII };
	struct buf csv = BUF_INIT;
	struct buf json = BUF_INIT;

	viewer_reopen(&w, &plain);
	viewer_play(&w, ":only lambda,ignition<Enter>");
	ck_assert_int_eq(export_window_csv(w.v, &csv, NULL), ERR_NONE);
	still_json(w.v, &json);
	ck_assert_ptr_nonnull(strstr(csv.data, "\"Lambda (\xce\xbb)\",\"Ignition Timing (\xc2\xb0)\""));
	ck_assert_ptr_nonnull(strstr(json.data, "\"unit\": \"\xce\xbb\""));
	buf_release(&csv);
	buf_release(&json);
}
END_TEST

Suite *view_marks_suite(void)
{
	Suite *s = suite_create("view marks");
	TCase *t = tcase_create("marks");

	tcase_add_checked_fixture(t, open_both, close_both);
	tcase_add_test(t, marks_come_back);
	tcase_add_test(t, a_mark_by_time_means_the_same_after_realigning);
	tcase_add_test(t, undo_takes_back_every_change);
	tcase_add_test(t, marks_go_to_the_chosen_side);
	tcase_add_test(t, a_broken_marks_file_is_never_written_over);
	tcase_add_test(t, pulls_are_chosen);
	tcase_add_test(t, a_mark_of_another_pull_brings_it_on_screen);
	tcase_add_test(t, export_has_the_samples_and_makes_up_none);
	tcase_add_loop_test(t, a_mark_at_the_very_end_is_seen, 0, 2);
	tcase_add_test(t, an_undo_that_cannot_be_saved_changes_nothing);
	tcase_add_test(t, what_is_written_does_not_depend_on_the_screen);
	suite_add_tcase(s, t);
	return s;
}
