/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Checks that stand at the gate first, for tests of judging in the background. */
#ifndef TESTS_JUDGE_HELD_H
#define TESTS_JUDGE_HELD_H

#include "base/gate.h"
#include "judge/checking.h"

/* A checking_fn: check_run() once the gate is open, or when it is told to stop. */
enum err_code held_check(struct check_report *out, const struct loaded *loaded,
			 const struct run *run, const struct check_setup *setup, struct err *e);

#endif
