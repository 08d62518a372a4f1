/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of drawing traces: nothing is lost, nothing breaks, nothing else is touched. */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "draw/trace.h"
#include "draw_util.h"

Suite *trace_suite(void);

#define ROWS 6
#define COLS 24
#define MAX_COLUMNS (2 * COLS)

static const struct scale unit_scale = { 0.0, 1.0 };
static const enum style traces_of[] = { STYLE_A, STYLE_B, STYLE_DELTA };

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
			const bool set = point_is_set(c, g, i, y);

			if (!has_data(x, i))
				ck_assert(!set);
			else if (y >= row_of(unit_scale, points, x[i].high) &&
				 y <= row_of(unit_scale, points, x[i].low))
				ck_assert(set);
			if (meets || !set)
				continue;
			meets = point_is_set(c, g, i - 1, y) || (y > 0 && point_is_set(c, g, i - 1, y - 1)) ||
				(y + 1 < points && point_is_set(c, g, i - 1, y + 1));
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
			if (point_is_set(c, g, i, y))
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
			ck_assert(point_is_set(c, g, col * sub, row_of(unit_scale, points, e->high)) ||
				  point_is_set(c, g, col * sub, row_of(unit_scale, points, e->high) - 1));
			ck_assert(point_is_set(c, g, col * sub, row_of(unit_scale, points, e->low)) ||
				  point_is_set(c, g, col * sub, row_of(unit_scale, points, e->low) + 1));
		}
		for (y = 0; y < points; y++)
			ck_assert(sub == 1 || !point_is_set(c, g, col * sub + 1, y));
		/* A tall run has no gap of two points. */
		for (y = 0; y < points && !point_is_set(c, g, col * sub, y); y++)
			;
		for (gap = 0; y < points; y++)
			if (point_is_set(c, g, col * sub, y)) {
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
				reached = reached || point_is_set(c, g, at / g->sub_cols * g->sub_cols + i, 0);
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
	tcase_add_loop_test(t, test_clipping, 0, 3);
	tcase_add_loop_test(t, test_leaves_the_rest, 0, 3);
	tcase_add_test(t, test_bad_scale);
	suite_add_tcase(s, t);
	return s;
}
