/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the characters that pictures are made of. */
#include <check.h>
#include <string.h>

#include "base/text.h"
#include "draw/glyph.h"

Suite *glyph_suite(void);

START_TEST(test_names)
{
	ck_assert_ptr_eq(glyph_by_name("ascii"), glyph_get(GLYPH_ASCII));
	ck_assert_ptr_eq(glyph_by_name("Braille"), glyph_get(GLYPH_BRAILLE));
	ck_assert_ptr_eq(glyph_by_name("BLOCKS"), glyph_get(GLYPH_BLOCKS));
	ck_assert_ptr_null(glyph_by_name(""));
	ck_assert_ptr_null(glyph_by_name("dots"));
}
END_TEST

/*
 * ISO/IEC 10646: U+2800 plus 2^(n-1) for dot n; dots 1 2 3 7 down the left, 4 5 6 8
 * down the right.
 */
START_TEST(test_braille)
{
	static const int dot[4][2] = { { 1, 4 }, { 2, 5 }, { 3, 6 }, { 7, 8 } };
	const struct glyphs *g = glyph_get(GLYPH_BRAILLE);
	unsigned points;
	int row;
	int col;

	ck_assert_int_eq(g->sub_cols, 2);
	ck_assert_int_eq(g->sub_rows, 4);
	for (points = 1; points < 256; points++) {
		uint32_t want = 0x2800;

		for (row = 0; row < 4; row++)
			for (col = 0; col < 2; col++)
				if (points & GLYPH_POINT(g, row, col))
					want += 1u << (dot[row][col] - 1);
		ck_assert_uint_eq(glyph_points(g, 0, points), want);
		ck_assert_uint_eq(glyph_points(g, points, 0), want);
		ck_assert_uint_eq(glyph_points(g, points & 0xf, points & 0xf0), want);
	}
	ck_assert_uint_eq(glyph_points(g, 0, 0), ' ');
}
END_TEST

START_TEST(test_blocks)
{
	const struct glyphs *g = glyph_get(GLYPH_BLOCKS);
	const unsigned upper = GLYPH_POINT(g, 0, 0);
	const unsigned lower = GLYPH_POINT(g, 1, 0);

	ck_assert_uint_eq(glyph_points(g, 0, 0), ' ');
	ck_assert_uint_eq(glyph_points(g, 0, upper), 0x2580);
	ck_assert_uint_eq(glyph_points(g, 0, lower), 0x2584);
	ck_assert_uint_eq(glyph_points(g, 0, upper | lower), 0x2588);
	ck_assert_uint_eq(glyph_points(g, upper, 0), '\'');
	ck_assert_uint_eq(glyph_points(g, lower, 0), '.');
	ck_assert_uint_eq(glyph_points(g, upper | lower, 0), ':');
	ck_assert_uint_eq(glyph_points(g, upper, lower), 0x2550);
	ck_assert_uint_eq(glyph_points(g, upper, upper), 0x2550);
}
END_TEST

START_TEST(test_ascii)
{
	const struct glyphs *g = glyph_get(GLYPH_ASCII);

	ck_assert_uint_eq(glyph_points(g, 0, 0), ' ');
	ck_assert_uint_eq(glyph_points(g, 1, 0), '*');
	ck_assert_uint_eq(glyph_points(g, 0, 1), 'o');
	ck_assert_uint_eq(glyph_points(g, 1, 1), '@');
}
END_TEST

/* Everything takes one cell; the ASCII set is ASCII; what must differ does. */
START_TEST(test_ornaments)
{
	const struct glyphs *g = glyph_get((enum glyph_set)_i);
	const uint32_t all[] = { g->horizontal, g->vertical, g->foot, g->tick, g->minor, g->cursor,
				 g->span_open, g->span_close, g->span_line, g->mark, g->zero,
				 g->more_up, g->more_down, g->more_left, g->more_right };
	size_t i;

	ck_assert_int_eq(g->set, _i);
	for (i = 0; i < sizeof all / sizeof all[0]; i++) {
		ck_assert_int_eq(text_char_width(all[i]), 1);
		ck_assert(g->set != GLYPH_ASCII || all[i] < 0x7f);
	}
	ck_assert(g->horizontal != g->tick && g->tick != g->minor);
	ck_assert(g->minor != g->horizontal && g->span_line != g->horizontal);
	ck_assert(g->mark != g->tick && g->mark != g->minor);
	ck_assert(text_is_utf8(g->ellipsis, strlen(g->ellipsis)));
	ck_assert_str_eq(g->delta, "B-A");
}
END_TEST

/* What lies under the traces is a cell wide, and no trace looks like it. */
START_TEST(test_ground)
{
	const struct glyphs *g = glyph_get((enum glyph_set)_i);
	const unsigned points = 1u << (g->sub_cols * g->sub_rows);
	uint32_t ground[3 + 2 * GLYPH_HEIGHTS];
	size_t n = 0, k;
	int i;
	unsigned p;

	for (i = 0; i < 3; i++)
		ground[n++] = g->hatch[i];
	for (i = 0; i < g->sub_rows; i++) {
		ground[n++] = g->limit[i];
		ground[n++] = g->target[i];
	}
	for (k = 0; k < n; k++) {
		ck_assert_int_eq(text_char_width(ground[k]), 1);
		ck_assert_uint_ne(ground[k], g->cursor);
		for (p = 1; p < points; p++) {
			ck_assert_uint_ne(ground[k], glyph_points(g, p, 0));
			ck_assert_uint_ne(ground[k], glyph_points(g, 0, p));
			ck_assert_uint_ne(ground[k], glyph_points(g, p, p));
		}
		if (g->set == GLYPH_ASCII)
			ck_assert(ground[k] > ' ' && ground[k] < 127);
	}
	ck_assert_uint_ne(g->hatch[0], g->hatch[1]);
	ck_assert_uint_ne(g->hatch[0], g->hatch[2]);
	ck_assert_uint_ne(g->hatch[1], g->hatch[2]);
	/* lower is lower */
	ck_assert_uint_ne(g->limit[0], g->sub_rows > 1 ? g->limit[g->sub_rows - 1] : 0);
}
END_TEST

Suite *glyph_suite(void)
{
	Suite *s = suite_create("glyph");
	TCase *t = tcase_create("glyph");

	tcase_add_test(t, test_names);
	tcase_add_test(t, test_braille);
	tcase_add_test(t, test_blocks);
	tcase_add_test(t, test_ascii);
	tcase_add_loop_test(t, test_ornaments, GLYPH_ASCII, GLYPH_BRAILLE + 1);
	tcase_add_loop_test(t, test_ground, 0, 3);
	suite_add_tcase(s, t);
	return s;
}
