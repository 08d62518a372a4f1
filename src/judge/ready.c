/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Asking every question of the table, and what the answers come to. */
#include "judge/ready.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "judge/ready_case.h"

#define ROWS_A_SECOND 20.0	/* supposed for a log without time, as the finder of pulls does */

static const char *const result_names[] = {
	[READY_PASS] = "pass",
	[READY_UNCHECKED] = "not checked",
	[READY_WEAK] = "weak",
	[READY_FAIL] = "fail",
};

const char *ready_result_name(enum ready_result r)
{
	return result_names[r];
}

const char *ready_verdict_name(enum ready_result verdict)
{
	switch (verdict) {
	case READY_FAIL:
		return "not fit";
	case READY_WEAK:
		return "fit with care";
	case READY_PASS:
	case READY_UNCHECKED:
		break;
	}
	return "fit";
}

/* The rows that are judged, and what follows from them alone. */
static enum err_code case_init(struct ready_case *c, const struct loaded *loaded,
			       const struct run *run, struct err *e)
{
	const struct datalog *log = loaded->log;
	enum err_code code = ERR_NONE;

	c->loaded = loaded;
	c->log = log;
	c->run = run;
	c->rise = NAN;
	c->second = log->time_source == TIME_ROWS ? ROWS_A_SECOND : 1.0;
	c->time_unit = log->time_source == TIME_ROWS ? "rows" : "s";
	c->last = log->rows > 0 ? log->rows - 1 : 0;
	if (run != NULL) {
		const struct pull *p = &run->pull;

		c->first = p->first;
		c->last = p->last;
		if (p->to_s > p->from_s)
			c->rise = (p->to_rpm - p->from_rpm) / (p->to_s - p->from_s);
		code = scene_init(&c->scene, run, NULL, c->setup->car, log_facts_find(log), e);
	}
	return code;
}

static enum err_code find_step(struct ready_case *c, struct err *e)
{
	const size_t rows = c->log->rows == 0 ? 0 : c->last - c->first + 1;
	struct series s;
	enum err_code code;

	c->step_s = NAN;
	if (rows < 2)
		return ERR_NONE;
	code = series_from(&s, c->log->time + c->first, c->log->time + c->first, rows, false, e);
	if (code != ERR_NONE)
		return code;
	c->step_s = ready_interval(&s);
	series_release(&s);
	return ERR_NONE;
}

static void settle_verdict(struct ready_report *r)
{
	size_t i;

	r->verdict = READY_PASS;
	for (i = 0; i < r->count; i++) {
		const struct ready_line *line = &r->lines[i];

		if (line->result != READY_UNCHECKED)
			r->verdict = ready_worse(r->verdict, line->result);
		else if (line->owed)
			r->verdict = ready_worse(r->verdict, READY_WEAK);
	}
}

static enum err_code ask_all(struct ready_case *c, struct err *e)
{
	enum err_code code = ERR_NONE;
	size_t i;

	for (i = 0; i < ready_table_count && code == ERR_NONE; i++) {
		c->row = &ready_table[i];
		if (c->run != NULL || !c->row->needs_pull)
			code = c->row->ask(c, e);
	}
	return code;
}

static enum err_code judge(struct ready_report *out, const struct loaded *loaded,
			   const struct run *run, const struct ready_setup *setup, struct err *e)
{
	struct ready_case c = { 0 };
	enum err_code code;

	c.setup = setup;
	c.out = out;
	out->pull = run == NULL ? 0 : run->number;
	code = case_init(&c, loaded, run, e);
	if (code == ERR_NONE)
		code = find_step(&c, e);
	if (code == ERR_NONE)
		code = ready_want(&c, e);
	if (code == ERR_NONE && run != NULL)
		code = ready_ends(&c, e);
	if (code == ERR_NONE)
		code = ask_all(&c, e);
	ready_want_release(&c);
	if (run != NULL)
		scene_release(&c.scene);
	if (code != ERR_NONE)
		ready_report_release(out);
	else
		settle_verdict(out);
	return code;
}

/* How much of the asked engine speeds the pull covers; all of its own where none are asked. */
static double covered(const struct pull *p, const struct request *r)
{
	const double from = isnan(r->from_rpm) ? p->from_rpm : fmax(p->from_rpm, r->from_rpm);
	const double to = isnan(r->to_rpm) ? p->to_rpm : fmin(p->to_rpm, r->to_rpm);

	return fmax(to - from, 0.0);
}

/* Does a suit the request better than b? */
static bool suits_better(const struct pull *a, const struct pull *b, const struct request *r)
{
	const bool gear_a = r->gear == 0 || a->gear == r->gear;
	const bool gear_b = r->gear == 0 || b->gear == r->gear;

	if (gear_a != gear_b)
		return gear_a;
	if (covered(a, r) != covered(b, r))
		return covered(a, r) > covered(b, r);
	return a->to_rpm - a->from_rpm > b->to_rpm - b->from_rpm;
}

size_t ready_choose(const struct loaded *loaded, const struct request *request)
{
	const struct pulls *p = &loaded->pulls;
	size_t best = 0;
	size_t i;

	for (i = 1; i < p->count; i++)
		if (suits_better(&p->list[i], &p->list[best], request))
			best = i;
	return p->count == 0 ? 0 : best + 1;
}

enum err_code ready_run(struct ready_report *out, const struct loaded *loaded,
			const struct run *run, const struct ready_setup *setup, struct err *e)
{
	const size_t best = ready_choose(loaded, setup->request);
	struct run chosen;
	enum err_code code;

	*out = (struct ready_report)READY_REPORT_INIT;
	if (run->number != RUN_WHOLE)
		return judge(out, loaded, run, setup, e);
	if (best == 0)
		return judge(out, loaded, NULL, setup, e);
	code = run_init(&chosen, loaded->log, &loaded->pulls, best, e);
	if (code != ERR_NONE)
		return code;
	code = judge(out, loaded, &chosen, setup, e);
	run_release(&chosen);
	return code;
}

void ready_report_release(struct ready_report *r)
{
	size_t i;

	for (i = 0; i < r->count; i++) {
		free(r->lines[i].asked);
		free(r->lines[i].text);
		free(r->lines[i].advice);
	}
	free(r->lines);
	*r = (struct ready_report)READY_REPORT_INIT;
}

static size_t count_result(const struct ready_report *r, enum ready_result result)
{
	size_t n = 0;
	size_t i;

	for (i = 0; i < r->count; i++)
		n += r->lines[i].result == result;
	return n;
}

/* "pedal, to_rpm"; only those owed of what was not checked. */
static void list_ids(struct buf *out, const struct ready_report *r, enum ready_result result)
{
	const char *between = "";
	size_t i;

	for (i = 0; i < r->count; i++) {
		if (r->lines[i].result != result ||
		    (result == READY_UNCHECKED && !r->lines[i].owed))
			continue;
		buf_printf(out, "%s%s", between, r->lines[i].id);
		between = ", ";
	}
}

static void add_list(struct buf *out, const char *what, const struct ready_report *r,
		     enum ready_result result)
{
	struct buf ids = BUF_INIT;

	list_ids(&ids, r, result);
	if (ids.len > 0)
		buf_printf(out, "; %s: %s", what, ids.data);
	buf_release(&ids);
}

char *ready_sentence(const struct ready_report *r)
{
	const size_t unchecked = count_result(r, READY_UNCHECKED);
	struct buf out = BUF_INIT;

	switch (r->verdict) {
	case READY_FAIL:
		buf_puts(&out, "Not fit to be judged");
		break;
	case READY_WEAK:
		buf_puts(&out, "Fit to be judged with care");
		break;
	case READY_PASS:
	case READY_UNCHECKED:
		buf_puts(&out, "Fit to be judged: all that could be checked passes");
		break;
	}
	add_list(&out, "failed", r, READY_FAIL);
	add_list(&out, "weak", r, READY_WEAK);
	add_list(&out, "asked for but not checked", r, READY_UNCHECKED);
	buf_printf(&out, ". %zu of %zu pass", count_result(r, READY_PASS), r->count);
	if (unchecked > 0)
		buf_printf(&out, ", %zu not checked", unchecked);
	buf_putc(&out, '.');
	return buf_take(&out);
}
