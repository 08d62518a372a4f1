/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Errands come back in order, those that are dropped never, and none is lost or kept. */
#include <check.h>
#include <poll.h>
#include <pthread.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/bell.h"
#include "base/errands.h"
#include "base/gate.h"
#include "base/mem.h"

Suite *errands_suite(void);

#define PATIENCE_MS 20000	/* a deadline, not a measure */

/* Doubles a number, once the gate is open or the errand is not wanted any more. */
struct doubling {
	int number;
	int result;
};

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static size_t begun, released, given_up;

static struct bell news;
static struct errands *e;

static void add_one(size_t *count)
{
	pthread_mutex_lock(&lock);
	(*count)++;
	pthread_mutex_unlock(&lock);
}

static size_t read_count(const size_t *count)
{
	size_t now;

	pthread_mutex_lock(&lock);
	now = *count;
	pthread_mutex_unlock(&lock);
	return now;
}

static bool go_on(void *of)
{
	return errands_go_on(of);
}

static void work(struct errands *of, void *errand)
{
	struct doubling *d = errand;

	add_one(&begun);
	gate_pass(go_on, of);
	if (!errands_go_on(of))
		add_one(&given_up);
	d->result = 2 * d->number;
}

static void release(void *errand)
{
	add_one(&released);
	free(errand);
}

static const struct errand_kind doublings = { work, release };

static void set_up(void)
{
	ck_assert(bell_open(&news));
	gate_open();
	begun = released = given_up = 0;
	e = errands_new(&doublings, news.ring);
}

static void tear_down(void)
{
	gate_open();
	errands_free(e);
	bell_close(&news);
}

static unsigned long give(int number)
{
	struct doubling *d = mem_alloc(sizeof *d);

	d->number = number;
	return errands_give(e, d);
}

static void await_released(size_t wanted)
{
	int ms;

	for (ms = 0; ms < PATIENCE_MS && read_count(&released) < wanted; ms++)
		poll(NULL, 0, 1);
	ck_assert_uint_eq(read_count(&released), wanted);
}

/* Waits for the next one; it must be this. */
static void expect(unsigned long wanted, int number)
{
	unsigned long ticket = 0;
	struct doubling *d = errands_take(e, &ticket);

	while (d == NULL) {
		gate_await_news(news.hear);
		d = errands_take(e, &ticket);
	}
	ck_assert_uint_eq(ticket, wanted);
	ck_assert_int_eq(d->result, 2 * number);
	free(d);
}

static void expect_nothing(void)
{
	unsigned long ticket;

	ck_assert_ptr_null(errands_take(e, &ticket));
}

START_TEST(they_come_back_in_order)
{
	unsigned long tickets[100];
	int i;

	expect_nothing();
	for (i = 0; i < 100; i++) {
		tickets[i] = give(i);
		ck_assert_uint_ne(tickets[i], 0);
	}
	for (i = 0; i < 100; i++)
		expect(tickets[i], i);
	expect_nothing();
	ck_assert_uint_eq(read_count(&released), 0);
}
END_TEST

START_TEST(who_gives_does_not_wait)
{
	unsigned long first, second;

	gate_hold(false);
	first = give(1);
	second = give(2);
	gate_await(1);
	expect_nothing();
	gate_open();
	expect(first, 1);
	expect(second, 2);
}
END_TEST

START_TEST(one_in_work_hears_that_it_is_dropped)
{
	unsigned long ticket;

	gate_hold(false);
	ticket = give(1);
	gate_await(1);
	errands_drop(e, ticket);
	await_released(1);
	ck_assert_uint_eq(read_count(&given_up), 1);
	gate_open();
	expect(give(2), 2);
}
END_TEST

START_TEST(what_is_done_all_the_same_is_released)
{
	struct pollfd p = { news.hear, POLLIN, 0 };
	unsigned long ticket;

	gate_hold(true);
	ticket = give(1);
	gate_await(1);
	errands_drop(e, ticket);
	errands_drop(e, ticket);
	ck_assert_uint_eq(read_count(&released), 0);
	gate_open();
	await_released(1);
	expect_nothing();
	ck_assert_int_eq(poll(&p, 1, 0), 0);
}
END_TEST

START_TEST(one_that_waits_is_never_begun)
{
	unsigned long first, last, between;

	gate_hold(false);
	first = give(1);
	between = give(2);
	last = give(3);
	gate_await(1);
	errands_drop(e, between);
	ck_assert_uint_eq(read_count(&released), 1);
	gate_open();
	expect(first, 1);
	expect(last, 3);
	ck_assert_uint_eq(read_count(&begun), 2);
}
END_TEST

START_TEST(one_that_is_done_is_not_taken)
{
	const unsigned long first = give(1);
	const unsigned long second = give(2);

	gate_await_news(news.hear);	/* the first is done */
	errands_drop(e, first);
	ck_assert_uint_eq(read_count(&released), 1);
	errands_drop(e, 0);
	errands_drop(e, first);
	errands_drop(e, second + 1);
	expect(second, 2);
	expect_nothing();
	ck_assert_uint_eq(read_count(&released), 1);
}
END_TEST

START_TEST(ends_with_all_of_them)
{
	give(1);
	gate_await_news(news.hear);
	gate_hold(false);
	give(2);
	give(3);
	gate_await(1);
	errands_free(e);
	ck_assert_uint_eq(read_count(&released), 3);
	ck_assert_uint_eq(read_count(&given_up), 1);
	ck_assert_uint_eq(read_count(&begun), 2);
	e = NULL;
	errands_free(NULL);
}
END_TEST

Suite *errands_suite(void)
{
	Suite *s = suite_create("errands");
	TCase *t = tcase_create("errands");

	tcase_add_checked_fixture(t, set_up, tear_down);
	tcase_add_test(t, they_come_back_in_order);
	tcase_add_test(t, who_gives_does_not_wait);
	tcase_add_test(t, one_in_work_hears_that_it_is_dropped);
	tcase_add_test(t, what_is_done_all_the_same_is_released);
	tcase_add_test(t, one_that_waits_is_never_begun);
	tcase_add_test(t, one_that_is_done_is_not_taken);
	tcase_add_test(t, ends_with_all_of_them);
	suite_add_tcase(s, t);
	return s;
}
