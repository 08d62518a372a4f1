/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading logs: what the corpus does not show. */
#include <check.h>
#include <fcntl.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/num.h"
#include "base/path.h"
#include "data/csv_read.h"

Suite *csv_read_suite(void);

static struct datalog *read_text(const char *text, const struct csv_options *options)
{
	struct err e = ERR_INIT;
	struct datalog *log;

	ck_assert_msg(csv_read_memory("t.csv", text, strlen(text), options, &log, &e) == ERR_NONE,
		      "%s", e.text);
	return log;
}

static double value(const struct datalog *log, size_t channel, size_t row)
{
	return column_at(log->channels[channel].column, row);
}

/* A file of that content in a directory of its own; remove_file() takes both away. */
static char *write_file(const char *bytes, size_t n)
{
	char dir[] = "twinpull-test-XXXXXX";
	struct err e = ERR_INIT;
	char *path;

	ck_assert_ptr_nonnull(mkdtemp(dir));
	path = path_join(dir, "log.csv");
	ck_assert_msg(path_write_atomic(path, bytes, n, &e) == ERR_NONE, "%s", e.text);
	return path;
}

static void remove_file(char *path)
{
	char *dir = path_dirname(path);

	unlink(path);
	rmdir(dir);
	free(dir);
	free(path);
}

START_TEST(a_file_is_read)
{
	static const char text[] = "Time,RPM\n0,1000\n1,1100\n";
	char *path = write_file(text, strlen(text));
	struct datalog *log;

	ck_assert_int_eq(csv_read(path, NULL, &log, NULL), ERR_NONE);
	ck_assert_str_eq(log->path, path);
	ck_assert_uint_eq(log->rows, 2);
	ck_assert_double_eq(value(log, 1, 1), 1100);
	datalog_free(log);
	remove_file(path);
}
END_TEST

/* Standard input is replaced for a moment by what a pipe gives. */
START_TEST(standard_input_is_read)
{
	static const char text[] = "Time,RPM\n0,1000\n1,1100\n";
	const int kept = dup(STDIN_FILENO);
	struct datalog *log;
	int ends[2];

	ck_assert_int_eq(pipe(ends), 0);
	ck_assert_int_eq(write(ends[1], text, strlen(text)), (ssize_t)strlen(text));
	close(ends[1]);
	dup2(ends[0], STDIN_FILENO);
	close(ends[0]);
	ck_assert_int_eq(csv_read("-", NULL, &log, NULL), ERR_NONE);
	if (kept >= 0) {
		dup2(kept, STDIN_FILENO);
		close(kept);
	}
	ck_assert_str_eq(log->path, "-");
	ck_assert_uint_eq(log->rows, 2);
	datalog_free(log);
}
END_TEST

static void check_error(const char *path, enum err_code code, const char *part)
{
	struct err e = ERR_INIT;
	struct datalog *log = NULL;

	ck_assert_int_eq(csv_read(path, NULL, &log, &e), code);
	ck_assert_int_eq(e.code, code);
	ck_assert_ptr_null(log);
	ck_assert_msg(strstr(e.text, path) != NULL && strstr(e.text, part) != NULL, "%s", e.text);
	ck_assert_int_eq(csv_read(path, NULL, &log, NULL), code);
}

START_TEST(errors_of_files)
{
	char *path = write_file("", 0);
	char *below = path_join(path, "deeper.csv");

	check_error("/nonexistent/log.csv", ERR_IO, "no such file");
	check_error(below, ERR_IO, "no such file");
	check_error("/", ERR_IO, "directory");
	check_error(path, ERR_DATA, "empty");
	if (geteuid() != 0) {
		chmod(path, 0);
		check_error(path, ERR_IO, "permission");
	}
	free(below);
	remove_file(path);
}
END_TEST

START_TEST(no_numbers_after_all)
{
	static const char text[] = "Place,Loop\n1st,a\n2nd,b\n3rd,c\n";
	struct err e = ERR_INIT;
	struct datalog *log;

	ck_assert_int_eq(csv_read_memory("t.csv", text, strlen(text), NULL, &log, &e), ERR_DATA);
	ck_assert_ptr_nonnull(strstr(e.text, "t.csv: from line 2 on no column holds numbers"));
}
END_TEST

/* A child with little room to grow must report, not die; not under a sanitizer. */
START_TEST(out_of_memory_is_reported)
{
#if !defined(__SANITIZE_ADDRESS__)
	const size_t n = (size_t)64 << 20;
	char *bytes = mem_alloc(n);
	char *path;
	pid_t child;
	int status;

	memset(bytes, '1', n);
	path = write_file(bytes, n);
	free(bytes);
	child = fork();
	if (child == 0) {
		struct rlimit limit = { n / 2, n / 2 };
		struct err e = ERR_INIT;
		struct datalog *log;

		setrlimit(RLIMIT_AS, &limit);
		_exit(csv_read(path, NULL, &log, &e) == ERR_MEMORY &&
		      strstr(e.text, "memory") != NULL ? 0 : 1);
	}
	ck_assert_int_eq(waitpid(child, &status, 0), child);
	ck_assert(WIFEXITED(status) && WEXITSTATUS(status) == 0);
	remove_file(path);
#endif
}
END_TEST

START_TEST(five_thousand_columns)
{
	struct buf text = BUF_INIT;
	struct datalog *log;
	int row;
	int i;

	buf_puts(&text, "Time");
	for (i = 1; i < 5000; i++)
		buf_printf(&text, ",Channel with a rather long name %d (kPa)", i);
	for (row = 0; row < 20; row++) {
		buf_printf(&text, "\n%d", row);
		for (i = 1; i < 5000; i++)
			buf_printf(&text, ",%d.%d", row * i, i % 10);
	}
	log = read_text(text.data, NULL);
	ck_assert_uint_eq(log->channel_count, 5000);
	ck_assert_uint_eq(log->rows, 20);
	ck_assert_double_eq(value(log, 4999, 19), 19 * 4999 + 0.9);
	ck_assert_str_eq(log->channels[4999].raw_unit, "kPa");
	datalog_free(log);
	buf_release(&text);
}
END_TEST

START_TEST(a_huge_line)
{
	struct buf text = BUF_INIT;
	struct datalog *log;

	buf_puts(&text, "Time,RPM,Note\n0,1000,\"");
	buf_pad(&text, 'x', 5000000);
	buf_puts(&text, "\"\n1,1100,short\n");
	log = read_text(text.data, NULL);
	ck_assert_uint_eq(log->rows, 2);
	ck_assert_int_eq(column_kind(log->channels[2].column), COLUMN_STATE);
	ck_assert_uint_eq(strlen(column_word(log->channels[2].column, value(log, 2, 0))), 5000000);
	datalog_free(log);
	buf_release(&text);
}
END_TEST

START_TEST(many_different_words)
{
	struct buf text = BUF_INIT;
	struct datalog *log;
	char word[32];
	int i;

	buf_puts(&text, "Time,Id\n");
	for (i = 0; i < 100000; i++)
		buf_printf(&text, "%d,id-%d\n", i, i);
	log = read_text(text.data, NULL);
	for (i = 0; i < 100000; i += 9999) {
		snprintf(word, sizeof(word), "id-%d", i);
		ck_assert_str_eq(column_word(log->channels[1].column, value(log, 1, (size_t)i)),
				 word);
	}
	datalog_free(log);
	buf_release(&text);
}
END_TEST

/* Every number is the one that strtod reads, to the last bit. */
START_TEST(numbers_are_those_of_strtod)
{
	struct buf text = BUF_INIT;
	struct datalog *log;
	unsigned long state = 20310512;
	char cells[3000][32];
	size_t i;

	buf_puts(&text, "Time,A\n");
	for (i = 0; i < 3000; i++) {
		state = state * 6364136223846793005ul + 1442695040888963407ul;
		snprintf(cells[i], sizeof(cells[i]), "%s%lu.%0*lu%s", state & 64 ? "-" : "",
			 (state >> 20) % 100000, (int)(1 + (state >> 40) % 12),
			 (state >> 44) % 1000, state & 128 ? "e-3" : "");
		buf_printf(&text, "%zu,%s\n", i, cells[i]);
	}
	log = read_text(text.data, NULL);
	for (i = 0; i < 3000; i++)
		ck_assert_msg(value(log, 1, i) == strtod(cells[i], NULL), "%s", cells[i]);
	datalog_free(log);
	buf_release(&text);
}
END_TEST

START_TEST(the_locale_does_not_matter)
{
	static const char *const names[] = { "de_DE.UTF-8", "fr_FR.UTF-8", "de_DE.utf8", "C" };
	struct datalog *log;
	size_t i;

	for (i = 0; i < 4; i++) {
		setlocale(LC_ALL, names[i]);
		log = read_text("Time,A\n0.5,1.25\n1.5,2.75e1\n", NULL);
		ck_assert_double_eq(value(log, 1, 1), 27.5);
		datalog_free(log);
		log = read_text("Time;A\n0,5;1,25\n1,5;1234567890123456789,75\n", NULL);
		ck_assert_double_eq(value(log, 1, 0), 1.25);
		ck_assert_double_eq(value(log, 1, 1), 1234567890123456789.75);
		datalog_free(log);
	}
	setlocale(LC_ALL, "C");
}
END_TEST

START_TEST(decimals_of_columns)
{
	struct datalog *log = read_text("Time,A,B,C\n10:00:00.25,1,1.50,kPa\n"
					"10:00:00.50,2,2.5,x\n", NULL);

	ck_assert_int_eq(column_decimals(log->channels[0].column), 2);
	ck_assert_int_eq(column_decimals(log->channels[1].column), 0);
	ck_assert_int_eq(column_decimals(log->channels[2].column), 2);
	datalog_free(log);
}
END_TEST

/* Many bad cells do not hide the bad rows, nor the other way round. */
START_TEST(places_of_both_kinds)
{
	struct buf text = BUF_INIT;
	struct datalog *log;
	size_t rows = 0;
	size_t i;

	buf_puts(&text, "Time,RPM,MAP\n");
	for (i = 0; i < 60; i++)
		buf_printf(&text, "%zu,%s,%zu\n", i, i % 3 == 2 ? "oops" : "900", i);
	for (i = 0; i < 20; i++)
		buf_puts(&text, "footer\n");
	log = read_text(text.data, NULL);
	ck_assert_uint_eq(log->bad_cells, 20);
	ck_assert_uint_eq(log->bad_rows, 20);
	ck_assert_uint_eq(log->place_count, DATALOG_PLACES);
	for (i = 0; i < log->place_count; i++)
		rows += log->places[i].field == 0;
	ck_assert_uint_eq(rows, DATALOG_PLACES / 2);
	ck_assert_uint_eq(log->places[0].line, 62);
	ck_assert_uint_eq(log->places[DATALOG_PLACES / 2].line, 4);
	ck_assert_uint_eq(log->places[DATALOG_PLACES / 2].field, 2);
	datalog_free(log);
	buf_release(&text);
}
END_TEST

START_TEST(places_are_in_the_order_of_lines)
{
	struct datalog *log = read_text("Time,A,B\n0,1,1\n1,2,x\n2,y,3\n3,4,z\n4,5,5\n"
					"5,6,6\n6,7,7\n", NULL);

	ck_assert_uint_eq(log->place_count, 3);
	ck_assert_uint_eq(log->places[0].line, 3);
	ck_assert_uint_eq(log->places[1].line, 4);
	ck_assert_uint_eq(log->places[2].line, 5);
	ck_assert_str_eq(log->places[1].text, "y");
	datalog_free(log);
}
END_TEST

START_TEST(text_is_made_safe_and_short)
{
	struct datalog *log = read_text("Time,RPM\x1b[2J,State of the water pump\n"
					"0,1000,running\x07\n1,\x1b]0;a title that is far too "
					"long to be shown in a message\x07,running still\n"
					"2,3000,as it was\n3,4000,switched off for good\n",
					NULL);

	ck_assert_str_eq(log->channels[1].raw_name, "RPM [2J");
	ck_assert_str_eq(column_word(log->channels[2].column, 0), "running ");
	ck_assert_uint_eq(log->place_count, 1);
	ck_assert_uint_le(strlen(log->places[0].text), 40);
	ck_assert_ptr_null(strchr(log->places[0].text, '\x1b'));
	datalog_free(log);
}
END_TEST

START_TEST(the_decimal_mark_is_settled_late)
{
	struct buf text = BUF_INIT;
	struct datalog *log;
	int i;

	buf_puts(&text, "Time;MAP\n");
	for (i = 0; i < 30000; i++)
		buf_printf(&text, "%d;100\n", i);
	buf_puts(&text, "30000;101,5\n30001;102,5\n");
	log = read_text(text.data, NULL);
	ck_assert_double_eq(value(log, 1, 30000), 101.5);
	ck_assert_double_eq(value(log, 1, 30001), 102.5);
	ck_assert_uint_eq(log->bad_cells, 0);
	ck_assert_ptr_nonnull(strstr(log->notes[1], "line 30002"));
	datalog_free(log);
	buf_release(&text);
}
END_TEST

START_TEST(rate_and_time_column)
{
	static const struct csv_options rate = { .rate = 50 };
	struct datalog *log = read_text("RPM,MAP\n1000,100\n1100,99\n1050,101\n", &rate);

	ck_assert_int_eq(log->time_source, TIME_RATE);
	ck_assert_double_eq(log->time[2], 0.04);
	ck_assert_uint_eq(log->section_count, 1);
	datalog_free(log);
	/* A column that says that it is the time counts more than the rate; it is noted. */
	log = read_text("Time,MAP\n0,100\n1,99\n2,101\n", &rate);
	ck_assert_int_eq(log->time_source, TIME_COLUMN);
	ck_assert_double_eq(log->time[2], 2);
	ck_assert_ptr_nonnull(strstr(log->notes[0], "rate"));
	datalog_free(log);
	/* One that only looks like a clock does not. */
	log = read_text("0.0,100\n0.5,99\n1.0,101\n", &rate);
	ck_assert_int_eq(log->time_source, TIME_RATE);
	datalog_free(log);
}
END_TEST

START_TEST(a_quantity_that_rises_is_no_time)
{
	struct datalog *log = read_text("Engine speed,MAP\n1000,100\n1100,99\n1200,101\n1300,7\n",
					NULL);

	ck_assert_int_eq(log->time_source, TIME_ROWS);
	ck_assert_str_eq(log->channels[0].raw_unit, "");
	datalog_free(log);
}
END_TEST

START_TEST(the_time_column_stays_as_it_was)
{
	struct datalog *log = read_text("Time (ms),MAP\n1000,100\n1050,99\n1050,101\n900,7\n"
					"950,3\n", NULL);

	ck_assert_double_eq(log->time[0], 1);
	ck_assert_double_eq(value(log, 0, 2), 1050);
	ck_assert_double_eq(value(log, 0, 3), 900);
	ck_assert_uint_eq(log->section_count, 2);
	datalog_free(log);
}
END_TEST

START_TEST(forced_time_by_any_of_its_names)
{
	static const char text[] = "Elapsed something (ms);RPM\n0;1000\n50;1100\n100;1200\n";
	static const char *const words[] = { "Elapsed something (ms)", "elapsed SOMETHING" };
	size_t i;

	for (i = 0; i < 2; i++) {
		const struct csv_options o = { .time_name = words[i] };
		struct datalog *log = read_text(text, &o);

		ck_assert_int_eq(log->time_source, TIME_COLUMN);
		ck_assert_double_eq(log->time[2], 0.1);
		datalog_free(log);
	}
}
END_TEST

Suite *csv_read_suite(void)
{
	Suite *s = suite_create("csv_read");
	TCase *tc = tcase_create("files");

	tcase_set_timeout(tc, 60);
	tcase_add_test(tc, a_file_is_read);
	tcase_add_test(tc, standard_input_is_read);
	tcase_add_test(tc, errors_of_files);
	tcase_add_test(tc, out_of_memory_is_reported);
	suite_add_tcase(s, tc);
	tc = tcase_create("cells");
	tcase_set_timeout(tc, 60);
	tcase_add_test(tc, no_numbers_after_all);
	tcase_add_test(tc, five_thousand_columns);
	tcase_add_test(tc, a_huge_line);
	tcase_add_test(tc, many_different_words);
	tcase_add_test(tc, numbers_are_those_of_strtod);
	tcase_add_test(tc, the_locale_does_not_matter);
	tcase_add_test(tc, decimals_of_columns);
	tcase_add_test(tc, places_of_both_kinds);
	tcase_add_test(tc, places_are_in_the_order_of_lines);
	tcase_add_test(tc, text_is_made_safe_and_short);
	tcase_add_test(tc, the_decimal_mark_is_settled_late);
	suite_add_tcase(s, tc);
	tc = tcase_create("time");
	tcase_add_test(tc, rate_and_time_column);
	tcase_add_test(tc, a_quantity_that_rises_is_no_time);
	tcase_add_test(tc, the_time_column_stays_as_it_was);
	tcase_add_test(tc, forced_time_by_any_of_its_names);
	suite_add_tcase(s, tc);
	return s;
}
