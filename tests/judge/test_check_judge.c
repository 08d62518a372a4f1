/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of holding a measure against limits: runs, joining, durations, levels. */
#include "calc/calc_util.h"

#include "judge/check_judge.h"

Suite *check_judge_suite(void);

#define STEP 0.05
#define MOST 400

/* A pull in which engine speed rises from 2000 rpm by 500 rpm a second; a made-up check. */
struct court {
	double t[MOST];
	double v[MOST];
	size_t n;
	struct datalog *log;
	struct run run;
	struct scene scene;
	struct channel channel;
	struct check check;
	struct limit limit;
	struct measure measure;
	struct check_report report;
};

static double rising(double t)
{
	return 2000 + 500 * t;
}

static void open_court(struct court *c, size_t n)
{
	size_t i;

	memset(c, 0, sizeof *c);
	c->n = n;
	for (i = 0; i < n; i++)
		c->t[i] = STEP * (double)i;
	c->log = make_even_log("court.csv", STEP, n);
	put_function(c->log, "rpm", Q_RPM, "rpm", rising);
	make_run(&c->run, c->log, 0, n - 1);
	c->scene = (struct scene){ .run = &c->run, .to_s = c->t[n - 1], .spooled_s = NAN };
	c->check = *check_get(CHECK_KNOCK);
	c->limit.level[SEVERITY_CAUTION] = (struct limit_line){ 1, { 0 }, { 2 } };
	c->limit.level[SEVERITY_STOP] = (struct limit_line){ 1, { 0 }, { 5 } };
	c->limit.least_s = 0.1;
}

/* Rows first .. last get the value. */
static void put(struct court *c, size_t first, size_t last, double value)
{
	size_t i;

	for (i = first; i <= last; i++)
		c->v[i] = value;
}

static void judge(struct court *c)
{
	check_report_release(&c->report);
	series_release(&c->measure.value);
	c->measure = (struct measure){ .channel = &c->channel, .relation = RELATION_VALUE };
	make_series(&c->measure.value, c->t, c->v, c->n, false);
	ck_assert_int_eq(check_judge(&c->report, &c->check, &c->scene, &c->measure, &c->limit,
				     NULL), ERR_NONE);
}

static void close_court(struct court *c)
{
	check_report_release(&c->report);
	series_release(&c->measure.value);
	run_release(&c->run);
	datalog_free(c->log);
}

static void assert_finding(const struct finding *f, enum severity severity, size_t first,
			   size_t last)
{
	ck_assert_int_eq(f->severity, severity);
	CHECK_NEAR(f->from_s, STEP * (double)first, 1e-9);
	CHECK_NEAR(f->to_s, STEP * (double)last, 1e-9);
	CHECK_NEAR(f->from_rpm, rising(STEP * (double)first), 1e-6);
	CHECK_NEAR(f->to_rpm, rising(STEP * (double)last), 1e-6);
}

START_TEST(test_one_run)
{
	struct court c;

	open_court(&c, 100);
	put(&c, 20, 39, 3);
	c.v[30] = 4.5;
	judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	assert_finding(&c.report.findings[0], SEVERITY_CAUTION, 20, 39);
	ck_assert_uint_eq(c.report.findings[0].samples, 20);
	CHECK_NEAR(c.report.findings[0].over_s, 20 * STEP, 1e-9);
	CHECK_NEAR(c.report.findings[0].worst, 4.5, 0);
	CHECK_NEAR(c.report.findings[0].worst_s, 30 * STEP, 1e-9);
	CHECK_NEAR(c.report.findings[0].worst_rpm, rising(30 * STEP), 1e-6);
	CHECK_NEAR(c.report.findings[0].limit, 2, 1e-12);
	CHECK_NEAR(c.report.findings[0].interval_s, STEP, 1e-9);
	ck_assert_int_eq(c.report.findings[0].sure, SURE_CLEAR);
	ck_assert_int_eq(c.report.worst, SEVERITY_CAUTION);
	close_court(&c);
}
END_TEST

/* A note says what is worth knowing: not what may be noise. */
START_TEST(test_thin_note)
{
	struct court c;

	open_court(&c, 100);
	c.limit.level[SEVERITY_NOTE] = (struct limit_line){ 1, { 0 }, { 1 } };
	put(&c, 20, 21, 1.5);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 0);
	put(&c, 20, 29, 1.5);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	assert_finding(&c.report.findings[0], SEVERITY_NOTE, 20, 29);
	close_court(&c);
}
END_TEST

/* What a measure only guesses is a note, whatever the limit that it is over. */
START_TEST(test_guess)
{
	struct court c;

	open_court(&c, 100);
	c.limit.least_s = 0.0;
	put(&c, 20, 39, 30);
	judge(&c);
	ck_assert_int_eq(c.report.worst, SEVERITY_STOP);
	check_report_release(&c.report);
	c.measure.guess = true;
	ck_assert_int_eq(check_judge(&c.report, &c.check, &c.scene, &c.measure, &c.limit, NULL),
			 ERR_NONE);
	ck_assert_uint_eq(c.report.count, 0);	/* the check's own findings must last */
	c.check.least_s = 0.0;
	c.limit.own[SEVERITY_STOP] = true;
	ck_assert_int_eq(check_judge(&c.report, &c.check, &c.scene, &c.measure, &c.limit, NULL),
			 ERR_NONE);
	ck_assert_uint_eq(c.report.count, 1);
	ck_assert(c.report.findings[0].own);	/* of the level that it is over, not of the note */
	assert_finding(&c.report.findings[0], SEVERITY_NOTE, 20, 39);
	ck_assert_int_eq(c.report.findings[0].sure, SURE_THIN);
	close_court(&c);
}
END_TEST

/* Exactly at the limit is not over it. */
START_TEST(test_at_the_limit)
{
	struct court c;

	open_court(&c, 100);
	put(&c, 0, 99, 2);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 0);
	ck_assert_int_eq(c.report.worst, SEVERITY_NONE);
	close_court(&c);
}
END_TEST

/* One sample alone may be noise; where nothing must last it counts. */
START_TEST(test_one_sample)
{
	struct court c;

	open_court(&c, 100);
	put(&c, 50, 50, 30);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 0);
	c.limit.least_s = 0.0;
	judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	ck_assert_int_eq(c.report.findings[0].sure, SURE_THIN);
	close_court(&c);
}
END_TEST

/* A sample stands for an interval, and half a one is allowed for: 0.5 s takes 9 of 20 Hz. */
START_TEST(test_least_duration)
{
	struct court c;

	open_court(&c, 100);
	c.limit.least_s = 0.5;
	put(&c, 20, 27, 3);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 0);
	put(&c, 20, 29, 3);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	close_court(&c);
}
END_TEST

/* The severest level of a place only; elsewhere the lesser one stands. */
START_TEST(test_levels)
{
	struct court c;

	open_court(&c, 200);
	put(&c, 20, 60, 3);
	put(&c, 30, 40, 7);
	put(&c, 100, 120, 3);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 2);
	assert_finding(&c.report.findings[0], SEVERITY_STOP, 30, 40);
	assert_finding(&c.report.findings[1], SEVERITY_CAUTION, 100, 120);
	CHECK_NEAR(c.report.findings[0].limit, 5, 1e-12);
	ck_assert_int_eq(c.report.worst, SEVERITY_STOP);
	close_court(&c);
}
END_TEST

/* A dip of two samples by little is bridged, by much it is not, nor is a long one. */
START_TEST(test_joining)
{
	struct court c;

	open_court(&c, 200);
	put(&c, 20, 60, 3);
	put(&c, 40, 41, 1.5);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	assert_finding(&c.report.findings[0], SEVERITY_CAUTION, 20, 60);
	ck_assert_uint_eq(c.report.findings[0].samples, 39);

	put(&c, 40, 41, -40);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 2);
	assert_finding(&c.report.findings[0], SEVERITY_CAUTION, 20, 39);
	assert_finding(&c.report.findings[1], SEVERITY_CAUTION, 42, 60);

	put(&c, 36, 44, 1.99);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 2);
	close_court(&c);
}
END_TEST

/* The noise of a value that is truly over the limit does not cut the event in pieces. */
START_TEST(test_noise_makes_one)
{
	static const double noise[] = { 0.9, -0.7, 0.3, -0.9, 1.1, -0.2, 0.6, -1.2, 0.1, 0.8 };
	struct court c;
	size_t i;

	open_court(&c, 200);
	for (i = 0; i < 200; i++)
		c.v[i] = (i >= 60 && i < 140 ? 2.6 : 0.4) + noise[(i * 7) % 10];
	judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	CHECK_NEAR(c.report.findings[0].from_s, 60 * STEP, STEP + 1e-9);
	CHECK_NEAR(c.report.findings[0].to_s, 139 * STEP, STEP + 1e-9);
	ck_assert_int_eq(c.report.findings[0].sure, SURE_THIN);
	close_court(&c);
}
END_TEST

START_TEST(test_under)
{
	struct court c;

	open_court(&c, 100);
	c.check.side = CHECK_UNDER;
	c.limit.level[SEVERITY_CAUTION].value[0] = -2;
	c.limit.level[SEVERITY_STOP].value[0] = -5;
	put(&c, 20, 39, -3);
	c.v[25] = -4;
	put(&c, 60, 70, -6);
	put(&c, 80, 90, 50);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 2);
	assert_finding(&c.report.findings[0], SEVERITY_STOP, 60, 70);
	assert_finding(&c.report.findings[1], SEVERITY_CAUTION, 20, 39);
	CHECK_NEAR(c.report.findings[1].worst, -4, 0);
	CHECK_NEAR(c.report.findings[1].limit, -2, 1e-12);
	close_court(&c);
}
END_TEST

/* Stricter towards the top: 3 deg is over it from the engine speed at which it falls to 3. */
START_TEST(test_limit_over_rpm)
{
	struct court c;

	open_court(&c, 161);
	c.limit.level[SEVERITY_STOP].n = 0;
	c.limit.level[SEVERITY_CAUTION] = (struct limit_line){ 2, { 2000, 6000 }, { 5, 1 } };
	put(&c, 0, 160, 3);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	/* Exactly 3 at 4000 rpm, 4 s, row 80. */
	CHECK_NEAR(c.report.findings[0].from_s, 81 * STEP, STEP + 1e-9);
	CHECK_NEAR(c.report.findings[0].to_s, 160 * STEP, 1e-9);
	CHECK_NEAR(c.report.findings[0].limit, 1, 1e-6);
	CHECK_NEAR(c.report.findings[0].worst_rpm, 6000, 1e-6);
	close_court(&c);
}
END_TEST

/* What is torn by missing rows is two findings: nothing is said about the hole. */
START_TEST(test_hole)
{
	struct court c;
	size_t i;

	open_court(&c, 100);
	put(&c, 20, 60, 3);
	for (i = 41; i < 100; i++)
		c.t[i] += 1.0;
	judge(&c);
	ck_assert_uint_eq(c.report.count, 2);
	CHECK_NEAR(c.report.findings[0].to_s, 40 * STEP, 1e-9);
	CHECK_NEAR(c.report.findings[1].from_s, 41 * STEP + 1.0, 1e-9);
	close_court(&c);
}
END_TEST

static size_t gated(struct court *c, unsigned gates, double *first)
{
	size_t n;

	c->check.gates = gates;
	series_release(&c->measure.value);
	make_series(&c->measure.value, c->t, c->v, c->n, false);
	check_gate_apply(&c->check, &c->scene, &c->measure.value);
	n = c->measure.value.n;
	*first = n > 0 ? c->measure.value.t[0] : NAN;
	return n;
}

START_TEST(test_gates)
{
	struct court c;
	double first;
	size_t i;

	open_court(&c, 100);
	c.check.settle_s = 0.5;
	ck_assert_uint_eq(gated(&c, 0, &first), 100);
	ck_assert_uint_eq(gated(&c, GATE_SETTLED, &first), 90);
	CHECK_NEAR(first, 0.5, 1e-9);
	/* Neither boost nor the end of its rise is known: a second behind the foot. */
	gated(&c, GATE_BOOSTED, &first);
	CHECK_NEAR(first, 1.0, 1e-9);
	gated(&c, GATE_SPOOLED, &first);
	CHECK_NEAR(first, 1.5, 1e-9);
	c.scene.spooled_s = 3.0;
	gated(&c, GATE_SPOOLED, &first);
	CHECK_NEAR(first, 3.5, 1e-9);
	for (i = 0; i < 100; i++)
		c.v[i] = 20.0 * c.t[i];
	make_series(&c.scene.boost, c.t, c.v, 100, false);
	gated(&c, GATE_BOOSTED, &first);
	CHECK_NEAR(first, 1.55, 1e-9);
	series_release(&c.scene.boost);
	close_court(&c);
}
END_TEST

static void guide_values(struct court *c, enum check_relation relation, double *low, double *high)
{
	size_t i;

	check_report_release(&c->report);
	c->measure.relation = relation;
	ck_assert_int_eq(check_guide(&c->report, &c->check, &c->scene, &c->measure, &c->limit,
				     NULL), ERR_NONE);
	ck_assert_uint_eq(c->report.guide_count, relation == RELATION_NONE ? 0 : 2);
	*low = *high = NAN;
	for (i = 0; i < c->report.guide_count; i++) {
		const struct guide *g = &c->report.guides[i];

		*(g->severity == SEVERITY_CAUTION ? low : high) = series_at(&g->line, 2.0);
	}
}

START_TEST(test_guides)
{
	struct court c;
	double low, high;
	size_t i;

	open_court(&c, 100);
	judge(&c);
	guide_values(&c, RELATION_VALUE, &low, &high);
	CHECK_NEAR(low, 2, 0);
	CHECK_NEAR(high, 5, 0);
	guide_values(&c, RELATION_NEGATED, &low, &high);
	CHECK_NEAR(low, -2, 0);
	guide_values(&c, RELATION_NONE, &low, &high);
	for (i = 0; i < 100; i++)
		c.v[i] = 10 * c.t[i];
	make_series(&c.measure.reference, c.t, c.v, 100, false);
	guide_values(&c, RELATION_ABOVE, &low, &high);
	CHECK_NEAR(low, 22, 1e-9);
	CHECK_NEAR(high, 25, 1e-9);
	guide_values(&c, RELATION_BELOW, &low, &high);
	CHECK_NEAR(low, 18, 1e-9);
	guide_values(&c, RELATION_SHARE_BELOW, &low, &high);
	CHECK_NEAR(high, 19, 1e-9);
	series_release(&c.measure.reference);
	close_court(&c);
}
END_TEST

/* Beside 1e17 the limit is less than a step of the value: it is told as it is all the same. */
START_TEST(test_limit_beside_absurd_value)
{
	struct court c;

	open_court(&c, 100);
	put(&c, 20, 39, 1e17);
	judge(&c);
	ck_assert_uint_eq(c.report.count, 1);
	CHECK_NEAR(c.report.findings[0].limit, 5, 0);
	close_court(&c);
}
END_TEST

/* A value that overflowed on its way is no value; its neighbours are judged. */
START_TEST(test_infinite_values)
{
	struct court c;
	size_t i;

	open_court(&c, 100);
	put(&c, 20, 39, 3);
	c.v[10] = c.v[30] = INFINITY;
	c.v[60] = -INFINITY;
	c.check.gates = 0;
	make_series(&c.measure.value, c.t, c.v, c.n, false);
	check_gate_apply(&c.check, &c.scene, &c.measure.value);
	ck_assert_uint_eq(c.measure.value.n, 97);
	for (i = 0; i < c.measure.value.n; i++)
		ck_assert(isfinite(c.measure.value.v[i]));
	close_court(&c);
}
END_TEST

Suite *check_judge_suite(void)
{
	Suite *s = suite_create("check_judge");
	TCase *t = tcase_create("check_judge");

	tcase_add_test(t, test_one_run);
	tcase_add_test(t, test_thin_note);
	tcase_add_test(t, test_guess);
	tcase_add_test(t, test_at_the_limit);
	tcase_add_test(t, test_one_sample);
	tcase_add_test(t, test_least_duration);
	tcase_add_test(t, test_levels);
	tcase_add_test(t, test_joining);
	tcase_add_test(t, test_noise_makes_one);
	tcase_add_test(t, test_under);
	tcase_add_test(t, test_limit_over_rpm);
	tcase_add_test(t, test_hole);
	tcase_add_test(t, test_limit_beside_absurd_value);
	tcase_add_test(t, test_infinite_values);
	tcase_add_test(t, test_gates);
	tcase_add_test(t, test_guides);
	suite_add_tcase(s, t);
	return s;
}
