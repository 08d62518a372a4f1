/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the sheet: aligned text, and CSV by the rules of RFC 4180, section 2. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "out/sheet.h"
#include "read_csv.h"

Suite *sheet_suite(void);

static void assert_text(const struct sheet *s, bool ascii, size_t width, const char *want)
{
	const struct out_style style = { OUT_TEXT, ascii, width };
	struct buf out = BUF_INIT;

	sheet_to_text(s, &style, &out);
	ck_assert_str_eq(buf_text(&out), want);
	buf_release(&out);
}

static void assert_csv(const struct sheet *s, const char *want)
{
	struct buf out = BUF_INIT;

	sheet_to_csv(s, &out);
	ck_assert_str_eq(buf_text(&out), want);
	buf_release(&out);
}

static struct sheet *small(void)
{
	struct sheet *s = sheet_new();

	sheet_column(s, "name", SHEET_LEFT);
	sheet_column(s, "value", SHEET_RIGHT);
	sheet_column(s, "B-A", SHEET_RIGHT);
	sheet_row(s);
	sheet_text(s, "boost");
	sheet_number(s, 112.449, 1);
	sheet_signed(s, 36.5, 1);
	sheet_row(s);
	sheet_text(s, "a long name");
	sheet_number(s, NAN, 1);
	sheet_signed(s, -3, 0);
	sheet_row(s);
	sheet_text(s, "count");
	sheet_count(s, 12345);
	return s;
}

START_TEST(test_text)
{
	struct sheet *s = small();

	assert_text(s, false, 80,
		    "name         value    B-A\n"
		    "boost        112.4  +36.5\n"
		    "a long name      -     -3\n"
		    "count        12345\n");
	sheet_free(s);
}
END_TEST

START_TEST(test_csv)
{
	struct sheet *s = small();

	assert_csv(s, "name,value,B-A\r\nboost,112.449,36.5\r\na long name,,-3\r\n"
		   "count,12345,\r\n");
	sheet_free(s);
}
END_TEST

/* No header line without names, nothing at all without columns. */
START_TEST(test_bare)
{
	struct sheet *s = sheet_new();

	assert_text(s, false, 80, "");
	sheet_column(s, "", SHEET_LEFT);
	sheet_column(s, "", SHEET_RIGHT);
	assert_text(s, false, 80, "");
	sheet_row(s);
	sheet_text(s, "A");
	sheet_text(s, "13 s");
	assert_text(s, false, 80, "A  13 s\n");
	sheet_free(s);
	sheet_free(NULL);
}
END_TEST

START_TEST(test_notes_and_gaps)
{
	struct sheet *s = sheet_new();

	sheet_column(s, "x", SHEET_LEFT);
	sheet_row(s);
	sheet_gap(s);
	sheet_text(s, "one");
	sheet_note(s, "first words and some more of them");
	sheet_note(s, "second");
	sheet_row(s);
	sheet_gap(s);
	sheet_text(s, "two");
	assert_text(s, false, 20,
		    "x\none\n    first words and\n    some more of\n    them\n    second\n"
		    "\ntwo\n");
	assert_csv(s, "x\r\none\r\ntwo\r\n");
	sheet_free(s);
}
END_TEST

static struct sheet *grouped(void)
{
	static const char *const headings[] = { "boost kPa", "lambda", "x" };
	struct sheet *s = sheet_new();
	size_t i;

	sheet_column(s, "rpm", SHEET_LEFT);
	sheet_keys_end(s);
	for (i = 0; i < 3; i++) {
		sheet_group(s, headings[i]);
		sheet_column(s, "A", SHEET_RIGHT);
		sheet_column(s, "B", SHEET_RIGHT);
	}
	sheet_row(s);
	sheet_text(s, "2000");
	for (i = 0; i < 3; i++) {
		sheet_number(s, 1000.5, 1);
		sheet_number(s, (double)i, 0);
	}
	return s;
}

START_TEST(test_groups)
{
	struct sheet *s = grouped();

	assert_text(s, false, 80,
		    "       boost kPa      lambda   --- x ---\n"
		    "rpm         A  B        A  B        A  B\n"
		    "2000   1000.5  0   1000.5  1   1000.5  2\n");
	sheet_free(s);
}
END_TEST

/* Whole groups only, the keys in front of each block. */
START_TEST(test_blocks)
{
	struct sheet *s = grouped();

	assert_text(s, false, 32,
		    "       boost kPa      lambda\n"
		    "rpm         A  B        A  B\n"
		    "2000   1000.5  0   1000.5  1\n"
		    "\n"
		    "       --- x ---\n"
		    "rpm         A  B\n"
		    "2000   1000.5  2\n");
	sheet_free(s);
}
END_TEST

/* Narrower than any group: one a block, and no endless loop. */
START_TEST(test_too_narrow)
{
	struct sheet *s = grouped();
	const struct out_style style = { OUT_TEXT, false, 1 };
	struct buf out = BUF_INIT;
	const char *p;
	int blocks = 0;

	sheet_to_text(s, &style, &out);
	for (p = buf_text(&out); (p = strstr(p, "rpm")) != NULL; p++)
		blocks++;
	ck_assert_int_eq(blocks, 3);
	buf_release(&out);
	sheet_free(s);
}
END_TEST

START_TEST(test_flexible)
{
	struct sheet *s = sheet_new();

	sheet_column_flex(s, "name", SHEET_LEFT, 10);
	sheet_column(s, "v", SHEET_RIGHT);
	sheet_row(s);
	sheet_text(s, "Knock retard cylinder 3");
	sheet_count(s, 7);
	assert_text(s, false, 80, "name                     v\nKnock retard cylinder 3  7\n");
	assert_text(s, false, 20, "name               v\nKnock reta..der 3  7\n");
	assert_text(s, false, 13, "name        v\nKnock..r 3  7\n");
	assert_csv(s, "name,v\r\nKnock retard cylinder 3,7\r\n");
	sheet_free(s);
}
END_TEST

START_TEST(test_shorten)
{
	static const char *const texts[] = {
		"", "abc", "Knock retard cylinder 3",
		"\xc3\xa4\xc3\xb6\xc3\xbc\xc3\x9f\xc3\xa4\xc3\xb6\xc3\xbc\xc3\x9f\xc3\xa4",
		"\xe6\xbc\xa2\xe6\xbc\xa2\xe6\xbc\xa2\xe6\xbc\xa2\xe6\xbc\xa2\xe6\xbc\xa2",
	};
	size_t i, most;

	for (i = 0; i < sizeof texts / sizeof texts[0]; i++)
		for (most = 6; most < 30; most++) {
			char *cut = sheet_shorten(texts[i], most);

			ck_assert_uint_le(text_width(cut), most);
			ck_assert(text_is_utf8(cut, strlen(cut)));
			if (text_width(texts[i]) <= most)
				ck_assert_str_eq(cut, texts[i]);
			else
				ck_assert_ptr_nonnull(strstr(cut, ".."));
			free(cut);
		}
}
END_TEST

/* A file can neither send the terminal an escape nor shift the columns. */
START_TEST(test_foreign_text)
{
	struct sheet *s = sheet_new();

	sheet_column(s, "unit", SHEET_LEFT);
	sheet_column(s, "v", SHEET_RIGHT);
	sheet_row(s);
	sheet_text(s, "\xc2\xb0" "C");
	sheet_count(s, 1);
	sheet_row(s);
	sheet_text(s, "a\033[2Jb");
	sheet_count(s, 2);
	assert_text(s, false, 80, "unit    v\n\xc2\xb0" "C      1\na [2Jb  2\n");
	assert_text(s, true, 80, "unit    v\ndegC    1\na [2Jb  2\n");
	sheet_free(s);
}
END_TEST

/* RFC 4180, section 2: rules 2, 3, 5, 6 and 7. */
START_TEST(test_quoting)
{
	struct sheet *s = sheet_new();

	sheet_column(s, "a,b", SHEET_LEFT);
	sheet_column(s, "c", SHEET_LEFT);
	sheet_row(s);
	sheet_text(s, "say \"no\"");
	sheet_text(s, "two\r\nlines");
	sheet_row(s);
	sheet_text(s, " blank in front");
	sheet_text(s, "plain");
	sheet_row(s);
	sheet_text(s, "");
	sheet_blank(s);
	assert_csv(s, "\"a,b\",c\r\n\"say \"\"no\"\"\",\"two\r\nlines\"\r\n"
		   "\" blank in front\",plain\r\n,\r\n");
	sheet_free(s);
}
END_TEST

/* Every digit comes back; what is no number is empty. */
START_TEST(test_csv_numbers)
{
	static const double numbers[] = {
		0.1, 1.0 / 3.0, 6.02214076e23, -5e-324, 1.7976931348623157e308, 0.0, 100,
	};
	struct sheet *s = sheet_new();
	struct buf out = BUF_INIT;
	struct csv_back back;
	size_t i;

	sheet_column(s, "v", SHEET_RIGHT);
	sheet_column(s, "w", SHEET_RIGHT);
	for (i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
		sheet_row(s);
		sheet_number(s, numbers[i], 1);
		sheet_signed(s, i % 2 == 0 ? NAN : INFINITY, 1);
	}
	sheet_to_csv(s, &out);
	csv_back_read(&back, buf_text(&out), out.len);
	ck_assert_uint_eq(back.row_count, 1 + sizeof numbers / sizeof numbers[0]);
	for (i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
		ck_assert(csv_back_number(&back, i + 1, "v") == numbers[i]);
		ck_assert_str_eq(csv_back_at(&back, i + 1, "w"), "");
	}
	csv_back_release(&back);
	buf_release(&out);
	sheet_free(s);
}
END_TEST

/* Whatever the cells are, libcsv reads the same back. */
START_TEST(test_csv_round_trip)
{
	static const char letters[] = "ab,\"\r\n ;\t'\xc3\xa4";
	struct sheet *s = sheet_new();
	struct buf out = BUF_INIT;
	struct csv_back back;
	char cells[60][8];
	unsigned seed = (unsigned)_i * 2654435761u + 1;
	size_t i, k;

	for (i = 0; i < 3; i++)
		sheet_column(s, "h", SHEET_LEFT);
	for (i = 0; i < 60; i++) {
		if (i % 3 == 0)
			sheet_row(s);
		seed = seed * 1664525u + 1013904223u;
		for (k = 0; k < (seed >> 28) % 8; k++) {
			seed = seed * 1664525u + 1013904223u;
			cells[i][k] = letters[(seed >> 16) % (sizeof letters - 1)];
		}
		cells[i][k] = '\0';
		sheet_text(s, cells[i]);
	}
	sheet_to_csv(s, &out);
	csv_back_read(&back, buf_text(&out), out.len);
	ck_assert_int_eq(back.ragged, 0);
	ck_assert_uint_eq(back.cell_count, 63);
	for (i = 0; i < 60; i++)
		ck_assert_str_eq(back.cells[3 + i], cells[i]);
	csv_back_release(&back);
	buf_release(&out);
	sheet_free(s);
}
END_TEST

START_TEST(test_fold)
{
	struct buf out = BUF_INIT;

	sheet_fold(&out, "one two  three\nfour", 2, 9);
	ck_assert_str_eq(buf_text(&out), "  one two\n  three\n  four\n");
	buf_clear(&out);
	sheet_fold(&out, "averylongwordindeed x", 2, 6);
	ck_assert_str_eq(buf_text(&out), "  averylongwordindeed\n  x\n");
	buf_clear(&out);
	sheet_fold(&out, "", 2, 6);
	ck_assert_str_eq(buf_text(&out), "");
	buf_release(&out);
}
END_TEST

Suite *sheet_suite(void)
{
	Suite *s = suite_create("sheet");
	TCase *t = tcase_create("sheet");

	tcase_add_test(t, test_text);
	tcase_add_test(t, test_csv);
	tcase_add_test(t, test_bare);
	tcase_add_test(t, test_notes_and_gaps);
	tcase_add_test(t, test_groups);
	tcase_add_test(t, test_blocks);
	tcase_add_test(t, test_too_narrow);
	tcase_add_test(t, test_flexible);
	tcase_add_test(t, test_shorten);
	tcase_add_test(t, test_foreign_text);
	tcase_add_test(t, test_quoting);
	tcase_add_test(t, test_csv_numbers);
	tcase_add_loop_test(t, test_csv_round_trip, 0, 50);
	tcase_add_test(t, test_fold);
	suite_add_tcase(s, t);
	return s;
}
