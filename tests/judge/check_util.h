/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the tests of checks share: a pull built by hand, and what a check makes of it.
 *
 * Engine speed is 2000 rpm at time 0 of the pull and rises by 500 rpm a second.  Rows
 * before the pull have negative times, so that time is always time since the foot went
 * down.  The channels are recognised already: nothing is read from a file.
 *
 *     bench_begin(&b, 20, 5, 10, 5);
 *     bench_add(&b, "lambda", Q_LAMBDA, "lambda", lambda_at);
 *     bench_measure(&b, CHECK_LEAN_TREND);
 *     CHECK_NEAR(bench_value(&b, 0, 4.0), 0.05, 1e-9);
 *     bench_end(&b);
 */
#ifndef TESTS_JUDGE_CHECK_UTIL_H
#define TESTS_JUDGE_CHECK_UTIL_H

#include "calc/calc_util.h"

#include "calc/load.h"
#include "judge/measure.h"

#define BENCH_RPM_AT_START 2000.0
#define BENCH_RPM_PER_S 500.0

struct bench_pull {
	struct loaded loaded;		/* of one pull */
	struct run run;
	struct car car;			/* all unknown; to be changed before the scene */
	struct scene scene;
	bool staged;			/* run and scene are made */
	const struct run *baseline;	/* NULL; to be set before the scene; borrowed */
	struct measures out;
};

/*
 * A log of before_s + pull_s + after_s at `rate` rows a second, in one section.  Engine speed
 * is "rpm"; before the pull it stays at 2000, behind it it falls by 1000 rpm a second.
 */
void bench_begin(struct bench_pull *b, double rate, double before_s, double pull_s,
		 double after_s);
void bench_end(struct bench_pull *b);

size_t bench_rows(const struct bench_pull *b);
double bench_time(const struct bench_pull *b, size_t row);
size_t bench_row(const struct bench_pull *b, double t);	/* the nearest */

/* Engine speed in the pull at time t. */
double bench_rpm(double t);

/* Before bench_scene() only; the channel's pointer holds until the next is added. */
struct channel *bench_add(struct bench_pull *b, const char *name, enum quantity_id id,
			  const char *unit, double (*value)(double t));
struct channel *bench_add_constant(struct bench_pull *b, const char *name, enum quantity_id id,
				   const char *unit, double value);

/* values[bench_rows()]; NaN is missing. */
struct channel *bench_add_values(struct bench_pull *b, const char *name, enum quantity_id id,
				 const char *unit, const double *values);

/* Sampled in turn: a value in every `every`-th row, from row `phase` on. */
struct channel *bench_add_polled(struct bench_pull *b, const char *name, enum quantity_id id,
				 const char *unit, double (*value)(double t), size_t every,
				 size_t phase);

/* A new section begins at the row, as behind a restart of the logger. */
void bench_cut(struct bench_pull *b, size_t row);

/* Makes run and scene; bench_measure() does it where it has not been done. */
void bench_scene(struct bench_pull *b);

/* Lets the check measure, whatever was measured before; gates and limits are not applied. */
void bench_measure(struct bench_pull *b, enum check_id id);

/* Measure number i at log time t, between samples as the series has it. */
double bench_value(const struct bench_pull *b, size_t i, double t);

/* Highest and lowest of measure number i. */
double bench_highest(const struct bench_pull *b, size_t i);
double bench_lowest(const struct bench_pull *b, size_t i);

/* Nothing was measured, and the reason has these words. */
void bench_assert_refused(const struct bench_pull *b, const char *words);

/* Noise that is the same on every machine: normal, sd 1, of a seed that is stepped. */
double bench_noise(uint64_t *seed);

#endif
