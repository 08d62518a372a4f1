/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the tests of calc share: logs and series built by hand. */
#ifndef TESTS_CALC_UTIL_H
#define TESTS_CALC_UTIL_H

#include "base/base_util.h"
#include "calc/overlay.h"
#include "calc/series.h"
#include "data/datalog.h"

/* An assertion on doubles that are finite, or NaN in both. */
#define CHECK_NEAR(got, want, tolerance) do { \
	const double got_ = (got); \
	const double want_ = (want); \
	\
	if (isnan(want_)) \
		ck_assert_msg(isnan(got_), #got " is %.17g, not NaN", got_); \
	else \
		ck_assert_msg(fabs(got_ - want_) <= (tolerance), #got " is %.17g, not %.17g", \
			      got_, want_); \
} while (0)

/* A log of `rows` rows at these times, in one section, without channels. */
static inline struct datalog *make_log(const char *path, const double *time, size_t rows)
{
	struct datalog *log = datalog_new(path);

	log->rows = rows;
	log->time = mem_array(rows, sizeof *log->time);
	memcpy(log->time, time, rows * sizeof *time);
	log->sections = mem_array(1, sizeof *log->sections);
	log->section_count = 1;
	return log;
}

/* Rows at 0, step, 2 step, ... */
static inline struct datalog *make_even_log(const char *path, double step, size_t rows)
{
	double *time = mem_array(rows, sizeof *time);
	struct datalog *log;
	size_t i;

	for (i = 0; i < rows; i++)
		time[i] = step * (double)i;
	log = make_log(path, time, rows);
	free(time);
	return log;
}

/* Adds a channel with these values (NaN: missing); unit may be NULL. */
static inline struct channel *put_channel(struct datalog *log, const char *name,
					  enum quantity_id id, const char *unit,
					  const double *values)
{
	struct column *c = column_new();
	struct channel *ch;
	size_t i;

	for (i = 0; i < log->rows; i++)
		ck_assert(column_push(c, values[i]));
	ch = datalog_add(log, name, unit == NULL ? "" : unit, c);
	ch->quantity = quantity_get(id);
	ch->unit = unit == NULL ? NULL : unit_find(unit, NULL);
	ck_assert(unit == NULL || ch->unit != NULL);
	return ch;
}

/* The same by a function of time. */
static inline struct channel *put_function(struct datalog *log, const char *name,
					   enum quantity_id id, const char *unit,
					   double (*value)(double t))
{
	double *v = mem_array(log->rows, sizeof *v);
	struct channel *ch;
	size_t i;

	for (i = 0; i < log->rows; i++)
		v[i] = value(log->time[i]);
	ch = put_channel(log, name, id, unit, v);
	free(v);
	return ch;
}

static inline void make_series(struct series *s, const double *t, const double *v, size_t n,
			       bool stepped)
{
	ck_assert_int_eq(series_from(s, t, v, n, stepped, NULL), ERR_NONE);
}

/* All rows of the log as its one pull. */
static inline struct pull whole_pull(const struct datalog *log)
{
	struct pull p = { 0 };

	p.last = log->rows - 1;
	p.from_s = log->time[0];
	p.to_s = log->time[log->rows - 1];
	p.ratio = NAN;
	p.samples = log->rows;
	return p;
}

/* A run of the rows first .. last of a log, as if they were its first pull. */
static inline void make_run(struct run *r, const struct datalog *log, size_t first, size_t last)
{
	struct pull p = whole_pull(log);
	struct pulls pulls = { &p, 1 };

	p.first = first;
	p.last = last;
	p.from_s = log->time[first];
	p.to_s = log->time[last];
	ck_assert_int_eq(run_init(r, log, &pulls, 1, NULL), ERR_NONE);
}

#endif
