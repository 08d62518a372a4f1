/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See check_trial.h. */
#include "judge/check_trial.h"

#include <math.h>
#include <spawn.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/mem.h"

extern char **environ;

static bool is_fault(const char *word)
{
	return strcmp(word, "--fault") == 0;
}

/* Without the fault for a baseline. */
static bool simulate(const char *sim, const struct sim_case *c, bool with_fault,
		     const char *log, const char *truth)
{
	const char *argv[CASE_ARGS + 8] = { "sim", "--true-values", "--out", log, "--truth", truth };
	int n = 6, i, status;
	pid_t child;

	for (i = 0; i < c->arg_count; i++) {
		if (!with_fault && is_fault(c->args[i]))
			i++;
		else
			argv[n++] = c->args[i];
	}
	/* it does not write to its arguments, whatever the type says */
	if (posix_spawn(&child, sim, NULL, NULL, (char *const *)argv, environ) != 0)
		return false;
	return waitpid(child, &status, 0) == child && WIFEXITED(status) &&
	       WEXITSTATUS(status) == 0;
}

/* The end of the manifold pressure sensor: that of its fault, or of a one-byte channel. */
static double map_end(const struct sim_case *c)
{
	const double end = c->id == CHECK_MAP_FLAT ? c->size : INFINITY;

	return c->coarse && c->id != CASE_HEALTHY ? fmin(end, CASE_COARSE_MAP_END) : end;
}

/* What is beyond the end of a sensor is not in the log, whatever else is true. */
static void clip(struct check_truth *truth, const char *id, double end)
{
	size_t i, k;

	for (i = 0; i < truth->column_count; i++)
		for (k = 0; strcmp(truth->columns[i].id, id) == 0 && k < truth->rows; k++)
			truth->columns[i].v[k] = fmin(truth->columns[i].v[k], end);
}

static bool load_both(struct trial_log *l, const char *log, const char *truth, struct err *e)
{
	const struct load_options options = { .names = NULL };
	const struct log_ref ref = { .path = NULL, .what = REF_BEST };

	if (!check_truth_read(&l->truth, truth)) {
		err_set(e, ERR_FORMAT, "%s: no truth file with true values", truth);
		return false;
	}
	if (load_log(log, &options, &l->loaded, e) != ERR_NONE)
		return false;
	if (l->loaded.log->rows != l->truth.rows || l->truth.pull_count == 0) {
		err_set(e, ERR_DATA, "%zu rows of %zu were read, %zu true pulls",
			l->loaded.log->rows, l->truth.rows, l->truth.pull_count);
		return false;
	}
	if (load_run(&l->loaded, &ref, &l->run, e) != ERR_NONE)
		return false;
	l->has_run = true;
	if (l->run.number != RUN_WHOLE)
		return true;
	err_set(e, ERR_DATA, "no pull was found");
	return false;
}

static bool make_log(struct trial_log *l, const char *sim, const char *directory,
		     const struct sim_case *c, bool with_fault, struct err *e)
{
	char *log = mem_printf("%s/%d-%lu.csv", directory, (int)c->id, c->seed);
	char *truth = mem_printf("%s/%d-%lu.truth", directory, (int)c->id, c->seed);
	bool ok = simulate(sim, c, with_fault, log, truth);

	if (!ok)
		err_set(e, ERR_IO, "%s failed", sim);
	ok = ok && load_both(l, log, truth, e);
	if (ok)
		clip(&l->truth, "map", map_end(c));
	unlink(log);
	unlink(truth);
	free(log);
	free(truth);
	return ok;
}

static void release_log(struct trial_log *l)
{
	if (l->has_run)
		run_release(&l->run);
	loaded_release(&l->loaded);
	check_truth_release(&l->truth);
	l->has_run = false;
}

static double highest(const struct check_truth *t, const char *id)
{
	const double *v = check_truth_of(t, id);
	double most = 0.0;
	size_t i;

	for (i = 0; v != NULL && i < t->rows; i++)
		if (t->t[i] >= t->pulls[0].from_s && t->t[i] <= t->pulls[0].to_s)
			most = fmax(most, v[i]);
	return most;
}

/* Corrected to 25 degC and 100 kPa. */
static double highest_flow(const struct check_truth *t)
{
	const double *air = check_truth_of(t, "ambient");
	const double heat = air != NULL ? (air[0] + 273.15) / 298.15 : 1.0;

	return highest(t, "maf") / 1000.0 * sqrt(heat) / (t->air_kpa / 100.0);
}

/* What the car file or the limits file would say, so that the pull goes so far over it. */
static void set_extra(struct check_trial *t)
{
	const struct check_truth *truth = &t->log.truth;
	const double part = 1.0 / (0.95 * (1.0 + t->setting.size));
	struct limit_line *line = &t->limits.of[CHECK_MANIFOLD_PRESSURE].level[SEVERITY_CAUTION];
	const double gauge = highest(truth, "map") - truth->air_kpa;

	switch (t->setting.extra) {
	case EXTRA_PORT:
		t->car.injection = INJECTION_PORT;
		break;
	case EXTRA_PRESSURE:
		line->n = 1;
		line->value[0] = truth->air_kpa + gauge / (1.0 + t->setting.size);
		break;
	case EXTRA_TURBO:
		t->car.turbo_speed_rpm = 1000.0 * highest(truth, "turbo") * part * 0.95 * 1.05;
		break;
	case EXTRA_FLOW:
		t->car.edge.n = 2;
		t->car.edge.ratio[0] = 1.0;
		t->car.edge.ratio[1] = 5.0;
		t->car.edge.flow[0] = t->car.edge.flow[1] = highest_flow(truth) * part;
		break;
	case EXTRA_RATIO:
		t->car.pressure_ratio = highest(truth, "map") / truth->air_kpa * part;
		break;
	default:
		break;
	}
}

bool check_trial_run(struct check_trial *t, const char *sim, const char *directory,
		     enum check_id id, unsigned long seed, bool exact, struct err *e)
{
	const struct loaded none = LOADED_INIT;
	bool ok;

	*t = (struct check_trial){ .report = CHECK_REPORT_INIT };
	t->log.loaded = none;
	t->baseline.loaded = none;
	car_init(&t->car);
	limits_init(&t->limits);
	sim_case_draw(&t->setting, id, seed);
	if (exact)
		sim_case_make_exact(&t->setting);
	ok = make_log(&t->log, sim, directory, &t->setting, true, e);
	if (ok && t->setting.extra == EXTRA_BASELINE)
		ok = make_log(&t->baseline, sim, directory, &t->setting, false, e);
	if (ok) {
		struct check_setup setup = { .limits = &t->limits, .car = &t->car };

		set_extra(t);
		setup.baseline = t->baseline.has_run ? &t->baseline.run : NULL;
		ok = check_run(&t->report, &t->log.loaded, &t->log.run, &setup, e) == ERR_NONE;
	}
	return ok;
}

void check_trial_release(struct check_trial *t)
{
	check_report_release(&t->report);
	release_log(&t->log);
	release_log(&t->baseline);
	limits_release(&t->limits);
	car_release(&t->car);
	sim_case_release(&t->setting);
}

struct oracle_setup check_trial_setup(const struct check_trial *t)
{
	return (struct oracle_setup){
		.limits = &t->limits,
		.car = &t->car,
		.baseline = t->baseline.has_run ? &t->baseline.truth : NULL,
		.noise = t->setting.noise,
		.coarse = t->setting.coarse,
		.map_end = map_end(&t->setting),
		.maf_end = t->setting.id == CHECK_MAF_FLAT ? t->setting.size : INFINITY,
	};
}

void check_trial_command(const struct check_trial *t, FILE *out)
{
	int i;

	fprintf(out, "    sim");
	for (i = 0; i < t->setting.arg_count; i++)
		fprintf(out, " %s", t->setting.args[i]);
	fprintf(out, "\n");
}
