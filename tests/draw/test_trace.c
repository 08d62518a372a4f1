/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of drawing traces: nothing is lost, nothing breaks, A and B differ. */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "draw/trace.h"
#include "draw_util.h"

Suite *trace_suite(void);

#define ROWS 6
#define COLS 24
#define MAX_POINTS (4 * ROWS)
#define MAX_COLUMNS (2 * COLS)

static const struct scale unit_scale = { 0.0, 1.0 };
static const enum style traces_of[] = { STYLE_A, STYLE_B, STYLE_DELTA };

/* Is the point set, going by the character alone?  Both halves of a double line are. */
static bool is_set(const struct canvas *c, const struct glyphs *g, int x, int y)
{
	static const unsigned dot[4][2] = { { 1, 8 }, { 2, 16 }, { 4, 32 }, { 64, 128 } };
	const uint32_t ch = canvas_at(c, y / g->sub_rows, x / g->sub_cols).ch;
	const bool upper = y % 2 == 0;

	if (ch == ' ')
		return false;
	switch (g->set) {
	case GLYPH_BRAILLE:
		ck_assert(ch > 0x2800 && ch <= 0x28ff);
		return (ch - 0x2800) & dot[y % 4][x % 2];
	case GLYPH_BLOCKS:
		return ch == 0x2588 || ch == ':' || ch == 0x2550 ||
		       (upper ? ch == 0x2580 || ch == '\'' : ch == 0x2584 || ch == '.');
	default:
		return true;
	}
}

/* The row that holds v, found by walking down the rows' lower edges. */
static int row_of(struct scale s, int points, double v)
{
	int y = 0;

	while (y < points - 1 && v <= s.high - (s.high - s.low) * (y + 1) / points)
		y++;
	return y;
}

static void draw_one(struct canvas *c, const struct glyphs *g, struct scale s,
		     const struct extent *x, enum style style)
{
	const struct rect r = { 0, 0, ROWS, COLS };
	const struct trace t = { x, style, style == STYLE_A };

	trace_draw(c, r, g, s, &t, 1);
}

/* A random walk with jumps, spikes, holes and values beyond the scale 0..1. */
static void random_extents(uint64_t *seed, struct extent *x, int n, bool holes)
{
	double level = rnd_range(seed, 0.0, 1.0);
	int i;

	for (i = 0; i < n; i++) {
		const int kind = rnd_below(seed, 12);

		level += rnd_range(seed, -0.05, 0.05);
		if (kind == 0)
			level = rnd_range(seed, -0.3, 1.3);
		x[i].low = level;
		x[i].high = level + (kind < 4 ? rnd_range(seed, 0.0, 0.1) : 0.0);
		if (kind == 1)
			x[i].high = rnd_range(seed, level, 1.2 + level);
		if (kind == 2 && holes)
			x[i].low = x[i].high = NAN;
	}
}

static bool has_data(const struct extent *x, int i)
{
	return !isnan(x[i].low);
}

/* The solid trace: everything from the lowest to the highest, joined, and no more. */
START_TEST(test_solid)
{
	const struct glyphs *g = glyph_get((enum glyph_set)(_i % 3));
	const int n = COLS * g->sub_cols;
	const int points = ROWS * g->sub_rows;
	struct canvas *c = canvas_new(ROWS, COLS);
	struct extent x[MAX_COLUMNS];
	uint64_t seed = (uint64_t)_i + 1;
	int i;
	int y;

	random_extents(&seed, x, n, true);
	draw_one(c, g, unit_scale, x, STYLE_B);
	for (i = 0; i < n; i++) {
		bool meets = i == 0 || !has_data(x, i) || !has_data(x, i - 1);

		for (y = 0; y < points; y++) {
			const bool set = is_set(c, g, i, y);

			if (!has_data(x, i))
				ck_assert(!set);
			else if (y >= row_of(unit_scale, points, x[i].high) &&
				 y <= row_of(unit_scale, points, x[i].low))
				ck_assert(set);
			if (meets || !set)
				continue;
			meets = is_set(c, g, i - 1, y) || (y > 0 && is_set(c, g, i - 1, y - 1)) ||
				(y + 1 < points && is_set(c, g, i - 1, y + 1));
		}
		ck_assert(meets);
	}
	for (i = 0; i < ROWS * COLS; i++)
		ck_assert(canvas_at(c, i / COLS, i % COLS).style ==
			  (canvas_at(c, i / COLS, i % COLS).ch == ' ' ? STYLE_PLAIN : STYLE_B));
	canvas_free(c);
}
END_TEST

/* Outside its own extent and the way to its neighbours' nothing is set. */
START_TEST(test_no_more_than_that)
{
	const struct glyphs *g = glyph_get((enum glyph_set)(_i % 3));
	const int n = COLS * g->sub_cols;
	const int points = ROWS * g->sub_rows;
	const int thick = g->set == GLYPH_BRAILLE ? 1 : 0;
	struct canvas *c = canvas_new(ROWS, COLS);
	struct extent x[MAX_COLUMNS];
	uint64_t seed = (uint64_t)_i + 500;
	int i;
	int k;
	int y;

	random_extents(&seed, x, n, true);
	draw_one(c, g, unit_scale, x, STYLE_B);
	for (i = 0; i < n; i++) {
		int top = points;
		int bottom = -1;

		for (k = i - 1 - thick; k <= i + 1; k++) {
			if (k < 0 || k >= n || !has_data(x, k))
				continue;
			top = (int)fmin(top, row_of(unit_scale, points, x[k].high));
			bottom = (int)fmax(bottom, row_of(unit_scale, points, x[k].low));
		}
		for (y = 0; y < points; y++)
			if (is_set(c, g, i, y))
				ck_assert(y >= top - thick && y <= bottom + thick);
	}
	canvas_free(c);
}
END_TEST

/* The dotted trace: for every cell column the extremes of its point columns. */
START_TEST(test_dotted)
{
	const struct glyphs *g = glyph_get((enum glyph_set)(_i % 3));
	const int sub = g->sub_cols;
	const int points = ROWS * g->sub_rows;
	struct canvas *c = canvas_new(ROWS, COLS);
	struct extent x[MAX_COLUMNS];
	uint64_t seed = (uint64_t)_i + 1000;
	int col;
	int k;
	int y;

	random_extents(&seed, x, COLS * sub, true);
	draw_one(c, g, unit_scale, x, STYLE_A);
	for (col = 0; col < COLS; col++) {
		int gap = 0;

		for (k = 0; k < sub; k++) {
			const struct extent *e = &x[col * sub + k];

			if (isnan(e->low))
				continue;
			ck_assert(is_set(c, g, col * sub, row_of(unit_scale, points, e->high)) ||
				  is_set(c, g, col * sub, row_of(unit_scale, points, e->high) - 1));
			ck_assert(is_set(c, g, col * sub, row_of(unit_scale, points, e->low)) ||
				  is_set(c, g, col * sub, row_of(unit_scale, points, e->low) + 1));
		}
		for (y = 0; y < points; y++)
			ck_assert(sub == 1 || !is_set(c, g, col * sub + 1, y));
		/* A tall run has no gap of two points. */
		for (y = 0; y < points && !is_set(c, g, col * sub, y); y++)
			;
		for (gap = 0; y < points; y++)
			if (is_set(c, g, col * sub, y)) {
				ck_assert_int_le(gap, 1);
				gap = 0;
			} else {
				gap++;
			}
	}
	canvas_free(c);
}
END_TEST

/* A spike in any one point column of a flat line reaches its full height. */
START_TEST(test_spike)
{
	const struct glyphs *g = glyph_get((enum glyph_set)(_i % 3));
	const int points = ROWS * g->sub_rows;
	struct extent x[MAX_COLUMNS];
	int t;
	int at;
	int i;

	for (t = 0; t < 3; t++)
		for (at = 0; at < COLS * g->sub_cols; at++) {
			struct canvas *c = canvas_new(ROWS, COLS);
			bool reached = false;

			for (i = 0; i < COLS * g->sub_cols; i++)
				x[i] = (struct extent){ 0.5, i == at ? 0.99 : 0.5 };
			draw_one(c, g, unit_scale, x, traces_of[t]);
			for (i = 0; i < g->sub_cols; i++)
				reached = reached || is_set(c, g, at / g->sub_cols * g->sub_cols + i, 0);
			ck_assert(reached);
			ck_assert_int_eq(row_of(unit_scale, points, 0.99), 0);
			canvas_free(c);
		}
}
END_TEST

static void assert_rows(const struct canvas *c, const char *want)
{
	char *got = canvas_string(c);

	ck_assert_str_eq(got, want);
	free(got);
}

/* A flat A, a rising B, one hole in each, in every set, as pictures. */
static const struct {
	enum glyph_set set;
	const char *rows;
} pictures[] = {
	{ GLYPH_ASCII, "      oo\n"
		       "**  *@@*\n"
		       "  oo\n"
		       "ooo\n" },
	{ GLYPH_BLOCKS, "      \xe2\x96\x84\xe2\x96\x88\n"
			"''  '\xe2\x95\x90\xe2\x95\x90'\n"
			"  \xe2\x96\x84\xe2\x96\x88\n"
			"\xe2\x96\x84\xe2\x96\x88\xe2\x96\x80\n" },
};

START_TEST(test_pictures)
{
	const struct glyphs *g = glyph_get(pictures[_i].set);
	struct canvas *c = canvas_new(4, 8);
	const struct rect r = { 0, 0, 4, 8 };
	struct extent a[8];
	struct extent b[8];
	const struct trace traces[] = { { a, STYLE_A, true }, { b, STYLE_B, false } };
	int i;

	for (i = 0; i < 8; i++) {
		a[i] = (struct extent){ 0.7, 0.7 };
		b[i] = (struct extent){ i / 8.0, (i + 1) / 8.0 };
	}
	a[2] = a[3] = (struct extent){ NAN, NAN };
	b[4] = (struct extent){ 0.5, NAN };
	trace_draw(c, r, g, unit_scale, traces, 2);
	assert_rows(c, pictures[_i].rows);
	canvas_free(c);
}
END_TEST

/* Cells of both have the style of both, and no others. */
START_TEST(test_styles)
{
	const struct glyphs *g = glyph_get((enum glyph_set)_i);
	struct canvas *c = canvas_new(ROWS, COLS);
	const struct rect r = { 0, 0, ROWS, COLS };
	struct extent a[MAX_COLUMNS];
	struct extent b[MAX_COLUMNS];
	const struct trace traces[] = { { a, STYLE_A, true }, { b, STYLE_B, false } };
	const int half = COLS / 2 * g->sub_cols;
	int i;

	for (i = 0; i < 2 * half; i++) {
		a[i] = (struct extent){ 0.5, 0.5 };
		b[i] = i < half ? a[i] : (struct extent){ 0.9, 0.9 };
	}
	trace_draw(c, r, g, unit_scale, traces, 2);
	for (i = 0; i < COLS; i++) {
		ck_assert_int_eq(canvas_at(c, 3, i).style, i < COLS / 2 ? STYLE_BOTH : STYLE_A);
		if (i > COLS / 2)
			ck_assert_int_eq(canvas_at(c, 0, i).style, STYLE_B);
	}
	canvas_free(c);
}
END_TEST

/* In one column of cells: how many cells of the line differ, of how many. */
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
				ck_assert(is_set(c, g, i, yb));
				ck_assert(is_set(c, g, i, ya) == (ya == yb || i % 2 == 0));
				ck_assert_int_eq(canvas_at(c, ya / 4, i / 2).style,
						 ya / 4 == yb / 4 ? STYLE_BOTH : STYLE_A);
				for (y = ya / 4 * 4; ya / 4 != yb / 4 && y < ya / 4 * 4 + 4; y++)
					ck_assert(y == ya || !is_set(c, g, i, y));
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
		ck_assert(is_set(b, g, 20, y) && is_set(b, g, 21, y));
		ck_assert(!is_set(b, g, 19, y) && !is_set(b, g, 22, y));
		ck_assert(!is_set(a, g, 21, y));
	}
	canvas_free(a);
	canvas_free(b);
}
END_TEST

/* What is drawn stays in the rect, which may reach over the canvas; flags stay. */
START_TEST(test_clipping)
{
	const struct glyphs *g = glyph_get((enum glyph_set)_i);
	struct canvas *c = canvas_new(ROWS + 2, COLS + 2);
	struct canvas *small = canvas_new(2, 3);
	const struct rect r = { 1, 1, ROWS, COLS };
	const struct rect over = { -1, -2, ROWS, COLS };
	const struct rect none = { 0, 0, 0, COLS };
	const struct rect all = { 0, 0, ROWS + 2, COLS + 2 };
	struct extent x[MAX_COLUMNS];
	const struct trace t = { x, STYLE_B, false };
	int row;
	int col;

	for (col = 0; col < MAX_COLUMNS; col++)
		x[col] = (struct extent){ -INFINITY, INFINITY };
	canvas_flag(c, all, CELL_SPAN);
	trace_draw(c, r, g, unit_scale, &t, 1);
	for (row = 0; row < ROWS + 2; row++)
		for (col = 0; col < COLS + 2; col++) {
			const bool in = row > 0 && row <= ROWS && col > 0 && col <= COLS;

			ck_assert((canvas_at(c, row, col).ch != ' ') == in);
			ck_assert_int_eq(canvas_at(c, row, col).flags, CELL_SPAN);
		}
	trace_draw(small, over, g, unit_scale, &t, 1);
	ck_assert_uint_ne(canvas_at(small, 1, 2).ch, ' ');
	trace_draw(small, none, g, unit_scale, &t, 1);
	canvas_free(c);
	canvas_free(small);
}
END_TEST

/* Cells without points keep what was there. */
START_TEST(test_leaves_the_rest)
{
	const struct glyphs *g = glyph_get((enum glyph_set)_i);
	struct canvas *c = canvas_new(ROWS, COLS);
	const struct rect all = { 0, 0, ROWS, COLS };
	struct extent x[MAX_COLUMNS];
	int i;

	canvas_fill(c, all, ':', STYLE_CURSOR);
	for (i = 0; i < MAX_COLUMNS; i++)
		x[i].low = x[i].high = i < MAX_COLUMNS / 2 && i < COLS / 2 ? 0.99 : NAN;
	draw_one(c, g, unit_scale, x, STYLE_B);
	ck_assert_int_eq(canvas_at(c, 0, 0).style, STYLE_B);
	ck_assert_int_eq(canvas_at(c, 0, COLS - 1).style, STYLE_CURSOR);
	ck_assert_uint_eq(canvas_at(c, 0, COLS - 1).ch, ':');
	ck_assert_uint_eq(canvas_at(c, 1, 0).ch, ':');
	canvas_free(c);
}
END_TEST

START_TEST(test_bad_scale)
{
	static const struct scale bad[] = { { 1.0, 1.0 }, { 1.0, 0.0 }, { NAN, 1.0 }, { 0.0, NAN } };
	static const struct scale vast = { -1.7e308, 1.7e308 };
	struct canvas *c = canvas_new(ROWS, COLS);
	struct extent x[MAX_COLUMNS];
	size_t i;

	for (i = 0; i < MAX_COLUMNS; i++)
		x[i] = (struct extent){ 0.0, 1.0 };
	for (i = 0; i < sizeof bad / sizeof bad[0]; i++)
		draw_one(c, glyph_get(GLYPH_ASCII), bad[i], x, STYLE_B);
	assert_rows(c, "\n\n\n\n\n\n");
	draw_one(c, glyph_get(GLYPH_ASCII), vast, x, STYLE_B);
	ck_assert_uint_eq(canvas_at(c, 3, 0).ch, 'o');
	canvas_free(c);
}
END_TEST

Suite *trace_suite(void)
{
	Suite *s = suite_create("trace");
	TCase *t = tcase_create("trace");

	tcase_add_loop_test(t, test_solid, 0, 150);
	tcase_add_loop_test(t, test_no_more_than_that, 0, 150);
	tcase_add_loop_test(t, test_dotted, 0, 150);
	tcase_add_loop_test(t, test_spike, 0, 3);
	tcase_add_loop_test(t, test_pictures, 0, sizeof pictures / sizeof pictures[0]);
	tcase_add_loop_test(t, test_styles, 0, 3);
	tcase_add_loop_test(t, test_flat_told_apart, 0, 3 * MAX_POINTS);
	tcase_add_loop_test(t, test_wave_told_apart, 0, 3 * 12);
	tcase_add_test(t, test_neighbours_stay_visible);
	tcase_add_test(t, test_steep_is_thick);
	tcase_add_loop_test(t, test_clipping, 0, 3);
	tcase_add_loop_test(t, test_leaves_the_rest, 0, 3);
	tcase_add_test(t, test_bad_scale);
	suite_add_tcase(s, t);
	return s;
}
