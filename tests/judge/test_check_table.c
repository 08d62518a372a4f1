/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Tests of the table of checks: that every row is whole, and that its built-in limits
 * are the workshop custom that they claim to be.
 */
#include "calc/calc_util.h"

#include <ctype.h>

#include "judge/check.h"

Suite *check_table_suite(void);

static bool is_sentence(const char *text)
{
	return text != NULL && strlen(text) > 10 && text[strlen(text) - 1] == '.' &&
	       strchr(text, '\n') == NULL;
}

START_TEST(test_rows)
{
	int id, other;

	for (id = 0; id < CHECK_COUNT; id++) {
		const struct check *c = check_get((enum check_id)id);
		const char *p;

		ck_assert_int_eq(c->id, id);
		for (p = c->name; *p != '\0'; p++)
			ck_assert_msg(islower((unsigned char)*p) || *p == '_', "%s", c->name);
		ck_assert_ptr_eq(check_by_name(c->name), c);
		for (other = 0; other < id; other++)
			ck_assert_str_ne(c->title, check_get((enum check_id)other)->title);
		ck_assert_msg(is_sentence(c->why) && is_sentence(c->next), "%s", c->name);
		ck_assert_msg(c->measure != NULL, "%s", c->name);
		ck_assert_msg(c->needs[0].any[0] != Q_NONE, "%s needs nothing", c->name);
		ck_assert_msg(*c->unit == '\0' || unit_find(c->unit, NULL) != NULL,
			      "%s: unit %s", c->name, c->unit);
		ck_assert(c->least_s >= 0 && c->decimals >= 0);
		ck_assert_msg((c->gates & GATE_SETTLED) == 0 || c->settle_s > 0, "%s", c->name);
	}
	ck_assert_ptr_null(check_by_name("no_such_check"));
	ck_assert_ptr_eq(check_by_name("KNOCK"), check_get(CHECK_KNOCK));
}
END_TEST

/* A check of one channel must be able to judge it: the units have one dimension. */
START_TEST(test_units_fit)
{
	static const enum check_id direct[] = {
		CHECK_LEAN, CHECK_KNOCK, CHECK_MANIFOLD_PRESSURE, CHECK_INTAKE_TEMP,
		CHECK_EXHAUST_TEMP, CHECK_COOLANT_TEMP, CHECK_OIL_TEMP, CHECK_OIL_PRESSURE,
		CHECK_BATTERY, CHECK_INJECTOR_DUTY,
	};
	size_t i;

	for (i = 0; i < sizeof direct / sizeof direct[0]; i++) {
		const struct check *c = check_get(direct[i]);
		const struct quantity *q = quantity_get(c->needs[0].any[0]);

		ck_assert_msg(quantity_takes(q, unit_find(c->unit, NULL)->dim), "%s", c->name);
	}
}
END_TEST

/* Every built-in level parses, and the severer one is further on the bad side. */
START_TEST(test_limits_are_ordered)
{
	int id, level;

	for (id = 0; id < CHECK_COUNT; id++) {
		const struct check *c = check_get((enum check_id)id);
		const double sign = c->side == CHECK_OVER ? 1.0 : -1.0;
		double rpm;

		for (rpm = 1000; rpm <= 8000; rpm += 500) {
			double before = -INFINITY;

			for (level = SEVERITY_NOTE; level < SEVERITIES; level++) {
				struct limit_line line;
				double now;

				if (c->limit[level] == NULL)
					continue;
				ck_assert_int_eq(limit_parse(&line, c->limit[level], NULL), ERR_NONE);
				now = sign * limit_at(&line, rpm);
				ck_assert_msg(now > before, "%s at %g rpm", c->name, rpm);
				before = now;
			}
		}
	}
}
END_TEST

static double level(enum check_id id, enum severity s, double rpm)
{
	struct limit_line line;

	ck_assert_ptr_nonnull(check_get(id)->limit[s]);
	ck_assert_int_eq(limit_parse(&line, check_get(id)->limit[s], NULL), ERR_NONE);
	return limit_at(&line, rpm);
}

/*
 * The figures that go round in workshops (common practice, no source), in the units that
 * people quote them in: a slip of a unit or of a sign in the table would show here.
 */
START_TEST(test_custom)
{
	const struct unit *psi = unit_find("psi", NULL), *kpa = unit_find("kPa", NULL);

	CHECK_NEAR(level(CHECK_LEAN, SEVERITY_NOTE, 0), 0.86, 0);
	CHECK_NEAR(level(CHECK_LEAN, SEVERITY_STOP, 0), 0.90, 0);
	CHECK_NEAR(level(CHECK_RICH, SEVERITY_CAUTION, 0), 0.76, 0);
	CHECK_NEAR(level(CHECK_RICH_ETHANOL, SEVERITY_CAUTION, 0), 0.72, 0);
	CHECK_NEAR(level(CHECK_LEAN_OF_TARGET, SEVERITY_CAUTION, 0), 0.03, 0);
	CHECK_NEAR(level(CHECK_LEAN_OF_TARGET, SEVERITY_STOP, 0), 0.05, 0);
	CHECK_NEAR(level(CHECK_KNOCK, SEVERITY_CAUTION, 0), 2, 0);
	CHECK_NEAR(level(CHECK_KNOCK, SEVERITY_STOP, 0), 5, 0);
	CHECK_NEAR(level(CHECK_TIMING_AGAINST, SEVERITY_CAUTION, 0), 2, 0);
	CHECK_NEAR(level(CHECK_TIMING_AGAINST, SEVERITY_STOP, 0), 4, 0);
	CHECK_NEAR(level(CHECK_INTAKE_TEMP, SEVERITY_CAUTION, 0), 50, 0);
	CHECK_NEAR(level(CHECK_INTAKE_TEMP, SEVERITY_STOP, 0), 65, 0);
	CHECK_NEAR(level(CHECK_INTAKE_RISE, SEVERITY_CAUTION, 0), 20, 0);
	CHECK_NEAR(level(CHECK_EXHAUST_TEMP, SEVERITY_CAUTION, 0), 900, 0);
	CHECK_NEAR(level(CHECK_EXHAUST_TEMP, SEVERITY_STOP, 0), 950, 0);
	CHECK_NEAR(level(CHECK_INJECTOR_DUTY, SEVERITY_CAUTION, 0), 85, 0);
	CHECK_NEAR(level(CHECK_INJECTOR_DUTY, SEVERITY_STOP, 0), 95, 0);
	CHECK_NEAR(level(CHECK_RAIL, SEVERITY_STOP, 0), 15, 0);
	CHECK_NEAR(level(CHECK_FUEL_PRESSURE, SEVERITY_CAUTION, 0), 10, 0);
	CHECK_NEAR(level(CHECK_FUEL_PRESSURE, SEVERITY_STOP, 0), 20, 0);
	/* 0.1 and 0.2 bar, which custom calls 1.5 and 3 psi. */
	CHECK_NEAR(unit_convert(level(CHECK_BOOST_OVER, SEVERITY_CAUTION, 0), kpa, psi), 1.5, 0.1);
	CHECK_NEAR(unit_convert(level(CHECK_BOOST_OVER, SEVERITY_STOP, 0), kpa, psi), 3, 0.2);
	CHECK_NEAR(level(CHECK_COOLANT_TEMP, SEVERITY_CAUTION, 0), 105, 0);
	CHECK_NEAR(level(CHECK_COOLANT_TEMP, SEVERITY_STOP, 0), 112, 0);
	CHECK_NEAR(level(CHECK_OIL_TEMP, SEVERITY_CAUTION, 0), 125, 0);
	CHECK_NEAR(level(CHECK_OIL_TEMP, SEVERITY_STOP, 0), 135, 0);
	/* 10 psi for every 1000 rpm, which custom also calls 0.7 bar. */
	CHECK_NEAR(unit_convert(level(CHECK_OIL_PRESSURE, SEVERITY_CAUTION, 4000), kpa, psi), 40,
		   1);
	CHECK_NEAR(level(CHECK_BATTERY, SEVERITY_CAUTION, 0), 13, 0);
	CHECK_NEAR(level(CHECK_BATTERY, SEVERITY_STOP, 0), 12, 0);
	CHECK_NEAR(level(CHECK_TRIMS, SEVERITY_CAUTION, 0), 8, 0);
	CHECK_NEAR(level(CHECK_TRIMS, SEVERITY_STOP, 0), 15, 0);
}
END_TEST

/* On which side trouble is: what must not be high, and what must not be low. */
START_TEST(test_sides)
{
	static const enum check_id under[] = {
		CHECK_RICH, CHECK_RICH_ETHANOL, CHECK_COOLER, CHECK_OIL_PRESSURE, CHECK_BATTERY,
	};
	size_t i, found = 0;
	int id;

	for (id = 0; id < CHECK_COUNT; id++)
		found += check_get((enum check_id)id)->side == CHECK_UNDER;
	ck_assert_uint_eq(found, sizeof under / sizeof under[0]);
	for (i = 0; i < sizeof under / sizeof under[0]; i++)
		ck_assert_int_eq(check_get(under[i])->side, CHECK_UNDER);
}
END_TEST

/* Temperatures that are differences must say so: 20 K are 36, not 68 degF. */
START_TEST(test_differences)
{
	const struct unit *c = unit_find("degC", NULL), *f = unit_find("degF", NULL);

	ck_assert(check_get(CHECK_INTAKE_RISE)->difference);
	ck_assert(!check_get(CHECK_INTAKE_TEMP)->difference);
	ck_assert(!check_get(CHECK_EXHAUST_TEMP)->difference);
	CHECK_NEAR(unit_convert_delta(level(CHECK_INTAKE_RISE, SEVERITY_CAUTION, 0), c, f), 36,
		   1e-9);
	CHECK_NEAR(unit_convert(level(CHECK_INTAKE_TEMP, SEVERITY_CAUTION, 0), c, f), 122, 1e-9);
}
END_TEST

Suite *check_table_suite(void)
{
	Suite *s = suite_create("check_table");
	TCase *t = tcase_create("check_table");

	tcase_add_test(t, test_rows);
	tcase_add_test(t, test_units_fit);
	tcase_add_test(t, test_limits_are_ordered);
	tcase_add_test(t, test_custom);
	tcase_add_test(t, test_sides);
	tcase_add_test(t, test_differences);
	suite_add_tcase(s, t);
	return s;
}
