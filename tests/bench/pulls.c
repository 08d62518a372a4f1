/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Measures the pull finder on many simulated logs:
 *
 *     bench_pulls [--count N] [--from SEED] [--keep DIR] [--quiet]
 *
 * Logs are those of `sim --random SEED`, SEED from --from (1) on, --count (2000) of them.
 * The simulator is the environment's SIM, or BUILDDIR/sim.  Every pull that is missed,
 * false, or too far off at an end is printed with its seed (not with --quiet); then a
 * table.  With --keep the logs stay in DIR and are taken from there the next time.
 * What counts as an error, and of how many samples, is said in tests/calc/pull_truth.h.
 * Exit status: 0, 2 for trouble; the figures are for reading, not for passing.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "calc/pull_trial.h"

#ifndef BUILDDIR
#define BUILDDIR "."
#endif

struct tally {
	unsigned long logs;
	unsigned long pulls;
	unsigned long found;
	unsigned long missed;
	unsigned long falses;
	unsigned long within[3];	/* both ends within so many samples */
	unsigned long allowed;		/* both ends within what is allowed at this rate */
};

enum { ALL, FAST, SLOW, PLAIN, FIRST_TRAIT, TALLIES = FIRST_TRAIT + TRUTH_TRAITS };

static const char *const names[FIRST_TRAIT] = {
	"all", "20 samples/s and more", "below 20 samples/s", "none of the below",
};

struct settings {
	unsigned long from;
	unsigned long count;
	const char *keep;
	bool quiet;
};

static void add(struct tally *t, const struct pull_trial *trial)
{
	const struct pull_score *s = &trial->score;
	size_t i;

	t->logs++;
	t->pulls += s->pulls;
	t->found += s->match_count;
	t->missed += s->missed_count;
	t->falses += s->false_count;
	for (i = 0; i < s->match_count; i++) {
		const long error = pull_match_error(&s->matches[i]);

		t->within[0] += error == 0;
		t->within[1] += error <= 1;
		t->within[2] += error <= 2;
		t->allowed += error <= pull_truth_allowed(&trial->truth);
	}
}

static void add_all(struct tally *tallies, const struct pull_trial *trial)
{
	const unsigned traits = trial->truth.traits;
	unsigned bit;

	add(&tallies[ALL], trial);
	add(&tallies[pull_truth_allowed(&trial->truth) == 1 ? FAST : SLOW], trial);
	if (traits == 0)
		add(&tallies[PLAIN], trial);
	for (bit = 0; bit < TRUTH_TRAITS; bit++)
		if ((traits & 1u << bit) != 0)
			add(&tallies[FIRST_TRAIT + bit], trial);
}

static void print_tallies(const struct tally *tallies)
{
	int i;

	printf("%-22s %6s %6s %6s %6s %6s %6s %6s %6s %8s\n", "", "logs", "pulls", "found",
	       "missed", "false", "exact", "in 1", "in 2", "allowed");
	for (i = 0; i < TALLIES; i++) {
		const struct tally *t = &tallies[i];

		printf("%-22s %6lu %6lu %6lu %6lu %6lu %6lu %6lu %6lu %7.2f%%\n",
		       i < FIRST_TRAIT ? names[i] : pull_truth_trait((unsigned)(i - FIRST_TRAIT)),
		       t->logs, t->pulls, t->found, t->missed, t->falses, t->within[0],
		       t->within[1], t->within[2],
		       t->pulls == 0 ? 100.0 : 100.0 * (double)t->allowed / (double)t->pulls);
	}
}

static bool measure(const struct settings *settings, const char *directory)
{
	const char *sim = pull_trial_sim(BUILDDIR "/sim");
	struct tally tallies[TALLIES] = { { 0 } };
	struct pull_trial trial;
	struct err e = ERR_INIT;
	unsigned long failed = 0;
	unsigned long i;

	for (i = 0; i < settings->count; i++) {
		if (!pull_trial_run(&trial, sim, directory, settings->from + i,
				    settings->keep != NULL, &e)) {
			printf("seed %lu: %s\n", settings->from + i, e.text);
			failed++;
			continue;
		}
		if (!settings->quiet)
			pull_trial_complain(&trial, stdout);
		add_all(tallies, &trial);
		pull_trial_release(&trial);
	}
	print_tallies(tallies);
	if (failed > 0)
		printf("%lu logs could not be read\n", failed);
	return failed == 0;
}

static bool parse(struct settings *s, int argc, char **argv)
{
	int i;

	for (i = 1; i < argc; i++) {
		const bool more = i + 1 < argc;

		if (strcmp(argv[i], "--quiet") == 0)
			s->quiet = true;
		else if (strcmp(argv[i], "--count") == 0 && more)
			s->count = strtoul(argv[++i], NULL, 10);
		else if (strcmp(argv[i], "--from") == 0 && more)
			s->from = strtoul(argv[++i], NULL, 10);
		else if (strcmp(argv[i], "--keep") == 0 && more)
			s->keep = argv[++i];
		else
			return false;
	}
	return true;
}

int main(int argc, char **argv)
{
	struct settings settings = { 1, 2000, NULL, false };
	const char *tmp = getenv("TMPDIR");
	char *own = mem_printf("%s/pulls-XXXXXX", tmp != NULL ? tmp : "/tmp");
	const char *directory;
	bool ok;

	ok = parse(&settings, argc, argv);
	if (!ok) {
		fprintf(stderr, "use: bench_pulls [--count N] [--from SEED] [--keep DIR] "
				"[--quiet]\n");
		goto out;
	}
	directory = settings.keep != NULL ? settings.keep : mkdtemp(own);
	ok = directory != NULL;
	if (!ok) {
		perror("bench_pulls: no temporary directory");
		goto out;
	}
	ok = measure(&settings, directory);
	if (settings.keep == NULL)
		rmdir(own);
out:
	free(own);
	return ok ? 0 : 2;
}
