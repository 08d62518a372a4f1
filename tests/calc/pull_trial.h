/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One simulated log, made from a seed, read by the program and compared with the truth. */
#ifndef TEST_PULL_TRIAL_H
#define TEST_PULL_TRIAL_H

#include <stdbool.h>
#include <stdio.h>

#include "base/err.h"
#include "calc/load.h"
#include "calc/pull_truth.h"

struct pull_trial {
	unsigned long seed;
	struct pull_truth truth;
	struct loaded loaded;
	struct pull_score score;
};

/* The simulator's path: the environment's SIM, else `otherwise`. */
const char *pull_trial_sim(const char *otherwise);

/*
 * Runs `sim --random SEED` into the directory, loads the log without any option and
 * compares.  With keep, files that are there already are taken and all are left there.
 * False, and the reason in *e, when the simulator fails, the log cannot be read, or
 * the reader's rows are not the simulator's.
 */
bool pull_trial_run(struct pull_trial *t, const char *sim, const char *directory,
		    unsigned long seed, bool keep, struct err *e);
void pull_trial_release(struct pull_trial *t);

/* One line for each pull missed, found though there is none, or with an end too far off. */
void pull_trial_complain(const struct pull_trial *t, FILE *out);

#endif
