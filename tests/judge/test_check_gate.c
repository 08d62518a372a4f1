/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of which samples are judged, and of how a limit lies in its lane. */
#include "judge/check_court.h"

Suite *check_gate_suite(void);

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
	c.scene.cut_s = 4.0;
	ck_assert_uint_eq(gated(&c, GATE_FIRED, &first), 80);
	ck_assert_uint_eq(gated(&c, 0, &first), 100);
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
	court_judge(&c);
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

/* A value that overflowed on its way is no value; its neighbours are judged. */
START_TEST(test_infinite_values)
{
	struct court c;
	size_t i;

	open_court(&c, 100);
	court_put(&c, 20, 39, 3);
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

Suite *check_gate_suite(void)
{
	Suite *s = suite_create("check_gate");
	TCase *t = tcase_create("check_gate");

	tcase_add_test(t, test_infinite_values);
	tcase_add_test(t, test_gates);
	tcase_add_test(t, test_guides);
	suite_add_tcase(s, t);
	return s;
}
