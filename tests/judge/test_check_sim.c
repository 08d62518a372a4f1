/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The checks against the truth of simulated logs: a few of those that tests/bench/checks.c
 * takes many of.  What must be found and what is false is said in check_score.h.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/base_util.h"
#include "calc/pull_trial.h"
#include "judge/check_score.h"

Suite *check_sim_suite(void);

#ifndef BUILDDIR
#define BUILDDIR "."
#endif

#define FIRST_SEED 1
#define LOGS 6			/* of each check */
#define LEAST_EVENTS 1		/* of these that must hold something, or nothing is tested */
#define HEALTHY 60
#define EXACT_LOGS 2		/* of each check */
#define LEAST_EXACT 0.97	/* of their findings have both ends within a sample */
#define LEAST_IN_NOISE 0.9	/* of the findings have both ends where they belong */

struct sums {
	unsigned events;
	unsigned found;
	unsigned in_noise;
	unsigned worst;
	unsigned falses;
	unsigned exact;		/* both ends within a sample */
};

static void add(struct sums *s, const struct check_score *score)
{
	int i;

	s->events += score->event;
	s->found += score->event && score->found;
	s->in_noise += score->event && score->found && score->ends_in_noise;
	s->exact += score->event && score->found && labs(score->start) <= 1 &&
		    labs(score->end) <= 1;
	s->worst += score->event && score->found && score->worst_right;
	for (i = 0; i < CHECK_COUNT; i++)
		s->falses += score->falses[i];
}

static void try_one(struct sums *s, const char *folder, enum check_id id, unsigned long seed,
		    bool exact)
{
	struct check_trial trial;
	struct check_score score;
	struct err e = ERR_INIT;
	const bool ok = check_trial_run(&trial, pull_trial_sim(BUILDDIR "/sim"), folder, id, seed,
					exact, &e);

	ck_assert_msg(ok, "seed %lu: %s", seed, e.text);
	check_score_make(&score, &trial, stdout);
	check_trial_release(&trial);
	add(s, &score);
}

/* Every fault is found, and nothing else. */
START_TEST(one_fault_each)
{
	const enum check_id id = (enum check_id)_i;
	char *folder = new_folder();
	struct sums s = { 0 };
	unsigned long i;

	for (i = 0; i < LOGS; i++)
		try_one(&s, folder, id, FIRST_SEED + i, false);
	drop_folder(folder);
	printf("%s: %u events, %u found, %u with both ends, %u with the worst right, %u false\n",
	       check_get(id)->name, s.events, s.found, s.in_noise, s.worst, s.falses);
	ck_assert_uint_ge(s.events, LEAST_EVENTS);
	ck_assert_uint_eq(s.found, s.events);
	ck_assert_uint_eq(s.falses, 0);
	ck_assert_double_ge((double)s.worst, LEAST_IN_NOISE * (double)s.found - 1.0);
	ck_assert_double_ge((double)s.in_noise, LEAST_IN_NOISE * (double)s.found - 1.0);
}
END_TEST

/* Without noise, steps and rounding nothing but a mistake could shift an end. */
START_TEST(exact_ends)
{
	char *folder = new_folder();
	struct sums s = { 0 };
	unsigned long i;
	int id;

	for (id = 0; id < CHECK_COUNT; id++)
		for (i = 0; i < EXACT_LOGS; i++)
			try_one(&s, folder, (enum check_id)id, FIRST_SEED + i, true);
	drop_folder(folder);
	ck_assert_uint_gt(s.found, CHECK_COUNT);
	ck_assert_uint_eq(s.found, s.events);
	ck_assert_double_ge((double)s.exact, LEAST_EXACT * (double)s.found);
	ck_assert_uint_eq(s.worst, s.found);
}
END_TEST

START_TEST(sound_pulls)
{
	char *folder = new_folder();
	struct sums s = { 0 };
	unsigned long i;

	for (i = 0; i < HEALTHY; i++)
		try_one(&s, folder, CASE_HEALTHY, FIRST_SEED + i, false);
	drop_folder(folder);
	ck_assert_uint_eq(s.falses, 0);
}
END_TEST

Suite *check_sim_suite(void)
{
	Suite *s = suite_create("check_sim");
	TCase *t = tcase_create("logs");

	tcase_set_timeout(t, 300.0);
	tcase_add_loop_test(t, one_fault_each, 0, CHECK_COUNT);
	tcase_add_test(t, exact_ends);
	tcase_add_test(t, sound_pulls);
	suite_add_tcase(s, t);
	return s;
}
