/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Logs drawn by hand for the tests of the pull finder. */
#include "calc/pull_sketch.h"

#include <check.h>
#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "calc/calc_util.h"

#define OPEN_PEDAL 60.0		/* the manifold fills from here on */

void sketch_init(struct sketch *s, double rate)
{
	*s = (struct sketch){ .rate = rate, .ratio = 40.0, .gear = 4, .rpm = 2000.0 };
}

void sketch_release(struct sketch *s)
{
	free(s->rows);
	*s = (struct sketch){ 0 };
}

static void add_row(struct sketch *s, double rpm, double pedal)
{
	const bool open = pedal >= OPEN_PEDAL;
	struct sketch_row row = {
		.t = (double)s->count / s->rate,
		.rpm = rpm,
		.pedal = pedal,
		.throttle = pedal,
		.speed = rpm / s->ratio,
		.gear = s->gear,
		.map = open ? fmin(100.0 + 0.05 * (rpm - 2000.0), 200.0) * pedal / 100.0 : 35.0,
		.lambda = open ? 0.84 : 1.0,
	};

	mem_grow(&s->rows, &s->cap, s->count + 1, sizeof *s->rows);
	s->rows[s->count++] = row;
}

void sketch_go(struct sketch *s, double seconds, double rpm, double pedal)
{
	const size_t n = (size_t)lround(seconds * s->rate);
	const double from = s->rpm;
	size_t i;

	for (i = 1; i <= n; i++)
		add_row(s, from + (rpm - from) * (double)i / (double)n, pedal);
	s->rpm = rpm;
}

void sketch_pull(struct sketch *s, double rpm, size_t *first, size_t *last)
{
	sketch_go(s, 3.0, 2000.0, 15.0);
	*first = s->count;
	sketch_go(s, (rpm - 2000.0) / 500.0, rpm, 100.0);
	*last = s->count - 1;
}

void sketch_shift(struct sketch *s, int gear, double ratio)
{
	s->rpm *= ratio / s->ratio;
	s->gear = gear;
	s->ratio = ratio;
}

void sketch_shake(struct sketch *s, double rpm)
{
	uint64_t state = 1;
	size_t i;
	int k;

	for (i = 0; i < s->count; i++) {
		double sum = 0.0;

		/* the sum of twelve even ones has a standard deviation of 1 */
		for (k = 0; k < 12; k++)
			sum += rng_range(&state, 0.0, 1.0);
		s->rows[i].rpm += rpm * (sum - 6.0);
	}
}

static const struct {
	unsigned bit;		/* 0: always */
	const char *name;
	enum quantity_id id;
	const char *unit;
	size_t at;
} channels_of[] = {
	{ 0, "rpm", Q_RPM, "rpm", offsetof(struct sketch_row, rpm) },
	{ SKETCH_PEDAL, "pedal", Q_PEDAL, "%", offsetof(struct sketch_row, pedal) },
	{ SKETCH_THROTTLE, "throttle", Q_THROTTLE, "%", offsetof(struct sketch_row, throttle) },
	{ SKETCH_SPEED, "speed", Q_SPEED, "km/h", offsetof(struct sketch_row, speed) },
	{ SKETCH_GEAR, "gear", Q_GEAR, NULL, offsetof(struct sketch_row, gear) },
	{ SKETCH_MAP, "map", Q_MAP, "kPa", offsetof(struct sketch_row, map) },
	{ SKETCH_LAMBDA, "lambda", Q_LAMBDA, NULL, offsetof(struct sketch_row, lambda) },
};

static void put_field(struct datalog *log, const struct sketch *s, size_t k)
{
	double *v = mem_array(s->count, sizeof *v);
	size_t i;

	for (i = 0; i < s->count; i++)
		memcpy(&v[i], (const char *)&s->rows[i] + channels_of[k].at, sizeof v[i]);
	put_channel(log, channels_of[k].name, channels_of[k].id, channels_of[k].unit, v);
	free(v);
}

struct datalog *sketch_log(const struct sketch *s, unsigned channels)
{
	double *time = mem_array(s->count, sizeof *time);
	struct datalog *log;
	size_t i;

	for (i = 0; i < s->count; i++)
		time[i] = s->rows[i].t;
	log = make_log("sketch.csv", time, s->count);
	free(time);
	if (s->second_section > 0) {
		free(log->sections);
		log->sections = mem_array(2, sizeof *log->sections);
		log->sections[1].first = s->second_section;
		log->section_count = 2;
	}
	for (i = 0; i < sizeof channels_of / sizeof channels_of[0]; i++)
		if (channels_of[i].bit == 0 || (channels & channels_of[i].bit) != 0)
			put_field(log, s, i);
	return log;
}

struct pulls sketch_find(const struct sketch *s, unsigned channels,
			 const struct pull_options *options)
{
	struct datalog *log = sketch_log(s, channels);
	struct pulls found;
	size_t i;

	ck_assert_int_eq(pull_find(log, options, &found, NULL), ERR_NONE);
	/* what is left out while looking stays in the log */
	for (i = 0; i < s->count; i++)
		ck_assert_double_eq(log->time[i], s->rows[i].t);
	datalog_free(log);
	return found;
}

void sketch_expect(const struct pulls *p, size_t i, size_t first, size_t last, size_t slack)
{
	ck_assert_msg(i < p->count, "%zu pulls, no number %zu", p->count, i + 1);
	ck_assert_msg(p->list[i].first + slack >= first && p->list[i].first <= first + slack &&
		      p->list[i].last + slack >= last && p->list[i].last <= last + slack,
		      "pull %zu: rows %zu-%zu, not %zu-%zu", i + 1, p->list[i].first,
		      p->list[i].last, first, last);
}
