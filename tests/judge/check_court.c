/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See check_court.h. */
#include "judge/check_court.h"

double court_rpm(double t)
{
	return 2000 + 500 * t;
}

void open_court(struct court *c, size_t n)
{
	size_t i;

	memset(c, 0, sizeof *c);
	c->n = n;
	for (i = 0; i < n; i++)
		c->t[i] = STEP * (double)i;
	c->log = make_even_log("court.csv", STEP, n);
	put_function(c->log, "rpm", Q_RPM, "rpm", court_rpm);
	make_run(&c->run, c->log, 0, n - 1);
	c->scene = (struct scene){ .run = &c->run, .to_s = c->t[n - 1], .spooled_s = NAN };
	c->check = *check_get(CHECK_KNOCK);
	c->channel = *datalog_find(c->log, Q_RPM);
	c->limit.level[SEVERITY_CAUTION] = (struct limit_line){ 1, { 0 }, { 2 } };
	c->limit.level[SEVERITY_STOP] = (struct limit_line){ 1, { 0 }, { 5 } };
	c->limit.least_s = 0.1;
}

void court_put(struct court *c, size_t first, size_t last, double value)
{
	size_t i;

	for (i = first; i <= last; i++)
		c->v[i] = value;
}

void court_judge(struct court *c)
{
	check_report_release(&c->report);
	series_release(&c->measure.value);
	c->measure = (struct measure){ .channel = &c->channel, .relation = RELATION_VALUE };
	make_series(&c->measure.value, c->t, c->v, c->n, false);
	ck_assert_int_eq(check_judge(&c->report, &c->check, &c->scene, &c->measure, &c->limit,
				     NULL), ERR_NONE);
}

void close_court(struct court *c)
{
	check_report_release(&c->report);
	series_release(&c->measure.value);
	run_release(&c->run);
	datalog_free(c->log);
}

void court_assert_finding(const struct finding *f, enum severity severity, size_t first, size_t last)
{
	ck_assert_int_eq(f->severity, severity);
	CHECK_NEAR(f->from_s, STEP * (double)first, 1e-9);
	CHECK_NEAR(f->to_s, STEP * (double)last, 1e-9);
	CHECK_NEAR(f->from_rpm, court_rpm(STEP * (double)first), 1e-6);
	CHECK_NEAR(f->to_rpm, court_rpm(STEP * (double)last), 1e-6);
}
