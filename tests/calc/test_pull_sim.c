/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The pull finder against the truth of simulated logs: a few of those that
 * tests/bench/pulls.c takes many of.  What a pull's true ends are, and how errors are
 * counted, is said in pull_truth.h.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/base_util.h"
#include "calc/pull_trial.h"

Suite *pull_sim_suite(void);

#ifndef BUILDDIR
#define BUILDDIR "."
#endif

#define FIRST_SEED 1
#define LOGS 150
#define LEAST_PULLS 150		/* that so many logs must have, or nothing is tested */
#define FAR_SHARE 0.01		/* of the pulls may have an end further off than allowed */
#define LOAD_FALSE_SHARE 0.15	/* of the logs by load may have a false one */

struct sums {
	size_t logs;
	size_t pulls;
	size_t missed;
	size_t falses;
	size_t far;
};

static void add(struct sums *s, const struct pull_trial *t)
{
	size_t i;

	s->logs++;
	s->pulls += t->score.pulls;
	s->missed += t->score.missed_count;
	s->falses += t->score.false_count;
	for (i = 0; i < t->score.match_count; i++)
		s->far += pull_match_error(&t->score.matches[i]) > pull_truth_allowed(&t->truth);
}

static void print(const char *what, const struct sums *s)
{
	printf("%s: %zu logs, %zu pulls, %zu missed, %zu false, %zu with an end too far off\n",
	       what, s->logs, s->pulls, s->missed, s->falses, s->far);
}

/*
 * With a pedal or a throttle every pull is found, no other, and the ends are right.
 * By the load alone every pull is found; its ends are where the load says, which is
 * later than the foot, and part throttle can look like full throttle.
 */
START_TEST(simulated_logs)
{
	const char *sim = pull_trial_sim(BUILDDIR "/sim");
	char *folder = new_folder();
	struct sums by_foot = { 0 };
	struct sums by_load = { 0 };
	struct pull_trial t;
	struct err e = ERR_INIT;
	unsigned long i;

	for (i = 0; i < LOGS; i++) {
		ck_assert_msg(pull_trial_run(&t, sim, folder, FIRST_SEED + i, false, &e), "%s",
			      e.text);
		pull_trial_complain(&t, stdout);
		add((t.truth.traits & TRUTH_BY_LOAD) != 0 ? &by_load : &by_foot, &t);
		pull_trial_release(&t);
	}
	drop_folder(folder);
	print("by pedal or throttle", &by_foot);
	print("by load", &by_load);
	ck_assert_uint_ge(by_foot.pulls, LEAST_PULLS);
	ck_assert_uint_eq(by_foot.missed, 0);
	ck_assert_uint_eq(by_foot.falses, 0);
	ck_assert_double_le((double)by_foot.far, FAR_SHARE * (double)by_foot.pulls);
	ck_assert_uint_eq(by_load.missed, 0);
	ck_assert_double_le((double)by_load.falses, LOAD_FALSE_SHARE * (double)by_load.logs);
}
END_TEST

Suite *pull_sim_suite(void)
{
	Suite *s = suite_create("pull_sim");
	TCase *t = tcase_create("logs");

	tcase_set_timeout(t, 600.0);
	tcase_add_test(t, simulated_logs);
	suite_add_tcase(s, t);
	return s;
}
