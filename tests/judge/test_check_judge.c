/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of holding a measure against limits: runs, joining, durations, levels. */
#include "judge/check_court.h"

Suite *check_judge_suite(void);

START_TEST(test_one_run)
{
	struct court c;

	open_court(&c, 100);
	court_put(&c, 20, 39, 3);
	c.v[30] = 4.5;
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	court_assert_finding(&c.report.findings[0], SEVERITY_CAUTION, 20, 39);
	ck_assert_uint_eq(c.report.findings[0].samples, 20);
	CHECK_NEAR(c.report.findings[0].over_s, 19 * STEP, 1e-9);	/* as from_s .. to_s */
	CHECK_NEAR(c.report.findings[0].worst, 4.5, 0);
	CHECK_NEAR(c.report.findings[0].worst_s, 30 * STEP, 1e-9);
	CHECK_NEAR(c.report.findings[0].worst_rpm, court_rpm(30 * STEP), 1e-6);
	CHECK_NEAR(c.report.findings[0].limit, 2, 1e-12);
	CHECK_NEAR(c.report.findings[0].interval_s, STEP, 1e-9);
	ck_assert_int_eq(c.report.findings[0].sure, SURE_CLEAR);
	ck_assert_int_eq(c.report.worst, SEVERITY_CAUTION);
	close_court(&c);
}
END_TEST

/* A note says what is worth knowing: not what may be noise. */
START_TEST(test_thin_note)
{
	struct court c;

	open_court(&c, 100);
	c.limit.level[SEVERITY_NOTE] = (struct limit_line){ 1, { 0 }, { 1 } };
	court_put(&c, 20, 21, 1.5);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 0);
	court_put(&c, 20, 29, 1.5);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	court_assert_finding(&c.report.findings[0], SEVERITY_NOTE, 20, 29);
	close_court(&c);
}
END_TEST

/* A drive at its stop is no noise, however it moves elsewhere: the note is given. */
START_TEST(test_still_among_motion)
{
	struct court c;
	size_t i;

	open_court(&c, 100);
	c.limit.level[SEVERITY_NOTE] = (struct limit_line){ 1, { 0 }, { 1 } };
	for (i = 0; i < 100; i++)
		c.v[i] = i % 4 < 2 ? 0.5 : -3.0;
	court_put(&c, 40, 44, 1.1);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 0);	/* too few to say */
	court_put(&c, 40, 60, 1.1);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	court_assert_finding(&c.report.findings[0], SEVERITY_NOTE, 40, 60);
	ck_assert_int_eq(c.report.findings[0].sure, SURE_CLEAR);
	close_court(&c);
}
END_TEST

/* Polled every fifth row and repeated in between. */
static double held_lambda(double t)
{
	const double polled = floor(t / (5 * STEP) + 1e-6);

	return 0.8 + 0.05 * sin(1.7 * polled);
}

/* Values that the logger repeats are one sample: two of them are thin, one is no finding. */
START_TEST(test_held)
{
	struct court c;

	open_court(&c, 100);
	c.channel = *put_function(c.log, "lambda", Q_LAMBDA, "lambda", held_lambda);
	court_put(&c, 20, 29, 3);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	ck_assert_uint_eq(c.report.findings[0].samples, 2);
	ck_assert_int_eq(c.report.findings[0].sure, SURE_THIN);
	CHECK_NEAR(c.report.findings[0].interval_s, 5 * STEP, 1e-9);
	CHECK_NEAR(c.report.findings[0].over_s, 9 * STEP, 1e-9);
	court_put(&c, 25, 29, 0);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 0);
	close_court(&c);
}
END_TEST

/* What a measure only guesses is a note, whatever the limit that it is over. */
START_TEST(test_guess)
{
	struct court c;

	open_court(&c, 100);
	c.limit.least_s = 0.0;
	court_put(&c, 20, 39, 30);
	court_judge(&c);
	ck_assert_int_eq(c.report.worst, SEVERITY_STOP);
	check_report_release(&c.report);
	c.measure.guess = true;
	ck_assert_int_eq(check_judge(&c.report, &c.check, &c.scene, &c.measure, &c.limit, NULL),
			 ERR_NONE);
	ck_assert_uint_eq(c.report.count, 0);	/* the check's own findings must last */
	c.check.least_s = 0.0;
	c.limit.own[SEVERITY_STOP] = true;
	ck_assert_int_eq(check_judge(&c.report, &c.check, &c.scene, &c.measure, &c.limit, NULL),
			 ERR_NONE);
	ck_assert_uint_eq(c.report.count, 1);
	ck_assert(c.report.findings[0].own);	/* of the level that it is over, not of the note */
	court_assert_finding(&c.report.findings[0], SEVERITY_NOTE, 20, 39);
	ck_assert_int_eq(c.report.findings[0].sure, SURE_THIN);
	close_court(&c);
}
END_TEST

/* Exactly at the limit is not over it. */
START_TEST(test_at_the_limit)
{
	struct court c;

	open_court(&c, 100);
	court_put(&c, 0, 99, 2);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 0);
	ck_assert_int_eq(c.report.worst, SEVERITY_NONE);
	close_court(&c);
}
END_TEST

/* One sample alone may be noise; where nothing must last it counts. */
START_TEST(test_one_sample)
{
	struct court c;

	open_court(&c, 100);
	court_put(&c, 50, 50, 30);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 0);
	c.limit.least_s = 0.0;
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	ck_assert_int_eq(c.report.findings[0].sure, SURE_THIN);
	close_court(&c);
}
END_TEST

/* A sample stands for an interval, and half a one is allowed for: 0.5 s takes 9 of 20 Hz. */
START_TEST(test_least_duration)
{
	struct court c;

	open_court(&c, 100);
	c.limit.least_s = 0.5;
	court_put(&c, 20, 27, 3);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 0);
	court_put(&c, 20, 29, 3);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	close_court(&c);
}
END_TEST

/* The severest level of a place only; elsewhere the lesser one stands. */
START_TEST(test_levels)
{
	struct court c;

	open_court(&c, 200);
	court_put(&c, 20, 60, 3);
	court_put(&c, 30, 40, 7);
	court_put(&c, 100, 120, 3);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 2);
	court_assert_finding(&c.report.findings[0], SEVERITY_STOP, 30, 40);
	court_assert_finding(&c.report.findings[1], SEVERITY_CAUTION, 100, 120);
	CHECK_NEAR(c.report.findings[0].limit, 5, 1e-12);
	ck_assert_int_eq(c.report.worst, SEVERITY_STOP);
	close_court(&c);
}
END_TEST

/* A dip of two samples by little is bridged, by much it is not, nor is a long one. */
START_TEST(test_joining)
{
	struct court c;

	open_court(&c, 200);
	court_put(&c, 20, 60, 3);
	court_put(&c, 40, 41, 1.5);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	court_assert_finding(&c.report.findings[0], SEVERITY_CAUTION, 20, 60);
	ck_assert_uint_eq(c.report.findings[0].samples, 39);

	court_put(&c, 40, 41, -40);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 2);
	court_assert_finding(&c.report.findings[0], SEVERITY_CAUTION, 20, 39);
	court_assert_finding(&c.report.findings[1], SEVERITY_CAUTION, 42, 60);

	court_put(&c, 36, 44, 1.99);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 2);
	close_court(&c);
}
END_TEST

/* The noise of a value that is truly over the limit does not cut the event in pieces. */
START_TEST(test_noise_makes_one)
{
	static const double noise[] = { 0.9, -0.7, 0.3, -0.9, 1.1, -0.2, 0.6, -1.2, 0.1, 0.8 };
	struct court c;
	size_t i;

	open_court(&c, 200);
	for (i = 0; i < 200; i++)
		c.v[i] = (i >= 60 && i < 140 ? 2.6 : 0.4) + noise[(i * 7) % 10];
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	CHECK_NEAR(c.report.findings[0].from_s, 60 * STEP, STEP + 1e-9);
	CHECK_NEAR(c.report.findings[0].to_s, 139 * STEP, STEP + 1e-9);
	ck_assert_int_eq(c.report.findings[0].sure, SURE_THIN);
	close_court(&c);
}
END_TEST

START_TEST(test_under)
{
	struct court c;

	open_court(&c, 100);
	c.check.side = CHECK_UNDER;
	c.limit.level[SEVERITY_CAUTION].value[0] = -2;
	c.limit.level[SEVERITY_STOP].value[0] = -5;
	court_put(&c, 20, 39, -3);
	c.v[25] = -4;
	court_put(&c, 60, 70, -6);
	court_put(&c, 80, 90, 50);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 2);
	court_assert_finding(&c.report.findings[0], SEVERITY_STOP, 60, 70);
	court_assert_finding(&c.report.findings[1], SEVERITY_CAUTION, 20, 39);
	CHECK_NEAR(c.report.findings[1].worst, -4, 0);
	CHECK_NEAR(c.report.findings[1].limit, -2, 1e-12);
	close_court(&c);
}
END_TEST

/* Stricter towards the top: 3 deg is over it from the engine speed at which it falls to 3. */
START_TEST(test_limit_over_rpm)
{
	struct court c;

	open_court(&c, 161);
	c.limit.level[SEVERITY_STOP].n = 0;
	c.limit.level[SEVERITY_CAUTION] = (struct limit_line){ 2, { 2000, 6000 }, { 5, 1 } };
	court_put(&c, 0, 160, 3);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	/* Exactly 3 at 4000 rpm, 4 s, row 80. */
	CHECK_NEAR(c.report.findings[0].from_s, 81 * STEP, STEP + 1e-9);
	CHECK_NEAR(c.report.findings[0].to_s, 160 * STEP, 1e-9);
	CHECK_NEAR(c.report.findings[0].limit, 1, 1e-6);
	CHECK_NEAR(c.report.findings[0].worst_rpm, 6000, 1e-6);
	close_court(&c);
}
END_TEST

/* What is torn by missing rows is two findings: nothing is said about the hole. */
START_TEST(test_hole)
{
	struct court c;
	size_t i;

	open_court(&c, 100);
	court_put(&c, 20, 60, 3);
	for (i = 41; i < 100; i++)
		c.t[i] += 1.0;
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 2);
	CHECK_NEAR(c.report.findings[0].to_s, 40 * STEP, 1e-9);
	CHECK_NEAR(c.report.findings[1].from_s, 41 * STEP + 1.0, 1e-9);
	close_court(&c);
}
END_TEST

/* Beside 1e17 the limit is less than a step of the value: it is told as it is all the same. */
START_TEST(test_limit_beside_absurd_value)
{
	struct court c;

	open_court(&c, 100);
	court_put(&c, 20, 39, 1e17);
	court_judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	CHECK_NEAR(c.report.findings[0].limit, 5, 0);
	close_court(&c);
}
END_TEST

Suite *check_judge_suite(void)
{
	Suite *s = suite_create("check_judge");
	TCase *t = tcase_create("check_judge");

	tcase_add_test(t, test_one_run);
	tcase_add_test(t, test_thin_note);
	tcase_add_test(t, test_still_among_motion);
	tcase_add_test(t, test_held);
	tcase_add_test(t, test_guess);
	tcase_add_test(t, test_at_the_limit);
	tcase_add_test(t, test_one_sample);
	tcase_add_test(t, test_least_duration);
	tcase_add_test(t, test_levels);
	tcase_add_test(t, test_joining);
	tcase_add_test(t, test_noise_makes_one);
	tcase_add_test(t, test_under);
	tcase_add_test(t, test_limit_over_rpm);
	tcase_add_test(t, test_hole);
	tcase_add_test(t, test_limit_beside_absurd_value);
	suite_add_tcase(s, t);
	return s;
}
