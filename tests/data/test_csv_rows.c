/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows of a CSV text, rule by rule of RFC 4180 section 2, and what goes beyond it. */
#include <check.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "data/csv_rows.h"

Suite *csv_rows_suite(void);

/*
 * The rows as text: cells in <>, rows end with a newline, "N:" is the line, "#" a
 * comment, "!" an open quote.
 */
static char *rows_by(bool libcsv, const char *text, size_t n, char separator, bool comments)
{
	char *exact = mem_alloc(n);
	struct csv_rows *rows = csv_rows_new(separator, comments, libcsv);
	struct buf out = BUF_INIT;
	struct csv_row row;
	enum csv_step step;
	size_t i;

	csv_rows_over(rows, memcpy(exact, text, n), n, 1, false);
	while ((step = csv_rows_next(rows, &row)) == CSV_STEP_ROW) {
		buf_printf(&out, "%zu:%s%s", row.line, row.comment ? "#" : "",
			   row.open_quote ? "!" : "");
		for (i = 0; i < row.count; i++) {
			buf_putc(&out, '<');
			buf_add(&out, row.cells[i].text, row.cells[i].length);
			buf_putc(&out, '>');
		}
		buf_putc(&out, '\n');
	}
	ck_assert_int_eq(step, CSV_STEP_END);
	ck_assert_uint_eq(csv_rows_offset(rows), n);
	csv_rows_free(rows);
	free(exact);
	buf_puts(&out, "");
	return buf_take(&out);
}

/* By libcsv alone, and with our own hand at lines without a quote: the same rows. */
static char *rows_of(const char *text, size_t n, char separator, bool comments)
{
	char *rows = rows_by(false, text, n, separator, comments);
	char *all_libcsv = rows_by(true, text, n, separator, comments);

	ck_assert_str_eq(rows, all_libcsv);
	free(all_libcsv);
	return rows;
}

static void check_rows(const char *text, char separator, const char *expected)
{
	char *rows = rows_of(text, strlen(text), separator, true);

	ck_assert_str_eq(rows, expected);
	free(rows);
}

/* The examples of these rules are the RFC's own. */
START_TEST(rule_1_a_record_a_line_crlf)
{
	check_rows("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", ',', "1:<aaa><bbb><ccc>\n2:<zzz><yyy><xxx>\n");
}
END_TEST

START_TEST(rule_2_last_line_break_is_optional)
{
	check_rows("aaa,bbb,ccc\r\nzzz,yyy,xxx", ',', "1:<aaa><bbb><ccc>\n2:<zzz><yyy><xxx>\n");
}
END_TEST

START_TEST(rule_3_header_has_the_same_format)
{
	check_rows("field_name,field_name,field_name\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", ',',
		   "1:<field_name><field_name><field_name>\n2:<aaa><bbb><ccc>\n"
		   "3:<zzz><yyy><xxx>\n");
}
END_TEST

/*
 * Blanks inside an unquoted cell are part of it.  Blanks around one are not kept,
 * which departs from the rule: loggers pad cells, and names would not match.
 */
START_TEST(rule_4_cells_and_blanks)
{
	check_rows("aaa,b b b,ccc\r\n", ',', "1:<aaa><b b b><ccc>\n");
	check_rows("aaa , bbb,\tccc \r\n", ',', "1:<aaa><bbb><ccc>\n");
	check_rows("aaa,\" bbb \",ccc\r\n", ',', "1:<aaa>< bbb ><ccc>\n");
	check_rows("aaa,bbb,\r\n,,\r\n", ',', "1:<aaa><bbb><>\n2:<><><>\n");
}
END_TEST

START_TEST(rule_5_quotes_are_optional)
{
	check_rows("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", ',',
		   "1:<aaa><bbb><ccc>\n2:<zzz><yyy><xxx>\n");
	/* A quote inside an unquoted cell breaks the rule; it is a plain character. */
	check_rows("5\" pipe,x\"\"y\r\n", ',', "1:<5\" pipe><x\"\"y>\n");
}
END_TEST

START_TEST(rule_6_line_breaks_and_commas_in_quotes)
{
	check_rows("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,\"y,y\",xxx", ',',
		   "1:<aaa><b\r\nbb><ccc>\n3:<zzz><y,y><xxx>\n");
}
END_TEST

START_TEST(rule_7_doubled_quotes)
{
	check_rows("\"aaa\",\"b\"\"bb\",\"ccc\"", ',', "1:<aaa><b\"bb><ccc>\n");
	check_rows("\"\"\"\",\"\",\"\"\"\"\"\"\n", ',', "1:<\"><><\"\">\n");
}
END_TEST

START_TEST(separators_other_than_comma)
{
	check_rows("a;b,c;\"d;e\"\n", ';', "1:<a><b,c><d;e>\n");
	check_rows("a\tb c\t\t\"d\te\"\n", '\t', "1:<a><b c><><d\te>\n");
	check_rows("\t\t\n \t1\n", '\t', "1:<><><>\n2:<><1>\n");
	check_rows("a|b||c\n", '|', "1:<a><b><><c>\n");
}
END_TEST

START_TEST(line_ends_and_blank_lines_count)
{
	check_rows("a\n\n  \nb\r\r\nc\r\n\r\nd", ',', "1:<a>\n4:<b>\n6:<c>\n8:<d>\n");
	check_rows("", ',', "");
	check_rows("\n\r\n", ',', "");
}
END_TEST

START_TEST(comments_are_told)
{
	check_rows("# a,b\n## c\n%d\n//e,f\n;g\n  # h\nx#,y\n", ',',
		   "1:#<a><b>\n2:#<c>\n3:#<d>\n4:#<e><f>\n5:#<g>\n6:#<h>\n7:<x#><y>\n");
	check_rows("#\n#  \n//\nx\n", ',', "4:<x>\n");
	check_rows(";a\n", ';', "1:<><a>\n");		/* a separator, no mark */
	check_rows("#,a\n", ',', "1:<#><a>\n");		/* a name, no mark */
	check_rows("/a\n", ',', "1:</a>\n");
}
END_TEST

START_TEST(comments_can_be_off)
{
	static const char text[] = "#1,a\n//b\n";
	char *rows = rows_of(text, strlen(text), ',', false);

	ck_assert_str_eq(rows, "1:<#1><a>\n2:<//b>\n");
	free(rows);
}
END_TEST

START_TEST(a_comment_never_runs_on)
{
	check_rows("# \"open\n1,2\n", ',', "1:#!<\"open>\n2:<1><2>\n");
}
END_TEST

START_TEST(an_open_quote_costs_one_line)
{
	check_rows("a,\"b\nc,d\ne,f\n", ',', "1:!<a><\"b>\n2:<c><d>\n3:<e><f>\n");
	check_rows("a,\"b", ',', "1:!<a><\"b>\n");
	check_rows("\"", ',', "1:!<\">\n");
}
END_TEST

START_TEST(a_quoted_cell_of_many_lines_is_astray)
{
	struct buf text = BUF_INIT;
	char *rows;
	int i;

	buf_puts(&text, "a,\"b\n");
	for (i = 0; i < 200; i++)
		buf_puts(&text, "1,2\n");
	buf_puts(&text, "c\",d\n");
	rows = rows_of(text.data, text.len, ',', true);
	ck_assert_msg(strncmp(rows, "1:!<a><\"b>\n2:<1><2>\n", 20) == 0, "%.40s", rows);
	ck_assert_ptr_nonnull(strstr(rows, "\n202:<c\"><d>\n"));
	free(rows);
	buf_release(&text);
}
END_TEST

START_TEST(long_lines)
{
	const size_t n = 3000000;
	char *text = mem_alloc(n);
	char *rows;

	memset(text, 'x', n);
	text[n / 2] = ',';
	rows = rows_of(text, n, ',', true);
	ck_assert_uint_eq(strlen(rows), n - 1 + strlen("1:<><>\n"));
	free(rows);
	free(text);
}
END_TEST

START_TEST(lines_without_a_quote_are_as_by_libcsv)
{
	static const char chars[] = "ab1, ;\t|\n\r\r\n, \t\"#%/-.\xc3\xa9";
	static const char separators[] = ",;\t| x";
	uint32_t state = 41;
	char text[60];
	size_t n, i;
	int trial;

	for (trial = 0; trial < 20000; trial++) {
		state = state * 1664525u + 1013904223u;
		n = (state >> 8) % sizeof(text);
		for (i = 0; i < n; i++) {
			state = state * 1664525u + 1013904223u;
			text[i] = chars[(state >> 8) % (sizeof(chars) - 1)];
		}
		free(rows_of(text, n, separators[trial % 6], trial % 4 < 2));
	}
}
END_TEST

Suite *csv_rows_suite(void)
{
	Suite *s = suite_create("csv_rows");
	TCase *tc = tcase_create("RFC 4180 section 2");

	tcase_add_test(tc, rule_1_a_record_a_line_crlf);
	tcase_add_test(tc, rule_2_last_line_break_is_optional);
	tcase_add_test(tc, rule_3_header_has_the_same_format);
	tcase_add_test(tc, rule_4_cells_and_blanks);
	tcase_add_test(tc, rule_5_quotes_are_optional);
	tcase_add_test(tc, rule_6_line_breaks_and_commas_in_quotes);
	tcase_add_test(tc, rule_7_doubled_quotes);
	suite_add_tcase(s, tc);
	tc = tcase_create("beyond");
	tcase_add_test(tc, separators_other_than_comma);
	tcase_add_test(tc, line_ends_and_blank_lines_count);
	tcase_add_test(tc, comments_are_told);
	tcase_add_test(tc, comments_can_be_off);
	tcase_add_test(tc, a_comment_never_runs_on);
	tcase_add_test(tc, an_open_quote_costs_one_line);
	tcase_add_test(tc, a_quoted_cell_of_many_lines_is_astray);
	tcase_add_test(tc, long_lines);
	tcase_add_test(tc, lines_without_a_quote_are_as_by_libcsv);
	suite_add_tcase(s, tc);
	return s;
}
