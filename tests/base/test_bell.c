/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A bell is heard once for any number of rings, and never holds up who rings. */
#include <check.h>
#include <errno.h>
#include <poll.h>
#include <signal.h>

#include "base/bell.h"

Suite *bell_suite(void);

#define FAR_TOO_OFTEN 200000	/* more than a pipe holds */

static bool is_heard(const struct bell *b)
{
	struct pollfd p = { b->hear, POLLIN, 0 };

	return poll(&p, 1, 0) == 1;
}

START_TEST(any_number_of_rings_is_hushed_at_once)
{
	struct bell b = BELL_INIT;
	int i;

	ck_assert(bell_open(&b));
	ck_assert(!is_heard(&b));
	errno = ENOENT;
	for (i = 0; i < FAR_TOO_OFTEN; i++)
		bell_ring(b.ring);
	ck_assert_int_eq(errno, ENOENT);
	ck_assert(is_heard(&b));
	bell_hush(&b);
	ck_assert(!is_heard(&b));
	bell_hush(&b);
	bell_ring(b.ring);
	ck_assert(is_heard(&b));
	bell_close(&b);
	bell_close(&b);
	ck_assert_int_eq(b.hear, -1);
}
END_TEST

static struct bell of_handler = BELL_INIT;

static void on_signal(int number)
{
	(void)number;
	bell_ring(of_handler.ring);
}

START_TEST(a_handler_ends_a_wait)
{
	struct pollfd p;

	ck_assert(bell_open(&of_handler));
	signal(SIGUSR1, on_signal);
	raise(SIGUSR1);
	p = (struct pollfd){ of_handler.hear, POLLIN, 0 };
	ck_assert_int_eq(poll(&p, 1, -1), 1);
	signal(SIGUSR1, SIG_DFL);
	bell_close(&of_handler);
}
END_TEST

Suite *bell_suite(void)
{
	Suite *s = suite_create("bell");
	TCase *t = tcase_create("bell");

	tcase_add_test(t, any_number_of_rings_is_hushed_at_once);
	tcase_add_test(t, a_handler_ends_a_wait);
	suite_add_tcase(s, t);
	return s;
}
