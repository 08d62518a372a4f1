/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sim: an invented log of an invented car, and the truth about it. */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "config.h"
#include "log.h"
#include "truth.h"
#include "world.h"
#include "write.h"

#define STEP_MS 1
/* Time the model runs before the first row, to settle. */
#define SETTLE_MS 3000

/* What the log begins with is rolling, so the first move is lengthened by the settling. */
static void lengthen_first(struct plan *plan)
{
	if (plan->count > 0)
		plan->move[0].dur += SETTLE_MS / 1000.0;
}

static void finish_config(struct config *c)
{
	car_init(&c->car, (enum car_kind)c->car_kind, c->seed);
	if (!isnan(c->mass))
		c->car.mass_kg = c->mass;
	if (!isnan(c->limit))
		c->car.limit_rpm = c->limit;
	c->wish.scenario = (enum scenario)c->scenario;
	if (c->scenario == SCENARIO_SLIP && c->faults < FAULT_MAX)
		fault_default(&c->fault[c->faults++], FAULT_SLIP_WHEEL);
	if (c->wish.gear > c->car.gears)
		c->wish.gear = c->car.gears;
	if (c->wish.to_rpm < 0 || c->wish.to_rpm > c->car.limit_rpm - 40)
		c->wish.to_rpm = c->wish.to_rpm < 0 ? c->car.limit_rpm - 100 : 0;
}

/* False: out of memory. */
static bool run(struct world *w, struct log *log, struct truth *truth, const struct config *c)
{
	const long last = (long)(1000 * c->max_seconds);
	bool going = true;

	for (long ms = -SETTLE_MS; going && ms <= last; ms += STEP_MS) {
		w->t = (double)ms / 1000;
		truth_step(truth, w);
		if (ms >= 0 && !log_step(log, w))
			return false;
		going = world_step(w, STEP_MS / 1000.0);
	}
	truth_finish(truth, w);
	return true;
}

static bool save(const struct text *text, const char *path, enum encoding encoding)
{
	const bool standard = path == NULL || strcmp(path, "-") == 0;
	FILE *const out = standard ? stdout : fopen(path, "wb");
	bool ok;

	if (out == NULL) {
		fprintf(stderr, "sim: cannot write %s: %s\n", path, strerror(errno));
		return false;
	}
	ok = !text->failed && text_encode(out, text, encoding);
	ok = (standard ? fflush(out) : fclose(out)) == 0 && ok;
	if (!ok)
		fprintf(stderr, "sim: writing %s failed\n", standard ? "standard output" : path);
	return ok;
}

static bool save_all(const struct log *log, const struct truth *truth, const struct world *w)
{
	const struct config *const c = log->config;
	struct text csv = {0}, facts = {0};
	bool ok;

	write_csv(&csv, log);
	ok = save(&csv, c->out, (enum encoding)c->dialect.encoding);
	if (c->truth != NULL) {
		write_truth(&facts, log, truth, w);
		ok = save(&facts, c->truth, ENC_UTF8) && ok;
	}
	text_release(&csv);
	text_release(&facts);
	return ok;
}

static int simulate(struct config *c)
{
	struct plan *const plan = malloc(sizeof *plan);
	struct truth *const truth = malloc(sizeof *truth);
	struct log log = {0};
	int status = 2;

	finish_config(c);
	if (plan == NULL || truth == NULL || !log_init(&log, c))
		goto out;
	struct world w = {.car = c->car, .air = c->air, .road = c->road, .ethanol = c->ethanol};
	w.faults.count = c->faults;
	memcpy(w.faults.list, c->fault, sizeof w.faults.list);
	plan_make(plan, &c->wish, &c->car, c->seed);
	lengthen_first(plan);
	world_init(&w, plan, c->seed, -SETTLE_MS / 1000.0);
	truth_init(truth);
	if (!run(&w, &log, truth, c))
		fprintf(stderr, "sim: out of memory\n");
	else if (save_all(&log, truth, &w))
		status = 0;
out:
	log_release(&log);
	free(truth);
	free(plan);
	return status;
}

int main(int argc, char **argv)
{
	struct config config;

	config_init(&config);
	const int wrong = config_parse(&config, argc, argv);
	if (wrong != 0)
		return wrong == 1 ? 0 : 2;
	return simulate(&config);
}
