/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of finding out that a picture moved to the side. */
#include <check.h>
#include <stdlib.h>

#include "draw/slide.h"
#include "draw_util.h"

#define ROWS 20
#define COLS 90
#define LEFT 12			/* columns to the left of the part that moves */
#define RIGHT 10		/* and to the right */

Suite *slide_suite(void);

static bool same(struct cell a, struct cell b)
{
	return a.ch == b.ch && a.style == b.style && a.flags == b.flags;
}

/* A picture with labels at both sides, of a plane of data seen from column `at` on. */
static struct canvas *picture(int at, int seed)
{
	struct canvas *c = canvas_new(ROWS, COLS);
	int row, col;

	for (row = 0; row < ROWS; row++) {
		canvas_text(c, row, 0, LEFT, STYLE_TITLE, "label, label");
		for (col = LEFT; col < COLS - RIGHT; col++) {
			uint64_t state = (uint64_t)(seed + (at + col) * 1000 + row);
			const int what = rnd_below(&state, 6);

			if (what < 3)
				canvas_put(c, row, col, (uint32_t)('a' + what), STYLE_A);
		}
		if (row % 4 == 0)
			canvas_text(c, row, COLS - RIGHT, RIGHT, STYLE_PLAIN, "value 12.3");
	}
	return c;
}

/* What a terminal makes of a row: cells go out, and blanks come in. */
static void do_slide(const struct slide *s, int row, struct cell *cells)
{
	const struct cell blank = { ' ', STYLE_PLAIN, 0 };
	const int n = abs(s->by);
	int i, col;

	for (i = 0; i < n && slide_delete_at(s, row) >= 0; i++) {
		for (col = slide_delete_at(s, row); col + 1 < COLS; col++)
			cells[col] = cells[col + 1];
		cells[COLS - 1] = blank;
	}
	for (i = 0; i < n && slide_insert_at(s, row) >= 0; i++) {
		for (col = COLS - 1; col > slide_insert_at(s, row); col--)
			cells[col] = cells[col - 1];
		cells[slide_insert_at(s, row)] = blank;
	}
}

/* slide_at() says what the terminal then has; how many cells are still to be written. */
static int left_to_write(const struct slide *s, const struct canvas *before,
			 const struct canvas *after)
{
	struct cell cells[COLS];
	int left = 0;
	int row, col;

	for (row = 0; row < ROWS; row++) {
		for (col = 0; col < COLS; col++)
			cells[col] = canvas_at(before, row, col);
		do_slide(s, row, cells);
		for (col = 0; col < COLS; col++) {
			ck_assert(same(cells[col], slide_at(s, before, row, col)));
			left += !same(cells[col], canvas_at(after, row, col));
		}
	}
	return left;
}

/* Whatever way and however far it moves, only what came in is left to write. */
START_TEST(finds_the_move)
{
	const int by = _i;
	struct canvas *before = picture(1000, 7);
	struct canvas *after = picture(1000 + by, 7);
	struct slide s;
	int row;

	slide_find(&s, before, after);
	ck_assert_int_eq(s.by, by);
	for (row = 0; row < ROWS - 1 && by != 0; row++)
		ck_assert(s.rows[row].slides);
	ck_assert(!s.rows[ROWS - 1].slides);
	ck_assert_int_le(left_to_write(&s, before, after),
			 by == 0 ? 0 : (abs(by) + 1) * ROWS + COLS);
	slide_release(&s);
	canvas_free(before);
	canvas_free(after);
}
END_TEST

START_TEST(another_picture_is_no_move)
{
	struct canvas *before = picture(1000, 7);
	struct canvas *after = picture(1000, 70000000);
	struct slide s;
	int row, col;

	for (row = 0; row < ROWS; row++)
		for (col = LEFT; col < COLS; col++)
			if (canvas_at(after, row, col).ch != ' ')
				canvas_put(after, row, col, '#', STYLE_B);

	slide_find(&s, before, after);
	ck_assert_int_eq(s.by, 0);
	slide_release(&s);
	slide_find(&s, before, before);
	ck_assert_int_eq(s.by, 0);
	slide_release(&s);
	canvas_free(before);
	canvas_free(after);
}
END_TEST

/* Rows beside which nothing stands move along to their ends, which is shorter. */
START_TEST(rows_move_whole_where_that_is_shorter)
{
	struct canvas *before = picture(1000, 7);
	struct canvas *after = picture(1001, 7);
	struct slide s;
	int row;

	slide_find(&s, before, after);
	for (row = 0; row < ROWS - 1; row++) {
		ck_assert_int_eq(s.rows[row].whole, row % 4 != 0);
		ck_assert_int_ge(slide_delete_at(&s, row), 0);
		ck_assert_int_eq(slide_insert_at(&s, row) >= 0, row % 4 == 0);
	}
	left_to_write(&s, before, after);
	slide_release(&s);
	canvas_free(before);
	canvas_free(after);
}
END_TEST

static uint32_t letter_at(int row, int at)
{
	uint64_t state = (uint64_t)(at * 1000 + row);

	return (uint32_t)('a' + rnd_below(&state, 20));
}

/* What moves may begin at the first column, and end at the last. */
START_TEST(moves_from_edge_to_edge)
{
	const int by = _i == 0 ? 5 : -5;
	struct canvas *before = canvas_new(ROWS, COLS);
	struct canvas *after = canvas_new(ROWS, COLS);
	struct slide s;
	int row, col;

	for (row = 0; row < ROWS; row++)
		for (col = 0; col < COLS; col++) {
			canvas_put(before, row, col, letter_at(row, 100 + col), STYLE_A);
			canvas_put(after, row, col, letter_at(row, 100 + col + by), STYLE_A);
		}
	slide_find(&s, before, after);
	ck_assert_int_eq(s.by, by);
	ck_assert_int_ge(s.from, 0);
	ck_assert_int_le(s.to, COLS);
	left_to_write(&s, before, after);
	slide_release(&s);
	canvas_free(before);
	canvas_free(after);
}
END_TEST

/* Rows that stand still have no say in which columns move. */
START_TEST(texts_below_do_not_narrow_it)
{
	struct canvas *before = picture(1000, 7);
	struct canvas *after = picture(1001, 7);
	struct slide s;
	int row, i;

	for (row = 0; row < ROWS; row++)	/* little that moves, much that stands */
		for (i = LEFT; i < 50; i++) {
			canvas_put(before, row, i, row < 5 && i % 5 == 0 ? 'a' : row < 12 ? ' ' : 'x',
				   STYLE_PLAIN);
			canvas_put(after, row, i, row < 5 && i % 5 == 4 ? 'a' : row < 12 ? ' ' : 'x',
				   STYLE_PLAIN);
		}
	for (row = 12; row < ROWS; row++)
		for (i = 50; i < COLS; i++)
			canvas_put(after, row, i, canvas_at(before, row, i).ch,
				   (enum style)canvas_at(before, row, i).style);
	canvas_put(after, 15, 60, '#', STYLE_PLAIN);
	slide_find(&s, before, after);
	ck_assert_int_eq(s.by, 1);
	ck_assert_int_le(s.from, 15);
	left_to_write(&s, before, after);
	slide_release(&s);
	canvas_free(before);
	canvas_free(after);
}
END_TEST

/* A row with a character of two cells stays as it is: it might be cut in halves. */
START_TEST(wide_characters_do_not_slide)
{
	struct canvas *before = picture(1000, 7);
	struct canvas *after = picture(1001, 7);
	struct slide s;

	canvas_put(before, 3, 1, 0x6f22, STYLE_TITLE);
	canvas_put(after, 5, 1, 0x6f22, STYLE_TITLE);
	slide_find(&s, before, after);
	ck_assert_int_eq(s.by, 1);
	ck_assert(!s.rows[3].slides);
	ck_assert(s.rows[4].slides);
	ck_assert(!s.rows[5].slides);
	left_to_write(&s, before, after);
	slide_release(&s);
	canvas_free(before);
	canvas_free(after);
}
END_TEST

/* Rows that did not change, and such as are written as quickly, are left alone. */
START_TEST(only_what_is_worth_it_slides)
{
	struct canvas *before = picture(1000, 7);
	struct canvas *after = picture(1001, 7);
	const struct rect two = { 8, LEFT, 2, COLS - LEFT };
	struct slide s;

	canvas_fill(before, two, ' ', STYLE_PLAIN);
	canvas_fill(after, two, ' ', STYLE_PLAIN);
	canvas_put(before, 9, 40, 'a', STYLE_A);
	canvas_put(after, 9, 39, 'a', STYLE_A);
	slide_find(&s, before, after);
	ck_assert_int_eq(s.by, 1);
	ck_assert(!s.rows[8].slides);
	ck_assert(s.rows[10].slides);
	left_to_write(&s, before, after);
	slide_release(&s);
	canvas_free(before);
	canvas_free(after);
}
END_TEST

/* Of any two pictures what is said to be on the screen is what a terminal has. */
START_TEST(any_two_pictures)
{
	uint64_t state = (uint64_t)_i;
	struct canvas *before = picture(1000, _i);
	struct canvas *after = picture(1000 + rnd_below(&state, 30) - 15, _i);
	struct slide s;
	int i;

	for (i = rnd_below(&state, 1500); i > 0; i--)
		canvas_put(rnd_below(&state, 2) ? before : after, rnd_below(&state, ROWS),
			   rnd_below(&state, COLS), (uint32_t)('a' + rnd_below(&state, 3)),
			   rnd_below(&state, 2) ? STYLE_B : STYLE_A);
	slide_find(&s, before, after);
	left_to_write(&s, before, after);
	slide_release(&s);
	canvas_free(before);
	canvas_free(after);
}
END_TEST

Suite *slide_suite(void)
{
	Suite *s = suite_create("slide");
	TCase *t = tcase_create("slide");

	tcase_add_loop_test(t, finds_the_move, -SLIDE_MOST, SLIDE_MOST + 1);
	tcase_add_test(t, another_picture_is_no_move);
	tcase_add_test(t, rows_move_whole_where_that_is_shorter);
	tcase_add_loop_test(t, moves_from_edge_to_edge, 0, 2);
	tcase_add_test(t, texts_below_do_not_narrow_it);
	tcase_add_test(t, wide_characters_do_not_slide);
	tcase_add_test(t, only_what_is_worth_it_slides);
	tcase_add_loop_test(t, any_two_pictures, 0, 50);
	suite_add_tcase(s, t);
	return s;
}
