/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Judging in the background: the same findings, of what was wanted last, and clean ends. */
#include <check.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "judge/checking.h"
#include "judge/held.h"

Suite *checking_suite(void);

static struct checking *c;
static int news[2];
static struct loaded before, after;
static struct limits limits;
static struct car car;

static void load_sample(const char *name, struct loaded *out)
{
	static const struct load_options guess_all;
	char *path = mem_printf("%s/samples/%s", SRCDIR, name);

	ck_assert_int_eq(load_log(path, &guess_all, out, NULL), ERR_NONE);
	free(path);
}

static void set_up(void)
{
	ck_assert_int_eq(pipe(news), 0);
	load_sample("before.csv", &before);
	load_sample("after.csv", &after);
	limits_init(&limits);
	car_init(&car);
	gate_open();
	c = checking_new(news[1], held_check);
}

static void tear_down(void)
{
	gate_open();
	checking_free(c);
	loaded_release(&before);
	loaded_release(&after);
	limits_release(&limits);
	car_release(&car);
	close(news[0]);
	close(news[1]);
}

static struct checking_wish wish_for(const struct loaded *a, const struct loaded *b)
{
	struct checking_wish w = { .limits = &limits, .car = &car };

	if (a != NULL) {
		w.runs[0].of = a;
		w.runs[0].number = 1;
	}
	if (b != NULL) {
		w.runs[1].of = b;
		w.runs[1].number = 1;
		w.compared = a != NULL;
	}
	return w;
}

static void want(const struct loaded *a, const struct loaded *b)
{
	const struct checking_wish w = wish_for(a, b);

	checking_want(c, &w);
}

static bool take(struct checking_verdict out[CHECKING_RUNS])
{
	gate_await_news(news[0]);
	return checking_take(c, out);
}

static void release(struct checking_verdict verdicts[CHECKING_RUNS])
{
	check_report_release(&verdicts[0].report);
	check_report_release(&verdicts[1].report);
}

static void expect_nothing(void)
{
	struct checking_verdict verdicts[CHECKING_RUNS];

	ck_assert(!checking_take(c, verdicts));
}

/* What check_run() says of the first pull. */
static struct check_report judged(const struct loaded *l, const struct loaded *baseline)
{
	struct check_setup setup = { .limits = &limits, .car = &car };
	struct check_report r;
	struct run run, base = { 0 };

	ck_assert_int_eq(run_init(&run, l->log, &l->pulls, 1, NULL), ERR_NONE);
	if (baseline != NULL) {
		ck_assert_int_eq(run_init(&base, baseline->log, &baseline->pulls, 1, NULL), ERR_NONE);
		setup.baseline = &base;
	}
	ck_assert_int_eq(check_run(&r, l, &run, &setup, NULL), ERR_NONE);
	run_release(&run);
	run_release(&base);
	return r;
}

static void expect_same(const struct check_report *r, const struct loaded *l,
			const struct loaded *baseline)
{
	struct check_report wanted = judged(l, baseline);
	size_t i;

	ck_assert_uint_gt(wanted.ran, 0);
	ck_assert_uint_eq(r->ran, wanted.ran);
	ck_assert_uint_eq(r->not_run_count, wanted.not_run_count);
	ck_assert_uint_eq(r->guide_count, wanted.guide_count);
	ck_assert_uint_eq(r->count, wanted.count);
	for (i = 0; i < r->count; i++) {
		const struct finding *a = &r->findings[i], *b = &wanted.findings[i];

		ck_assert_ptr_eq(a->check, b->check);
		ck_assert_ptr_eq(a->channel, b->channel);
		ck_assert_int_eq(a->severity, b->severity);
		ck_assert(a->from_s == b->from_s && a->to_s == b->to_s && a->worst == b->worst);
	}
	check_report_release(&wanted);
}

START_TEST(finds_what_check_run_finds)
{
	struct checking_verdict v[CHECKING_RUNS];

	want(&before, &after);
	ck_assert(take(v));
	ck_assert_int_eq(v[0].code, ERR_NONE);
	ck_assert_int_eq(v[1].code, ERR_NONE);
	ck_assert_uint_gt(v[1].report.count, 0);
	expect_same(&v[0].report, &before, NULL);
	expect_same(&v[1].report, &after, &before);
	release(v);
	expect_nothing();
	want(NULL, &after);
	ck_assert(take(v));
	ck_assert_uint_eq(v[0].report.ran, 0);
	expect_same(&v[1].report, &after, NULL);
	release(v);
}
END_TEST

START_TEST(says_why_not)
{
	struct checking_wish w = wish_for(&before, NULL);
	struct checking_verdict v[CHECKING_RUNS];

	w.runs[0].number = 99;
	checking_want(c, &w);
	ck_assert(take(v));
	ck_assert_int_eq(v[0].code, ERR_DATA);
	ck_assert_ptr_nonnull(strstr(v[0].error.text, "no @99"));
	ck_assert_uint_eq(v[0].report.count, 0);
	release(v);
}
END_TEST

START_TEST(only_the_last_wish_comes)
{
	struct checking_verdict v[CHECKING_RUNS];

	gate_hold(false);
	want(&before, NULL);
	gate_await(1);
	want(&after, NULL);
	gate_await(2);		/* the first one has heard that it shall stop */
	expect_nothing();
	gate_open();
	ck_assert(take(v));
	expect_same(&v[0].report, &after, NULL);
	release(v);
	expect_nothing();
}
END_TEST

/* Verdicts that are there already are of the wish before as well. */
START_TEST(what_came_too_late_is_dropped)
{
	struct checking_verdict v[CHECKING_RUNS];

	want(&before, NULL);
	gate_await_news(news[0]);
	gate_hold(false);
	want(&after, NULL);
	expect_nothing();
	gate_open();
	ck_assert(take(v));
	expect_same(&v[0].report, &after, NULL);
	release(v);
	want(&before, NULL);
	gate_await_news(news[0]);
	checking_drop(c);
	expect_nothing();
}
END_TEST

START_TEST(nothing_comes_of_what_was_dropped)
{
	struct pollfd p = { news[0], POLLIN, 0 };
	struct checking_verdict v[CHECKING_RUNS];

	gate_hold(true);
	want(&before, NULL);
	gate_await(1);
	checking_drop(c);
	gate_open();
	want(&after, NULL);	/* behind it, in the one thread */
	ck_assert(take(v));
	expect_same(&v[0].report, &after, NULL);
	release(v);
	ck_assert_int_eq(poll(&p, 1, 0), 0);
}
END_TEST

/* The thread still reads the log: it is freed only then, and nobody waits for that. */
START_TEST(a_log_put_away_is_read_to_the_end)
{
	struct checking_verdict v[CHECKING_RUNS];
	struct loaded old;

	load_sample("before.csv", &old);
	gate_hold(true);
	want(&old, NULL);
	gate_await(1);
	loaded_release(&old);
	want(&after, NULL);
	gate_open();
	ck_assert(take(v));
	expect_same(&v[0].report, &after, NULL);
	release(v);
}
END_TEST

START_TEST(ends_in_the_middle)
{
	gate_hold(false);
	want(&before, &after);
	gate_await(1);
	checking_free(c);	/* tear_down() frees the logs */
	c = NULL;
}
END_TEST

Suite *checking_suite(void)
{
	Suite *s = suite_create("checking");
	TCase *t = tcase_create("checking");

	tcase_add_checked_fixture(t, set_up, tear_down);
	tcase_set_timeout(t, 120);
	tcase_add_test(t, finds_what_check_run_finds);
	tcase_add_test(t, says_why_not);
	tcase_add_test(t, only_the_last_wish_comes);
	tcase_add_test(t, what_came_too_late_is_dropped);
	tcase_add_test(t, nothing_comes_of_what_was_dropped);
	tcase_add_test(t, a_log_put_away_is_read_to_the_end);
	tcase_add_test(t, ends_in_the_middle);
	suite_add_tcase(s, t);
	return s;
}
