/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the traces' shapes: A, B and both are told apart without any colour. */
#include <check.h>
#include <math.h>

#include "draw/trace.h"
#include "draw_util.h"

Suite *shape_suite(void);

#define ROWS 6
#define COLS 24
#define MAX_POINTS (4 * ROWS)
#define MAX_COLUMNS (2 * COLS)

static const struct scale unit_scale = { 0.0, 1.0 };

static void draw_one(struct canvas *c, const struct glyphs *g, struct scale s,
		     const struct extent *x, enum style style)
{
	const struct rect r = { 0, 0, ROWS, COLS };
	const struct trace t = { x, style, style == STYLE_A };

	trace_draw(c, r, g, s, &t, 1);
}

/* How many cells of a line differ, of how many. */
struct tally {
	int cells;
	int a_b;
	int a_both;
	int b_both;
};

/* Does the cell differ, or the one above or below, where a thick line may reach? */
static bool is_different(const struct canvas *p, const struct canvas *q, int row, int col)
{
	return canvas_at(p, row, col).ch != canvas_at(q, row, col).ch ||
	       canvas_at(p, row - 1, col).ch != canvas_at(q, row - 1, col).ch ||
	       canvas_at(p, row + 1, col).ch != canvas_at(q, row + 1, col).ch;
}

/* Draws x alone as A, alone as B, and as both. */
static struct tally compare(const struct glyphs *g, const struct extent *x)
{
	const struct rect r = { 0, 0, ROWS, COLS };
	const struct trace traces[] = { { x, STYLE_A, true }, { x, STYLE_B, false } };
	struct canvas *a = canvas_new(ROWS, COLS);
	struct canvas *b = canvas_new(ROWS, COLS);
	struct canvas *both = canvas_new(ROWS, COLS);
	struct tally t = { 0, 0, 0, 0 };
	int k;

	trace_draw(a, r, g, unit_scale, &traces[0], 1);
	trace_draw(b, r, g, unit_scale, &traces[1], 1);
	trace_draw(both, r, g, unit_scale, traces, 2);
	for (k = 0; k < COLS * ROWS; k++) {
		const int row = k / COLS;
		const int col = k % COLS;

		if (canvas_at(a, row, col).ch == ' ')
			continue;
		t.cells++;
		t.a_b += is_different(a, b, row, col);
		t.a_both += is_different(a, both, row, col);
		t.b_both += is_different(b, both, row, col);
	}
	canvas_free(a);
	canvas_free(b);
	canvas_free(both);
	return t;
}

/* A flat line at any height: three shapes in every cell of it. */
START_TEST(test_flat_told_apart)
{
	const struct glyphs *g = glyph_get((enum glyph_set)(_i % 3));
	struct extent x[MAX_COLUMNS];
	struct tally t;
	int i;

	for (i = 0; i < MAX_COLUMNS; i++)
		x[i].low = x[i].high = (_i / 3 + 0.5) / MAX_POINTS;
	t = compare(g, x);
	ck_assert_int_eq(t.cells, COLS);
	ck_assert_int_eq(t.a_b, t.cells);
	ck_assert_int_eq(t.a_both, t.cells);
	ck_assert_int_eq(t.b_both, t.cells);
}
END_TEST

/* Any wave: in nearly every cell; a corner that one dot touches may look alike. */
START_TEST(test_wave_told_apart)
{
	const struct glyphs *g = glyph_get((enum glyph_set)(_i % 3));
	const double part = g->set == GLYPH_BRAILLE ? 0.9 : 1.0;
	struct extent x[MAX_COLUMNS];
	struct tally t;
	int i;

	for (i = 0; i < MAX_COLUMNS; i++)
		x[i].low = x[i].high = 0.05 + 0.9 * fabs(sin(i * 0.03 * (_i / 3 + 1)));
	t = compare(g, x);
	ck_assert_int_ge(t.a_b, (int)(part * t.cells));
	ck_assert_int_ge(t.a_both, (int)(part * t.cells));
	ck_assert_int_ge(t.b_both, (int)(part * t.cells));
}
END_TEST

/*
 * With B beside it at any distance, a flat A keeps its dots and the gaps between
 * them, and no cell of A alone, which has A's colour, holds a dot of B.
 */
START_TEST(test_neighbours_stay_visible)
{
	const struct glyphs *g = glyph_get(GLYPH_BRAILLE);
	const struct rect r = { 0, 0, ROWS, COLS };
	const int points = ROWS * 4;
	struct extent a[MAX_COLUMNS];
	struct extent b[MAX_COLUMNS];
	const struct trace traces[] = { { a, STYLE_A, true }, { b, STYLE_B, false } };
	int ya;
	int yb;
	int y;
	int i;

	for (ya = 0; ya < points; ya++)
		for (yb = 0; yb < points; yb++) {
			struct canvas *c = canvas_new(ROWS, COLS);

			for (i = 0; i < MAX_COLUMNS; i++) {
				a[i].low = a[i].high = (points - ya - 0.5) / points;
				b[i].low = b[i].high = (points - yb - 0.5) / points;
			}
			trace_draw(c, r, g, unit_scale, traces, 2);
			for (i = 0; i < MAX_COLUMNS; i++) {
				ck_assert(point_is_set(c, g, i, yb));
				ck_assert(point_is_set(c, g, i, ya) == (ya == yb || i % 2 == 0));
				ck_assert_int_eq(canvas_at(c, ya / 4, i / 2).style,
						 ya / 4 == yb / 4 ? STYLE_BOTH : STYLE_A);
				for (y = ya / 4 * 4; ya / 4 != yb / 4 && y < ya / 4 * 4 + 4; y++)
					ck_assert(y == ya || !point_is_set(c, g, i, y));
			}
			canvas_free(c);
		}
}
END_TEST

/* A steep B is two dots wide as a flat one is two high; a steep A is one. */
START_TEST(test_steep_is_thick)
{
	const struct glyphs *g = glyph_get(GLYPH_BRAILLE);
	struct canvas *a = canvas_new(ROWS, COLS);
	struct canvas *b = canvas_new(ROWS, COLS);
	struct extent x[MAX_COLUMNS];
	int y;
	int i;

	for (i = 0; i < MAX_COLUMNS; i++)
		x[i].low = x[i].high = i < 20 ? 0.02 : 0.98;
	x[20] = (struct extent){ 0.02, 0.98 };
	draw_one(a, g, unit_scale, x, STYLE_A);
	draw_one(b, g, unit_scale, x, STYLE_B);
	for (y = 3; y < ROWS * 4 - 3; y++) {
		ck_assert(point_is_set(b, g, 20, y) && point_is_set(b, g, 21, y));
		ck_assert(!point_is_set(b, g, 19, y) && !point_is_set(b, g, 22, y));
		ck_assert(!point_is_set(a, g, 21, y));
	}
	canvas_free(a);
	canvas_free(b);
}
END_TEST

Suite *shape_suite(void)
{
	Suite *s = suite_create("shape");
	TCase *t = tcase_create("shape");

	tcase_add_loop_test(t, test_flat_told_apart, 0, 3 * MAX_POINTS);
	tcase_add_loop_test(t, test_wave_told_apart, 0, 3 * 12);
	tcase_add_test(t, test_neighbours_stay_visible);
	tcase_add_test(t, test_steep_is_thick);
	suite_add_tcase(s, t);
	return s;
}
