/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Findings on the screen: judged when they must be, regions, limits and targets in the
 * lanes, strips.
 */
#include <check.h>
#include <string.h>

#include "draw/scale.h"
#include "view/faults.h"
#include "view/findings.h"
#include "view/frame.h"
#include "view/lanes.h"
#include "view/where.h"

static const enum check_id timing_only[] = { CHECK_TIMING_AGAINST, CHECK_COUNT };

static struct canvas *draw(void)
{
	struct canvas *c = canvas_new(w.v->rows, w.v->cols);

	frame_draw(w.v, c);
	return c;
}

/* Rows of the first lane on screen, without the blank one below a tall one. */
static struct rect plot_of_first(void)
{
	const struct layout l = frame_layout(w.v);
	const int rows = lane_height(w.v, &w.v->lanes[w.v->top]);

	return (struct rect){ l.lanes.row, l.name_cols, rows - (rows >= 6), w.v->plot_cols };
}

static int row_of_value(struct rect r, double value)
{
	return r.row + scale_row(w.v->lanes[w.v->top].scale, r.rows, value);
}

/* ---- judging ---- */

START_TEST(the_fault_is_found_where_it_is)
{
	const struct finding *f;

	open_own(&healthy, &faulty, NULL, &lambda_lane);
	ck_assert_uint_eq(w.v->findings[SIDE_A].count, 0);
	ck_assert_uint_eq(w.v->findings[SIDE_B].count, 1);
	f = &w.v->findings[SIDE_B].findings[0];
	ck_assert_int_eq(f->check->id, CHECK_LEAN);
	ck_assert_int_eq(f->severity, SEVERITY_STOP);
	ck_assert_double_eq_tol(f->from_rpm, 4000, 26);
	ck_assert_double_eq_tol(f->to_rpm, 5000, 26);
	ck_assert_double_eq_tol(f->worst, 0.95, 1e-9);
	expect_on_screen("0 found");
	expect_on_screen("1 stop");
	expect_on_screen("B lean under load (");
}
END_TEST

START_TEST(b_is_judged_against_a)
{
	const struct viewer_options o = { .only = timing_only };

	open_own(&healthy, &retarded, NULL, &o);
	ck_assert_uint_eq(w.v->findings[SIDE_A].ran, 0);
	ck_assert_uint_eq(w.v->findings[SIDE_B].ran, 1);
	ck_assert_uint_gt(w.v->findings[SIDE_B].count, 0);
	/* the other way round timing has not fallen away */
	viewer_play(&w, "w");
	ck_assert_uint_eq(w.v->findings[SIDE_A].ran, 0);
	ck_assert_uint_eq(w.v->findings[SIDE_B].ran, 1);
	ck_assert_uint_eq(w.v->findings[SIDE_B].count, 0);
}
END_TEST

START_TEST(another_pull_is_judged_anew)
{
	open_own(&healthy, &twice, NULL, &lambda_lane);
	ck_assert_uint_eq(w.v->findings[SIDE_B].findings[0].pull, w.v->overlay.b.number);
	viewer_play(&w, "P");
	ck_assert_uint_eq(w.v->findings[SIDE_B].findings[0].pull, w.v->overlay.b.number);
	ck_assert_uint_eq(w.v->spot_count, 1);
	viewer_play(&w, "p<End>a");	/* and A as well */
	ck_assert_uint_eq(w.v->overlay.a.number, 2);
	ck_assert_uint_eq(w.v->findings[SIDE_A].count, 1);
	ck_assert_uint_eq(w.v->findings[SIDE_B].count, 1);
	ck_assert_uint_eq(w.v->spot_count, 2);
}
END_TEST

START_TEST(a_log_without_a_pull_says_so)
{
	open_own(&idling, NULL, NULL, &lambda_lane);
	ck_assert_uint_eq(w.v->findings[SIDE_A].count, 0);
	ck_assert_ptr_nonnull(w.v->unjudged[SIDE_A]);
	expect_on_screen("not judged");
	viewer_play(&w, ")");
	ck_assert_ptr_nonnull(strstr(w.v->message, "no findings"));
	viewer_play(&w, "!");
	ck_assert_ptr_nonnull(strstr(w.v->message, "no finding at the cursor"));
	viewer_play(&w, "F");
	expect_on_screen("idling.csv: not judged: no pull was found");
	viewer_play(&w, "<Enter>!<Down><End>");		/* nothing to go to, and no crash */
	expect_not_on_screen("have not passed");
}
END_TEST

/* ---- in the lanes ---- */

/* Which columns of a row of the first lane have the flag. */
static void expect_region(const struct canvas *c, struct rect r, int row, double from, double to)
{
	int col;

	for (col = 0; col < r.cols; col++) {
		const bool flag = (canvas_at(c, row, r.col + col).flags & CELL_FINDING) != 0;

		ck_assert_msg(flag == (col >= frame_column(w.v, from) && col <= frame_column(w.v, to)),
			      "column %d of row %d", col, row);
	}
}

START_TEST(the_region_is_shaded_in_its_lane_alone)
{
	const struct viewer_options o = { .rows = 30, .cols = 100, .channels = "lambda,rpm",
					  .only = lean_only };
	const struct finding *f;
	struct canvas *c;
	double from, to;
	struct rect r;
	int row, col;

	open_own(&healthy, &faulty, NULL, &o);
	f = &w.v->findings[SIDE_B].findings[0];
	ck_assert(where_finding(w.v, SIDE_B, f, &from, &to));
	ck_assert_double_eq_tol(from, 4000, 30);
	ck_assert_double_eq_tol(to, 5000, 30);
	c = draw();
	r = plot_of_first();
	for (row = r.row; row < r.row + r.rows; row++)
		expect_region(c, r, row, from, to);
	for (row = r.row + r.rows + 1; row < w.v->rows; row++)
		for (col = 0; col < w.v->cols; col++)
			ck_assert_int_eq(canvas_at(c, row, col).flags & CELL_FINDING, 0);
	canvas_free(c);
	/* zoomed so that it is off the screen */
	viewer_play(&w, ":span 5300:5800<Enter>z");
	c = draw();
	for (col = 0; col < w.v->cols; col++)
		ck_assert_int_eq(canvas_at(c, r.row, col).flags & CELL_FINDING, 0);
	canvas_free(c);
}
END_TEST

/* How often a character stands in the region of the first lane. */
static int count_in_region(uint32_t ch)
{
	const struct rect r = plot_of_first();
	struct canvas *c = draw();
	int row, col, n = 0;

	for (row = r.row; row < r.row + r.rows; row++)
		for (col = r.col; col < r.col + r.cols; col++)
			if (canvas_at(c, row, col).flags & CELL_FINDING)
				n += canvas_at(c, row, col).ch == ch;
	canvas_free(c);
	return n;
}

START_TEST(the_sides_are_told_apart_without_colour)
{
	open_own(&healthy, &faulty, NULL, &lambda_lane);
	ck_assert_int_gt(count_in_region('\\'), 20);
	ck_assert_int_eq(count_in_region('/'), 0);
	expect_on_screen("B stop");
	viewer_play(&w, "w");
	ck_assert_int_gt(count_in_region('/'), 20);
	ck_assert_int_eq(count_in_region('\\'), 0);
	expect_on_screen("A stop");
	open_own(&faulty, &faulty, NULL, &lambda_lane);
	ck_assert_int_gt(count_in_region('X'), 20);
	expect_on_screen("A:S B:S");
}
END_TEST

START_TEST(the_region_is_seen_without_colours_and_hatching)
{
	struct look plain, region;
	int style;

	for (style = 0; style < STYLE_COUNT; style++) {
		plain = theme_look(THEME_MONO, (enum style)style, 0);
		region = theme_look(THEME_MONO, (enum style)style, CELL_FINDING);
		ck_assert(region.underline);
		ck_assert(style == STYLE_FINDING || !plain.underline);
	}
}
END_TEST

/* A place of the row beside trace and region. */
static uint32_t ground_at(int row, double position)
{
	const struct rect r = plot_of_first();
	struct canvas *c = draw();
	uint32_t ch = ' ';
	int col;

	/* a dashed line has its character within four columns */
	for (col = 0; col < 4 && ch == ' '; col++)
		ch = canvas_at(c, row, r.col + frame_column(w.v, position) + col).ch;
	canvas_free(c);
	return ch;
}

START_TEST(limit_and_target_stand_at_their_values)
{
	struct rect r;
	int row, lines = 0;

	open_own(&healthy, &faulty, NULL, &lambda_lane);
	viewer_play(&w, ":goto 2100<Enter>");
	expect_on_screen("Lambda");
	r = plot_of_first();
	ck_assert_int_ge(r.rows, 9);
	/* caution, stop in a tall lane, and the target, each in a row of its own */
	ck_assert_int_ne(row_of_value(r, 0.88), row_of_value(r, 0.90));
	ck_assert_uint_eq(ground_at(row_of_value(r, 0.88), 3000), '-');
	ck_assert_uint_eq(ground_at(row_of_value(r, 0.90), 3000), '-');
	ck_assert_uint_eq(ground_at(row_of_value(r, 0.83), 3000), '.');
	for (row = r.row; row < r.row + r.rows; row++)
		lines += ground_at(row, 3000) == '-';
	ck_assert_int_eq(lines, 2);
}
END_TEST

START_TEST(targets_are_of_one_dimension_with_what_they_are_for)
{
	int id, n = 0;

	for (id = 0; id < Q_COUNT; id++) {
		const enum quantity_id target = quantity_target((enum quantity_id)id);

		if (target == Q_NONE)
			continue;
		ck_assert_int_eq(quantity_get(target)->dim, quantity_get((enum quantity_id)id)->dim);
		ck_assert_int_eq(quantity_target(target), Q_NONE);
		n++;
	}
	ck_assert_int_eq(n, 8);
	ck_assert_int_eq(quantity_target(Q_RAIL_PRESSURE), Q_RAIL_TARGET);
}
END_TEST

START_TEST(a_low_lane_has_the_limit_of_caution_alone)
{
	const struct viewer_options o = { .rows = 24, .cols = 100, .only = lean_only,
					  .channels = "lambda,rpm,pedal,speed" };
	struct rect r;
	int row, lines = 0;

	open_own(&healthy, &faulty, NULL, &o);
	r = plot_of_first();
	ck_assert_int_lt(r.rows, 9);
	for (row = r.row; row < r.row + r.rows; row++)
		lines += ground_at(row, 3000) == '-';
	ck_assert_int_eq(lines, 1);
	ck_assert_uint_eq(ground_at(row_of_value(r, 0.88), 3000), '-');
}
END_TEST

START_TEST(a_limit_off_the_scale_is_not_drawn)
{
	struct rect r;
	int row;

	open_own(&healthy, &faulty, NULL, &lambda_lane);
	viewer_play(&w, ":goto 2100<Enter>:scale 0.7:0.85<Enter>");
	r = plot_of_first();
	for (row = r.row; row < r.row + r.rows; row++)
		ck_assert_uint_ne(ground_at(row, 3000), '-');
}
END_TEST

/* Every cell of a trace is the same with and without what lies under it. */
START_TEST(no_trace_is_hidden)
{
	static const enum check_id none[] = { CHECK_COUNT };
	const enum glyph_set sets[] = { GLYPH_ASCII, GLYPH_BLOCKS, GLYPH_BRAILLE };
	struct viewer_options o = lambda_lane;
	struct canvas *with, *without;
	struct rect r;
	int row, col, cells = 0;

	o.glyphs = sets[_i];
	o.rows = 31;		/* a row for the strip, which only findings have */
	open_own(&healthy, &faulty, NULL, &o);
	viewer_play(&w, ":goto 2100<Enter>");
	with = draw();
	r = plot_of_first();
	o.only = none;
	o.rows = 30;
	o.a = healthy.name;
	o.b = faulty.name;
	viewer_rejudge(&w, &o);
	viewer_reopen(&w, &o);
	viewer_play(&w, ":goto 2100<Enter>");
	without = draw();
	ck_assert_int_eq(plot_of_first().rows, r.rows);
	for (row = r.row; row < r.row + r.rows; row++)
		for (col = r.col; col < r.col + r.cols; col++) {
			const struct cell cell = canvas_at(without, row, col);

			if (cell.style != STYLE_A && cell.style != STYLE_B &&
			    cell.style != STYLE_BOTH)
				continue;
			cells++;
			ck_assert_uint_eq(canvas_at(with, row, col).ch, cell.ch);
			ck_assert_int_eq(canvas_at(with, row, col).style, cell.style);
		}
	ck_assert_int_gt(cells, 60);
	canvas_free(with);
	canvas_free(without);
}
END_TEST

START_TEST(a_difference_has_nothing_of_it)
{
	struct canvas *c;
	int row, col, at = -1;

	open_own(&healthy, &faulty, NULL, &lambda_lane);
	viewer_play(&w, "d");
	c = draw();
	for (row = 1; row < 20 && at < 0; row++)	/* where the delta lane begins */
		if (canvas_at(c, row, 1).ch == 'B' && canvas_at(c, row, 2).ch == '-')
			at = row;
	ck_assert_int_gt(at, 1);
	for (row = at; row < frame_layout(w.v).finding_row[SIDE_B]; row++)
		for (col = 0; col < w.v->cols; col++) {
			ck_assert_int_eq(canvas_at(c, row, col).flags & CELL_FINDING, 0);
			ck_assert_int_ne(canvas_at(c, row, col).style, STYLE_LIMIT);
		}
	canvas_free(c);
}
END_TEST

/* ---- strips ---- */

START_TEST(a_strip_a_side_at_the_right_columns)
{
	struct canvas *c;
	struct layout l;
	double from, to;
	int side;

	open_own(&faulty, &faulty, NULL, &lambda_lane);
	c = draw();
	l = frame_layout(w.v);
	ck_assert_int_eq(l.finding_row[SIDE_B], l.finding_row[SIDE_A] + 1);
	ck_assert_int_eq(l.ruler_row, l.finding_row[SIDE_B] + 1);
	for (side = 0; side < SIDES; side++) {
		const int row = l.finding_row[side];

		ck_assert(where_finding(w.v, (enum side)side, &w.v->findings[side].findings[0], &from,
					&to));
		ck_assert_uint_eq(canvas_at(c, row, 1).ch, side == SIDE_A ? 'A' : 'B');
		ck_assert_uint_eq(canvas_at(c, row, l.name_cols + frame_column(w.v, from)).ch, '[');
		ck_assert_uint_eq(canvas_at(c, row, l.name_cols + frame_column(w.v, from) + 1).ch, 's');
		ck_assert_uint_eq(canvas_at(c, row, l.name_cols + frame_column(w.v, to)).ch, ']');
	}
	expect_on_screen("[stop");
	expect_on_screen("lean under load");
	canvas_free(c);
	/* seen from afar there is a letter a column */
	viewer_play(&w, "p<Home>a<Esc>");
	ck_assert_uint_eq(w.v->overlay.a.number, RUN_WHOLE);
	expect_on_screen("A 1 finding, stop");
}
END_TEST

START_TEST(no_findings_no_strip)
{
	open_own(&healthy, &healthy, NULL, &lambda_lane);
	ck_assert_int_eq(frame_layout(w.v).finding_row[SIDE_A], -1);
	ck_assert_int_eq(frame_layout(w.v).finding_row[SIDE_B], -1);
	expect_not_on_screen("stop");
	ck_assert_ptr_null(w.v->message);
}
END_TEST

Suite *view_findings_suite(void)
{
	Suite *s = suite_create("view_findings");
	TCase *t = tcase_create("lanes");

	tcase_set_timeout(t, 60);
	tcase_add_checked_fixture(t, open_both, close_both);
	tcase_add_test(t, the_fault_is_found_where_it_is);
	tcase_add_test(t, b_is_judged_against_a);
	tcase_add_test(t, another_pull_is_judged_anew);
	tcase_add_test(t, a_log_without_a_pull_says_so);
	tcase_add_test(t, the_region_is_shaded_in_its_lane_alone);
	tcase_add_test(t, the_sides_are_told_apart_without_colour);
	tcase_add_test(t, the_region_is_seen_without_colours_and_hatching);
	tcase_add_test(t, limit_and_target_stand_at_their_values);
	tcase_add_test(t, targets_are_of_one_dimension_with_what_they_are_for);
	tcase_add_test(t, a_low_lane_has_the_limit_of_caution_alone);
	tcase_add_test(t, a_limit_off_the_scale_is_not_drawn);
	tcase_add_loop_test(t, no_trace_is_hidden, 0, 3);
	tcase_add_test(t, a_difference_has_nothing_of_it);
	tcase_add_test(t, a_strip_a_side_at_the_right_columns);
	tcase_add_test(t, no_findings_no_strip);
	suite_add_tcase(s, t);
	return s;
}
