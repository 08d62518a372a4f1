/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the looks: legible on black and on white, told apart without colour. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "draw/theme.h"

Suite *theme_suite(void);

/* The usual 256 colours: a 6x6x6 cube from 16, 24 greys from 232. */
static void rgb_of(int colour, double rgb[3])
{
	static const int level[6] = { 0, 95, 135, 175, 215, 255 };
	int i;

	ck_assert(colour >= 16 && colour <= 255);
	for (i = 0; i < 3; i++) {
		const int digit = (colour - 16) / (i == 0 ? 36 : i == 1 ? 6 : 1) % 6;

		rgb[i] = (colour >= 232 ? 8 + 10 * (colour - 232) : level[digit]) / 255.0;
	}
}

/* Relative luminance and contrast as WCAG 2.1 defines them. */
static double luminance(int colour)
{
	static const double weight[3] = { 0.2126, 0.7152, 0.0722 };
	double rgb[3];
	double sum = 0.0;
	int i;

	rgb_of(colour, rgb);
	for (i = 0; i < 3; i++)
		sum += weight[i] * (rgb[i] <= 0.03928 ? rgb[i] / 12.92
						      : pow((rgb[i] + 0.055) / 1.055, 2.4));
	return sum;
}

static double contrast(double a, double b)
{
	return (fmax(a, b) + 0.05) / (fmin(a, b) + 0.05);
}

/* Both bands. */
static const unsigned bands[] = { CELL_SPAN, CELL_FINDING };

/* 3:1 is what success criterion 1.4.11 asks of graphics. */
START_TEST(test_legible_256)
{
	const enum style style = (enum style)(_i / 2);
	const struct look own = theme_look(THEME_256, style, 0);
	const struct look band = theme_look(THEME_256, style, bands[_i % 2]);

	ck_assert_int_eq(own.bg, -1);
	if (own.fg >= 0) {
		ck_assert_double_ge(contrast(luminance(own.fg), 0.0), 3.0);
		ck_assert_double_ge(contrast(luminance(own.fg), 1.0), 3.0);
	}
	/* The band sets both, so that it reads the same on every ground. */
	ck_assert(band.fg >= 0 && band.bg >= 0);
	ck_assert_double_ge(contrast(luminance(band.fg), luminance(band.bg)), 3.0);
	/* And it is seen as a band on black; on white far more so. */
	ck_assert_double_ge(contrast(luminance(band.bg), 0.0), 2.0);
}
END_TEST

/* Okabe and Ito's eight colours, from memory; the greys of frames aside. */
START_TEST(test_rgb)
{
	static const char *const set[] = { "#000000", "#e69f00", "#56b4e9", "#009e73",
					   "#f0e442", "#0072b2", "#d55e00", "#cc79a7" };
	const char *rgb = theme_rgb((enum style)_i);
	bool found = _i == STYLE_DIM;
	size_t i;

	for (i = 0; i < sizeof set / sizeof set[0]; i++)
		found = found || strcmp(set[i], rgb) == 0;
	ck_assert_msg(found, "%s", rgb);
	ck_assert_str_ne(theme_rgb(STYLE_A), theme_rgb(STYLE_B));
}
END_TEST

/* The hue of a terminal colour is that of its Okabe-Ito colour, within 12 degrees. */
static double hue(const double c[3])
{
	const double high = fmax(c[0], fmax(c[1], c[2]));
	const double low = fmin(c[0], fmin(c[1], c[2]));
	double h;

	if (high == c[0])
		h = (c[1] - c[2]) / (high - low);
	else if (high == c[1])
		h = 2 + (c[2] - c[0]) / (high - low);
	else
		h = 4 + (c[0] - c[1]) / (high - low);
	return fmod(60 * h + 360, 360);
}

START_TEST(test_hues)
{
	static const enum style coloured[] = { STYLE_A, STYLE_B, STYLE_DELTA, STYLE_MARK,
					       STYLE_FINDING, STYLE_LIMIT, STYLE_ERROR };
	const enum style style = coloured[_i];
	const long hex = strtol(theme_rgb(style) + 1, NULL, 16);
	const double page[3] = { (double)(hex >> 16), (double)(hex >> 8 & 255),
				 (double)(hex & 255) };
	double screen[3];

	rgb_of(theme_look(THEME_256, style, 0).fg, screen);
	ck_assert_double_le(fabs(hue(page) - hue(screen)), 12.0);
}
END_TEST

static bool looks_equal(struct look a, struct look b)
{
	return a.fg == b.fg && a.bg == b.bg && a.bold == b.bold && a.dim == b.dim &&
	       a.underline == b.underline && a.reverse == b.reverse;
}

static bool shows_on_blank(struct look a, struct look b)
{
	return a.bg != b.bg || a.reverse != b.reverse || a.underline != b.underline;
}

/*
 * The choice is seen on blank cells too, at every depth; the span with 256 colours,
 * where there is a quiet shade, and with fewer it changes nothing.
 */
START_TEST(test_flags_show)
{
	const enum theme_depth depth = (enum theme_depth)(_i % 3);
	const enum style style = (enum style)(_i / 3);
	const struct look own = theme_look(depth, style, 0);
	const struct look span = theme_look(depth, style, CELL_SPAN);
	const struct look chosen = theme_look(depth, style, CELL_CHOSEN);
	const struct look both = theme_look(depth, style, CELL_SPAN | CELL_CHOSEN);

	if (depth == THEME_256)
		ck_assert(shows_on_blank(own, span));
	else
		ck_assert(looks_equal(own, span));
	ck_assert(shows_on_blank(own, chosen));
	ck_assert(shows_on_blank(span, both));
}
END_TEST

/* The region of a finding is seen on blank cells at every depth, and over a span. */
START_TEST(test_findings_show)
{
	const enum theme_depth depth = (enum theme_depth)(_i % 3);
	const enum style style = (enum style)(_i / 3);
	const struct look own = theme_look(depth, style, 0);
	const struct look span = theme_look(depth, style, CELL_SPAN);
	const struct look region = theme_look(depth, style, CELL_FINDING);
	const struct look both = theme_look(depth, style, CELL_SPAN | CELL_FINDING);

	/* what is written of findings in words is underlined anyhow */
	if (depth != THEME_MONO || style != STYLE_FINDING)
		ck_assert(shows_on_blank(own, region));
	ck_assert(looks_equal(region, both));
	if (depth == THEME_256)
		ck_assert_int_ne(region.bg, span.bg);
}
END_TEST

START_TEST(test_mono_has_no_colour)
{
	unsigned flags;

	for (flags = 0; flags < CELL_FLAG_SETS; flags++) {
		const struct look l = theme_look(THEME_MONO, (enum style)_i, flags);

		ck_assert(l.fg == -1 && l.bg == -1);
	}
}
END_TEST

START_TEST(test_eight)
{
	const struct look own = theme_look(THEME_8, (enum style)_i, 0);

	ck_assert(own.fg >= -1 && own.fg < 8 && own.bg == -1);
	ck_assert_int_ne(own.fg, 4);	/* blue on black is hardly seen on consoles */
}
END_TEST

START_TEST(test_traces_differ)
{
	const enum theme_depth depth = (enum theme_depth)_i;
	unsigned flags;

	for (flags = 0; flags < CELL_FLAG_SETS; flags++) {
		const struct look a = theme_look(depth, STYLE_A, flags);
		const struct look b = theme_look(depth, STYLE_B, flags);

		ck_assert(!looks_equal(a, b));
		if (depth == THEME_MONO)
			continue;
		ck_assert_int_ne(a.fg, b.fg);
		ck_assert_int_ne(a.fg, theme_look(depth, STYLE_BOTH, flags).fg);
		ck_assert_int_ne(b.fg, theme_look(depth, STYLE_BOTH, flags).fg);
	}
}
END_TEST

Suite *theme_suite(void)
{
	Suite *s = suite_create("theme");
	TCase *t = tcase_create("theme");

	tcase_add_loop_test(t, test_legible_256, 0, 2 * STYLE_COUNT);
	tcase_add_loop_test(t, test_rgb, 0, STYLE_COUNT);
	tcase_add_loop_test(t, test_hues, 0, 7);
	tcase_add_loop_test(t, test_flags_show, 0, 3 * STYLE_COUNT);
	tcase_add_loop_test(t, test_findings_show, 0, 3 * STYLE_COUNT);
	tcase_add_loop_test(t, test_mono_has_no_colour, 0, STYLE_COUNT);
	tcase_add_loop_test(t, test_eight, 0, STYLE_COUNT);
	tcase_add_loop_test(t, test_traces_differ, 0, 3);
	suite_add_tcase(s, t);
	return s;
}
