/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Encodings, cells, and guessing the dialect. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "data/csv_cells.h"
#include "data/csv_encoding.h"
#include "data/csv_sniff.h"

Suite *csv_sniff_suite(void);

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))
#define BYTES(s) s, sizeof(s) - 1

static const struct {
	const char *bytes;
	size_t n;
	enum csv_encoding encoding;
	size_t bom;
	const char *text;
} encodings[] = {
	{ BYTES("a,b\n"), CSV_UTF8, 0, "a,b\n" },
	{ BYTES("\xef\xbb\xbf" "a"), CSV_UTF8, 3, "a" },
	{ BYTES("\xc2\xb0" "C"), CSV_UTF8, 0, "°C" },
	{ BYTES("\xb0" "C"), CSV_LATIN1, 0, "°C" },
	{ BYTES("\xff\xfe" "a\0\xb0\0"), CSV_UTF16LE, 2, "a°" },
	{ BYTES("\xfe\xff\0a\0\xb0"), CSV_UTF16BE, 2, "a°" },
	{ BYTES("a\0,\0b\0\n\0"), CSV_UTF16LE, 0, "a,b\n" },
	{ BYTES("\0a\0,\0b\0\n"), CSV_UTF16BE, 0, "a,b\n" },
	{ BYTES("\xff\xfe\x3d\xd8\x0e\xdd"), CSV_UTF16LE, 2, "\xf0\x9f\x94\x8e" },
	{ BYTES("\xff\xfe\x3d\xd8" "a\0"), CSV_UTF16LE, 2, "\xef\xbf\xbd" "a" },
	{ BYTES("\xff\xfe" "a\0b"), CSV_UTF16LE, 2, "a\xef\xbf\xbd" },
	{ BYTES("\xc2\xb0\xc2\xb0\xb0"), CSV_UTF8, 0, "°°\xb0" },	/* mostly UTF-8 */
	{ BYTES("a,b\0\0c"), CSV_UTF8, 0, "a,b  c" },
	{ BYTES(""), CSV_UTF8, 0, "" },
};

START_TEST(encodings_are_told_and_converted)
{
	size_t i;

	for (i = 0; i < LENGTH(encodings); i++) {
		struct buf out = BUF_INIT;
		size_t bom = 99;

		ck_assert_int_eq(csv_sniff_encoding(encodings[i].bytes, encodings[i].n, &bom),
				 encodings[i].encoding);
		ck_assert_uint_eq(bom, encodings[i].bom);
		ck_assert(csv_to_utf8(encodings[i].encoding, encodings[i].bytes + bom,
				      encodings[i].n - bom, &out));
		ck_assert_str_eq(buf_text(&out), encodings[i].text);
		buf_release(&out);
	}
}
END_TEST

START_TEST(binary_is_told)
{
	char noise[4096];
	unsigned state = 7;
	size_t i;

	for (i = 0; i < sizeof(noise); i++) {
		state = state * 1103515245u + 12345u;
		noise[i] = (char)(state >> 16);
	}
	ck_assert_ptr_nonnull(csv_not_text(noise, sizeof(noise)));
	ck_assert_ptr_nonnull(csv_not_text(BYTES("\x1f\x8b\x08")));
	ck_assert_ptr_nonnull(csv_not_text(BYTES("%PDF-1.7\n")));
	ck_assert_ptr_null(csv_not_text(BYTES("Time,RPM\n0,2000\n")));
	ck_assert_ptr_null(csv_not_text(BYTES("T\0i\0m\0e\0,\0R\0\n\0")));
	ck_assert_ptr_null(csv_not_text(BYTES("Temp \xb0" "C,RPM\n0,2000\n")));
	/* A block of NULs behind a log is no binary file. */
	memset(noise, 0, sizeof(noise));
	memcpy(noise, BYTES("Time,RPM\n0,2000\n"));
	ck_assert_ptr_null(csv_not_text(noise, sizeof(noise)));
}
END_TEST

static const struct {
	const char *cell;
	char decimal;
	enum csv_cell_kind kind;
	double number;
} cells[] = {
	{ "", '.', CSV_CELL_EMPTY, 0 },
	{ "  ", '.', CSV_CELL_EMPTY, 0 },
	{ "12", '.', CSV_CELL_NUMBER, 12 },
	{ "-1.5", '.', CSV_CELL_NUMBER, -1.5 },
	{ "-1,5", ',', CSV_CELL_NUMBER, -1.5 },
	{ "1,51E+12", ',', CSV_CELL_NUMBER, 1.51e12 },
	{ " 7 ", '.', CSV_CELL_NUMBER, 7 },
	{ "\xc2\xa0" "7\xc2\xa0", '.', CSV_CELL_NUMBER, 7 },
	{ "1,5", '.', CSV_CELL_WORD, 0 },
	{ "1.2.3", '.', CSV_CELL_WORD, 0 },
	{ "0x1F", '.', CSV_CELL_SUFFIXED, 0 },
	{ "NaN", '.', CSV_CELL_MISSING, 0 },
	{ "n/a", '.', CSV_CELL_MISSING, 0 },
	{ "N/A", '.', CSV_CELL_MISSING, 0 },
	{ "-", '.', CSV_CELL_MISSING, 0 },
	{ "--", '.', CSV_CELL_MISSING, 0 },
	{ "null", '.', CSV_CELL_MISSING, 0 },
	{ "None", '.', CSV_CELL_MISSING, 0 },
	{ "inf", '.', CSV_CELL_MISSING, 0 },
	{ "-Infinity", '.', CSV_CELL_MISSING, 0 },
	{ "1e999", '.', CSV_CELL_MISSING, 0 },
	{ "-nan(ind)", '.', CSV_CELL_MISSING, 0 },
	{ "100kPa", '.', CSV_CELL_SUFFIXED, 100 },
	{ "82 °C", '.', CSV_CELL_SUFFIXED, 82 },
	{ "82\xc2\xa0°C", '.', CSV_CELL_SUFFIXED, 82 },
	{ "74,50%", ',', CSV_CELL_SUFFIXED, 74.5 },
	{ "-3.5psi", '.', CSV_CELL_SUFFIXED, -3.5 },
	{ "5;2", '.', CSV_CELL_WORD, 0 },
	{ "2031-05-12", '.', CSV_CELL_WORD, 0 },
	{ "12:00:00", '.', CSV_CELL_CLOCK, 0 },
	{ "2031-05-12T12:00:00", '.', CSV_CELL_CLOCK, 0 },
	{ "open", '.', CSV_CELL_WORD, 0 },
	{ "nano", '.', CSV_CELL_WORD, 0 },
	{ "12 kPa absolute, filtered", '.', CSV_CELL_WORD, 0 },
};

START_TEST(cells_are_classified)
{
	size_t i;

	for (i = 0; i < LENGTH(cells); i++) {
		struct csv_value v = { 0 };
		const char *s = cells[i].cell;
		const enum csv_cell_kind kind = csv_cell_read(s, strlen(s), cells[i].decimal, &v);

		ck_assert_msg(kind == cells[i].kind, "\"%s\" is kind %d, not %d", s, (int)kind,
			      (int)cells[i].kind);
		if (kind == CSV_CELL_NUMBER || kind == CSV_CELL_SUFFIXED)
			ck_assert_msg(v.number == cells[i].number, "\"%s\" is %g", s, v.number);
	}
}
END_TEST

START_TEST(suffix_and_decimals)
{
	struct csv_value v;

	ck_assert_int_eq(csv_cell_read(BYTES(" 74.50 % "), '.', &v), CSV_CELL_SUFFIXED);
	ck_assert_uint_eq(v.suffix_length, 1);
	ck_assert_int_eq(*v.suffix, '%');
	ck_assert_int_eq(v.decimals, 2);
}
END_TEST

struct sniffed {
	const char *text;
	char separator;
	char decimal;
	size_t header;
	size_t units;
	size_t first;
	size_t columns;
};

static const struct sniffed texts[] = {
	{ "Time,RPM\n0,1\n1,2\n", ',', '.', 1, 0, 2, 2 },
	{ "Time;RPM\n0;1\n1;2\n", ';', '.', 1, 0, 2, 2 },
	{ "Time\tRPM\n0\t1\n1\t2\n", '\t', '.', 1, 0, 2, 2 },
	{ "Time|RPM\n0|1\n1|2\n", '|', '.', 1, 0, 2, 2 },
	{ "Time;RPM\n0,5;1,5\n1,5;2,5\n", ';', ',', 1, 0, 2, 2 },
	{ "Time;RPM;MAP\n0,5;1;\n1,5;2;\n", ';', ',', 1, 0, 2, 3 },
	{ "Time;MAP\n0;1,5\n1;2\n2;3\n", ';', ',', 1, 0, 2, 2 },
	{ "Time\tRPM\n0,5\t1,5\n1,5\t2,5\n", '\t', ',', 1, 0, 2, 2 },
	{ "Time,RPM\n\"0,5\",\"1,5\"\n\"1,5\",\"2,5\"\n", ',', ',', 1, 0, 2, 2 },
	{ "Time;Note\n0,5;a, b\n1,5;c, d\n", ';', ',', 1, 0, 2, 2 },
	{ "Time,Note\n0.5,a;b\n1.5,c;d\n", ',', '.', 1, 0, 2, 2 },
	{ "0.5,1\n1.5,2\n", ',', '.', 0, 0, 1, 2 },
	{ "x\n\nTime,RPM,MAP\ns,rpm,kPa\n0,1,2\n1,2,3\n", ',', '.', 3, 4, 5, 3 },
	{ "a,b,c\nd,e,f\nTime,RPM,MAP\n0,1,2\n1,2,3\n", ',', '.', 3, 0, 4, 3 },
	{ "Time,RPM,MAP\n0,1,2,\n1,2,3,\n", ',', '.', 1, 0, 2, 4 },
	{ "Time,RPM,MAP,Lambda\n0,1,2\n1,2,3\n", ',', '.', 1, 0, 2, 4 },
	{ "# Time,RPM\n0,1\n1,2\n", ',', '.', 1, 0, 2, 2 },
	{ "Time,RPM\n# s,rpm\n0,1\n1,2\n", ',', '.', 1, 2, 3, 2 },
	{ "Time,RPM\n# made up, of course\n0,1\n1,2\n", ',', '.', 1, 0, 3, 2 },
	{ "Zeit;Drehzahl;Druck\ns;1/min;bar\n0;1;2\n1;2;3\n", ';', '.', 1, 2, 3, 3 },
	{ "Zeit;Drehzahl;Druck\ns;rpm;bar\n0;1;2\n1;2;3\n", ';', '.', 1, 2, 3, 3 },
	{ "Time,RPM\nsek,U/min\n0,1\n1,2\n", ',', '.', 1, 2, 3, 2 },
	{ "Day,Monday\nt,rpm\n0,1\n1,2\n", ',', '.', 2, 0, 3, 2 },
	{ "hello\nRPM\n1\n2\n", ',', '.', 2, 0, 3, 1 },
	{ "a,b\n5,9\nTime,RPM,MAP,Lambda\n0,1,2,3\n1,2,3,4\n", ',', '.', 3, 0, 4, 4 },
	{ "Time,RPM,MAP\n0,1,2\n1,-,3\n", ',', '.', 1, 0, 2, 3 },
	{ "Time,Loop,Fan,Mode,RPM\n0,a,b,c,1\n1,a,b,c,2\n", ',', '.', 1, 0, 2, 5 },
	{ "Time,RPM\n\"0\",\"1\"\n\"1\",\"2\"\n", ',', '.', 1, 0, 2, 2 },
	{ "\"Time\n(s)\",RPM\n0,1\n1,2\n", ',', '.', 1, 0, 3, 2 },
	{ "Time,RPM\n12:00:00,1\n12:00:01,2\n", ',', '.', 1, 0, 2, 2 },
	{ "Time,RPM\n12:00:00.5;1\n0,1\n1,2\n2,3\n", ',', '.', 1, 0, 3, 2 },
	{ "MAP;T\n100kPa;82C\n101kPa;83C\n", ';', '.', 1, 0, 2, 2 },
};

START_TEST(dialects_are_guessed)
{
	static const struct csv_options guess;
	size_t i;

	for (i = 0; i < LENGTH(texts); i++) {
		const struct sniffed *x = &texts[i];
		struct csv_dialect d;
		struct err e = ERR_INIT;

		ck_assert_msg(csv_sniff("x", x->text, strlen(x->text), &guess, &d, &e) == ERR_NONE,
			      "%s: %s", x->text, e.text);
		ck_assert_msg(d.separator == x->separator && d.decimal == x->decimal,
			      "%s: separator %c decimal %c", x->text, d.separator, d.decimal);
		ck_assert_msg(d.header_line == x->header && d.units_line == x->units &&
			      d.first_line == x->first && d.columns == x->columns,
			      "%s: header %zu units %zu first %zu columns %zu", x->text,
			      d.header_line, d.units_line, d.first_line, d.columns);
	}
}
END_TEST

START_TEST(an_unsure_mark_is_told)
{
	static const struct csv_options guess;
	static const struct csv_options comma = { .decimal = ',' };
	struct csv_dialect d;

	csv_sniff("x", BYTES("a;b\n1;2\n3;4\n"), &guess, &d, NULL);
	ck_assert(!d.decimal_sure);
	csv_sniff("x", BYTES("a;b\n1;2,5\n3;4\n"), &guess, &d, NULL);
	ck_assert(d.decimal_sure);
	csv_sniff("x", BYTES("a;b\n1;2\n3;4\n"), &comma, &d, NULL);
	ck_assert(d.decimal_sure && d.decimal == ',');
}
END_TEST

START_TEST(everything_can_be_forced)
{
	static const char text[] = "p,q;r\n1,5;7\n2,5;8\n3,5;9\n";
	struct csv_options o = { .separator = ';' };
	struct csv_dialect d;
	struct err e = ERR_INIT;

	ck_assert_int_eq(csv_sniff("x", BYTES(text), &o, &d, &e), ERR_NONE);
	ck_assert_int_eq(d.separator, ';');
	o.header_line = 2;
	ck_assert_int_eq(csv_sniff("x", BYTES(text), &o, &d, &e), ERR_NONE);
	ck_assert_uint_eq(d.header_line, 2);
	ck_assert_uint_eq(d.first_line, 3);
	o.header_line = -1;
	ck_assert_int_eq(csv_sniff("x", BYTES(text), &o, &d, &e), ERR_NONE);
	ck_assert_uint_eq(d.header_line, 0);
	o.header_line = 4;	/* nothing follows it */
	ck_assert_int_eq(csv_sniff("x", BYTES(text), &o, &d, &e), ERR_USAGE);
	ck_assert_ptr_nonnull(strstr(e.text, "line 4"));
}
END_TEST

START_TEST(a_long_preamble_is_passed)
{
	static const struct csv_options guess;
	struct buf text = BUF_INIT;
	struct csv_dialect d;
	int i;

	for (i = 0; i < 5000; i++)
		buf_puts(&text, "a long line of remarks about the day, the car and the track\n");
	buf_puts(&text, "Time,RPM,MAP\n0,1,2\n1,2,3\n");
	ck_assert_int_eq(csv_sniff("x", text.data, text.len, &guess, &d, NULL), ERR_NONE);
	ck_assert_uint_eq(d.header_line, 5001);
	ck_assert_uint_eq(d.first_line, 5002);
	buf_release(&text);
}
END_TEST

START_TEST(nothing_to_guess_from)
{
	static const struct csv_options guess;
	static const struct {
		const char *text;
		enum err_code code;	/* ERR_DATA: a logger may write rows yet */
	} bad[] = {
		{ "", ERR_DATA }, { "\n\n", ERR_DATA }, { "# only\n# comments\n", ERR_FORMAT },
		{ "words\n", ERR_FORMAT }, { "a,b\nc,d\n", ERR_DATA }, { "-,n/a\n--,NaN\n", ERR_DATA },
	};
	size_t i;

	for (i = 0; i < LENGTH(bad); i++) {
		struct csv_dialect d;
		struct err e = ERR_INIT;

		ck_assert_msg(csv_sniff("x.csv", bad[i].text, strlen(bad[i].text), &guess, &d,
					&e) == bad[i].code, "%s", bad[i].text);
		ck_assert_ptr_nonnull(strstr(e.text, "x.csv: "));
	}
}
END_TEST

START_TEST(too_many_columns)
{
	static const struct csv_options guess;
	struct buf text = BUF_INIT;
	struct csv_dialect d;
	struct err e = ERR_INIT;
	int i;

	for (i = 0; i < 2 * 70000; i++)
		buf_puts(&text, i % 70000 == 69999 ? "1\n" : "1,");
	ck_assert_int_eq(csv_sniff("x", text.data, text.len, &guess, &d, &e), ERR_FORMAT);
	ck_assert_ptr_nonnull(strstr(e.text, "70000"));
	buf_release(&text);
}
END_TEST

Suite *csv_sniff_suite(void)
{
	Suite *s = suite_create("csv_sniff");
	TCase *tc = tcase_create("csv_sniff");

	tcase_set_timeout(tc, 60);
	tcase_add_test(tc, encodings_are_told_and_converted);
	tcase_add_test(tc, binary_is_told);
	tcase_add_test(tc, cells_are_classified);
	tcase_add_test(tc, suffix_and_decimals);
	tcase_add_test(tc, dialects_are_guessed);
	tcase_add_test(tc, an_unsure_mark_is_told);
	tcase_add_test(tc, everything_can_be_forced);
	tcase_add_test(tc, a_long_preamble_is_passed);
	tcase_add_test(tc, nothing_to_guess_from);
	tcase_add_test(tc, too_many_columns);
	suite_add_tcase(s, tc);
	return s;
}
