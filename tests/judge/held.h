/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Checks that run only when a test lets them, for tests of judging in the background. */
#ifndef TESTS_JUDGE_HELD_H
#define TESTS_JUDGE_HELD_H

#include "judge/checking.h"

/* A checking_fn: check_run() once it is let go, or when it is told to stop. */
enum err_code held_check(struct check_report *out, const struct loaded *loaded,
			 const struct run *run, const struct check_setup *setup, struct err *e);

/* From here on checks are held, and do not even hear that they shall stop if `deaf`. */
void held_hold(bool deaf);
void held_let_go(void);

/* Waits until so many runs have begun since held_hold(). */
void held_await(size_t runs);

/* Waits for news in the descriptor, at which the test fails after long, and reads them. */
void held_await_news(int fd);

#endif
