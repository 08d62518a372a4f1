/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Limits: lines over engine speed, their text, the built-in ones and whose they are. */
#include "calc/calc_util.h"

#include "judge/check.h"
#include "judge/limits.h"

Suite *limits_suite(void);

START_TEST(no_limit_is_nan)
{
	const struct limit_line none = { .n = 0 };

	CHECK_NEAR(limit_at(&none, 3000), NAN, 0);
	CHECK_NEAR(limit_at(&none, NAN), NAN, 0);
}
END_TEST

START_TEST(a_number_holds_at_any_speed)
{
	const struct limit_line one = { 1, { 0.0 }, { 0.86 } };

	CHECK_NEAR(limit_at(&one, -1), 0.86, 0);
	CHECK_NEAR(limit_at(&one, 9000), 0.86, 0);
	CHECK_NEAR(limit_at(&one, NAN), 0.86, 0);
}
END_TEST

START_TEST(lines_are_straight_and_held_outside)
{
	const struct limit_line line = { 3, { 2000, 4000, 7000 }, { 5, 4, 1 } };

	CHECK_NEAR(limit_at(&line, 0), 5, 0);
	CHECK_NEAR(limit_at(&line, 2000), 5, 0);
	CHECK_NEAR(limit_at(&line, 2500), 4.75, 1e-12);
	CHECK_NEAR(limit_at(&line, 4000), 4, 0);
	CHECK_NEAR(limit_at(&line, 5000), 3, 1e-12);
	CHECK_NEAR(limit_at(&line, 7000), 1, 0);
	CHECK_NEAR(limit_at(&line, 7001), 1, 0);
	CHECK_NEAR(limit_at(&line, INFINITY), 1, 0);
	CHECK_NEAR(limit_at(&line, NAN), NAN, 0);
}
END_TEST

/* Random lines against the definition, written another way. */
START_TEST(lines_agree_with_a_second_reading)
{
	uint64_t seed = 91;
	int trial, i;

	for (trial = 0; trial < 2000; trial++) {
		struct limit_line line = { .n = (size_t)(2 + rng_below(&seed, LIMIT_POINTS - 1)) };
		double rpm = rng_range(&seed, 500, 1500);
		size_t k;

		for (k = 0; k < line.n; k++) {
			line.rpm[k] = rpm;
			line.value[k] = rng_range(&seed, -10, 10);
			rpm += rng_range(&seed, 1, 900);
		}
		for (i = 0; i < 20; i++) {
			const double at = rng_range(&seed, 0, rpm + 500);
			double want = at < line.rpm[0] ? line.value[0] : line.value[line.n - 1];

			for (k = 0; k + 1 < line.n; k++)
				if (at >= line.rpm[k] && at < line.rpm[k + 1])
					want = (line.value[k] * (line.rpm[k + 1] - at) +
						line.value[k + 1] * (at - line.rpm[k])) /
					       (line.rpm[k + 1] - line.rpm[k]);
			CHECK_NEAR(limit_at(&line, at), want, 1e-9);
		}
	}
}
END_TEST

static const struct {
	const char *text;
	struct limit_line want;
} parsed[] = {
	{ "off", { .n = 0 } },
	{ "OFF", { .n = 0 } },
	{ "0.86", { 1, { 0 }, { 0.86 } } },
	{ " -1.5e1 ", { 1, { 0 }, { -15 } } },
	{ "3000:2", { 1, { 3000 }, { 2 } } },
	{ "2000:0.88, 4000:0.86", { 2, { 2000, 4000 }, { 0.88, 0.86 } } },
	{ "2000 : 0.88,4000:\t0.86 ", { 2, { 2000, 4000 }, { 0.88, 0.86 } } },
	{ "1:1,2:1,3:1,4:1,5:1,6:1,7:1,8:1,9:1,10:1,11:1,12:1,13:1,14:1,15:1,16:2",
	  { 16, { 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16 },
	    { 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 2 } } },
};

START_TEST(text_is_read)
{
	struct limit_line got = { 7, { 1 }, { 1 } };
	struct err e = ERR_INIT;
	size_t i;

	ck_assert_msg(limit_parse(&got, parsed[_i].text, &e) == ERR_NONE, "%s", e.text);
	ck_assert_uint_eq(got.n, parsed[_i].want.n);
	for (i = 0; i < got.n; i++) {
		CHECK_NEAR(got.rpm[i], parsed[_i].want.rpm[i], 0);
		CHECK_NEAR(got.value[i], parsed[_i].want.value[i], 0);
	}
}
END_TEST

static const struct {
	const char *text;
	const char *words;
} refused[] = {
	{ "", "neither a number" }, { " ", "neither a number" },
	{ "x", "'x' is neither a number nor RPM:NUMBER" },
	{ "nan", "neither a number" }, { "inf", "neither a number" },
	{ "0,86", "each is RPM:NUMBER" }, { "2 deg", "neither a number" },
	{ "2000:", "neither a number" }, { ":2", "neither a number" },
	{ "1:2:3", "neither a number" }, { "2000:1, 3", "each is RPM:NUMBER" },
	{ "2000:1,", "each is RPM:NUMBER" }, { ",2000:1", "each is RPM:NUMBER" },
	{ "2000:1,,3000:2", "each is RPM:NUMBER" },
	{ "2000:1, 2000:2", "rising rpm" }, { "3000:1, 2000:2", "' 2000:2': points" },
	{ "off, 2000:1", "each is RPM:NUMBER" }, { "2000:off", "neither a number" },
	{ "1:1,2:1,3:1,4:1,5:1,6:1,7:1,8:1,9:1,10:1,11:1,12:1,13:1,14:1,15:1,16:1,17:1",
	  "more than 16 points" },
};

START_TEST(mistakes_change_nothing)
{
	const struct limit_line before = { 2, { 1, 2 }, { 3, 4 } };
	struct limit_line line = before;
	struct err e = ERR_INIT;

	ck_assert_int_eq(limit_parse(&line, refused[_i].text, &e), ERR_FORMAT);
	ck_assert_msg(strstr(e.text, refused[_i].words) != NULL, "%s", e.text);
	ck_assert_mem_eq(&line, &before, sizeof line);
	ck_assert_int_eq(limit_parse(&line, refused[_i].text, NULL), ERR_FORMAT);
}
END_TEST

/* Every level of the table is there, and in the order of its side at every engine speed. */
START_TEST(built_in_limits_are_whole_and_in_order)
{
	const struct check *c = check_get((enum check_id)_i);
	struct limits l;
	int s, mild;
	double rpm;

	limits_init(&l);
	ck_assert(!l.of[_i].off);
	CHECK_NEAR(l.of[_i].least_s, c->least_s, 0);
	for (s = SEVERITY_NOTE; s < SEVERITIES; s++) {
		const struct limit_line *line = &l.of[_i].level[s];

		ck_assert_msg((c->limit[s] != NULL) == (line->n > 0), "%s, %s: '%s'", c->name,
			      severity_name((enum severity)s), c->limit[s]);
		ck_assert(!l.of[_i].own[s]);
		for (mild = SEVERITY_NOTE; mild < s; mild++)
			for (rpm = 0; rpm <= 9000 && line->n > 0; rpm += 250) {
				const double low = limit_at(&l.of[_i].level[mild], rpm);
				const double high = limit_at(line, rpm);

				ck_assert_msg(isnan(low) || (c->side == CHECK_OVER ? low <= high :
							     low >= high), "%s at %g", c->name, rpm);
			}
	}
	limits_release(&l);
	ck_assert_ptr_null(l.path);
}
END_TEST

START_TEST(limits_tell_whose_they_are)
{
	struct limits l;

	limits_init(&l);
	l.path = mem_strdup("limits.ini");
	ck_assert_str_eq(limits_source(&l, true), "limits.ini");
	l.source = mem_strdup("the calibrator");
	ck_assert_str_eq(limits_source(&l, true), "the calibrator");
	ck_assert_str_eq(limits_source(&l, false), "common practice, no source");
	limits_release(&l);
}
END_TEST

START_TEST(severities_have_names)
{
	ck_assert_str_eq(severity_name(SEVERITY_NONE), "none");
	ck_assert_str_eq(severity_name(SEVERITY_NOTE), "note");
	ck_assert_str_eq(severity_name(SEVERITY_CAUTION), "caution");
	ck_assert_str_eq(severity_name(SEVERITY_STOP), "stop");
}
END_TEST

Suite *limits_suite(void)
{
	Suite *s = suite_create("limits");
	TCase *t = tcase_create("limits");

	tcase_add_test(t, no_limit_is_nan);
	tcase_add_test(t, a_number_holds_at_any_speed);
	tcase_add_test(t, lines_are_straight_and_held_outside);
	tcase_add_test(t, lines_agree_with_a_second_reading);
	tcase_add_loop_test(t, text_is_read, 0, COUNT(parsed));
	tcase_add_loop_test(t, mistakes_change_nothing, 0, COUNT(refused));
	tcase_add_loop_test(t, built_in_limits_are_whole_and_in_order, 0, CHECK_COUNT);
	tcase_add_test(t, limits_tell_whose_they_are);
	tcase_add_test(t, severities_have_names);
	suite_add_tcase(s, t);
	return s;
}
