/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading time stamps and mending clocks. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "data/clock.h"

Suite *clock_suite(void);

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

static const struct {
	const char *cell;
	enum clock_form form;
	double seconds;
	int decimals;
} times[] = {
	{ "0:00", CLOCK_MIN_SEC, 0, 0 },
	{ "1:02.5", CLOCK_MIN_SEC, 62.5, 1 },
	{ "01:02,50", CLOCK_MIN_SEC, 62.5, 2 },
	{ "123:59.999", CLOCK_MIN_SEC, 7439.999, 3 },
	{ "12:00:00", CLOCK_HOUR_MIN_SEC, 43200, 0 },
	{ "12:34:56.789", CLOCK_HOUR_MIN_SEC, 45296.789, 3 },
	{ "9:08:07,6", CLOCK_HOUR_MIN_SEC, 32887.6, 1 },
	{ "00:00:60", CLOCK_HOUR_MIN_SEC, 60, 0 },		/* a leap second */
	{ "100:00:00", CLOCK_HOUR_MIN_SEC, 360000, 0 },		/* elapsed, not of the day */
	{ "-0:01.5", CLOCK_MIN_SEC, -1.5, 1 },
	{ "12:00:00 AM", CLOCK_HOUR_MIN_SEC, 0, 0 },
	{ "12:00:01 PM", CLOCK_HOUR_MIN_SEC, 43201, 0 },
	{ "1:02:03.5 pm", CLOCK_HOUR_MIN_SEC, 46923.5, 1 },
	{ "1:02:03PM", CLOCK_HOUR_MIN_SEC, 46923, 0 },
};

START_TEST(times_without_a_date)
{
	struct clock_stamp stamp;
	size_t i;

	for (i = 0; i < LENGTH(times); i++) {
		const char *cell = times[i].cell;

		ck_assert_msg(clock_parse(cell, strlen(cell), &stamp) == times[i].form, "%s",
			      cell);
		ck_assert_double_eq_tol(stamp.seconds, times[i].seconds, 1e-9);
		ck_assert_int_eq(stamp.decimals, times[i].decimals);
		ck_assert_int_eq(stamp.day, 0);
	}
}
END_TEST

static const struct {
	const char *cell;
	long day;
	double seconds;
	double zone;
} dates[] = {
	{ "1970-01-01T00:00:00Z", 0, 0, 0 },
	{ "1970-01-02 00:00", 1, 0, 0 },
	{ "1969-12-31T23:59:59", -1, 86399, 0 },
	{ "2000-02-29T12:00:00.25Z", 11016, 43200.25, 0 },
	{ "2000-03-01T12:00:00", 11017, 43200, 0 },
	{ "2031-05-12T10:20:30.5+02:00", 22411, 37230.5, 7200 },
	{ "2031-05-12T10:20:30-0330", 22411, 37230, -12600 },
	{ "2031-05-12 10:20:30 +02", 22411, 37230, 7200 },
	{ "2031/5/12 10:20:30", 22411, 37230, 0 },
	{ "12.05.2031 10:20:30,5", 22411, 37230.5, 0 },
	{ "2031-05-12  1:00:00 PM", 22411, 46800, 0 },
};

/* Days checked with `date -u -d ... +%s` divided by 86400. */
START_TEST(times_with_a_date)
{
	struct clock_stamp stamp;
	size_t i;

	for (i = 0; i < LENGTH(dates); i++) {
		const char *cell = dates[i].cell;

		ck_assert_msg(clock_parse(cell, strlen(cell), &stamp) == CLOCK_DATE, "%s", cell);
		ck_assert_msg(stamp.day == dates[i].day, "%s: day %ld", cell, stamp.day);
		ck_assert_double_eq_tol(stamp.seconds, dates[i].seconds, 1e-9);
		ck_assert_double_eq_tol(stamp.zone, dates[i].zone, 1e-9);
	}
}
END_TEST

START_TEST(what_is_no_time)
{
	static const char *const cells[] = {
		"", ":", "1", "1.5", "1:", ":30", "1:2", "1:60.0", "1:61", "14.7:1", "12:60:00",
		"12:00:61", "1:02:03:04", "12:00:00x", "2031-05-12", "2031-05-12T", "a:b",
		"2031-13-01T00:00:00", "2031-00-01T00:00:00", "2031-01-32T00:00:00",
		"2031-05-12T25:00:00", "2031-05-12T10:00:00+2", "2031-05-12T10:00:00+25:00",
		"31-05-12 10:00:00", "12.05.31 10:00:00", "1 :02", "13:00:00 PM", "1:02.5 PM",
		"--1:00", "99999:00",
	};
	struct clock_stamp stamp;
	size_t i;

	for (i = 0; i < LENGTH(cells); i++)
		ck_assert_msg(clock_parse(cells[i], strlen(cells[i]), &stamp) == CLOCK_NONE,
			      "\"%s\" taken for a time", cells[i]);
}
END_TEST

START_TEST(only_n_bytes_count)
{
	struct clock_stamp stamp;

	ck_assert_int_eq(clock_parse("1:02:03", 4, &stamp), CLOCK_MIN_SEC);
	ck_assert_double_eq(stamp.seconds, 62);
}
END_TEST

START_TEST(since_the_first_day)
{
	static const char first_cell[] = "2031-05-12T23:59:59.5+02:00";
	static const char later_cell[] = "2031-05-12T22:00:00.5Z";
	struct clock_stamp first;
	struct clock_stamp later;

	clock_parse(first_cell, strlen(first_cell), &first);
	clock_parse(later_cell, strlen(later_cell), &later);
	ck_assert_double_eq_tol(clock_since(&first, &first), 86399.5, 1e-9);
	/* One second later, told in another zone. */
	ck_assert_double_eq_tol(clock_since(&first, &later), 86400.5, 1e-9);
}
END_TEST

static struct datalog *log_of(const double *t, size_t n)
{
	struct datalog *log = datalog_new("x");

	log->rows = n;
	log->time = mem_array(n, sizeof(*log->time));
	memcpy(log->time, t, n * sizeof(*t));
	return log;
}

static void check_mended(const double *raw, const double *expected, size_t n, double period,
			 size_t sections, size_t notes)
{
	struct datalog *log = log_of(raw, n);
	size_t i;

	clock_mend(log, period);
	for (i = 0; i < n; i++)
		ck_assert_msg(fabs(log->time[i] - expected[i]) < 1e-9, "row %zu: %.12g, not %.12g",
			      i, log->time[i], expected[i]);
	ck_assert_uint_eq(log->section_count, sections);
	ck_assert_uint_eq(log->sections[0].first, 0);
	ck_assert_uint_eq(log->note_count, notes);
	datalog_free(log);
}

#define CHECK_MENDED(raw, expected, period, sections, notes) \
	check_mended(raw, expected, LENGTH(raw), period, sections, notes)

START_TEST(a_good_clock_stays)
{
	static const double t[] = { -1, -0.5, 0, 0.25, 7, 7.5 };

	CHECK_MENDED(t, t, 0, 1, 0);
	CHECK_MENDED(t, t, 86400, 1, 0);
}
END_TEST

START_TEST(repeats_are_spread)
{
	static const double raw[] = { 1, 1, 1, 1, 2, 2, 2, 2, 3, 3 };
	static const double out[] = { 1, 1.25, 1.5, 1.75, 2, 2.25, 2.5, 2.75, 3, 3.25 };

	CHECK_MENDED(raw, out, 0, 1, 1);
}
END_TEST

START_TEST(repeats_stay_below_the_next_stamp)
{
	static const double raw[] = { 0, 0.1, 0.1, 0.2, 0.3 };
	static const double out[] = { 0, 0.1, 0.15, 0.2, 0.3 };

	CHECK_MENDED(raw, out, 0, 1, 1);
}
END_TEST

START_TEST(repeats_before_a_hole_stay_within_the_step)
{
	static const double raw[] = { 0, 0, 1, 1, 50, 50, 51, 51 };
	static const double out[] = { 0, 0.5, 1, 1.5, 50, 50.5, 51, 51.5 };

	CHECK_MENDED(raw, out, 0, 1, 1);
}
END_TEST

START_TEST(jump_back_starts_a_section)
{
	static const double raw[] = { 5, 5.5, 6, 6.5, 0, 0.5, 1, 0.2, 0.7, 1.2 };
	static const double out[] = { 5, 5.5, 6, 6.5, 7, 7.5, 8, 8.5, 9, 9.5 };
	struct datalog *log = log_of(raw, LENGTH(raw));

	CHECK_MENDED(raw, out, 0, 3, 1);
	clock_mend(log, 0);
	ck_assert_uint_eq(log->sections[1].first, 4);
	ck_assert_double_eq_tol(log->sections[1].shift, 7, 1e-12);
	ck_assert_uint_eq(log->sections[2].first, 7);
	ck_assert_double_eq_tol(log->sections[2].shift, 8.3, 1e-12);
	ck_assert_ptr_nonnull(strstr(log->notes[0], "2 rows, the first of them row 5"));
	datalog_free(log);
}
END_TEST

START_TEST(midnight_goes_on)
{
	static const double raw[] = { 86399, 86399.5, 0, 0.5, 1 };
	static const double out[] = { 86399, 86399.5, 86400, 86400.5, 86401 };
	static const double restarted[] = { 86399, 86399.5, 86400, 86400.5, 86401 };

	CHECK_MENDED(raw, out, 86400, 1, 1);
	/* Without a period it is a restart: a section, one step behind. */
	CHECK_MENDED(raw, restarted, 0, 2, 1);
}
END_TEST

START_TEST(an_hour_goes_on)
{
	static const double raw[] = { 3599, 3599.5, 0, 0.5, 1 };
	static const double out[] = { 3599, 3599.5, 3600, 3600.5, 3601 };

	CHECK_MENDED(raw, out, 3600, 1, 1);
}
END_TEST

START_TEST(a_small_jump_is_no_midnight)
{
	static const double raw[] = { 50000, 50001, 50002, 49000, 49001, 49002 };
	static const double out[] = { 50000, 50001, 50002, 50003, 50004, 50005 };

	CHECK_MENDED(raw, out, 86400, 2, 1);
}
END_TEST

START_TEST(missing_stamps_are_interpolated)
{
	static const double raw[] = { NAN, 1, NAN, NAN, 2.5, 3, NAN };
	static const double out[] = { 0.25, 1, 1.5, 2, 2.5, 3, 3.75 };
	static const double all[] = { NAN, NAN, NAN };
	static const double rows[] = { 0, 1, 2 };

	/* The steps between stamps are 1.5 and 0.5; their (upper) median is 1.5. */
	struct datalog *log = log_of(raw, LENGTH(raw));

	clock_mend(log, 0);
	ck_assert_double_eq_tol(log->time[2], out[2], 1e-12);
	ck_assert_double_eq_tol(log->time[3], out[3], 1e-12);
	ck_assert_double_lt(log->time[0], 1);
	ck_assert_double_gt(log->time[6], 3);
	ck_assert_uint_eq(log->note_count, 1);
	datalog_free(log);
	CHECK_MENDED(all, rows, 0, 1, 1);
}
END_TEST

START_TEST(single_strays_start_no_section)
{
	static const double early[] = { 0, 1, 2, 0.5, 4, 5 };
	static const double late[] = { 0, 1, 2, 99, 4, 5 };
	static const double swapped[] = { 0, 1, 3, 2, 4, 5 };
	static const double out[] = { 0, 1, 2, 3, 4, 5 };
	static const double out_swapped[] = { 0, 1, 3, 3.5, 4, 5 };

	CHECK_MENDED(early, out, 0, 1, 1);
	CHECK_MENDED(late, out, 0, 1, 1);
	CHECK_MENDED(swapped, out_swapped, 0, 1, 1);
}
END_TEST

START_TEST(a_clock_that_stands_still)
{
	static const double raw[] = { 7, 7, 7, 7 };
	static const double out[] = { 7, 7.25, 7.5, 7.75 };

	/* No step is known: it counts as one second. */
	CHECK_MENDED(raw, out, 0, 1, 1);
}
END_TEST

START_TEST(no_rows_and_one_row)
{
	static const double one[] = { 3 };
	struct datalog *log = datalog_new("x");

	clock_mend(log, 0);
	ck_assert_uint_eq(log->section_count, 0);
	datalog_free(log);
	CHECK_MENDED(one, one, 0, 1, 0);
}
END_TEST

/* Any stamps at all become a time that never falls, with rows in their places. */
START_TEST(random_clocks_never_fall)
{
	unsigned state = 12345;
	int round;

	for (round = 0; round < 2000; round++) {
		double t[40];
		struct datalog *log;
		size_t i;

		for (i = 0; i < LENGTH(t); i++) {
			state = state * 1103515245u + 12345u;
			t[i] = (state >> 16) % 5 == 0 ? NAN : (double)((state >> 16) % 97) / 4;
		}
		log = log_of(t, LENGTH(t));
		clock_mend(log, round % 2 == 0 ? 0 : 20);
		for (i = 1; i < log->rows; i++)
			ck_assert_msg(log->time[i] >= log->time[i - 1], "round %d row %zu", round,
				      i);
		ck_assert(isfinite(log->time[0]) && isfinite(log->time[log->rows - 1]));
		datalog_free(log);
	}
}
END_TEST

Suite *clock_suite(void)
{
	Suite *s = suite_create("clock");
	TCase *tc = tcase_create("stamps");

	tcase_add_test(tc, times_without_a_date);
	tcase_add_test(tc, times_with_a_date);
	tcase_add_test(tc, what_is_no_time);
	tcase_add_test(tc, only_n_bytes_count);
	tcase_add_test(tc, since_the_first_day);
	suite_add_tcase(s, tc);
	tc = tcase_create("mend");
	tcase_add_test(tc, a_good_clock_stays);
	tcase_add_test(tc, repeats_are_spread);
	tcase_add_test(tc, repeats_stay_below_the_next_stamp);
	tcase_add_test(tc, repeats_before_a_hole_stay_within_the_step);
	tcase_add_test(tc, jump_back_starts_a_section);
	tcase_add_test(tc, midnight_goes_on);
	tcase_add_test(tc, an_hour_goes_on);
	tcase_add_test(tc, a_small_jump_is_no_midnight);
	tcase_add_test(tc, missing_stamps_are_interpolated);
	tcase_add_test(tc, single_strays_start_no_section);
	tcase_add_test(tc, a_clock_that_stands_still);
	tcase_add_test(tc, no_rows_and_one_row);
	tcase_add_test(tc, random_clocks_never_fall);
	suite_add_tcase(s, tc);
	return s;
}
