/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log made by hand, what is asked of it, and the answers of `ready`. */
#ifndef TESTS_CALC_READY_TRIAL_H
#define TESTS_CALC_READY_TRIAL_H

#include "calc/calc_util.h"
#include "judge/ready.h"

#define RATE 20
#define ROLL (3 * RATE)		/* rows before and after the pull */
#define PULL (10 * RATE)	/* rows of the pull */
#define ROWS (2 * ROLL + PULL + 1)
#define FROM_RPM 1950.0
#define RISE 500.0		/* rpm a second: to 6950 */
#define RATIO 40.0		/* rpm per km/h */

struct trial {
	struct loaded loaded;
	struct datalog *log;
	struct request request;
	struct car car;
	enum unit_system units;
	struct ready_report report;
};

/* Values of one channel, row by row. */
struct values {
	double v[ROWS];
};

/* Wiggles a little, as sensors do, and never repeats a value. */
double wiggle(size_t row);

struct values steady(double level, double noise);
struct values from_rpm(double factor);
struct values pedal(void);

/* Engine speed and pedal; the tests add what else they need. */
void bare_init(struct trial *t);

/* All that the built-in request asks for, and all of it well. */
void full_init(struct trial *t);
void trial_release(struct trial *t);

struct channel *put(struct trial *t, const char *name, enum quantity_id id, const char *unit,
		    struct values values);
struct channel *of(struct trial *t, const char *name);

/* Other values for a channel that is there; none at all. */
void change(struct trial *t, const char *name, struct values values);
void drop(struct trial *t, const char *name);

/* Judges pull `number`, or the whole log. */
void judge(struct trial *t, size_t number);

/* NULL: no such line.  The first where there are several. */
const struct ready_line *line_of(const struct trial *t, const char *id);

/* The line's result and value; what is not a pass has words of advice. */
void expect_line(const struct trial *t, const char *id, enum ready_result result, double value,
		 double tolerance);

/* Judges the first pull, expects the line, and ends the trial. */
void release_and_expect(struct trial *t, const char *id, enum ready_result result,
			double value, double tolerance);

#endif
