/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of rulers: nice steps, ticks over their labels, nothing cut. */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "draw/ruler.h"
#include "draw_util.h"

Suite *ruler_suite(void);

static const struct {
	double low, high;
	int labels;
	double step;
	int decimals;
} steps[] = {
	{ 2000, 7000, 6, 1000, 0 },
	{ 2000, 7000, 5, 2000, 0 },
	{ 2000, 7000, 11, 500, 0 },
	{ 0, 1, 11, 0.1, 1 },
	{ 0, 0.3, 4, 0.1, 1 },
	{ 0.75, 1.05, 4, 0.1, 1 },
	{ 0, 10, 1, 20, 0 },	/* 0 alone; at 10 there would be two */
	{ -1, 1, 0, 2, 0 },
	{ 0, 2.4e-5, 6, 5e-6, 6 },
	{ 0, 4e9, 5, 1e9, 0 },
	{ 5, 5, 4, 1, 0 },
	{ 7, 5, 4, 1, 0 },
	{ NAN, 5, 4, 1, 0 },
	{ 0, INFINITY, 4, 1, 0 },
};

START_TEST(test_step)
{
	int decimals = -1;
	const double step = ruler_step(steps[_i].low, steps[_i].high, steps[_i].labels, &decimals);

	ck_assert_double_eq_tol(step, steps[_i].step, 1e-12 * steps[_i].step);
	ck_assert_int_eq(decimals, steps[_i].decimals);
}
END_TEST

static int count_multiples(double low, double high, double step)
{
	return (int)(floor(high / step + 1e-9) - ceil(low / step - 1e-9)) + 1;
}

/* 1, 2 or 5 times a power of ten; the labels fit; the next closer step would not. */
START_TEST(test_step_random)
{
	uint64_t seed = (uint64_t)_i + 11;
	int i;

	for (i = 0; i < 500; i++) {
		const double low = rnd_range(&seed, -1e4, 1e4);
		const double high = low + pow(10.0, rnd_range(&seed, -4, 5));
		const int labels = 2 + rnd_below(&seed, 20);
		int decimals;
		const double step = ruler_step(low, high, labels, &decimals);
		const int exponent = (int)floor(log10(step) + 1e-9);
		const int digit = (int)lround(step / pow(10.0, exponent));

		ck_assert(digit == 1 || digit == 2 || digit == 5);
		ck_assert_int_eq(decimals, exponent < 0 ? -exponent : 0);
		ck_assert_int_le(count_multiples(low, high, step), labels);
		ck_assert_int_gt(count_multiples(low, high, digit == 5 ? step / 2.5 : step / 2),
				 labels - 1);
	}
}
END_TEST

START_TEST(test_columns)
{
	int col;

	ck_assert_int_eq(ruler_column(10, 0, 100, 0), 0);
	ck_assert_int_eq(ruler_column(10, 0, 100, 9.99), 0);
	ck_assert_int_eq(ruler_column(10, 0, 100, 10), 1);
	ck_assert_int_eq(ruler_column(10, 0, 100, 100), 9);
	ck_assert_int_eq(ruler_column(10, 0, 100, 100.01), -1);
	ck_assert_int_eq(ruler_column(10, 0, 100, -0.01), -1);
	ck_assert_int_eq(ruler_column(10, 0, 100, NAN), -1);
	ck_assert_int_eq(ruler_column(0, 0, 100, 50), -1);
	ck_assert_int_eq(ruler_column(10, 5, 5, 5), -1);
	ck_assert_int_eq(ruler_column(10, NAN, 5, 5), -1);
	ck_assert_double_eq(ruler_position(10, 0, 100, 3), 35.0);
	for (col = 0; col < 317; col++)
		ck_assert_int_eq(ruler_column(317, 1905.5, 6812.25,
					      ruler_position(317, 1905.5, 6812.25, col)), col);
}
END_TEST

static void assert_ruler(enum glyph_set set, int cols, double from, double to, const char *want)
{
	struct canvas *c = canvas_new(2, cols);
	const struct rect r = { 0, 0, 2, cols };
	char *got;

	ruler_draw(c, r, glyph_get(set), from, to);
	got = canvas_string(c);
	ck_assert_str_eq(got, want);
	free(got);
	canvas_free(c);
}

START_TEST(test_pictures)
{
	/* The ends' labels move inwards; minor ticks every 200. */
	assert_ruler(GLYPH_ASCII, 61, 2000, 6000,
		     "|--+--+--+--+--|--+--+--+--+--|--+--+--+--+--|--+--+--+--+--|\n"
		     "2000         3000           4000           5000          6000\n");
	/* Halves where there is less room. */
	assert_ruler(GLYPH_ASCII, 31, 2000, 5000,
		     "|----+----|----+----|----+----|\n"
		     "2000    3000      4000     5000\n");
	/* Seconds before and after the alignment; decimals where they are needed. */
	assert_ruler(GLYPH_ASCII, 21, -1, 1, "|----+----|----+----|\n"
		     "-1        0         1\n");
	assert_ruler(GLYPH_ASCII, 41, 0, 1.5, "|-----+------|------+------|------+-----|\n"
		     "0.0         0.5           1.0         1.5\n");
	/* 0.3 / 0.1 is below 3 in doubles, yet 0.3 has its tick. */
	assert_ruler(GLYPH_ASCII, 31, 0, 0.3, "|----+----|----+----|----+----|\n"
		     "0.0      0.1       0.2      0.3\n");
	/* Where the ends would push wide labels together, fewer. */
	assert_ruler(GLYPH_ASCII, 49, 7000, 7000.004,
		     "|-----+-----+-----+-----|-----+-----+-----+-----|\n"
		     "7000.000            7000.002             7000.004\n");
	/* No room for minor ticks. */
	assert_ruler(GLYPH_ASCII, 11, 0, 2, "|----|----|\n0    1    2\n");
	assert_ruler(GLYPH_ASCII, 3, 2000, 5000, "---\n\n");
	assert_ruler(GLYPH_ASCII, 1, 0, 10, "|\n0\n");
	assert_ruler(GLYPH_ASCII, 8, 3, 3, "--------\n\n");
	assert_ruler(GLYPH_ASCII, 8, NAN, 3, "--------\n\n");
	assert_ruler(GLYPH_ASCII, 0, 1, 3, "\n\n");
}
END_TEST

/* Reads labels back: each is a number, under its own tick, apart from the next. */
static int check_labels(const struct canvas *c, struct rect r, double from, double to)
{
	int last = -100;	/* the last column of the label before */
	int labels = 0;
	int col = 0;

	while (col < r.cols) {
		char text[64] = "";
		const int left = col;
		double v;
		int tick;

		while (col < r.cols && canvas_at(c, r.row + 1, r.col + col).ch != ' ') {
			ck_assert_int_lt(col - left, 63);
			text[col - left] = (char)canvas_at(c, r.row + 1, r.col + col).ch;
			col++;
		}
		if (col == left) {
			col++;
			continue;
		}
		v = strtod(text, NULL);
		tick = ruler_column(r.cols, from, to, v);
		if (tick < 0)	/* an end that rounding puts just outside */
			tick = v < from ? 0 : r.cols - 1;
		ck_assert(fabs(v - fmin(to, fmax(from, v))) < 1e-8 * (to - from));
		ck_assert(tick >= left && tick < col);
		ck_assert_uint_eq(canvas_at(c, r.row, r.col + tick).ch, '|');
		ck_assert_int_ge(left - last, 2);
		last = col - 1;
		labels++;
	}
	return labels;
}

START_TEST(test_random)
{
	uint64_t seed = (uint64_t)_i * 31 + 5;
	int i;
	int k;

	for (i = 0; i < 200; i++) {
		const int cols = 1 + rnd_below(&seed, 150);
		const struct rect r = { 1, 2, 2, cols };
		struct canvas *c = canvas_new(4, cols + 4);
		const double from = rnd_below(&seed, 2) ? rnd_range(&seed, -50, 7000)
							: rnd_below(&seed, 100) * 0.1;
		const double to = from + (rnd_below(&seed, 2)
					  ? pow(10.0, rnd_range(&seed, -3, 4))
					  : 0.1 * (1 + rnd_below(&seed, 90)));
		int labels;

		ruler_draw(c, r, glyph_get(GLYPH_ASCII), from, to);
		labels = check_labels(c, r, from, to);
		ck_assert(cols < 80 || labels >= 2);
		for (k = 0; k < cols + 4; k++) {
			ck_assert_uint_eq(canvas_at(c, 0, k).ch, ' ');
			ck_assert_uint_eq(canvas_at(c, 3, k).ch, ' ');
			if (k < 2 || k >= cols + 2)
				ck_assert(canvas_at(c, 1, k).ch == ' ' &&
					  canvas_at(c, 2, k).ch == ' ');
			else
				ck_assert_uint_ne(canvas_at(c, 1, k).ch, ' ');
		}
		canvas_free(c);
	}
}
END_TEST

/* Far from zero a double cannot count in such small steps; it must still end. */
START_TEST(test_far_from_zero)
{
	struct canvas *c = canvas_new(2, 60);
	const struct rect r = { 0, 0, 2, 60 };

	ruler_draw(c, r, glyph_get(GLYPH_ASCII), 1e17, 1e17 + 64);
	ruler_draw(c, r, glyph_get(GLYPH_ASCII), -1.7e308, 1.7e308);
	ruler_draw(c, r, glyph_get(GLYPH_ASCII), 0, 1.7e308);
	ruler_draw(c, r, glyph_get(GLYPH_ASCII), 1, 1 + 1e-15);
	ck_assert_uint_ne(canvas_at(c, 1, 0).ch, ' ');
	ruler_draw(c, r, glyph_get(GLYPH_ASCII), 0, 5e-324);
	canvas_free(c);
	assert_ruler(GLYPH_ASCII, 60, 0, 1e-300,
		     "------------------------------------------------------------\n\n");
}
END_TEST

Suite *ruler_suite(void)
{
	Suite *s = suite_create("ruler");
	TCase *t = tcase_create("ruler");

	tcase_add_loop_test(t, test_step, 0, sizeof steps / sizeof steps[0]);
	tcase_add_loop_test(t, test_step_random, 0, 5);
	tcase_add_test(t, test_columns);
	tcase_add_test(t, test_pictures);
	tcase_add_loop_test(t, test_random, 0, 10);
	tcase_add_test(t, test_far_from_zero);
	suite_add_tcase(s, t);
	return s;
}
