/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Recognising channels: settling by the values of a small invented log: idle, one
 * pull, overrun.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "data/recognise.h"

Suite *recognise_suite(void);

#define IDLE 20		/* rows at idle before the pull */
#define PULL 30		/* rows of the pull */
#define ROWS 60		/* and overrun behind it, as at idle */

/* What one channel does: its value at idle, where its pull begins and where it ends. */
struct shape {
	const char *header;
	double idle;
	double from;
	double to;
};

static double shape_at(const struct shape *s, size_t row)
{
	if (row < IDLE || row >= IDLE + PULL)
		return s->idle;
	return s->from + (s->to - s->from) * (double)(row - IDLE) / (PULL - 1);
}

/* Rows first to last-1 of the invented log; a shape without a header ends the list. */
static struct datalog *make_log(const struct shape *shapes, size_t first, size_t last)
{
	struct datalog *log = datalog_new("invented.csv");
	size_t row;

	log->rows = last - first;
	log->time = mem_array(log->rows, sizeof(*log->time));
	log->time_source = TIME_COLUMN;
	for (row = first; row < last; row++)
		log->time[row - first] = 0.1 * (double)row;
	for (; shapes->header != NULL; shapes++) {
		struct column *c = column_new();

		for (row = first; row < last; row++)
			column_push(c, shape_at(shapes, row));
		datalog_add(log, shapes->header, "", c);
	}
	return log;
}

static struct datalog *recognised(const struct shape *shapes)
{
	struct datalog *log = make_log(shapes, 0, ROWS);

	recognise_all(log);
	return log;
}

static void check_channel(const struct datalog *log, size_t i, const char *key, const char *unit,
			  const char *reason)
{
	const struct channel *ch = &log->channels[i];

	ck_assert_msg(strcmp(ch->quantity->key, key) == 0, "'%s' is %s, want %s (%s)", ch->raw_name,
		      ch->quantity->key, key, ch->why);
	ck_assert_msg(strcmp(channel_unit_text(ch, true), unit) == 0, "'%s' in '%s', want %s (%s)",
		      ch->raw_name, channel_unit_text(ch, true), unit, ch->why);
	ck_assert_msg(strstr(ch->why, reason) != NULL, "'%s' because: %s, want: %s", ch->raw_name,
		      ch->why, reason);
}

/* One channel beside a pedal, and what it must be taken for. */
static const struct {
	struct shape shape;
	const char *key;
	const char *unit;
	const char *reason;
} settled[] = {
	/* Boost sensor before the throttle: one atmosphere at idle. */
	{ { "Boost", 100, 105, 240 }, "map", "kPa", "about 100 kPa at low load, so absolute" },
	{ { "Boost (kPa)", 99, 105, 240 }, "map", "kPa", "so absolute pressure" },
	{ { "Boost", 1.0, 1.05, 2.4 }, "map", "bar", "so absolute pressure" },
	{ { "Boost", 14.6, 15, 36 }, "map", "psi", "so absolute pressure" },
	{ { "Boost (psi)", 14.6, 15, 36 }, "map", "psi", "so absolute pressure" },
	{ { "Boost pressure", 1000, 1050, 2400 }, "map", "hPa", "so absolute pressure" },
	/* Manifold sensor: vacuum at idle. */
	{ { "Boost", 34, 100, 240 }, "map", "kPa", "about 34.0 kPa at low load" },
	{ { "Boost", -9.5, 0, 22 }, "boost", "psi", "falls to -9.50 psi, so gauge" },
	{ { "Boost", -0.65, 0, 1.5 }, "boost", "bar", "so gauge pressure" },
	{ { "Boost", -65, 0, 150 }, "boost", "kPa", "so gauge pressure" },
	{ { "Boost", -650, 0, 1500 }, "boost", "hPa", "so gauge pressure" },
	{ { "Boost", 0, 1, 150 }, "boost", "kPa", "about 0.00 kPa at low load, so gauge" },
	{ { "Boost (psi)", 0.3, 1, 22 }, "boost", "psi", "so gauge pressure" },
	{ { "MAP", 32, 100, 240 }, "map", "kPa", "so absolute pressure" },
	{ { "MAP", 0.32, 1, 2.4 }, "map", "bar", "so absolute pressure" },
	{ { "MAP", 4.6, 14, 35 }, "map", "psi", "so absolute pressure" },
	{ { "MAP", 320, 1000, 2400 }, "map", "hPa", "so absolute pressure" },
	{ { "MAP (kPa)", -66, 0, 140 }, "boost", "kPa", "falls to -66.0 kPa, so gauge" },
	{ { "Manifold pressure (psi)", 0, 1, 20 }, "boost", "psi", "so gauge pressure" },
	/* A unit that says it counts more than the values. */
	{ { "Boost (psig)", 14.6, 15, 36 }, "boost", "psi", "its unit says so" },
	{ { "Boost (bar abs)", 0, 1.0, 2.4 }, "map", "bar", "its unit says so" },

	{ { "Lambda", 1.0, 0.9, 0.8 }, "lambda", "lambda", "name 'Lambda'" },
	{ { "Lambda", 14.7, 12.5, 11.5 }, "afr", ":1", "so an air-fuel ratio" },
	{ { "Lambda 1 (λ)", 14.7, 12.5, 11.5 }, "afr", ":1", "so an air-fuel ratio" },
	{ { "AFR", 14.7, 12.5, 11.5 }, "afr", ":1", "name 'AFR'" },
	{ { "AFR", 1.0, 0.9, 0.8 }, "lambda", "lambda", "so lambda" },
	{ { "AFR (:1)", 1.0, 0.9, 0.8 }, "lambda", "lambda", "so lambda" },
	{ { "Target AFR", 1.0, 0.9, 0.8 }, "lambda_target", "lambda", "so lambda" },
	{ { "Lambda target", 14.7, 12.5, 11.5 }, "afr_target", ":1", "so an air-fuel ratio" },
	{ { "EQ_RAT", 1.0, 0.9, 0.8 }, "lambda_target", "lambda", "equivalence ratio" },
	{ { "Wideband AFR", 8.9, 8.0, 7.2 }, "afr", ":1", "afr" },	/* ethanol */

	{ { "Fuel pressure (bar)", 50, 100, 180 }, "rail_pressure", "bar", "so the high side" },
	{ { "Fuel pressure (psi)", 43, 44, 60 }, "fuel_pressure", "psi", "name" },
	{ { "FRP (kPa)", 300, 300, 400 }, "fuel_pressure", "kPa", "so the low side" },
	{ { "FRP (kPa)", 5000, 9000, 18000 }, "rail_pressure", "kPa", "name 'FRP'" },
	{ { "Rail pressure", 50, 100, 200 }, "rail_pressure", "bar", "read as bar" },
	{ { "Rail pressure", 5, 10, 20 }, "rail_pressure", "MPa", "read as MPa" },
	{ { "Rail pressure", 5000, 10000, 20000 }, "rail_pressure", "kPa", "read as kPa" },
	{ { "Rail pressure", 700, 1450, 2900 }, "rail_pressure", "psi", "read as psi" },

	{ { "Coolant temp", 88, 90, 95 }, "coolant_temp", "degC", "read as °C" },
	{ { "Coolant temp", 190, 194, 203 }, "coolant_temp", "degF", "read as °F" },
	{ { "Coolant temp", 361, 363, 368 }, "coolant_temp", "K", "read as K" },
	{ { "Oil temp", 200, 210, 240 }, "oil_temp", "degF", "read as °F" },
	{ { "IAT", 25, 26, 40 }, "intake_temp", "degC", "read as °C" },
	{ { "IAT", 80, 82, 105 }, "intake_temp", "degF", "read as °F" },
	{ { "EGT", 450, 600, 920 }, "egt", "degC", "read as °C" },
	{ { "EGT", 850, 1100, 1690 }, "egt", "degF", "read as °F" },
	{ { "Baro", 1.01, 1.01, 1.01 }, "baro", "bar", "read as bar" },
	{ { "Baro", 14.6, 14.6, 14.6 }, "baro", "psi", "read as psi" },
	{ { "Baro", 29.9, 29.9, 29.9 }, "baro", "inHg", "read as inHg" },
	{ { "Baro", 100, 100, 100 }, "baro", "kPa", "read as kPa" },
	{ { "Baro", 1003, 1003, 1003 }, "baro", "hPa", "read as hPa" },

	{ { "RPM", 850, 2000, 6900 }, "rpm", "rpm", "name 'RPM'" },
	{ { "Engine speed", 0.85, 2, 6.9 }, "rpm", "krpm", "read as krpm" },
	{ { "Engine speed", 14, 33, 115 }, "rpm", "1/s", "read as 1/s" },
	{ { "Speed", 0, 60, 150 }, "speed", "km/h", "read as km/h" },
	{ { "Turbo speed", 20, 60, 190 }, "turbo_speed", "krpm", "read as krpm" },
	{ { "Turbo speed", 20e3, 60e3, 190e3 }, "turbo_speed", "rpm", "read as rpm" },
	{ { "Turbine speed (rpm)", 800, 2000, 6800 }, "none", "rpm", "too slow" },
	{ { "Throttle", 0, 0.5, 1 }, "throttle", "1", "read as 1" },
	{ { "Throttle", 4, 50, 82 }, "throttle", "%", "read as %" },
	{ { "Wastegate duty", 0, 0.9, 0.5 }, "wastegate", "1", "read as 1" },
	{ { "Injector duty", 0.02, 0.4, 0.85 }, "injector_duty", "1", "read as 1" },
	{ { "MAF", 3, 60, 250 }, "maf", "g/s", "read as g/s" },
	{ { "MAF", 12, 210, 900 }, "maf", "kg/h", "read as kg/h" },
	{ { "Injection time", 2, 9, 14 }, "injector_time", "ms", "read as ms" },
	{ { "Injection time", 2000, 9000, 14000 }, "injector_time", "us", "read as µs" },
	{ { "Injection time", 0.002, 0.009, 0.014 }, "injector_time", "s", "read as s" },
	{ { "Battery", 14.1, 14, 13.7 }, "battery", "V", "read as V" },
	{ { "Battery", 14100, 14000, 13700 }, "battery", "mV", "read as mV" },
	{ { "Accel", -0.3, 0.4, 0.6 }, "accel", "g", "read as g" },
	{ { "Accel X", -3, 4, 6 }, "accel", "m/s2", "read as m/s²" },
	{ { "Accel", 0, 100, 100 }, "pedal", "%", "read as %" },
	{ { "Load", 20, 100, 180 }, "load", "%", "read as %" },
	{ { "Load", 0.2, 1, 2.1 }, "load", "1", "read as 1" },

	{ { "STFT", 2, -3, 0 }, "trim_short", "%", "read as %" },
	{ { "LTFT", 1.0, 1.0, 1.0 }, "trim_long", "%", "read as %" },
	{ { "LTFT", 0.8, 0.8, 0.8 }, "trim_long", "%", "read as %" },
	{ { "Turbo RPM", 20, 60, 190 }, "turbo_speed", "krpm", "read as krpm" },
	{ { "MAP", 0.03, 0.1, 0.24 }, "map", "MPa", "read as MPa" },
	{ { "Boost", 0.1, 0.1, 0.24 }, "map", "MPa", "read as MPa" },
	{ { "Lambda control", 1.0, 0.98, 1.02 }, "none", "1", "so a factor and no trim" },
	{ { "Lambda control (%)", 100, 98, 102 }, "none", "%", "so a factor and no trim" },

	{ { "STFT (foo)", 1, 0.9, 1.1 }, "trim_short", "foo", "unit 'foo' not known" },
	{ { "Lambda (foo)", 1, 0.9, 0.8 }, "lambda", "foo", "unit 'foo' not known" },
	{ { "Rail pressure", 3, 3.5, 4.2 }, "fuel_pressure", "bar", "so the low side" },
	{ { "Boost (%)", 0, 80, 60 }, "wastegate", "%", "in %" },
	{ { "Accel (%)", 0, 100, 100 }, "pedal", "%", "in %" },
	{ { "Boost (°C)", 20, 30, 60 }, "none", "degC", "cannot be in °C" },
	{ { "Boost (foo)", 20, 30, 60 }, "boost", "foo", "unit 'foo' not known" },
	{ { "Whatever", 20, 30, 60 }, "none", "", "name not recognised" },
};

START_TEST(settles_by_unit_and_values)
{
	const struct shape shapes[] = {
		{ "Pedal (%)", 0, 100, 100 },
		settled[_i].shape,
		{ NULL, 0, 0, 0 },
	};
	struct datalog *log = recognised(shapes);

	check_channel(log, 1, settled[_i].key, settled[_i].unit, settled[_i].reason);
	datalog_free(log);
}
END_TEST

/* Without a pedal low load is engine speed near idle; here overrun pulls no vacuum. */
START_TEST(engine_speed_tells_low_load)
{
	const struct shape shapes[] = {
		{ "Engine speed", 0.85, 2, 6.9 },	/* krpm: its unit comes first */
		{ "Boost (kPa)", 36, 100, 240 },
		{ NULL, 0, 0, 0 },
	};
	struct datalog *log = recognised(shapes);

	check_channel(log, 1, "map", "kPa", "about 36.0 kPa at low load");
	datalog_free(log);
}
END_TEST

/* A log of the pull alone: what is near one atmosphere at its start is absolute. */
START_TEST(pull_alone_tells_less)
{
	const struct shape shapes[] = {
		{ "Pedal (%)", 0, 100, 100 },
		{ "Boost (kPa)", 0, 104, 240 },
		{ "Boost B (kPa)", 0, 20, 140 },
		{ "MAP (kPa)", 0, 140, 240 },
		{ NULL, 0, 0, 0 },
	};
	struct datalog *log = make_log(shapes, IDLE, IDLE + PULL);

	recognise_all(log);
	check_channel(log, 1, "map", "kPa", "never below 104 kPa");
	check_channel(log, 2, "boost", "kPa", "gauge by its name, the values do not tell");
	check_channel(log, 3, "map", "kPa", "absolute by its name, the values do not tell");
	datalog_free(log);
}
END_TEST

/* On a mountain one atmosphere is less; the barometric channel says how much. */
START_TEST(barometric_pressure_counts)
{
	const struct shape shapes[] = {
		{ "Pedal (%)", 0, 100, 100 },
		{ "Boost (kPa)", 0, 72, 210 },
		{ "Baro (kPa)", 70, 70, 70 },
		{ NULL, 0, 0, 0 },
	};
	struct datalog *log = make_log(shapes, IDLE, IDLE + PULL);

	recognise_all(log);
	check_channel(log, 1, "map", "kPa", "never below 72.0 kPa");
	datalog_free(log);
}
END_TEST

/* Targets say nothing at idle; they are held against what was measured. */
START_TEST(targets_follow_the_measured)
{
	const struct shape gauge[] = {
		{ "Boost target", 100, 100, 150 },
		{ "Pedal", 0, 100, 100 },
		{ "Boost (kPa)", -60, 0, 145 },
		{ NULL, 0, 0, 0 },
	};
	const struct shape absolute[] = {
		{ "Boost target", 0, 1.0, 2.5 },
		{ "Pedal", 0, 100, 100 },
		{ "Boost (bar)", 1.0, 1.1, 2.45 },
		{ NULL, 0, 0, 0 },
	};
	const struct shape leak[] = {
		{ "Boost target (kPa)", 100, 100, 150 },
		{ "Pedal", 0, 100, 100 },
		{ "Boost (kPa)", -60, 0, 90 },
		{ NULL, 0, 0, 0 },
	};
	const struct shape short_of_it[] = {
		{ "Boost target (kPa)", 0, 138, 138 },
		{ "Pedal", 0, 100, 100 },
		{ "Boost (kPa)", -60, 0, 77 },
		{ NULL, 0, 0, 0 },
	};
	struct datalog *log = recognised(gauge);

	check_channel(log, 0, "boost_target", "kPa", "held against 'Boost'");
	datalog_free(log);
	log = recognised(short_of_it);
	check_channel(log, 0, "boost_target", "kPa", "so gauge pressure");
	datalog_free(log);
	log = recognised(leak);
	check_channel(log, 0, "boost_target", "kPa", "so gauge pressure");
	datalog_free(log);
	log = recognised(absolute);
	check_channel(log, 0, "map_target", "bar", "so absolute pressure");
	datalog_free(log);
}
END_TEST

START_TEST(time_unit_follows_the_clock)
{
	struct shape shapes[] = {
		{ "Time", 0, 0, 0 }, { "Log time", 0, 0, 0 }, { "RPM", 800, 2000, 6900 },
		{ NULL, 0, 0, 0 },
	};
	struct datalog *log = make_log(shapes, 0, ROWS);
	struct column *ms = column_new();
	size_t row;

	for (row = 0; row < ROWS; row++)
		column_push(ms, 100.0 * (double)row);
	column_free(log->channels[1].column);
	log->channels[1].column = ms;
	recognise_all(log);
	check_channel(log, 1, "time", "ms", "read as ms");
	datalog_free(log);
}
END_TEST

/* One unit that only the one habit has decides for what has none. */
START_TEST(habits_of_the_log_count)
{
	const struct shape us[] = {
		{ "Coolant temp", 185, 190, 203 },	/* without a unit: cannot be °C */
		{ "Speed", 10, 40, 95 }, { "Torque", 0, 200, 260 }, { "IAT", 60, 61, 72 },
		{ "Oil temp", 120, 121, 125 },		/* still cold */
		{ NULL, 0, 0, 0 },
	};
	const struct shape mixed[] = {
		{ "Oil temp (°F)", 185, 190, 203 }, { "IAT (°C)", 20, 22, 30 },
		{ "Speed", 10, 40, 95 }, { NULL, 0, 0, 0 },
	};
	struct datalog *log = recognised(us);

	check_channel(log, 0, "coolant_temp", "degF", "read as °F");
	check_channel(log, 1, "speed", "mph", "read as mph");
	check_channel(log, 2, "torque", "lbf ft", "read as lbf ft");
	check_channel(log, 3, "intake_temp", "degF", "read as °F");
	check_channel(log, 4, "oil_temp", "degF", "read as °F");
	datalog_free(log);
	log = recognised(mixed);
	check_channel(log, 2, "speed", "km/h", "read as km/h");
	datalog_free(log);
}
END_TEST

START_TEST(polled_channels_keep_their_low_load)
{
	struct datalog *log = datalog_new("polled.csv");
	struct column *pedal = column_new();
	struct column *boost = column_new();
	size_t row;

	/* In turn: the one is blank where the other has a sample. */
	for (row = 0; row < 2 * ROWS; row++) {
		const bool pull = row / 2 >= IDLE && row / 2 < IDLE + PULL;

		column_push(pedal, row % 2 == 0 ? (pull ? 100 : 0) : NAN);
		column_push(boost, row % 2 == 1 ? (pull ? 220 : 98) : NAN);
	}
	datalog_add(log, "Pedal", "", pedal);
	datalog_add(log, "Boost (kPa)", "", boost);
	recognise_all(log);
	check_channel(log, 1, "map", "kPa", "about 98.0 kPa at low load");
	datalog_free(log);
}
END_TEST

START_TEST(words_are_no_numbers)
{
	struct datalog *log = datalog_new("words.csv");
	struct column *c[2];
	size_t i;

	for (i = 0; i < 2; i++) {
		char **words = mem_array(2, sizeof(*words));

		words[0] = mem_strdup("N");
		words[1] = mem_strdup("1");
		c[i] = column_new();
		column_push(c[i], 0);
		column_push(c[i], 1);
		column_set_words(c[i], words, 2);
	}
	datalog_add(log, "Boost", "", c[0]);
	datalog_add(log, "Gear", "", c[1]);
	recognise_all(log);
	ck_assert_str_eq(log->channels[0].quantity->key, "none");
	ck_assert_ptr_nonnull(strstr(log->channels[0].why, "it holds words"));
	ck_assert_str_eq(log->channels[1].quantity->key, "gear");
	datalog_free(log);
}
END_TEST

START_TEST(names_become_unique)
{
	const struct shape shapes[] = {
		{ "EGT (°C)", 0, 0, 0 }, { "EGT [°F]", 0, 0, 0 }, { "EGT", 0, 0, 0 },
		{ "EGT 2", 0, 0, 0 }, { NULL, 0, 0, 0 },
	};
	static const char *const want[] = { "EGT", "EGT 2", "EGT 3", "EGT 2 2" };
	struct datalog *log = recognised(shapes);
	size_t i;

	for (i = 0; i < 4; i++)
		ck_assert_str_eq(log->channels[i].name, want[i]);
	ck_assert_ptr_eq(datalog_find(log, Q_EGT), &log->channels[0]);
	datalog_free(log);
}
END_TEST

/* A units row (raw_unit) counts more than brackets, and doubles do no harm. */
START_TEST(units_row_counts_more)
{
	struct datalog *log = datalog_new("units.csv");

	datalog_add(log, "Boost (raw)", "psi", column_new());
	datalog_add(log, "Boost psi", "psi", column_new());
	datalog_add(log, "Boost", "-", column_new());
	datalog_add(log, "Oil temp (C)", "°C", column_new());
	recognise_all(log);
	ck_assert_str_eq(log->channels[0].name, "Boost (raw)");
	check_channel(log, 0, "boost", "psi", "name");
	ck_assert_str_eq(log->channels[1].name, "Boost");
	check_channel(log, 2, "boost", "kPa", "kPa assumed");
	ck_assert_str_eq(log->channels[3].name, "Oil temp");
	check_channel(log, 3, "oil_temp", "degC", "name");
	datalog_free(log);
}
END_TEST

/* Again over its own result, and on nothing: the same, and no leak. */
START_TEST(runs_twice_and_on_nothing)
{
	const struct shape shapes[] = {
		{ "Pedal", 0, 100, 100 }, { "Boost", 100, 105, 240 }, { "AFR", 1, 0.9, 0.8 },
		{ NULL, 0, 0, 0 },
	};
	struct datalog *log = recognised(shapes);

	recognise_all(log);
	check_channel(log, 1, "map", "kPa", "so absolute pressure");
	check_channel(log, 2, "lambda", "lambda", "so lambda");
	datalog_free(log);
	log = datalog_new("-");
	recognise_all(log);
	datalog_free(log);
}
END_TEST

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

Suite *recognise_suite(void)
{
	Suite *s = suite_create("recognise");
	TCase *t = tcase_create("recognise");

	tcase_add_loop_test(t, settles_by_unit_and_values, 0, LENGTH(settled));
	tcase_add_test(t, engine_speed_tells_low_load);
	tcase_add_test(t, pull_alone_tells_less);
	tcase_add_test(t, barometric_pressure_counts);
	tcase_add_test(t, targets_follow_the_measured);
	tcase_add_test(t, time_unit_follows_the_clock);
	tcase_add_test(t, habits_of_the_log_count);
	tcase_add_test(t, polled_channels_keep_their_low_load);
	tcase_add_test(t, words_are_no_numbers);
	tcase_add_test(t, names_become_unique);
	tcase_add_test(t, units_row_counts_more);
	tcase_add_test(t, runs_twice_and_on_nothing);
	suite_add_tcase(s, t);
	return s;
}
