/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the grid of cells. */
#include <check.h>
#include <stdlib.h>

#include "base/text.h"
#include "draw/canvas.h"
#include "draw_util.h"

#define WIDE "\xe6\xbc\xa2"	/* U+6F22, two cells */

Suite *canvas_suite(void);

static void assert_picture(const struct canvas *c, const char *want)
{
	char *got = canvas_string(c);

	ck_assert_str_eq(got, want);
	free(got);
}

START_TEST(test_blank)
{
	struct canvas *c = canvas_new(2, 3);
	int row;
	int col;

	ck_assert_int_eq(canvas_rows(c), 2);
	ck_assert_int_eq(canvas_cols(c), 3);
	for (row = -1; row <= 2; row++)
		for (col = -1; col <= 3; col++) {
			const struct cell cell = canvas_at(c, row, col);

			ck_assert_uint_eq(cell.ch, ' ');
			ck_assert_int_eq(cell.style, STYLE_PLAIN);
			ck_assert_int_eq(cell.flags, 0);
		}
	assert_picture(c, "\n\n");
	canvas_free(c);
	canvas_free(NULL);
}
END_TEST

START_TEST(test_empty)
{
	struct canvas *c = canvas_new(0, 0);
	struct canvas *d = canvas_new(-3, 5);
	const struct rect r = { -1, -1, 9, 9 };
	struct buf b = BUF_INIT;

	canvas_put(c, 0, 0, 'x', STYLE_A);
	canvas_fill(c, r, 'x', STYLE_A);
	ck_assert_int_eq(canvas_text(c, 0, 0, 10, STYLE_A, "abc"), 3);
	canvas_write_ansi(c, THEME_256, &b);
	ck_assert_str_eq(buf_text(&b), "");
	ck_assert_int_eq(canvas_rows(d), 0);
	buf_release(&b);
	canvas_free(c);
	canvas_free(d);
}
END_TEST

START_TEST(test_text)
{
	struct canvas *c = canvas_new(4, 6);

	ck_assert_int_eq(canvas_text(c, 0, 1, 3, STYLE_A, "abcdef"), 3);
	ck_assert_int_eq(canvas_text(c, 1, 4, 9, STYLE_B, "abcd"), 4);
	ck_assert_int_eq(canvas_text(c, 2, -2, 9, STYLE_B, "abcd"), 4);
	ck_assert_int_eq(canvas_text(c, 3, 0, 0, STYLE_B, "abcd"), 0);
	ck_assert_int_eq(canvas_text(c, 3, 0, -1, STYLE_B, "abcd"), 0);
	assert_picture(c, " abc\n    ab\ncd\n\n");
	ck_assert_int_eq(canvas_at(c, 0, 1).style, STYLE_A);
	ck_assert_int_eq(canvas_at(c, 0, 4).style, STYLE_PLAIN);
	canvas_clear(c);
	assert_picture(c, "\n\n\n\n");
	canvas_free(c);
}
END_TEST

/* Combining acute, a control character and a bad byte. */
START_TEST(test_odd_text)
{
	struct canvas *c = canvas_new(1, 8);

	ck_assert_int_eq(canvas_text(c, 0, 0, 8, STYLE_PLAIN, "e\xcc\x81" "\033[x\xff" "y"), 5);
	assert_picture(c, "e[x\xef\xbf\xbdy\n");
	canvas_put(c, 0, 0, '\t', STYLE_PLAIN);
	canvas_put(c, 0, 1, 0x301, STYLE_PLAIN);
	assert_picture(c, "  x\xef\xbf\xbdy\n");
	canvas_free(c);
}
END_TEST

START_TEST(test_right)
{
	struct canvas *c = canvas_new(3, 8);

	ck_assert_int_eq(canvas_text_right(c, 0, 1, 6, STYLE_A, "-1.5"), 4);
	ck_assert_int_eq(canvas_text_right(c, 1, 0, 3, STYLE_A, "12345"), 3);
	ck_assert_int_eq(canvas_text_right(c, 2, 0, 7, STYLE_A, WIDE WIDE), 4);
	assert_picture(c, "   -1.5\n123\n   " WIDE WIDE "\n");
	canvas_free(c);
}
END_TEST

START_TEST(test_wide_is_cut)
{
	struct canvas *c = canvas_new(4, 4);

	/* No half in the room given, nor at the right edge, nor at the left. */
	ck_assert_int_eq(canvas_text(c, 0, 0, 3, STYLE_A, WIDE WIDE), 2);
	ck_assert_int_eq(canvas_text(c, 1, 1, 9, STYLE_A, WIDE WIDE "z"), 5);
	ck_assert_int_eq(canvas_text(c, 2, -1, 9, STYLE_A, WIDE "z"), 3);
	canvas_put(c, 3, 3, 0x6f22, STYLE_A);
	assert_picture(c, WIDE "\n " WIDE "\n z\n\n");
	ck_assert_uint_eq(canvas_at(c, 0, 1).ch, 0);
	ck_assert_int_eq(canvas_at(c, 0, 1).style, STYLE_A);
	ck_assert_uint_eq(canvas_at(c, 1, 3).ch, ' ');
	canvas_free(c);
}
END_TEST

START_TEST(test_wide_is_overwritten)
{
	struct canvas *c = canvas_new(4, 5);
	const struct rect middle = { 2, 1, 1, 2 };
	int row;

	for (row = 0; row < 4; row++)
		canvas_text(c, row, 0, 4, STYLE_A, WIDE WIDE);
	canvas_put(c, 0, 1, 'x', STYLE_B);	/* the right half of the first */
	canvas_put(c, 1, 2, 'x', STYLE_B);	/* the left half of the second */
	canvas_fill(c, middle, '-', STYLE_B);
	canvas_text(c, 3, 1, 2, STYLE_B, WIDE);
	assert_picture(c, " x" WIDE "\n" WIDE "x\n --\n " WIDE "\n");
	canvas_free(c);
}
END_TEST

/* Whatever is written over whatever: no row is ever wider than the grid. */
START_TEST(test_width_holds)
{
	static const uint32_t chars[] = { 'x', 0x6f22, 0x2588, ' ', 0x301, 0x1f600 };
	uint64_t seed = (uint64_t)_i + 1;
	struct canvas *c = canvas_new(3, 7);
	int i;
	int row;
	int col;

	for (i = 0; i < 400; i++) {
		canvas_put(c, rnd_below(&seed, 5) - 1, rnd_below(&seed, 10) - 2,
			   chars[rnd_below(&seed, 6)], STYLE_A);
		for (row = 0; row < 3; row++)
			for (col = 0; col < 7; col++) {
				const bool wide = text_char_width(canvas_at(c, row, col).ch) == 2;
				const bool half = col < 6 && canvas_at(c, row, col + 1).ch == 0;

				ck_assert(wide == half);
				ck_assert(col > 0 || canvas_at(c, row, 0).ch != 0);
			}
	}
	canvas_free(c);
}
END_TEST

START_TEST(test_flags)
{
	struct canvas *c = canvas_new(3, 4);
	const struct rect r = { 1, 1, 9, 2 };
	const struct rect one = { 1, 1, 1, 1 };

	canvas_text(c, 1, 0, 4, STYLE_A, "abcd");
	canvas_flag(c, r, CELL_SPAN);
	canvas_flag(c, one, CELL_CHOSEN);
	canvas_style(c, one, STYLE_MARK);
	ck_assert_int_eq(canvas_at(c, 0, 1).flags, 0);
	ck_assert_int_eq(canvas_at(c, 1, 0).flags, 0);
	ck_assert_int_eq(canvas_at(c, 1, 1).flags, CELL_SPAN | CELL_CHOSEN);
	ck_assert_int_eq(canvas_at(c, 2, 2).flags, CELL_SPAN);
	ck_assert_int_eq(canvas_at(c, 1, 3).flags, 0);
	ck_assert_uint_eq(canvas_at(c, 1, 1).ch, 'b');
	ck_assert_int_eq(canvas_at(c, 1, 1).style, STYLE_MARK);
	canvas_put(c, 1, 1, 'x', STYLE_B);
	ck_assert_int_eq(canvas_at(c, 1, 1).flags, CELL_SPAN | CELL_CHOSEN);
	canvas_fill(c, one, ' ', STYLE_PLAIN);
	ck_assert_int_eq(canvas_at(c, 1, 1).flags, 0);
	canvas_free(c);
}
END_TEST

START_TEST(test_equal)
{
	struct canvas *a = canvas_new(2, 2);
	struct canvas *b = canvas_new(2, 2);
	struct canvas *other = canvas_new(1, 4);
	const struct rect corner = { 1, 1, 1, 1 };

	ck_assert(canvas_equal(a, b));
	ck_assert(!canvas_equal(a, other));
	canvas_put(a, 1, 1, 'x', STYLE_PLAIN);
	ck_assert(!canvas_equal(a, b));
	canvas_put(b, 1, 1, 'x', STYLE_PLAIN);
	ck_assert(canvas_equal(a, b));
	canvas_style(b, corner, STYLE_A);
	ck_assert(!canvas_equal(a, b));
	canvas_style(a, corner, STYLE_A);
	canvas_flag(a, corner, CELL_SPAN);
	ck_assert(!canvas_equal(a, b));
	canvas_free(a);
	canvas_free(b);
	canvas_free(other);
}
END_TEST

START_TEST(test_ansi)
{
	struct canvas *c = canvas_new(5, 5);
	const struct rect end = { 3, 3, 1, 2 };
	struct buf b = BUF_INIT;

	canvas_text(c, 0, 0, 5, STYLE_PLAIN, "ab");
	canvas_text(c, 1, 0, 2, STYLE_KEY, "ab");
	canvas_text(c, 1, 3, 2, STYLE_KEY, "cd");	/* the look stays over the blank */
	canvas_text(c, 2, 0, 2, STYLE_KEY, "x");
	canvas_text(c, 2, 1, 2, STYLE_PLAIN, "y");
	canvas_flag(c, end, CELL_CHOSEN);		/* blanks that are seen */
	canvas_write_ansi(c, THEME_MONO, &b);
	ck_assert_str_eq(buf_text(&b), "ab\n"
			 "\033[0;1mab cd\033[0m\n"
			 "\033[0;1mx\033[0my\n"
			 "   \033[0;7m  \033[0m\n"
			 "\n");
	buf_release(&b);
	canvas_free(c);
}
END_TEST

/* A terminal for SGR alone: sets *l by one sequence, returns what follows it. */
static const char *obey(const char *s, struct look *l)
{
	ck_assert(s[0] == '\033' && s[1] == '[');
	s += 2;
	for (;;) {
		char *rest;
		long n = strtol(s, &rest, 10);

		if (n == 0)
			*l = (struct look){ -1, -1, false, false, false, false };
		else if (n == 1)
			l->bold = true;
		else if (n == 2)
			l->dim = true;
		else if (n == 4)
			l->underline = true;
		else if (n == 7)
			l->reverse = true;
		else if (n == 38 || n == 48) {
			ck_assert(strncmp(rest, ";5;", 3) == 0);
			*(n == 38 ? &l->fg : &l->bg) = (short)strtol(rest + 3, &rest, 10);
		} else if (n >= 30 && n <= 37)
			l->fg = (short)(n - 30);
		else if (n >= 40 && n <= 47)
			l->bg = (short)(n - 40);
		else
			ck_abort_msg("SGR %ld", n);
		if (*rest == 'm')
			return rest + 1;
		ck_assert_int_eq(*rest, ';');
		s = rest + 1;
	}
}

static bool looks_equal(struct look a, struct look b)
{
	return a.fg == b.fg && a.bg == b.bg && a.bold == b.bold && a.dim == b.dim &&
	       a.underline == b.underline && a.reverse == b.reverse;
}

/* Plays one line back against a row of the canvas; returns the next line. */
static const char *replay_row(const struct canvas *c, enum theme_depth depth, int row,
			      const char *s)
{
	struct look now = { -1, -1, false, false, false, false };
	int col = 0;

	while (*s != '\n') {
		const struct cell cell = canvas_at(c, row, col);
		const struct look want = theme_look(depth, (enum style)cell.style, cell.flags);
		const struct look before = now;
		uint32_t cp;

		if (*s == '\033') {
			s = obey(s, &now);
			ck_assert_msg(!looks_equal(now, before), "a sequence that changes nothing");
			continue;
		}
		s += text_decode(s, strlen(s), &cp);
		ck_assert_uint_eq(cp, cell.ch);
		if (cp != ' ')
			ck_assert(looks_equal(now, want));
		ck_assert(now.reverse == want.reverse && now.bg == want.bg &&
			  now.underline == want.underline);
		col++;
	}
	ck_assert(now.fg == -1 && now.bg == -1 && !now.bold && !now.reverse);
	for (; col < canvas_cols(c); col++) {
		const struct cell cell = canvas_at(c, row, col);
		const struct look want = theme_look(depth, (enum style)cell.style, cell.flags);

		ck_assert_uint_eq(cell.ch, ' ');
		ck_assert(want.bg == -1 && !want.reverse && !want.underline);
	}
	return s + 1;
}

START_TEST(test_ansi_replay)
{
	static const enum theme_depth depths[] = { THEME_MONO, THEME_8, THEME_256 };
	uint64_t seed = (uint64_t)_i + 77;
	struct canvas *c = canvas_new(4, 20);
	struct buf b = BUF_INIT;
	const char *s;
	int i;

	for (i = 0; i < 60; i++) {
		const struct rect r = { rnd_below(&seed, 4), rnd_below(&seed, 20), 1,
					1 + rnd_below(&seed, 3) };

		canvas_put(c, r.row, r.col, rnd_below(&seed, 3) ? 'x' : ' ',
			   (enum style)rnd_below(&seed, STYLE_COUNT));
		if (rnd_below(&seed, 4) == 0)
			canvas_flag(c, r, 1u + (unsigned)rnd_below(&seed, 3));
	}
	canvas_write_ansi(c, depths[_i % 3], &b);
	s = buf_text(&b);
	for (i = 0; i < 4; i++)
		s = replay_row(c, depths[_i % 3], i, s);
	ck_assert_int_eq(*s, '\0');
	buf_release(&b);
	canvas_free(c);
}
END_TEST

Suite *canvas_suite(void)
{
	Suite *s = suite_create("canvas");
	TCase *t = tcase_create("canvas");

	tcase_add_test(t, test_blank);
	tcase_add_test(t, test_empty);
	tcase_add_test(t, test_text);
	tcase_add_test(t, test_odd_text);
	tcase_add_test(t, test_right);
	tcase_add_test(t, test_wide_is_cut);
	tcase_add_test(t, test_wide_is_overwritten);
	tcase_add_loop_test(t, test_width_holds, 0, 10);
	tcase_add_test(t, test_flags);
	tcase_add_test(t, test_equal);
	tcase_add_test(t, test_ansi);
	tcase_add_loop_test(t, test_ansi_replay, 0, 30);
	suite_add_tcase(s, t);
	return s;
}
