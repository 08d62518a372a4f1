/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The pull finder on nonsense: whatever the values and time stamps are, it ends, soon,
 * and what it returns hangs together.
 */
#include <check.h>
#include <math.h>
#include <time.h>

#include "calc/calc_util.h"
#include "calc/pull.h"

Suite *pull_wild_suite(void);

#define LOGS 1000
#define MOST_ROWS 400
#define HOUR_ROWS 360000	/* an hour at 100 rows a second */
#define LONG_ROWS 100000	/* enough to see a search that takes the square of it */
#define LONG_SECONDS 3.0	/* generous: checkers slow it down; plain it takes a tenth */

/* How a made-up channel goes; each row is one of these at times. */
enum wild_kind { WILD_WALK, WILD_STEPS, WILD_SAW, WILD_LEVEL, WILD_SPIKES, WILD_KINDS };

static double odd_value(uint64_t *state)
{
	static const double odd[] = {
		0.0, -0.0, -1.0, 1e300, -1e300, INFINITY, -INFINITY, 1e-300, 100.0, 7000.0,
	};

	return odd[rng_below(state, (int)COUNT(odd))];
}

static void fill_wild(uint64_t *state, double *v, size_t n, double top)
{
	const int kind = rng_below(state, WILD_KINDS);
	const int lost = rng_below(state, 4) == 0 ? 2 + rng_below(state, 8) : 0;
	double now = rng_range(state, 0.0, top);
	double slope = rng_range(state, -0.05, 0.05) * top;
	size_t i;

	for (i = 0; i < n; i++) {
		const bool turn = rng_below(state, 12) == 0;

		if (kind == WILD_WALK)
			now += rng_range(state, -0.04, 0.05) * top;
		else if (kind == WILD_STEPS && turn)
			now = rng_range(state, 0.0, top);
		else if (kind == WILD_SAW)
			now += slope;
		else if (kind == WILD_SPIKES && turn)
			now = rng_below(state, 8) == 0 ? odd_value(state) : rng_range(state, 0.0, top);
		if (kind == WILD_SAW && (turn || now > top || now < 0.0)) {
			slope = rng_range(state, -0.02, 0.05) * top;
			now = fmin(fmax(now, 0.0), top);
		}
		v[i] = lost > 0 && i % (size_t)lost != 0 ? NAN : now;
	}
}

/* Time stamps that never fall: even, in fits, standing still, or far apart. */
static void fill_time(uint64_t *state, double *t, size_t n)
{
	static const double steps[] = { 0.01, 0.05, 0.2, 1.0, 1e-9, 0.0, 1e6 };
	const double step = steps[rng_below(state, (int)COUNT(steps))];
	const bool in_fits = rng_below(state, 3) == 0;
	double now = rng_range(state, -10.0, 1e5);
	size_t i;

	for (i = 0; i < n; i++) {
		t[i] = now;
		now += in_fits && rng_below(state, 10) == 0 ? 5.0 * rng_range(state, 0.0, 1.0) : step;
	}
}

static struct datalog *wild_log(uint64_t *state)
{
	static const struct {
		enum quantity_id id;
		const char *unit;
		double top;
	} others[] = {
		{ Q_PEDAL, "%", 100.0 }, { Q_THROTTLE, "%", 100.0 }, { Q_SPEED, "km/h", 200.0 },
		{ Q_GEAR, NULL, 6.0 }, { Q_MAP, "kPa", 220.0 }, { Q_BOOST, "kPa", 120.0 },
		{ Q_LOAD, "%", 200.0 }, { Q_MAF, "g/s", 300.0 }, { Q_LAMBDA, NULL, 1.2 },
		{ Q_BARO, "kPa", 100.0 },
	};
	const size_t rows = 1 + (size_t)rng_below(state, MOST_ROWS);
	double *v = mem_array(rows, sizeof *v);
	struct datalog *log;
	size_t i;

	fill_time(state, v, rows);
	log = make_log("wild.csv", v, rows);
	log->time_source = rng_below(state, 4) == 0 ? TIME_ROWS : TIME_COLUMN;
	if (rows > 2 && rng_below(state, 3) == 0) {
		free(log->sections);
		log->sections = mem_array(2, sizeof *log->sections);
		log->sections[1].first = 1 + (size_t)rng_below(state, (int)rows - 1);
		log->section_count = 2;
	}
	fill_wild(state, v, rows, 8000.0);
	put_channel(log, "rpm", Q_RPM, "rpm", v);
	for (i = 0; i < COUNT(others); i++) {
		if (rng_below(state, 2) == 0)
			continue;
		fill_wild(state, v, rows, others[i].top);
		put_channel(log, quantity_get(others[i].id)->key, others[i].id, others[i].unit, v);
	}
	free(v);
	return log;
}

static void assert_sound(const struct datalog *log, const struct pulls *p, int number)
{
	size_t i;

	for (i = 0; i < p->count; i++) {
		const struct pull *a = &p->list[i];

		ck_assert_msg(a->first <= a->last && a->last < log->rows &&
			      a->from_s <= a->to_s && a->samples >= 2 &&
			      a->to_rpm - a->from_rpm >= PULL_MIN_RISE,
			      "log %d, pull %zu: rows %zu-%zu of %zu, %g-%g s, %g-%g rpm", number,
			      i + 1, a->first, a->last, log->rows, a->from_s, a->to_s,
			      a->from_rpm, a->to_rpm);
		ck_assert_msg(i == 0 || p->list[i - 1].to_s <= a->from_s,
			      "log %d: pull %zu begins before the end of the one before", number,
			      i + 1);
	}
}

START_TEST(nonsense_does_no_harm)
{
	uint64_t state = 7;
	size_t found = 0;
	int i;

	for (i = 0; i < LOGS; i++) {
		struct datalog *log = wild_log(&state);
		struct err e = ERR_INIT;
		struct pulls p;
		const enum err_code code = pull_find(log, NULL, &p, &e);

		ck_assert_msg(code == ERR_NONE || code == ERR_DATA, "log %d: %s", i, e.text);
		assert_sound(log, &p, i);
		found += p.count;
		pulls_release(&p);
		datalog_free(log);
	}
	ck_assert_uint_gt(found, 0);
}
END_TEST

/* Long logs that make a careless search look at everything again and again. */
static double drive_rpm(size_t i)
{
	const size_t at = i % 3000;

	return at < 1000 ? 2000.0 : at < 2000 ? 2000.0 + 4.8 * (double)(at - 1000) : 3000.0;
}

static double saw_rpm(size_t i)
{
	return 3000.0 + 12.0 * (double)(i % 9) + (double)(i / 9) * 0.05;
}

static double steady_rpm(size_t i)
{
	return 5000.0 + (double)(i * 7919 % 13);
}

static double bouncing_rpm(size_t i)
{
	return i % 1000 < 600 ? 2000.0 + 8.0 * (double)(i % 1000) :
	       6800.0 - 60.0 * (double)(i % 12) / 11.0;
}

static double half_rpm(size_t i)
{
	return i % 2000 < 1000 ? 6000.0 + (double)(i % 1000) : 6990.0 - (double)(i % 50);
}

START_TEST(an_hour_is_soon_done)
{
	static double (*const shapes[])(size_t) = {
		drive_rpm, saw_rpm, steady_rpm, bouncing_rpm, half_rpm,
	};
	static const double steps[] = { 0.01, 1e-6 };
	const double step = steps[_i % 2];
	double (*const shape)(size_t) = shapes[_i / 2];
	const size_t rows = _i == 0 ? HOUR_ROWS : LONG_ROWS;
	struct datalog *log = make_even_log("long.csv", step, rows);
	double *v = mem_array(rows, sizeof *v);
	struct pulls p;
	clock_t begin;
	double seconds;
	size_t i;

	for (i = 0; i < rows; i++)
		v[i] = shape(i);
	put_channel(log, "rpm", Q_RPM, "rpm", v);
	for (i = 0; i < rows; i++)
		v[i] = shape(i) / 40.0;
	put_channel(log, "speed", Q_SPEED, "km/h", v);
	for (i = 0; i < rows; i++)
		v[i] = shape == drive_rpm && (i % 3000 < 1000 || i % 3000 >= 2000) ? 10.0 : 100.0;
	put_channel(log, "pedal", Q_PEDAL, "%", v);
	begin = clock();
	ck_assert_int_eq(pull_find(log, NULL, &p, NULL), ERR_NONE);
	seconds = (double)(clock() - begin) / (double)CLOCKS_PER_SEC;
	ck_assert_msg(seconds < LONG_SECONDS, "shape %d: %.2f s", _i, seconds);
	if (getenv("SHOW_TIMES") != NULL)
		printf("shape %d, every %g s: %.3f s, %zu pulls\n", _i / 2, step, seconds, p.count);
	if (shape == drive_rpm && step > 1e-3)
		ck_assert_uint_eq(p.count, rows / 3000);
	pulls_release(&p);
	datalog_free(log);
	free(v);
}
END_TEST

Suite *pull_wild_suite(void)
{
	Suite *s = suite_create("pull_wild");
	TCase *t = tcase_create("wild");

	tcase_set_timeout(t, 300.0);
	tcase_add_test(t, nonsense_does_no_harm);
	tcase_add_loop_test(t, an_hour_is_soon_done, 0, 10);
	suite_add_tcase(s, t);
	return s;
}
