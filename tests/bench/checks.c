/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Measures the checks on simulated logs with one fault each, and on sound pulls:
 *
 *     bench_checks [--count N] [--healthy N] [--from SEED] [--check NAME] [--exact] [--quiet] [--gate]
 *
 * For every check (or that of --check) --count (500) logs with its fault, and --healthy (2000)
 * without any, seeds from --from (1) on.  What must be found, what is false and when an end or
 * a worst value is right is said in tests/judge/check_score.h.  What is not right is
 * printed with its seed and the simulator's command (not with --quiet); then the tables.
 * The simulator is the environment's SIM, or BUILDDIR/sim.
 * Exit status: 0; 1 with --gate when something is missed or false; 2 for trouble.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/crew.h"
#include "base/mem.h"
#include "calc/pull_trial.h"
#include "judge/check_score.h"

#ifndef BUILDDIR
#define BUILDDIR "."
#endif

struct tally {
	unsigned long logs;
	unsigned long events;
	unsigned long found;
	unsigned long within[2];	/* both ends within 1 sample, 2 samples */
	unsigned long in_noise;
	unsigned long worst;
	unsigned long falses;		/* of this check in its own logs */
	unsigned long others;		/* of other checks in these logs */
};

enum rate_class { SLOW, MIDDLE, FAST, RATES };

static const char *const rate_names[RATES] = {
	"below 10 samples/s", "10 to 20 samples/s", "over 20 samples/s",
};

struct settings {
	unsigned long from;
	unsigned long count;
	unsigned long healthy;
	const struct check *only;
	bool exact;
	bool quiet;
	bool gate;
};

/* All are unsigned long: add_sums(). */
struct sums {
	struct tally checks[CHECK_COUNT];
	struct tally rates[RATES];
	struct tally all;
	unsigned long healthy;
	unsigned long justified[CHECK_COUNT];
	unsigned long falses[CHECK_COUNT];
	unsigned long notes[CHECK_COUNT];
	unsigned long failed;
};

static enum rate_class rate_of(double interval)
{
	return interval > 0.11 ? SLOW : interval > 0.048 ? MIDDLE : FAST;
}

static void add(struct tally *t, const struct check_score *s, enum check_id id)
{
	const long start = labs(s->start), end = labs(s->end);
	const long off = start > end ? start : end;
	int i;

	t->logs++;
	for (i = 0; i < CHECK_COUNT; i++)
		*(i == (int)id ? &t->falses : &t->others) += s->falses[i];
	t->events += s->event;
	if (!s->event || !s->found)
		return;
	t->found++;
	t->within[0] += off <= 1;
	t->within[1] += off <= 2;
	t->in_noise += s->ends_in_noise;
	t->worst += s->worst_right;
}

static double share(unsigned long part, unsigned long whole)
{
	return whole == 0 ? 100.0 : 100.0 * (double)part / (double)whole;
}

static void print_head(const char *title)
{
	printf("\n%-20s %6s %6s %6s %6s %7s %7s %8s %7s %6s %6s\n", title, "logs", "events",
	       "found", "missed", "in 1", "in 2", "in noise", "worst", "false", "others");
}

static void print_tally(const char *name, const struct tally *t)
{
	printf("%-20s %6lu %6lu %6lu %6lu %6.1f%% %6.1f%% %7.1f%% %6.1f%% %6lu %6lu\n", name,
	       t->logs, t->events, t->found, t->events - t->found, share(t->within[0], t->found),
	       share(t->within[1], t->found), share(t->in_noise, t->found),
	       share(t->worst, t->found), t->falses, t->others);
}

static void print_sums(const struct sums *s)
{
	int i;

	if (s->all.logs > 0)
		print_head("check");
	for (i = 0; i < CHECK_COUNT; i++)
		if (s->checks[i].logs > 0)
			print_tally(check_get((enum check_id)i)->name, &s->checks[i]);
	if (s->all.logs > 0) {
		print_tally("all", &s->all);
		print_head("by the channel's rate");
	}
	for (i = 0; i < RATES; i++)
		if (s->rates[i].logs > 0)
			print_tally(rate_names[i], &s->rates[i]);
	if (s->healthy > 0)
		printf("\n%lu sound pulls; findings   true  false  false notes\n", s->healthy);
	for (i = 0; i < CHECK_COUNT; i++)
		if (s->justified[i] + s->falses[i] + s->notes[i] > 0)
			printf("  %-24s %6lu %6lu %12lu\n", check_get((enum check_id)i)->name,
			       s->justified[i], s->falses[i], s->notes[i]);
	if (s->failed > 0)
		printf("%lu logs could not be read\n", s->failed);
}

/* False: the log could not be read. */
static bool score(struct check_score *out, const struct settings *settings, const char *sim,
		  const char *directory, enum check_id id, unsigned long seed)
{
	struct check_trial trial;
	struct err e = ERR_INIT;
	const bool ok = check_trial_run(&trial, sim, directory, id, seed, settings->exact, &e);

	if (ok) {
		check_score_make(out, &trial, settings->quiet ? NULL : stdout);
	} else {
		printf("%s seed %lu: %s\n", id < CHECK_COUNT ? check_get(id)->name : "healthy",
		       seed, e.text);
		check_trial_command(&trial, stdout);
	}
	check_trial_release(&trial);
	return ok;
}

/* Every `of`-th log, on its own. */
struct share {
	struct sums sums;
	const struct settings *settings;
	const char *sim;
	char *directory;
	unsigned long first;
	unsigned long of;
};

static void measure_faults(struct share *own, enum check_id id)
{
	const struct settings *settings = own->settings;
	struct sums *sums = &own->sums;
	struct check_score s;
	unsigned long i;

	for (i = own->first; i < settings->count; i += own->of) {
		if (!score(&s, settings, own->sim, own->directory, id, settings->from + i)) {
			sums->failed++;
			continue;
		}
		add(&sums->checks[id], &s, id);
		add(&sums->all, &s, id);
		if (s.interval_s > 0)
			add(&sums->rates[rate_of(s.interval_s)], &s, id);
	}
}

static void measure_healthy(struct share *own)
{
	const struct settings *settings = own->settings;
	struct sums *sums = &own->sums;
	struct check_score s;
	unsigned long i;
	int k;

	for (i = own->first; i < settings->healthy; i += own->of) {
		if (!score(&s, settings, own->sim, own->directory, CASE_HEALTHY,
			   settings->from + i)) {
			sums->failed++;
			continue;
		}
		sums->healthy++;
		for (k = 0; k < CHECK_COUNT; k++) {
			sums->justified[k] += s.justified[k];
			sums->falses[k] += s.falses[k];
			sums->notes[k] += s.notes[k];
		}
	}
}

static bool is_clean(const struct sums *s)
{
	bool clean = s->all.events == s->all.found && s->all.falses + s->all.others == 0 &&
		     s->failed == 0;
	int i;

	for (i = 0; i < CHECK_COUNT; i++)
		clean = clean && s->falses[i] == 0;
	return clean;
}

static void measure_share(void *job)
{
	struct share *own = job;
	const struct check *only = own->settings->only;
	int i;

	for (i = 0; i < CHECK_COUNT; i++)
		if (only == NULL || only->id == (enum check_id)i)
			measure_faults(own, (enum check_id)i);
	if (only == NULL)
		measure_healthy(own);
}

static void add_sums(struct sums *to, const struct sums *more)
{
	unsigned long *a = (unsigned long *)to;
	const unsigned long *b = (const unsigned long *)more;
	size_t i;

	for (i = 0; i < sizeof *to / sizeof *a; i++)
		a[i] += b[i];
}

/* By all cores, or by one where each log is told of, so that it is in order. */
static int measure(const struct settings *settings, const char *directory)
{
	const size_t count = settings->quiet ? crew_size() : 1;
	struct share *shares = mem_array(count, sizeof *shares);
	struct sums *sums = mem_alloc(sizeof *sums);
	int status;
	size_t i;

	for (i = 0; i < count; i++) {
		shares[i].settings = settings;
		shares[i].sim = pull_trial_sim(BUILDDIR "/sim");
		shares[i].directory = mem_printf("%s/%zu", directory, i);
		shares[i].first = i;
		shares[i].of = count;
		mkdir(shares[i].directory, 0700);	/* if not, no log can be read */
	}
	crew_run(measure_share, shares, sizeof *shares, count);
	for (i = 0; i < count; i++) {
		add_sums(sums, &shares[i].sums);
		rmdir(shares[i].directory);
		free(shares[i].directory);
	}
	print_sums(sums);
	status = sums->failed > 0 ? 2 : settings->gate && !is_clean(sums) ? 1 : 0;
	free(sums);
	free(shares);
	return status;
}

static bool parse(struct settings *s, int argc, char **argv)
{
	int i;

	for (i = 1; i < argc; i++) {
		const bool more = i + 1 < argc;

		if (strcmp(argv[i], "--quiet") == 0)
			s->quiet = true;
		else if (strcmp(argv[i], "--exact") == 0)
			s->exact = true;
		else if (strcmp(argv[i], "--gate") == 0)
			s->gate = true;
		else if (strcmp(argv[i], "--count") == 0 && more)
			s->count = strtoul(argv[++i], NULL, 10);
		else if (strcmp(argv[i], "--healthy") == 0 && more)
			s->healthy = strtoul(argv[++i], NULL, 10);
		else if (strcmp(argv[i], "--from") == 0 && more)
			s->from = strtoul(argv[++i], NULL, 10);
		else if (strcmp(argv[i], "--check") != 0 || !more ||
			 (s->only = check_by_name(argv[++i])) == NULL)
			return false;
	}
	return true;
}

int main(int argc, char **argv)
{
	struct settings settings = { .from = 1, .count = 500, .healthy = 2000 };
	const char *tmp = getenv("TMPDIR");
	char *directory = mem_printf("%s/checks-XXXXXX", tmp != NULL ? tmp : "/tmp");
	int status = 2;

	if (!parse(&settings, argc, argv)) {
		fprintf(stderr, "use: bench_checks [--count N] [--healthy N] [--from SEED] "
				"[--check NAME] [--exact] [--quiet] [--gate]\n");
	} else if (mkdtemp(directory) == NULL) {
		perror("bench_checks: no temporary directory");
	} else {
		status = measure(&settings, directory);
		rmdir(directory);
	}
	free(directory);
	return status;
}
