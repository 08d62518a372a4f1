/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One simulated log with a fault (or none), read and checked by the program. */
#ifndef TEST_CHECK_TRIAL_H
#define TEST_CHECK_TRIAL_H

#include <stdbool.h>
#include <stdio.h>

#include "base/err.h"
#include "calc/load.h"
#include "judge/car.h"
#include "judge/check.h"
#include "judge/check_case.h"
#include "judge/check_oracle.h"
#include "judge/check_truth.h"

/* A log, its truth, and its pull. */
struct trial_log {
	struct check_truth truth;
	struct loaded loaded;
	struct run run;
	bool has_run;
};

struct check_trial {
	struct sim_case setting;
	struct trial_log log;
	struct trial_log baseline;	/* of EXTRA_BASELINE */
	struct car car;
	struct limits limits;
	struct check_report report;
};

/*
 * Simulates into the directory, reads, and runs every check.  False, and the reason in *e,
 * when the simulator fails, the log cannot be read, or no pull is found.  `exact`: see
 * sim_case_make_exact().
 */
bool check_trial_run(struct check_trial *t, const char *sim, const char *directory,
		     enum check_id id, unsigned long seed, bool exact, struct err *e);
void check_trial_release(struct check_trial *t);

/* For the oracle. */
struct oracle_setup check_trial_setup(const struct check_trial *t);

/* The simulator's command, to make the log again. */
void check_trial_command(const struct check_trial *t, FILE *out);

#endif
