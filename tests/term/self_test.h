/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the two halves of the harness's own tests share. */
#ifndef TERM_SELF_TEST_H
#define TERM_SELF_TEST_H

#include <check.h>

#include "harness.h"

enum {
	SELF_TIMEOUT_S = 60,	/* more than the waits of one test together */
};

/* Starts sh -c script; fails the test when that is impossible. */
struct term *self_run(const char *script, struct term_options o);

/* Adds the tests of starting, ending and killing. */
void self_test_process(Suite *s);

Suite *harness_suite(void);

#endif
