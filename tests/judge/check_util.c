/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the tests of checks share. */
#include "check_util.h"

double bench_rpm(double t)
{
	return BENCH_RPM_AT_START + BENCH_RPM_PER_S * t;
}

size_t bench_rows(const struct bench_pull *b)
{
	return b->loaded.log->rows;
}

double bench_time(const struct bench_pull *b, size_t row)
{
	ck_assert_uint_lt(row, bench_rows(b));
	return b->loaded.log->time[row];
}

size_t bench_row(const struct bench_pull *b, double t)
{
	size_t best = 0;
	size_t i;

	for (i = 1; i < bench_rows(b); i++)
		if (fabs(bench_time(b, i) - t) < fabs(bench_time(b, best) - t))
			best = i;
	return best;
}

static void set_pull(struct bench_pull *b, size_t first, size_t last)
{
	struct pull *p = mem_array(1, sizeof *p);

	*p = whole_pull(b->loaded.log);
	p->first = first;
	p->last = last;
	p->from_s = bench_time(b, first);
	p->to_s = bench_time(b, last);
	p->from_rpm = bench_rpm(p->from_s);
	p->to_rpm = bench_rpm(p->to_s);
	p->samples = last - first + 1;
	b->loaded.pulls = (struct pulls){ p, 1 };
	b->loaded.has_rpm = true;
}

void bench_begin(struct bench_pull *b, double rate, double before_s, double pull_s,
		 double after_s)
{
	const size_t before = (size_t)(before_s * rate + 0.5);
	const size_t in = (size_t)(pull_s * rate + 0.5);
	const size_t rows = before + in + (size_t)(after_s * rate + 0.5) + 1;
	double *time = mem_array(rows, sizeof *time);
	double *rpm = mem_array(rows, sizeof *rpm);
	size_t i;

	memset(b, 0, sizeof *b);
	car_init(&b->car);
	for (i = 0; i < rows; i++) {
		time[i] = ((double)i - (double)before) / rate;
		rpm[i] = i < before ? BENCH_RPM_AT_START : bench_rpm(time[i]);
		if (i > before + in)
			rpm[i] = fmax(bench_rpm(pull_s) - 1000 * (time[i] - pull_s), 800);
	}
	b->loaded.log = make_log("bench.csv", time, rows);
	put_channel(b->loaded.log, "rpm", Q_RPM, "rpm", rpm);
	set_pull(b, before, before + in);
	free(time);
	free(rpm);
}

void bench_end(struct bench_pull *b)
{
	measures_release(&b->out);
	if (b->staged) {
		scene_release(&b->scene);
		run_release(&b->run);
	}
	loaded_release(&b->loaded);
	car_release(&b->car);
}

struct channel *bench_add(struct bench_pull *b, const char *name, enum quantity_id id,
			  const char *unit, double (*value)(double t))
{
	return bench_add_polled(b, name, id, unit, value, 1, 0);
}

struct channel *bench_add_constant(struct bench_pull *b, const char *name, enum quantity_id id,
				   const char *unit, double value)
{
	const size_t rows = bench_rows(b);
	double *v = mem_array(rows, sizeof *v);
	struct channel *ch;
	size_t i;

	for (i = 0; i < rows; i++)
		v[i] = value;
	ch = bench_add_values(b, name, id, unit, v);
	free(v);
	return ch;
}

struct channel *bench_add_values(struct bench_pull *b, const char *name, enum quantity_id id,
				 const char *unit, const double *values)
{
	ck_assert(!b->staged);
	return put_channel(b->loaded.log, name, id, unit, values);
}

struct channel *bench_add_polled(struct bench_pull *b, const char *name, enum quantity_id id,
				 const char *unit, double (*value)(double t), size_t every,
				 size_t phase)
{
	const size_t rows = bench_rows(b);
	double *v = mem_array(rows, sizeof *v);
	struct channel *ch;
	size_t i;

	for (i = 0; i < rows; i++)
		v[i] = i % every == phase ? value(bench_time(b, i)) : NAN;
	ch = bench_add_values(b, name, id, unit, v);
	free(v);
	return ch;
}

void bench_cut(struct bench_pull *b, size_t row)
{
	struct datalog *log = b->loaded.log;
	struct section *sections = mem_array(log->section_count + 1, sizeof *sections);

	ck_assert_uint_lt(log->sections[log->section_count - 1].first, row);
	memcpy(sections, log->sections, log->section_count * sizeof *sections);
	sections[log->section_count++] = (struct section){ row, 0.0 };
	free(log->sections);
	log->sections = sections;
}

void bench_scene(struct bench_pull *b)
{
	ck_assert(!b->staged);
	ck_assert_int_eq(run_init(&b->run, b->loaded.log, &b->loaded.pulls, 1, NULL), ERR_NONE);
	ck_assert_int_eq(scene_init(&b->scene, &b->run, b->baseline, &b->car,
				    log_facts_find(b->run.log), NULL), ERR_NONE);
	b->staged = true;
}

void bench_measure(struct bench_pull *b, enum check_id id)
{
	const struct check *c = check_get(id);

	if (!b->staged)
		bench_scene(b);
	measures_release(&b->out);
	ck_assert_int_eq(c->measure(c, &b->scene, &b->out, NULL), ERR_NONE);
}

double bench_value(const struct bench_pull *b, size_t i, double t)
{
	ck_assert_uint_lt(i, b->out.count);
	return series_at(&b->out.list[i].value, t);
}

static double extreme(const struct bench_pull *b, size_t i, double sign)
{
	const struct series *v;
	double best = -INFINITY;
	size_t k;

	ck_assert_uint_lt(i, b->out.count);
	v = &b->out.list[i].value;
	ck_assert_uint_gt(v->n, 0);
	for (k = 0; k < v->n; k++)
		best = fmax(best, sign * v->v[k]);
	return sign * best;
}

double bench_highest(const struct bench_pull *b, size_t i)
{
	return extreme(b, i, 1.0);
}

double bench_lowest(const struct bench_pull *b, size_t i)
{
	return extreme(b, i, -1.0);
}

void bench_assert_refused(const struct bench_pull *b, const char *words)
{
	const char *why = b->out.why_not;

	ck_assert_uint_eq(b->out.count, 0);
	ck_assert_ptr_nonnull(why);
	ck_assert_msg(strstr(why, words) != NULL, "\"%s\" has no \"%s\"", why, words);
	ck_assert(why[strlen(why) - 1] != '.');
}

/* By the polar way of Marsaglia and Bray (1964; from memory). */
double bench_noise(uint64_t *seed)
{
	double x, y, r;

	do {
		x = rng_range(seed, -1, 1);
		y = rng_range(seed, -1, 1);
		r = x * x + y * y;
	} while (r >= 1 || r == 0);
	return x * sqrt(-2 * log(r) / r);
}
