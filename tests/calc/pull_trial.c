/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One simulated log, made from a seed, read by the program and compared with the truth. */
#include "calc/pull_trial.h"

#include <spawn.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/mem.h"

extern char **environ;

const char *pull_trial_sim(const char *otherwise)
{
	const char *sim = getenv("SIM");

	return sim != NULL && sim[0] != '\0' ? sim : otherwise;
}

static bool simulate(const char *sim, unsigned long seed, const char *log, const char *truth)
{
	char number[24];
	const char *const argv[] = { "sim", "--random", number, "--no-samples",
				   "--out", log,
				   "--truth", truth, NULL };
	pid_t child;
	int status;

	snprintf(number, sizeof number, "%lu", seed);
	/* it does not write to its arguments, whatever the type says */
	if (posix_spawn(&child, sim, NULL, NULL, (char *const *)argv, environ) != 0)
		return false;
	return waitpid(child, &status, 0) == child && WIFEXITED(status) &&
	       WEXITSTATUS(status) == 0;
}

static bool load_both(struct pull_trial *t, const char *log, const char *truth, struct err *e)
{
	const struct load_options options = { .names = NULL };

	if (!pull_truth_read(&t->truth, truth)) {
		err_set(e, ERR_FORMAT, "%s: no truth file of version 1", truth);
		return false;
	}
	if (load_log(log, &options, &t->loaded, e) != ERR_NONE)
		return false;
	if (t->loaded.log->rows == t->truth.rows)
		return true;
	err_set(e, ERR_DATA, "%s: %zu rows were read, %zu are there", log, t->loaded.log->rows,
		t->truth.rows);
	return false;
}

bool pull_trial_run(struct pull_trial *t, const char *sim, const char *directory,
		    unsigned long seed, bool keep, struct err *e)
{
	char *log = mem_printf("%s/%lu.csv", directory, seed);
	char *truth = mem_printf("%s/%lu.truth", directory, seed);
	const bool there = keep && access(log, R_OK) == 0 && access(truth, R_OK) == 0;
	bool ok = there || simulate(sim, seed, log, truth);

	*t = (struct pull_trial){ .seed = seed, .loaded = LOADED_INIT };
	if (!ok)
		err_set(e, ERR_IO, "%s --random %lu failed", sim, seed);
	ok = ok && load_both(t, log, truth, e);
	if (ok) {
		pull_truth_look(&t->truth, t->loaded.log);
		pull_score_make(&t->score, &t->truth, t->loaded.log, &t->loaded.pulls);
	}
	if (!keep) {
		unlink(log);
		unlink(truth);
	}
	free(log);
	free(truth);
	if (!ok)
		pull_trial_release(t);
	return ok;
}

void pull_trial_release(struct pull_trial *t)
{
	pull_truth_release(&t->truth);
	loaded_release(&t->loaded);
	pull_score_release(&t->score);
}

static void complain_run(const struct pull_trial *t, const struct truth_run *run, FILE *out)
{
	unsigned bit;

	fprintf(out, "rows %zu-%zu, %.0f-%.0f rpm, gear %d, end %s, %g rows/s", run->first,
		run->last, run->from_rpm, run->to_rpm, run->gear, run->end, t->truth.rate);
	for (bit = 0; bit < TRUTH_TRAITS; bit++)
		if ((t->truth.traits & 1u << bit) != 0)
			fprintf(out, ", %s", pull_truth_trait(bit));
	fprintf(out, "\n");
}

void pull_trial_complain(const struct pull_trial *t, FILE *out)
{
	const struct pull_score *s = &t->score;
	size_t i;

	for (i = 0; i < s->missed_count; i++) {
		fprintf(out, "seed %lu: missed: ", t->seed);
		complain_run(t, &t->truth.runs[s->missed[i]], out);
	}
	for (i = 0; i < s->false_count; i++) {
		const struct pull *p = &t->loaded.pulls.list[s->falses[i]];

		fprintf(out, "seed %lu: false: rows %zu-%zu, %.0f-%.0f rpm\n", t->seed, p->first,
			p->last, p->from_rpm, p->to_rpm);
	}
	for (i = 0; i < s->match_count; i++) {
		const struct pull_match *m = &s->matches[i];

		if (pull_match_error(m) <= pull_truth_allowed(&t->truth))
			continue;
		fprintf(out, "seed %lu: begin %+ld, end %+ld samples: ", t->seed, m->begin, m->end);
		complain_run(t, &t->truth.runs[m->run], out);
	}
}
