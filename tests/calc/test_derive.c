/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of derived channels: each recipe by hand, units, and when nothing is derived. */
#include "calc/derive.h"
#include "calc_util.h"

Suite *derive_suite(void);

#define ROWS 21

static double fixed_value;

static double fixed(double t)
{
	(void)t;
	return fixed_value;
}

static void put_fixed(struct datalog *log, const char *name, enum quantity_id id,
		      const char *unit, double v)
{
	fixed_value = v;
	put_function(log, name, id, unit, fixed);
}

struct input {
	enum quantity_id id;
	const char *unit;
	double v;
};

#define PSI 6.894757293168362	/* kPa; from the exact pound, inch and standard gravity */
#define INHG 3.386388640341	/* kPa, conventional */

static const struct {
	struct input x, y;
	enum quantity_id out;
	const char *unit;		/* of the result; NULL: none */
	double want;
} recipes[] = {
	{ { Q_MAP, "kPa", 250 }, { Q_BARO, "kPa", 101.3 }, Q_BOOST, "kPa", 148.7 },
	{ { Q_MAP, "psi", 36 }, { Q_BARO, "kPa", 101.325 }, Q_BOOST, "psi", 36 - 101.325 / PSI },
	{ { Q_MAP, "bar", 2.5 }, { Q_BARO, "inHg", 29.9 }, Q_BOOST, "bar", 2.5 - 0.299 * INHG },
	{ { Q_MAP, "kPa", 250 }, { Q_BARO, "mbar", 1013 }, Q_BOOST, "kPa", 148.7 },
	{ { Q_BOOST, "psi", 22 }, { Q_BARO, "kPa", 101.325 }, Q_MAP, "psi", 22 + 101.325 / PSI },
	{ { Q_BOOST, "bar", 1.5 }, { Q_BARO, "kPa", 100 }, Q_MAP, "bar", 2.5 },
	{ { Q_MAP_TARGET, "kPa", 260 }, { Q_BARO, "bar", 1.0 }, Q_BOOST_TARGET, "kPa", 160 },
	{ { Q_BOOST, "psi", 20 }, { Q_BOOST_TARGET, "kPa", 120 }, Q_BOOST_ERROR, "psi", 20 - 120 / PSI },
	{ { Q_AFR, NULL, 11.76 }, { Q_NONE, NULL, 0 }, Q_LAMBDA, "lambda", 0.8 },
	{ { Q_AFR_TARGET, NULL, 13.23 }, { Q_NONE, NULL, 0 }, Q_LAMBDA_TARGET, "lambda", 0.9 },
	{ { Q_LAMBDA, NULL, 0.82 }, { Q_LAMBDA_TARGET, NULL, 0.80 }, Q_LAMBDA_ERROR, NULL, 0.02 },
	{ { Q_RPM, "rpm", 5000 }, { Q_SPEED, "km/h", 125 }, Q_GEAR_RATIO, NULL, 40 },
	{ { Q_RPM, "rpm", 5000 }, { Q_SPEED, "mph", 100 }, Q_GEAR_RATIO, NULL, 5000 / 160.9344 },
	{ { Q_RPM, "rps", 100 }, { Q_SPEED, "m/s", 50 }, Q_GEAR_RATIO, NULL, 6000 / 180.0 },
	{ { Q_INJECTOR_TIME, "ms", 10 }, { Q_RPM, "rpm", 6000 }, Q_INJECTOR_DUTY, "%", 50 },
	{ { Q_INJECTOR_TIME, "us", 18000 }, { Q_RPM, "rpm", 6500 }, Q_INJECTOR_DUTY, "%", 97.5 },
};

START_TEST(test_recipes)
{
	struct datalog *log = make_even_log("x.csv", 0.05, ROWS);
	const struct channel *ch;
	size_t row;

	put_fixed(log, "input x", recipes[_i].x.id, recipes[_i].x.unit, recipes[_i].x.v);
	if (recipes[_i].y.id != Q_NONE)
		put_fixed(log, "input y", recipes[_i].y.id, recipes[_i].y.unit, recipes[_i].y.v);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	ch = datalog_find(log, recipes[_i].out);
	ck_assert_ptr_nonnull(ch);
	ck_assert(ch->derived);
	if (recipes[_i].unit == NULL)
		ck_assert(ch->unit == NULL || ch->unit->dim == DIM_RATIO);
	else
		ck_assert_ptr_eq(ch->unit, unit_find(recipes[_i].unit, NULL));
	for (row = 0; row < ROWS; row++)
		CHECK_NEAR(column_at(ch->column, row), recipes[_i].want,
			   1e-12 * fabs(recipes[_i].want));
	ck_assert_ptr_nonnull(strstr(ch->why, "input x"));
	ck_assert_int_eq(strstr(ch->why, "input y") != NULL, recipes[_i].y.id != Q_NONE);
	ck_assert_str_ne(ch->name, "");
	datalog_free(log);
}
END_TEST

/* A second time adds nothing, and what the log has itself is never made again. */
START_TEST(test_once)
{
	struct datalog *log = make_even_log("x.csv", 0.05, ROWS);
	size_t count;

	put_fixed(log, "MAP", Q_MAP, "kPa", 200);
	put_fixed(log, "baro", Q_BARO, "kPa", 100);
	put_fixed(log, "boost target", Q_BOOST_TARGET, "kPa", 90);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	count = log->channel_count;
	ck_assert_uint_eq(count, 5);		/* boost, and its error */
	CHECK_NEAR(column_at(datalog_find(log, Q_BOOST_ERROR)->column, 0), 10.0, 1e-12);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	ck_assert_uint_eq(log->channel_count, count);
	datalog_free(log);

	log = make_even_log("x.csv", 0.05, ROWS);
	put_fixed(log, "MAP", Q_MAP, "kPa", 200);
	put_fixed(log, "baro", Q_BARO, "kPa", 100);
	put_fixed(log, "boost", Q_BOOST, "kPa", 98);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	ck_assert_uint_eq(log->channel_count, 3);
	CHECK_NEAR(column_at(datalog_find(log, Q_BOOST)->column, 0), 98.0, 0.0);
	datalog_free(log);
}
END_TEST

/* One input alone, inputs of no unit, of another dimension or without values: nothing. */
START_TEST(test_missing_inputs)
{
	static const struct input lone[] = {
		{ Q_MAP, "kPa", 200 }, { Q_BARO, "kPa", 100 }, { Q_RPM, "rpm", 3000 },
		{ Q_BOOST_TARGET, "kPa", 100 }, { Q_INJECTOR_TIME, "ms", 5 },
		{ Q_LAMBDA, NULL, 0.9 }, { Q_SPEED, NULL, 50 },
	};
	double nothing[ROWS];
	struct datalog *log;
	size_t i;

	for (i = 0; i < ROWS; i++)
		nothing[i] = NAN;
	for (i = 0; i < COUNT(lone); i++) {
		log = make_even_log("x.csv", 0.05, ROWS);
		put_fixed(log, "input", lone[i].id, lone[i].unit, lone[i].v);
		ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
		ck_assert_uint_eq(log->channel_count, 1);
		datalog_free(log);
	}
	log = make_even_log("x.csv", 0.05, ROWS);
	put_fixed(log, "MAP", Q_MAP, NULL, 200);	/* unit not known: psi, kPa? */
	put_fixed(log, "baro", Q_BARO, "kPa", 100);
	put_channel(log, "afr", Q_AFR, NULL, nothing);
	put_fixed(log, "pulse", Q_INJECTOR_TIME, "%", 40);
	put_fixed(log, "rpm", Q_RPM, "rpm", 4000);
	put_fixed(log, "speed", Q_SPEED, NULL, 100);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	ck_assert_uint_eq(log->channel_count, 6);
	datalog_free(log);
	log = datalog_new("x.csv");
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	datalog_free(log);
}
END_TEST

/* Only where x has a sample; y in between, and never across a hole of it or past its ends. */
START_TEST(test_times)
{
	double map[ROWS], baro[ROWS];
	struct datalog *log = make_even_log("x.csv", 0.05, ROWS);
	const struct channel *boost;
	size_t i;

	for (i = 0; i < ROWS; i++) {
		map[i] = i % 2 == 0 ? 200.0 + (double)i : NAN;
		baro[i] = i == 1 || i == 2 || i == 3 || i == 5 || i == 17 ? 100.0 + (double)i : NAN;
	}
	put_channel(log, "MAP", Q_MAP, "kPa", map);
	put_channel(log, "baro", Q_BARO, "kPa", baro);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	boost = datalog_find(log, Q_BOOST);
	ck_assert_ptr_nonnull(boost);
	for (i = 0; i < ROWS; i++) {
		const bool there = i % 2 == 0 && i >= 1 && i <= 5;

		CHECK_NEAR(column_at(boost->column, i), there ? 100.0 : NAN, 1e-9);
	}
	datalog_free(log);
}
END_TEST

/* Rows that share a time stamp keep their own values. */
START_TEST(test_repeated_time)
{
	static const double t[] = { 0.0, 1.0, 1.0, 1.0, 2.0 };
	static const double map[] = { 20.0, 21.0, NAN, 22.0, 23.0 };
	struct datalog *log = make_log("x.csv", t, COUNT(t));
	const struct channel *boost;
	size_t i;

	put_channel(log, "MAP", Q_MAP, "psi", map);
	put_fixed(log, "baro", Q_BARO, "psi", 14.0);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	boost = datalog_find(log, Q_BOOST);
	for (i = 0; i < COUNT(t); i++)
		CHECK_NEAR(column_at(boost->column, i), map[i] - 14.0, 1e-12);
	datalog_free(log);
}
END_TEST

/* Standing or crawling, engine speed over road speed says nothing. */
START_TEST(test_crawl)
{
	static const double kmh[] = { 0.0, 4.9, 5.0, 5.1, 50.0 };
	struct datalog *log = make_even_log("x.csv", 0.05, COUNT(kmh));
	const struct channel *ratio;

	put_fixed(log, "rpm", Q_RPM, "rpm", 1000);
	put_channel(log, "speed", Q_SPEED, "km/h", kmh);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	ratio = datalog_find(log, Q_GEAR_RATIO);
	ck_assert_double_nan(column_at(ratio->column, 0));
	ck_assert_double_nan(column_at(ratio->column, 2));
	CHECK_NEAR(column_at(ratio->column, 3), 1000.0 / 5.1, 1e-9);
	datalog_free(log);
}
END_TEST

static double constant_pull(double t)
{
	return 72.0 + 3.6 * 4.0 * t;		/* km/h, 4 m/s2 */
}

static double growing(double t)
{
	return 10.0 + 2.0 * t + 0.75 * t * t;	/* m/s; 2 + 1.5 t m/s2 */
}

/*
 * A steady pull gives its acceleration everywhere, ends and units too; but at 5 Hz
 * there are only two samples within half a second of an end.
 */
START_TEST(test_acceleration_line)
{
	static const double steps[] = { 0.01, 0.02, 0.05, 0.1, 0.2 };
	struct datalog *log = make_even_log("x.csv", steps[_i], 200);
	const struct channel *accel;
	size_t i;

	put_function(log, "speed", Q_SPEED, "km/h", constant_pull);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	accel = datalog_find(log, Q_ACCEL);
	ck_assert_ptr_nonnull(accel);
	ck_assert_ptr_eq(accel->unit, unit_find("m/s2", NULL));
	for (i = 0; i < 200; i++) {
		const bool lone = steps[_i] == 0.2 && (i == 0 || i == 199);

		CHECK_NEAR(column_at(accel->column, i), lone ? NAN : 4.0, 1e-9);
	}
	datalog_free(log);
}
END_TEST

/*
 * A parabola's slope at its middle is that of a least-squares line over samples
 * that lie evenly around it: as many on either side, wherever in the log.
 */
START_TEST(test_acceleration_even)
{
	static const double steps[] = { 0.01, 0.02, 0.05, 0.1, 0.125 };
	struct datalog *log = make_even_log("x.csv", steps[_i], 400);
	const struct channel *accel;
	size_t i;

	put_function(log, "speed", Q_SPEED, "m/s", growing);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	accel = datalog_find(log, Q_ACCEL);
	for (i = 30; i < 370; i++)
		CHECK_NEAR(column_at(accel->column, i), 2.0 + 1.5 * log->time[i], 1e-8);
	datalog_free(log);
}
END_TEST

/* Too slow to tell: with fewer than three samples in half a second there is none. */
START_TEST(test_acceleration_slow)
{
	struct datalog *log = make_even_log("x.csv", 0.5, 20);

	put_function(log, "speed", Q_SPEED, "m/s", growing);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	ck_assert_ptr_null(datalog_find(log, Q_ACCEL));
	datalog_free(log);
}
END_TEST

/* Recipes that build on each other, while the list of channels grows under them. */
START_TEST(test_chain)
{
	struct datalog *log = make_even_log("x.csv", 0.05, ROWS);

	put_fixed(log, "MAP", Q_MAP, "kPa", 220);
	put_fixed(log, "MAP target", Q_MAP_TARGET, "psi", 30);
	put_fixed(log, "baro", Q_BARO, "kPa", 100);
	put_fixed(log, "afr", Q_AFR, NULL, 12.495);
	put_fixed(log, "afr target", Q_AFR_TARGET, NULL, 11.76);
	put_fixed(log, "rpm", Q_RPM, "rpm", 5000);
	put_fixed(log, "speed", Q_SPEED, "km/h", 125);
	put_fixed(log, "pulse", Q_INJECTOR_TIME, "ms", 12);
	ck_assert_int_eq(derive_all(log, NULL), ERR_NONE);
	ck_assert_uint_eq(log->channel_count, 8 + 9);
	CHECK_NEAR(column_at(datalog_find(log, Q_BOOST_ERROR)->column, 3), 220 - 30 * PSI, 1e-9);
	CHECK_NEAR(column_at(datalog_find(log, Q_LAMBDA_ERROR)->column, 3), 0.05, 1e-12);
	CHECK_NEAR(column_at(datalog_find(log, Q_ACCEL)->column, 3), 0.0, 1e-12);
	CHECK_NEAR(column_at(datalog_find(log, Q_INJECTOR_DUTY)->column, 3), 50.0, 1e-12);
	datalog_free(log);
}
END_TEST

Suite *derive_suite(void)
{
	Suite *s = suite_create("derive");
	TCase *t = tcase_create("derive");

	tcase_add_loop_test(t, test_recipes, 0, COUNT(recipes));
	tcase_add_test(t, test_once);
	tcase_add_test(t, test_missing_inputs);
	tcase_add_test(t, test_times);
	tcase_add_test(t, test_repeated_time);
	tcase_add_test(t, test_crawl);
	tcase_add_loop_test(t, test_acceleration_line, 0, 5);
	tcase_add_loop_test(t, test_acceleration_even, 0, 5);
	tcase_add_test(t, test_acceleration_slow);
	tcase_add_test(t, test_chain);
	suite_add_tcase(s, t);
	return s;
}
