/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows, rates and sensors, on a log made by hand: what passes, and what just does not. */
#include <check.h>
#include <math.h>

#include "judge/ready_trial.h"

Suite *ready_rows_suite(void);

/* One channel in three rows of four, then the slowest decides. */
START_TEST(rates)
{
	struct values lambda = steady(0.84, 0.1);
	struct trial t;
	size_t i;

	for (i = 0; i < ROWS; i++)
		if (i % 4 != 0)
			lambda.v[i] = NAN;
	full_init(&t);
	change(&t, "Lambda", lambda);
	judge(&t, 1);
	expect_line(&t, "rate", READY_WEAK, 5.0, 1e-6);
	ck_assert_ptr_nonnull(strstr(line_of(&t, "rate")->text, "Too slow to exclude"));
	expect_line(&t, "skew", READY_WEAK, 0.2, 1e-6);
	expect_line(&t, "gaps", READY_PASS, 0.0, 0.0);
	trial_release(&t);

	/* temperatures may come as slowly as they like */
	for (i = 0; i < ROWS; i++)
		lambda.v[i] = i % 40 == 0 ? 25.0 : NAN;
	full_init(&t);
	change(&t, "IAT", lambda);
	release_and_expect(&t, "rate", READY_PASS, 20.0, 1e-6);

	full_init(&t);
	t.request.rate_hz = 25.0;
	release_and_expect(&t, "rate", READY_WEAK, 20.0, 1e-6);
	full_init(&t);
	t.request.rate_hz = 100.0;
	release_and_expect(&t, "rate", READY_FAIL, 20.0, 1e-6);
}
END_TEST

/* The logger repeats lambda until it has a new one: it is as slow as if it were blank. */
START_TEST(held_values)
{
	struct values lambda;
	struct trial t;
	size_t i;

	for (i = 0; i < ROWS; i++)
		lambda.v[i] = 0.84 + wiggle((i / 5) * (i / 5));
	full_init(&t);
	change(&t, "Lambda", lambda);
	judge(&t, 1);
	expect_line(&t, "rate", READY_WEAK, 4.0, 1e-6);
	ck_assert_ptr_nonnull(strstr(line_of(&t, "rate")->text, "has a new value"));
	trial_release(&t);
}
END_TEST

START_TEST(uneven_rows)
{
	struct trial t;
	size_t i;

	full_init(&t);
	for (i = 1; i < ROWS; i += 2)
		t.log->time[i] += 0.2 / RATE;
	judge(&t, 1);
	expect_line(&t, "regular", READY_PASS, 0.2 / RATE, 1e-9);
	trial_release(&t);
	full_init(&t);
	for (i = 1; i < ROWS; i += 2)
		t.log->time[i] += 0.6 / RATE;
	judge(&t, 1);
	ck_assert_int_eq(line_of(&t, "regular")->result, READY_WEAK);
	trial_release(&t);
}
END_TEST

/* Missing cells of a channel that must come fast. */
START_TEST(gaps)
{
	static const struct {
		size_t rows;
		enum ready_result result;
	} cases[] = {
		{ 3, READY_PASS }, { 10, READY_WEAK }, { 40, READY_FAIL },
	};
	size_t i, k;

	for (i = 0; i < COUNT(cases); i++) {
		struct values boost = from_rpm(0.02);
		struct trial t;

		for (k = 0; k < cases[i].rows; k++)
			boost.v[ROLL + 50 + k] = NAN;
		full_init(&t);
		change(&t, "Boost", boost);
		release_and_expect(&t, "gaps", cases[i].result,
				   (double)(cases[i].rows + 1) / RATE, 1e-6);
	}
}
END_TEST

/* Every second row is the one before again, in every channel. */
START_TEST(repeated_rows)
{
	struct trial t;
	size_t i, k;

	full_init(&t);
	for (k = 0; k < t.log->channel_count; k++) {
		struct values v;

		for (i = 0; i < ROWS; i++)
			v.v[i] = column_at(t.log->channels[k].column, i - i % 2);
		change(&t, t.log->channels[k].name, v);
	}
	judge(&t, 1);
	expect_line(&t, "repeats", READY_WEAK, 50.0, 1.0);
	expect_line(&t, "rate", READY_PASS, 10.0, 1e-6);
	trial_release(&t);
}
END_TEST

/* A section that begins just behind the pull, and one that is far from it. */
START_TEST(restarts)
{
	static const struct {
		size_t row;
		enum ready_result result;
	} cases[] = {
		{ 5, READY_PASS }, { ROLL - 10, READY_WEAK },
	};
	size_t i;

	for (i = 0; i < COUNT(cases); i++) {
		struct trial t;

		full_init(&t);
		free(t.log->sections);
		t.log->sections = mem_array(2, sizeof *t.log->sections);
		t.log->sections[1].first = cases[i].row;
		t.log->section_count = 2;
		release_and_expect(&t, "clock", cases[i].result, 1.0, 0.0);
	}
}
END_TEST

START_TEST(channels)
{
	struct trial t;

	full_init(&t);
	drop(&t, "Lambda");
	release_and_expect(&t, "channels", READY_WEAK, 1.0, 0.0);

	full_init(&t);
	drop(&t, "Lambda");
	t.request.path = mem_strdup("request.ini");
	judge(&t, 1);
	expect_line(&t, "channels", READY_FAIL, 1.0, 0.0);
	ck_assert_ptr_nonnull(strstr(line_of(&t, "channels")->text, ": lambda."));
	trial_release(&t);

	/* manifold pressure stands in for boost */
	full_init(&t);
	drop(&t, "Boost");
	release_and_expect(&t, "channels", READY_PASS, 0.0, 0.0);
	full_init(&t);
	drop(&t, "Boost");
	drop(&t, "MAP");
	release_and_expect(&t, "channels", READY_WEAK, 1.0, 0.0);
}
END_TEST

START_TEST(stuck_channels)
{
	static const struct {
		const char *name;
		double share;		/* of the pull that it stands still */
		enum ready_result result;
	} cases[] = {
		{ "Lambda", 0.5, READY_PASS }, { "Lambda", 0.7, READY_WEAK },
		{ "MAP", 0.9, READY_PASS }, { "MAP", 1.0, READY_WEAK },
		{ "Timing", 0.9, READY_PASS }, { "Timing", 1.0, READY_WEAK },
		{ "Speed", 0.2, READY_PASS }, { "Speed", 0.4, READY_WEAK },
		{ "Knock", 1.0, READY_PASS },
	};
	size_t i, k;

	for (i = 0; i < COUNT(cases); i++) {
		const size_t rows = (size_t)lround(cases[i].share * PULL) + 1;
		struct values v;
		struct trial t;

		full_init(&t);
		for (k = 0; k < ROWS; k++)
			v.v[k] = column_at(of(&t, cases[i].name)->column,
					   k >= ROLL && k < ROLL + rows ? ROLL : k);
		change(&t, cases[i].name, v);
		column_set_decimals(of(&t, "Lambda")->column, 3);
		judge(&t, 1);
		ck_assert_msg(line_of(&t, "stuck")->result == cases[i].result, "%s %g: %s",
			      cases[i].name, cases[i].share, line_of(&t, "stuck")->text);
		trial_release(&t);
	}
}
END_TEST

/* A road speed that is lost for a while, noise on it. */
START_TEST(lost_speed)
{
	struct values speed = from_rpm(1.0 / RATIO);
	struct trial t;
	size_t k;

	for (k = 0; k < 12; k++)
		speed.v[ROLL + 90 + k] = wiggle(k);
	full_init(&t);
	change(&t, "Speed", speed);
	release_and_expect(&t, "stuck", READY_WEAK, 0.6, 1e-6);
}
END_TEST

Suite *ready_rows_suite(void)
{
	Suite *s = suite_create("ready_rows");
	TCase *t = tcase_create("questions");

	tcase_add_test(t, rates);
	tcase_add_test(t, held_values);
	tcase_add_test(t, uneven_rows);
	tcase_add_test(t, gaps);
	tcase_add_test(t, repeated_rows);
	tcase_add_test(t, restarts);
	tcase_add_test(t, channels);
	tcase_add_test(t, stuck_channels);
	tcase_add_test(t, lost_speed);
	suite_add_tcase(s, t);
	return s;
}
