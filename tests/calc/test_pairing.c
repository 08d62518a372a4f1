/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of which channel goes with which, and in which unit both come. */
#include "calc/pairing.h"
#include "calc_util.h"

Suite *pairing_suite(void);

#define ROWS 4

static const double some[ROWS] = { 1, 2, 3, 4 };
static const double none[ROWS] = { NAN, NAN, NAN, NAN };

static void put(struct datalog *log, const char *name, enum quantity_id id, int index,
		const char *unit)
{
	put_channel(log, name, id, unit, some)->index = index;
}

/* "A=B" for each pair, "-" for a side it lacks, in the pairing's order. */
static char *as_text(const struct pairing *p)
{
	struct buf b = BUF_INIT;
	size_t i;

	for (i = 0; i < p->count; i++)
		buf_printf(&b, "%s%s=%s", i > 0 ? ", " : "",
			   p->list[i].a == NULL ? "-" : p->list[i].a->name,
			   p->list[i].b == NULL ? "-" : p->list[i].b->name);
	return buf_take(&b);
}

static void check_pairs(const struct pairing *p, const char *want)
{
	char *got = as_text(p);

	ck_assert_str_eq(got, want);
	free(got);
}

START_TEST(test_by_quantity_and_index)
{
	struct datalog *a = make_even_log("a.csv", 1.0, ROWS);
	struct datalog *b = make_even_log("b.csv", 1.0, ROWS);
	struct pairing p;

	put(a, "Knock 1", Q_KNOCK_RETARD, 1, NULL);
	put(a, "Knock 2", Q_KNOCK_RETARD, 2, NULL);
	put(a, "MAP", Q_MAP, 0, "kPa");
	put(a, "Oil", Q_OIL_TEMP, 0, "degC");
	put(b, "retard cyl 2", Q_KNOCK_RETARD, 2, NULL);
	put(b, "intake pressure", Q_MAP, 0, "psi");
	put(b, "retard cyl 1", Q_KNOCK_RETARD, 1, NULL);
	put(b, "retard cyl 3", Q_KNOCK_RETARD, 3, NULL);
	pairing_build(&p, a, b, UNITS_FILE);
	check_pairs(&p, "Knock 1=retard cyl 1, Knock 2=retard cyl 2, MAP=intake pressure, "
		    "Oil=-, -=retard cyl 3");
	ck_assert_str_eq(pair_channel(&p.list[4])->name, "retard cyl 3");
	ck_assert_str_eq(pair_channel(&p.list[2])->name, "MAP");
	pairing_release(&p);
	pairing_build(&p, a, NULL, UNITS_FILE);
	check_pairs(&p, "Knock 1=-, Knock 2=-, MAP=-, Oil=-");
	pairing_release(&p);
	datalog_free(a);
	datalog_free(b);
}
END_TEST

/* Two of the same quantity and index go in their order. */
START_TEST(test_ordinal)
{
	struct datalog *a = make_even_log("a.csv", 1.0, ROWS);
	struct datalog *b = make_even_log("b.csv", 1.0, ROWS);
	struct pairing p;

	put(a, "lambda x", Q_LAMBDA, 0, NULL);
	put(a, "lambda y", Q_LAMBDA, 0, NULL);
	put(b, "first", Q_LAMBDA, 0, NULL);
	put_channel(b, "dead", Q_LAMBDA, NULL, none);
	put(b, "second", Q_LAMBDA, 0, NULL);
	put(b, "third", Q_LAMBDA, 0, NULL);
	put_channel(b, "empty", Q_NONE, NULL, none);
	pairing_build(&p, a, b, UNITS_FILE);
	check_pairs(&p, "lambda x=first, lambda y=second, -=third");
	pairing_release(&p);
	datalog_free(a);
	datalog_free(b);
}
END_TEST

/* What is not recognised goes by name: the exact one first, then with case aside. */
START_TEST(test_by_name)
{
	struct datalog *a = make_even_log("a.csv", 1.0, ROWS);
	struct datalog *b = make_even_log("b.csv", 1.0, ROWS);
	struct pairing p;

	put(a, "Valve", Q_NONE, 0, NULL);
	put(a, "valve", Q_NONE, 0, NULL);
	put(a, "Pump", Q_NONE, 0, NULL);
	put(a, "boost", Q_NONE, 0, NULL);
	put(b, "PUMP", Q_NONE, 0, NULL);
	put(b, "valve", Q_NONE, 0, NULL);
	put(b, "Valve", Q_NONE, 0, NULL);
	put(b, "boost", Q_BOOST, 0, "kPa");
	pairing_build(&p, a, b, UNITS_FILE);
	check_pairs(&p, "Valve=Valve, valve=valve, Pump=PUMP, boost=-, -=boost");
	pairing_release(&p);
	datalog_free(a);
	datalog_free(b);
}
END_TEST

/* No channel of B stands in two pairs. */
START_TEST(test_no_double_use)
{
	struct datalog *a = make_even_log("a.csv", 1.0, ROWS);
	struct datalog *b = make_even_log("b.csv", 1.0, ROWS);
	struct pairing p;

	put(a, _i == 0 ? "Valve" : "valve", Q_NONE, 0, NULL);
	put(a, _i == 0 ? "valve" : "Valve", Q_NONE, 0, NULL);
	put(b, "valve", Q_NONE, 0, NULL);
	pairing_build(&p, a, b, UNITS_FILE);
	check_pairs(&p, _i == 0 ? "Valve=-, valve=valve" : "valve=valve, Valve=-");
	pairing_release(&p);
	datalog_free(a);
	datalog_free(b);
}
END_TEST

/* Litres an hour and grams a second cannot be compared, nor can words and numbers. */
START_TEST(test_not_convertible)
{
	char **words = mem_array(5, sizeof *words);
	struct datalog *a = make_even_log("a.csv", 1.0, ROWS);
	struct datalog *b = make_even_log("b.csv", 1.0, ROWS);
	struct pairing p;
	size_t i;

	put(a, "fuel rate", Q_FUEL_RATE, 0, "L/h");
	put(a, "mode", Q_NONE, 0, NULL);
	put(a, "thing", Q_NONE, 0, "V");
	put(a, "load", Q_LOAD, 0, NULL);
	put(b, "fuel flow", Q_FUEL_RATE, 0, "g/s");
	put(b, "mode", Q_NONE, 0, NULL);
	put(b, "thing", Q_NONE, 0, "kPa");
	put(b, "load", Q_LOAD, 0, "%");		/* one without a unit may be the same */
	for (i = 0; i < 5; i++)
		words[i] = mem_printf("w%zu", i);
	column_set_words(b->channels[1].column, words, 5);
	pairing_build(&p, a, b, UNITS_FILE);
	check_pairs(&p, "fuel rate=-, mode=-, thing=-, load=load, -=fuel flow, -=mode, -=thing");
	pairing_release(&p);
	datalog_free(a);
	datalog_free(b);
}
END_TEST

static const struct {
	const char *a, *b;
	enum unit_system system;
	const char *want;
	double want_a, want_b;		/* 1 of the file's, converted */
} units[] = {
	{ "psi", "kPa", UNITS_FILE, "psi", 1.0, 0.1450377377302092 },
	{ "kPa", "psi", UNITS_FILE, "kPa", 1.0, 6.894757293168362 },
	{ "psi", "bar", UNITS_METRIC, "kPa", 6.894757293168362, 100.0 },
	{ "kPa", "bar", UNITS_US, "psi", 0.1450377377302092, 14.503773773020922 },
	{ NULL, "bar", UNITS_FILE, "bar", 1.0, 1.0 },
	{ "bar", NULL, UNITS_FILE, "bar", 1.0, 1.0 },
	{ "bar", NULL, UNITS_US, "psi", 14.503773773020922, 1.0 },
};

START_TEST(test_units)
{
	struct datalog *a = make_even_log("a.csv", 1.0, ROWS);
	struct datalog *b = make_even_log("b.csv", 1.0, ROWS);
	struct series s;
	struct pairing p;
	struct run ra, rb;

	put(a, "boost", Q_BOOST, 0, units[_i].a);
	put(b, "boost", Q_BOOST, 0, units[_i].b);
	make_run(&ra, a, 0, ROWS - 1);
	make_run(&rb, b, 0, ROWS - 1);
	pairing_build(&p, a, b, units[_i].system);
	ck_assert_uint_eq(p.count, 1);
	ck_assert_ptr_eq(p.list[0].unit, unit_find(units[_i].want, NULL));
	ck_assert_str_eq(pair_unit(&p.list[0], true), units[_i].want);
	ck_assert_int_eq(pair_load(&p.list[0], &ra, false, &s, NULL), ERR_NONE);
	ck_assert_uint_eq(s.n, ROWS);
	CHECK_NEAR(s.v[0], units[_i].want_a, 1e-12 * units[_i].want_a);
	series_release(&s);
	ck_assert_int_eq(pair_load(&p.list[0], &rb, true, &s, NULL), ERR_NONE);
	CHECK_NEAR(s.v[0], units[_i].want_b, 1e-12 * units[_i].want_b);
	CHECK_NEAR(s.v[3], 4.0 * units[_i].want_b, 1e-11 * units[_i].want_b);
	series_release(&s);
	pairing_release(&p);
	run_release(&ra);
	run_release(&rb);
	datalog_free(a);
	datalog_free(b);
}
END_TEST

/* Temperatures have an offset. */
START_TEST(test_temperature)
{
	struct datalog *a = make_even_log("a.csv", 1.0, ROWS);
	struct datalog *b = make_even_log("b.csv", 1.0, ROWS);
	static const double fahrenheit[ROWS] = { 32, 212, -40, 203 };
	struct pairing p;
	struct series s;
	struct run rb;

	put(a, "oil", Q_OIL_TEMP, 0, "degC");
	put_channel(b, "oil", Q_OIL_TEMP, "degF", fahrenheit);
	make_run(&rb, b, 0, ROWS - 1);
	pairing_build(&p, a, b, UNITS_FILE);
	ck_assert_int_eq(pair_load(&p.list[0], &rb, true, &s, NULL), ERR_NONE);
	CHECK_NEAR(s.v[0], 0.0, 1e-12);
	CHECK_NEAR(s.v[1], 100.0, 1e-12);
	CHECK_NEAR(s.v[2], -40.0, 1e-12);
	CHECK_NEAR(s.v[3], 95.0, 1e-12);
	series_release(&s);
	pairing_release(&p);
	run_release(&rb);
	datalog_free(a);
	datalog_free(b);
}
END_TEST

/* Only the run's rows, and nothing for a side that is not there. */
START_TEST(test_load)
{
	struct datalog *a = make_even_log("a.csv", 1.0, ROWS);
	struct overlay o = { .crossing = NAN };
	struct pairing p;
	struct series s;

	put(a, "boost", Q_BOOST, 0, "kPa");
	make_run(&o.a, a, 1, 2);
	pairing_build(&p, a, NULL, UNITS_FILE);
	ck_assert_int_eq(pair_load(&p.list[0], &o.a, false, &s, NULL), ERR_NONE);
	ck_assert_uint_eq(s.n, 2);
	ck_assert_double_eq(s.v[0], 2.0);
	series_release(&s);
	ck_assert_int_eq(pair_load(&p.list[0], &o.b, true, &s, NULL), ERR_NONE);
	ck_assert_uint_eq(s.n, 0);
	series_release(&s);
	pairing_release(&p);
	overlay_release(&o);
	datalog_free(a);
}
END_TEST

START_TEST(test_choose)
{
	struct datalog *a = make_even_log("a.csv", 1.0, ROWS);
	struct datalog *b = make_even_log("b.csv", 1.0, ROWS);
	struct err e = ERR_INIT;
	struct pairing p;

	put(a, "Engine speed", Q_RPM, 0, "rpm");
	put(a, "Boost", Q_BOOST, 0, "kPa");
	put(a, "Lambda", Q_LAMBDA, 0, NULL);
	put_channel(a, "Dead", Q_NONE, NULL, none);
	put(b, "Turbo pressure", Q_BOOST, 0, "kPa");
	put(b, "Oil", Q_OIL_TEMP, 0, "degC");
	pairing_build(&p, a, b, UNITS_FILE);
	check_pairs(&p, "Engine speed=-, Boost=Turbo pressure, Lambda=-, -=Oil");
	ck_assert_int_eq(pairing_choose(&p, a, b, "no such", &e), ERR_DATA);
	ck_assert_ptr_nonnull(strstr(e.text, "no such"));
	ck_assert_int_eq(pairing_choose(&p, a, b, "Dead", &e), ERR_DATA);
	ck_assert_ptr_nonnull(strstr(e.text, "no values"));
	ck_assert_int_eq(pairing_choose(&p, a, b, "Boost,oops", &e), ERR_DATA);
	check_pairs(&p, "Engine speed=-, Boost=Turbo pressure, Lambda=-, -=Oil");
	/* in the list's order; names of B, keys of quantities and blanks are fine */
	ck_assert_int_eq(pairing_choose(&p, a, b, "oil, boost,  rpm", &e), ERR_NONE);
	check_pairs(&p, "-=Oil, Boost=Turbo pressure, Engine speed=-");
	ck_assert_int_eq(pairing_choose(&p, a, b, "turbo pressure", &e), ERR_NONE);
	check_pairs(&p, "Boost=Turbo pressure");
	pairing_release(&p);
	datalog_free(a);
	datalog_free(b);
}
END_TEST

/* Blanks around a word do not belong to it, and nothing between commas is no channel. */
START_TEST(test_choose_blanks)
{
	struct datalog *a = make_even_log("a.csv", 1.0, ROWS);
	struct err e = ERR_INIT;
	struct pairing p;

	put(a, "Boost", Q_BOOST, 0, "kPa");
	put(a, "Lambda", Q_LAMBDA, 0, NULL);
	put(a, "Lambda target", Q_LAMBDA_TARGET, 0, NULL);
	pairing_build(&p, a, NULL, UNITS_FILE);
	ck_assert_int_eq(pairing_choose(&p, a, NULL, " Lambda , Boost ", &e), ERR_NONE);
	check_pairs(&p, "Lambda=-, Boost=-");
	ck_assert_int_eq(pairing_choose(&p, a, NULL, "Boost, ,Lambda", &e), ERR_DATA);
	ck_assert_int_eq(pairing_choose(&p, a, NULL, "  ", &e), ERR_DATA);
	check_pairs(&p, "Lambda=-, Boost=-");
	pairing_release(&p);
	datalog_free(a);
}
END_TEST

START_TEST(test_decimals)
{
	struct datalog *a = make_even_log("a.csv", 1.0, ROWS);
	struct pairing p;

	put(a, "boost", Q_BOOST, 0, "psi");
	put(a, "fine", Q_NONE, 0, NULL);
	column_set_decimals(a->channels[0].column, 2);
	column_set_decimals(a->channels[1].column, 9);
	pairing_build(&p, a, NULL, UNITS_FILE);
	ck_assert_int_eq(pair_decimals(&p.list[0]), 2);
	ck_assert_int_eq(pair_decimals(&p.list[1]), 4);
	pairing_release(&p);
	pairing_build(&p, a, NULL, UNITS_METRIC);
	ck_assert_int_eq(pair_decimals(&p.list[0]), unit_find("kPa", NULL)->decimals);
	pairing_release(&p);
	datalog_free(a);
}
END_TEST

Suite *pairing_suite(void)
{
	Suite *s = suite_create("pairing");
	TCase *t = tcase_create("pairing");

	tcase_add_test(t, test_by_quantity_and_index);
	tcase_add_test(t, test_ordinal);
	tcase_add_test(t, test_by_name);
	tcase_add_loop_test(t, test_no_double_use, 0, 2);
	tcase_add_test(t, test_not_convertible);
	tcase_add_loop_test(t, test_units, 0, COUNT(units));
	tcase_add_test(t, test_temperature);
	tcase_add_test(t, test_load);
	tcase_add_test(t, test_choose);
	tcase_add_test(t, test_choose_blanks);
	tcase_add_test(t, test_decimals);
	suite_add_tcase(s, t);
	return s;
}
