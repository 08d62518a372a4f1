/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The pull and the state of the car, on a log made by hand: what passes, and what just does not. */
#include <check.h>
#include <math.h>

#include "judge/ready_trial.h"

Suite *ready_suite(void);

START_TEST(a_good_log_passes_everything)
{
	struct trial t;
	size_t i;
	char *sentence;

	full_init(&t);
	judge(&t, 1);
	ck_assert_uint_eq(t.report.count, 23);
	ck_assert_uint_eq(t.report.pull, 1);
	for (i = 0; i < t.report.count; i++)
		ck_assert_msg(t.report.lines[i].result == READY_PASS, "%s: %s",
			      t.report.lines[i].id, t.report.lines[i].text);
	ck_assert_int_eq(t.report.verdict, READY_PASS);
	ck_assert_str_eq(ready_verdict_name(t.report.verdict), "fit");
	sentence = ready_sentence(&t.report);
	ck_assert_str_eq(sentence, "Fit to be judged: all that could be checked passes. "
			 "23 of 23 pass.");
	free(sentence);
	expect_line(&t, "pull", READY_PASS, 5000.0, 1.0);
	expect_line(&t, "gear", READY_PASS, 4.0, 0.0);
	expect_line(&t, "from_rpm", READY_PASS, FROM_RPM, 1.0);
	expect_line(&t, "to_rpm", READY_PASS, 6950.0, 1.0);
	expect_line(&t, "rate", READY_PASS, 20.0, 1e-6);
	expect_line(&t, "heat_soak", READY_PASS, 5.0, 0.2);
	trial_release(&t);
}
END_TEST

/* What is not logged has not passed; without a file it does not weaken the verdict. */
START_TEST(a_bare_log_is_not_checked)
{
	static const char *const unchecked[] = {
		"gear", "slip", "saturated", "stuck", "coolant", "oil", "intake", "heat_soak",
		"battery", "ethanol",
	};
	struct trial t;
	size_t i;

	bare_init(&t);
	judge(&t, 1);
	for (i = 0; i < COUNT(unchecked); i++)
		expect_line(&t, unchecked[i], READY_UNCHECKED, NAN, 0.0);
	expect_line(&t, "to_rpm", READY_UNCHECKED, 6950.0, 1.0);
	expect_line(&t, "channels", READY_WEAK, 6.0, 0.0);
	ck_assert_int_eq(t.report.verdict, READY_WEAK);
	trial_release(&t);
}
END_TEST

START_TEST(no_engine_speed)
{
	struct trial t;

	full_init(&t);
	of(&t, "Engine Speed")->quantity = quantity_get(Q_NONE);
	judge(&t, RUN_WHOLE);
	expect_line(&t, "pull", READY_FAIL, NAN, 0.0);
	ck_assert_ptr_null(line_of(&t, "pedal"));
	ck_assert_ptr_nonnull(line_of(&t, "channels"));
	ck_assert_ptr_nonnull(line_of(&t, "rate"));
	ck_assert_int_eq(t.report.verdict, READY_FAIL);
	ck_assert_uint_eq(t.report.pull, 0);
	trial_release(&t);
}
END_TEST

/* What there is instead of a pull: the longest rise, and how far the pedal was down. */
START_TEST(no_pull)
{
	struct values half = pedal();
	struct trial t;
	size_t i;

	full_init(&t);
	for (i = 0; i < ROWS; i++)
		half.v[i] *= 0.4;
	change(&t, "Pedal", half);
	judge(&t, RUN_WHOLE);
	expect_line(&t, "pull", READY_FAIL, 5000.0, 1.0);
	ck_assert_ptr_nonnull(strstr(line_of(&t, "pull")->text, "1950 to 6950 rpm in 10.0 s"));
	ck_assert_ptr_nonnull(strstr(line_of(&t, "pull")->text, "pedal at most 40 %"));
	trial_release(&t);
}
END_TEST

START_TEST(the_whole_log_is_its_widest_pull)
{
	struct trial t;

	full_init(&t);
	judge(&t, RUN_WHOLE);
	ck_assert_uint_eq(t.report.pull, 1);
	ck_assert_int_eq(t.report.verdict, READY_PASS);
	trial_release(&t);
}
END_TEST

/* A third-gear pull over the asked speeds, a wider one in fourth, one in third that begins late. */
START_TEST(the_pull_that_suits_the_request)
{
	struct pull list[3] = {
		{ .from_rpm = 2100, .to_rpm = 6500, .gear = 3 },
		{ .from_rpm = 1700, .to_rpm = 6900, .gear = 4 },
		{ .from_rpm = 3000, .to_rpm = 6900, .gear = 3 },
	};
	struct loaded loaded = LOADED_INIT;
	struct request r;

	request_init(&r);
	r.from_rpm = 2000;
	r.to_rpm = 6500;
	ck_assert_uint_eq(ready_choose(&loaded, &r), 0);
	loaded.pulls = (struct pulls){ list, 3 };
	r.gear = 3;
	ck_assert_uint_eq(ready_choose(&loaded, &r), 1);
	r.gear = 4;
	ck_assert_uint_eq(ready_choose(&loaded, &r), 2);
	r.gear = 5;	/* none: what covers the most of the asked speeds */
	ck_assert_uint_eq(ready_choose(&loaded, &r), 2);
	r.gear = 0;
	r.from_rpm = 2100;	/* both cover it: the wider one */
	ck_assert_uint_eq(ready_choose(&loaded, &r), 2);
	r.gear = 3;
	r.from_rpm = 3500;
	r.to_rpm = NAN;		/* to the top, and nothing tells how high that is */
	ck_assert_uint_eq(ready_choose(&loaded, &r), 3);
	request_release(&r);
}
END_TEST

START_TEST(gears)
{
	struct trial t;

	full_init(&t);
	t.request.gear = 3;
	release_and_expect(&t, "gear", READY_FAIL, 4.0, 0.0);

	/* by the ratio, where the car file gives the gears: 40 rpm per km/h is 1.10 x 4.06 */
	full_init(&t);
	drop(&t, "Gear");
	t.request.gear = 4;
	t.car.gear[3] = 1.43;
	t.car.gear[4] = 1.10;
	t.car.final_drive = 4.06;
	t.car.tyre_radius_m = 0.300;
	release_and_expect(&t, "gear", READY_PASS, 4.0, 0.0);

	full_init(&t);
	drop(&t, "Gear");
	t.request.gear = 4;
	t.request.path = mem_strdup("request.ini");
	judge(&t, 1);
	expect_line(&t, "gear", READY_UNCHECKED, NAN, 0.0);
	ck_assert(line_of(&t, "gear")->owed);
	ck_assert_int_eq(t.report.verdict, READY_WEAK);
	trial_release(&t);
}
END_TEST

/* At the ends of what is allowed: 5 % at the low end, 1 % or a sample at the high one. */
START_TEST(the_range)
{
	static const struct {
		double from;
		double to;
		enum ready_result low;
		enum ready_result high;
	} cases[] = {
		{ 1950.0, 6950.0, READY_PASS, READY_PASS },
		{ 1860.0, 7015.0, READY_PASS, READY_PASS },
		{ 1850.0, 7030.0, READY_WEAK, READY_WEAK },
		{ 1310.0, 7890.0, READY_WEAK, READY_WEAK },
		{ 1290.0, 7910.0, READY_FAIL, READY_FAIL },
		{ NAN, NAN, READY_UNCHECKED, READY_PASS },
	};
	size_t i;

	for (i = 0; i < COUNT(cases); i++) {
		struct trial t;

		full_init(&t);
		t.request.from_rpm = cases[i].from;
		t.request.to_rpm = cases[i].to;
		judge(&t, 1);
		expect_line(&t, "from_rpm", cases[i].low, FROM_RPM, 1.0);
		expect_line(&t, "to_rpm", cases[i].high, 6950.0, 1.0);
		trial_release(&t);
	}
}
END_TEST

/* The redline of the car, 3 % allowed; the request comes before it. */
START_TEST(the_redline)
{
	struct trial t;

	full_init(&t);
	t.car.redline_rpm = 7160.0;
	release_and_expect(&t, "to_rpm", READY_PASS, 6950.0, 1.0);
	full_init(&t);
	t.car.redline_rpm = 7180.0;
	release_and_expect(&t, "to_rpm", READY_WEAK, 6950.0, 1.0);
	full_init(&t);
	t.car.redline_rpm = 9000.0;
	t.request.to_rpm = 6900.0;
	release_and_expect(&t, "to_rpm", READY_PASS, 6950.0, 1.0);
}
END_TEST

/* Off the floor, though not lifted: from 0.15 s on it is weak, from 0.5 s on a failure. */
START_TEST(the_pedal)
{
	static const struct {
		size_t rows;
		enum ready_result result;
	} cases[] = {
		{ 2, READY_PASS }, { 4, READY_WEAK }, { 9, READY_WEAK },
	};
	size_t i, k;

	for (i = 0; i < COUNT(cases); i++) {
		struct values off = pedal();
		struct trial t;

		for (k = 0; k < cases[i].rows; k++)
			off.v[ROLL + 60 + k] = 93.0;
		full_init(&t);
		change(&t, "Pedal", off);
		release_and_expect(&t, "pedal", cases[i].result, (double)cases[i].rows / RATE, 1e-6);
	}
}
END_TEST

/* The pedal reads 93 % for a second while engine speed rises on: the sensor, not the foot. */
START_TEST(a_wrong_pedal)
{
	struct values off = pedal();
	struct trial t;
	size_t k;

	for (k = 0; k < RATE; k++)
		off.v[ROLL + 60 + k] = 93.0;
	full_init(&t);
	change(&t, "Pedal", off);
	judge(&t, 1);
	expect_line(&t, "pedal", READY_WEAK, 1.0, 1e-6);
	ck_assert_ptr_nonnull(strstr(line_of(&t, "pedal")->advice, "Check the pedal"));
	trial_release(&t);
}
END_TEST

START_TEST(no_foot)
{
	struct trial t;

	full_init(&t);
	drop(&t, "Pedal");
	put(&t, "Throttle", Q_THROTTLE, "%", pedal());
	release_and_expect(&t, "pedal", READY_PASS, 0.0, 0.0);
	full_init(&t);
	drop(&t, "Pedal");
	release_and_expect(&t, "pedal", READY_WEAK, NAN, 0.0);
}
END_TEST

/* Wheels that run ahead of the road by so much, for a second. */
START_TEST(slip)
{
	static const struct {
		double share;
		enum ready_result result;
		double seconds;
	} cases[] = {
		{ 0.04, READY_PASS, 0.0 }, { 0.12, READY_WEAK, 1.0 },
	};
	size_t i, k;

	for (i = 0; i < COUNT(cases); i++) {
		struct values speed = from_rpm(1.0 / RATIO);
		struct trial t;

		for (k = 0; k < RATE; k++)
			speed.v[ROLL + 80 + k] /= 1.0 + cases[i].share;
		full_init(&t);
		change(&t, "Speed", speed);
		release_and_expect(&t, "slip", cases[i].result, cases[i].seconds, 1e-6);
	}
}
END_TEST

/* Windows of the built-in request, and how far off is too far. */
START_TEST(windows)
{
	static const struct {
		const char *name;
		const char *id;
		double value;
		enum ready_result result;
	} cases[] = {
		{ "Coolant", "coolant", 80.0, READY_PASS },
		{ "Coolant", "coolant", 70.0, READY_WEAK },
		{ "Coolant", "coolant", 50.0, READY_FAIL },
		{ "Coolant", "coolant", 108.0, READY_WEAK },
		{ "Coolant", "coolant", 125.0, READY_FAIL },
		{ "Oil", "oil", 60.0, READY_WEAK },
		{ "Oil", "oil", 40.0, READY_FAIL },
		{ "Battery", "battery", 12.5, READY_WEAK },
		{ "IAT", "heat_soak", 36.0, READY_WEAK },
	};
	size_t i;

	for (i = 0; i < COUNT(cases); i++) {
		struct trial t;

		full_init(&t);
		t.request.coolant_c[0] = 75.0;
		t.request.coolant_c[1] = 105.0;
		t.request.oil_c[0] = 70.0;
		t.request.oil_c[1] = 125.0;
		t.request.battery_v[0] = 13.0;
		change(&t, cases[i].name, steady(cases[i].value, 0.0));
		release_and_expect(&t, cases[i].id, cases[i].result, cases[i].value -
				   (strcmp(cases[i].id, "heat_soak") == 0 ? 20.0 : 0.0), 1e-6);
	}
}
END_TEST

/* Values are in the log's unit, or in that of the system; limits are converted. */
START_TEST(units)
{
	struct trial t;

	full_init(&t);
	t.request.coolant_c[0] = 75.0;
	of(&t, "Coolant")->unit = unit_find("degF", NULL);
	change(&t, "Coolant", steady(160.0, 0.0));	/* 71.1 degC */
	judge(&t, 1);
	expect_line(&t, "coolant", READY_WEAK, 160.0, 1e-6);
	ck_assert_str_eq(line_of(&t, "coolant")->unit, unit_find("degF", NULL)->name);
	ck_assert_ptr_nonnull(strstr(line_of(&t, "coolant")->asked, "167 to"));
	trial_release(&t);

	full_init(&t);
	t.units = UNITS_US;
	t.request.coolant_c[0] = 75.0;
	judge(&t, 1);
	expect_line(&t, "coolant", READY_PASS, 90.0 * 1.8 + 32.0, 0.3);
	trial_release(&t);
}
END_TEST

/* What the request's file asks for and the log does not have is owed. */
START_TEST(owed)
{
	struct trial t;

	full_init(&t);
	drop(&t, "Oil");
	judge(&t, 1);
	expect_line(&t, "oil", READY_UNCHECKED, NAN, 0.0);
	ck_assert_int_eq(t.report.verdict, READY_PASS);
	trial_release(&t);

	full_init(&t);
	drop(&t, "Oil");
	t.request.path = mem_strdup("request.ini");
	t.request.oil_c[0] = 81.0;
	judge(&t, 1);
	ck_assert(line_of(&t, "oil")->owed);
	ck_assert_int_eq(t.report.verdict, READY_WEAK);
	trial_release(&t);
}
END_TEST

START_TEST(ethanol)
{
	struct trial t;

	full_init(&t);
	t.request.ethanol_within = 5.0;
	t.request.ethanol_percent = 10.0;
	release_and_expect(&t, "ethanol", READY_PASS, 5.0, 1e-9);
	full_init(&t);
	t.request.ethanol_within = 5.0;
	t.request.ethanol_percent = 10.5;
	release_and_expect(&t, "ethanol", READY_FAIL, 5.0, 1e-9);
	full_init(&t);
	t.request.ethanol_percent = NAN;
	release_and_expect(&t, "ethanol", READY_UNCHECKED, 5.0, 1e-9);
}
END_TEST

Suite *ready_suite(void)
{
	Suite *s = suite_create("ready");
	TCase *t = tcase_create("questions");

	tcase_add_test(t, a_good_log_passes_everything);
	tcase_add_test(t, a_bare_log_is_not_checked);
	tcase_add_test(t, no_engine_speed);
	tcase_add_test(t, no_pull);
	tcase_add_test(t, the_whole_log_is_its_widest_pull);
	tcase_add_test(t, the_pull_that_suits_the_request);
	tcase_add_test(t, gears);
	tcase_add_test(t, the_range);
	tcase_add_test(t, the_redline);
	tcase_add_test(t, the_pedal);
	tcase_add_test(t, a_wrong_pedal);
	tcase_add_test(t, no_foot);
	tcase_add_test(t, slip);
	tcase_add_test(t, windows);
	tcase_add_test(t, units);
	tcase_add_test(t, owed);
	tcase_add_test(t, ethanol);
	suite_add_tcase(s, t);
	return s;
}
