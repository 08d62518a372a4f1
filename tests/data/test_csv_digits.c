/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Digits side by side, and where cells end: against reading one character after another. */
#include <check.h>
#include <stdio.h>
#include <string.h>

#include "data/csv_digits.h"
#include "data/csv_marks.h"
#include "data/csv_plain.h"
#include "data/packed.h"

Suite *csv_digits_suite(void);

#define ROWS 400
#define TRIALS 3000
#define MOST_CELL 18
#define ROOM (2 * CSV_DIGITS_WINDOW + ROWS * 2 * (MOST_CELL + 4))

static uint32_t draw(uint32_t *state, uint32_t below)
{
	*state = *state * 1664525u + 1013904223u;
	return (uint32_t)(((uint64_t)(*state >> 4) * below) >> 28);
}

/* A log of two columns, of which the second's cells are all kinds of things. */
struct text {
	char bytes[ROOM];
	size_t length;
	char separator;
	char decimal;
	const char *line_end;
	uint16_t marks[ROOM + CSV_MARKS_SPARE];
	size_t mark_count;
};

static void add(struct text *t, const char *s)
{
	memcpy(t->bytes + t->length, s, strlen(s));
	t->length += strlen(s);
}

/* Mostly what fits, else any of the characters that come near it. */
static void make_cell(char *cell, const struct text *t, int decimals, uint32_t *state)
{
	static const char near[] = "0123456789-.,:/; +\t%@\r\"\x80\xb0\xff";
	const size_t whole = draw(state, 9);
	size_t n = 0;
	size_t i;

	if (draw(state, 8) == 0)
		cell[n++] = '-';
	for (i = draw(state, 40) == 0 ? 9 : 0; i < whole; i++)
		cell[n++] = (char)('0' + draw(state, draw(state, 3) == 0 ? 1 : 10));
	if (decimals > 0 && draw(state, 30) > 0)
		cell[n++] = t->decimal;
	for (i = 0; i < (size_t)decimals; i++)
		cell[n++] = (char)('0' + draw(state, 10));
	for (i = 0; n > 0 && draw(state, 6) == 0; i++)
		cell[draw(state, (uint32_t)n)] = near[draw(state, sizeof(near) - 1)];
	if (n > 0 && draw(state, 20) == 0)
		n -= 1 + draw(state, (uint32_t)n);
	cell[n] = '\0';
	for (i = 0; i < n; i++)
		if (cell[i] == t->separator || cell[i] == '\n')
			cell[i] = '7';
}

static void make_text(struct text *t, int decimals, enum wide wide, uint32_t *state)
{
	static const char separators[] = ",;\t| ";
	struct csv_marks finder;
	char cell[MOST_CELL + 3];
	size_t row;

	t->separator = separators[draw(state, 5)];
	t->decimal = t->separator != ',' && draw(state, 2) == 0 ? ',' : '.';
	t->line_end = draw(state, 2) == 0 ? "\n" : "\r\n";
	t->length = 0;
	add(t, "9,9-9.9999999999\n");
	for (row = 0; row < ROWS; row++) {
		make_cell(cell, t, decimals, state);
		add(t, cell);
		t->bytes[t->length++] = t->separator;
		make_cell(cell, t, decimals, state);
		add(t, cell);
		add(t, t->line_end);
	}
	csv_marks_init(&finder, t->separator, wide);
	t->mark_count = csv_marks_find(&finder, t->bytes + 17, t->length - 17, t->marks + 1);
	t->marks[0] = 0;
	ck_assert_uint_eq(t->mark_count, 2 * ROWS);
}

/* What the cell before the mark is; false when it is no such number. */
static bool read_plainly(const struct text *t, size_t mark, int decimals, int32_t *out)
{
	const char *end = t->bytes + 16 + t->marks[mark];
	struct csv_plain n;
	int64_t v;

	if (mark % 2 == 0)
		end -= strlen(t->line_end) - 1;
	if (csv_plain_scan(t->bytes + 16 + t->marks[mark - 1] + 1, t->decimal, &n) != end ||
	    n.count == 0 || n.fraction != decimals || n.digits > PACKED_LIMIT ||
	    (decimals == 0 && end[-1] == t->decimal))
		return false;
	v = n.negative ? -(int64_t)n.digits : (int64_t)n.digits;
	*out = (int32_t)v;
	return !(n.negative && v == 0);
}

/* Whether it fits the windows that are asked for. */
static bool fits(const struct text *t, size_t mark, const struct csv_digits_column *c)
{
	const size_t bytes = (size_t)t->marks[mark] - t->marks[mark - 1];
	const char first = t->bytes[17 + t->marks[mark - 1]];

	return bytes <= (c->is_long ? CSV_DIGITS_WINDOW : CSV_DIGITS_SHORT) &&
	       (c->is_signed || c->is_long || first != '-');
}

/* Reads a column on and on; whatever is taken is right, and all that fits is taken. */
static void compare_column(const struct text *t, size_t column, int decimals, bool is_signed,
			   bool is_long, enum wide wide)
{
	const struct csv_digits_column c = { t->bytes + 16, t->marks + 1 + column, 2, is_signed,
					     is_long, wide };
	enum csv_digits_end end = column == 0 ? CSV_DIGITS_SEPARATOR : CSV_DIGITS_LF;
	struct csv_digits_shape shape;
	int32_t out[ROWS];
	int32_t v = 0;
	size_t row = 0;

	if (column == 1 && t->line_end[0] == '\r')
		end = CSV_DIGITS_CRLF;
	csv_digits_shape_init(&shape, end, t->separator, t->decimal, decimals);
	while (row < ROWS) {
		const size_t from = row;
		size_t misfits = 0;

		row = csv_digits_read(&shape, &c, from, ROWS, out);
		for (size_t i = from; i < row; i++)
			ck_assert_msg(read_plainly(t, 1 + column + 2 * i, decimals, &v) &&
				      v == out[i], "%d decimals, \"%.*s\": %d", decimals,
				      (int)(t->marks[1 + column + 2 * i] -
					    t->marks[column + 2 * i]),
				      t->bytes + 17 + t->marks[column + 2 * i], (int)out[i]);
		if (row + 4 > ROWS)
			break;
		for (size_t i = row; i < row + 4; i++)
			misfits += !read_plainly(t, 1 + column + 2 * i, decimals, &v) ||
				   !fits(t, 1 + column + 2 * i, &c);
		ck_assert_uint_gt(misfits, 0);
		row += 4;
	}
}

START_TEST(digits_as_they_are_written)
{
	const enum wide wide = wide_most((enum wide)_i);
	static struct text t;
	uint32_t state = 20310512;
	int trial;

	ck_assert(wide >= WIDE_BASE && wide <= (enum wide)_i);
	if (!csv_digits_can())
		return;
	for (trial = 0; trial < TRIALS; trial++) {
		const int decimals = (int)draw(&state, CSV_DIGITS_DECIMALS + 1);

		make_text(&t, decimals, wide, &state);
		compare_column(&t, (size_t)(trial % 2), decimals, trial % 4 < 2, trial % 8 < 4,
			       wide);
	}
}
END_TEST

/* Every place in the steps of the search, and the bytes next to those looked for. */
START_TEST(marks_are_where_they_are)
{
	static const char chars[] = "0123456789,;,;\n\n\r\t |.-\x8a\xac\x0b+";
	static char text[1000];
	static uint16_t marks[sizeof(text) + CSV_MARKS_SPARE];
	struct csv_marks m;
	uint32_t state = 7;
	size_t n, i;

	for (n = 0; n <= sizeof(text); n++) {
		const char separator = n % 2 == 0 ? ',' : ';';
		size_t count, found = 0;

		for (i = 0; i < n; i++)
			text[i] = n % 7 == 0 ? separator : chars[draw(&state, sizeof(chars) - 1)];
		csv_marks_init(&m, separator, (enum wide)_i);
		count = csv_marks_find(&m, text, n, marks);
		for (i = 0; i < n; i++)
			if (text[i] == separator || text[i] == '\n')
				ck_assert_uint_eq(marks[found++], i + 1);
		ck_assert_uint_eq(found, count);
	}
}
END_TEST

Suite *csv_digits_suite(void)
{
	Suite *s = suite_create("csv_digits");
	TCase *tc = tcase_create("digits");

	tcase_set_timeout(tc, 120);
	/* By all registers that the machine has; by the widest again for those that it has not. */
	tcase_add_loop_test(tc, digits_as_they_are_written, WIDE_BASE, WIDE_KINDS);
	tcase_add_loop_test(tc, marks_are_where_they_are, WIDE_BASE, WIDE_KINDS);
	suite_add_tcase(s, tc);
	return s;
}
