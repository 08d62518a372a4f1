/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Errands come back in order, those that are dropped never, and none is lost or kept. */
#include <check.h>
#include <poll.h>
#include <pthread.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/bell.h"
#include "base/errands.h"
#include "base/mem.h"

Suite *errands_suite(void);

#define PATIENCE_MS 20000	/* a deadline, not a measure */

/* Doubles a number, once the gate is open or the errand is not wanted any more. */
struct doubling {
	int number;
	int result;
	bool deaf;		/* does not ask whether it is wanted */
};

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static bool is_open;
static int begun, released, given_up;

static struct bell news;
static struct errands *e;

static int read_count(const int *count)
{
	int now;

	pthread_mutex_lock(&lock);
	now = *count;
	pthread_mutex_unlock(&lock);
	return now;
}

static void add_one(int *count)
{
	pthread_mutex_lock(&lock);
	(*count)++;
	pthread_mutex_unlock(&lock);
}

static void set_gate(bool open)
{
	pthread_mutex_lock(&lock);
	is_open = open;
	pthread_mutex_unlock(&lock);
}

static bool gate_is_open(void)
{
	bool open;

	pthread_mutex_lock(&lock);
	open = is_open;
	pthread_mutex_unlock(&lock);
	return open;
}

static void work(struct errands *of, void *errand)
{
	struct doubling *d = errand;

	add_one(&begun);
	while (!gate_is_open()) {
		if (!d->deaf && !errands_go_on(of)) {
			add_one(&given_up);
			return;
		}
		poll(NULL, 0, 1);
	}
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
	set_gate(true);
	begun = released = given_up = 0;
	e = errands_new(&doublings, news.ring);
}

static void tear_down(void)
{
	set_gate(true);
	errands_free(e);
	bell_close(&news);
}

static unsigned long give(int number, bool deaf)
{
	struct doubling *d = mem_alloc(sizeof *d);

	d->number = number;
	d->deaf = deaf;
	return errands_give(e, d);
}

static void await(const int *count, int wanted)
{
	int ms;

	for (ms = 0; ms < PATIENCE_MS && read_count(count) < wanted; ms++)
		poll(NULL, 0, 1);
	ck_assert_int_eq(read_count(count), wanted);
}

/* Waits for the next one; it must be this. */
static void expect(unsigned long wanted, int number)
{
	struct pollfd p = { news.hear, POLLIN, 0 };
	unsigned long ticket = 0;
	struct doubling *d = errands_take(e, &ticket);

	while (d == NULL) {
		ck_assert_int_eq(poll(&p, 1, PATIENCE_MS), 1);
		bell_hush(&news);
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
		tickets[i] = give(i, false);
		ck_assert_uint_ne(tickets[i], 0);
	}
	for (i = 0; i < 100; i++)
		expect(tickets[i], i);
	expect_nothing();
	ck_assert_int_eq(read_count(&released), 0);
}
END_TEST

START_TEST(who_gives_does_not_wait)
{
	unsigned long first, second;

	set_gate(false);
	first = give(1, false);
	second = give(2, false);
	await(&begun, 1);
	expect_nothing();
	set_gate(true);
	expect(first, 1);
	expect(second, 2);
}
END_TEST

START_TEST(one_in_work_hears_that_it_is_dropped)
{
	unsigned long ticket;

	set_gate(false);
	ticket = give(1, false);
	await(&begun, 1);
	errands_drop(e, ticket);
	await(&released, 1);
	ck_assert_int_eq(read_count(&given_up), 1);
	set_gate(true);
	expect(give(2, false), 2);
}
END_TEST

START_TEST(what_is_done_all_the_same_is_released)
{
	struct pollfd p = { news.hear, POLLIN, 0 };
	unsigned long ticket;

	set_gate(false);
	ticket = give(1, true);
	await(&begun, 1);
	errands_drop(e, ticket);
	errands_drop(e, ticket);
	ck_assert_int_eq(read_count(&released), 0);
	set_gate(true);
	await(&released, 1);
	expect_nothing();
	ck_assert_int_eq(poll(&p, 1, 0), 0);
	ck_assert_int_eq(read_count(&given_up), 0);
}
END_TEST

START_TEST(one_that_waits_is_never_begun)
{
	unsigned long first, last, between;

	set_gate(false);
	first = give(1, false);
	between = give(2, false);
	last = give(3, false);
	await(&begun, 1);
	errands_drop(e, between);
	ck_assert_int_eq(read_count(&released), 1);
	set_gate(true);
	expect(first, 1);
	expect(last, 3);
	ck_assert_int_eq(read_count(&begun), 2);
}
END_TEST

START_TEST(one_that_is_done_is_not_taken)
{
	const unsigned long first = give(1, false);
	const unsigned long second = give(2, false);
	struct pollfd p = { news.hear, POLLIN, 0 };

	ck_assert_int_eq(poll(&p, 1, PATIENCE_MS), 1);	/* the first is done */
	errands_drop(e, first);
	ck_assert_int_eq(read_count(&released), 1);
	errands_drop(e, 0);
	errands_drop(e, first);
	errands_drop(e, second + 1);
	expect(second, 2);
	expect_nothing();
	ck_assert_int_eq(read_count(&released), 1);
}
END_TEST

START_TEST(ends_with_all_of_them)
{
	set_gate(true);
	give(1, false);
	await(&begun, 1);
	set_gate(false);
	give(2, false);
	await(&begun, 2);	/* so the first is done */
	give(3, false);
	errands_free(e);
	ck_assert_int_eq(read_count(&released), 3);
	ck_assert_int_eq(read_count(&given_up), 1);
	ck_assert_int_eq(read_count(&begun), 2);
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
