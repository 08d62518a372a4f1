/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Running every check over a pull, or over every pull of a log. */
#include "judge/check.h"

#include <math.h>
#include <stdlib.h>

#include "base/buf.h"
#include "base/mem.h"
#include "judge/check_cause.h"
#include "judge/check_judge.h"
#include "judge/measure.h"

static const char *const sureness_names[] = {
	[SURE_THIN] = "thin",
	[SURE_FAIR] = "fair",
	[SURE_CLEAR] = "clear",
};

/* What became of one check over all pulls. */
struct outcome {
	bool ran;
	enum not_run_kind kind;	/* of the first reason why not */
	char *why;
};

const char *sureness_name(enum sureness s)
{
	return sureness_names[s];
}

static bool has_limit(const struct limit *limit)
{
	int level;

	for (level = SEVERITY_NOTE; level < SEVERITIES; level++)
		if (limit->level[level].n > 0)
			return true;
	return false;
}

/* "not logged: engine torque; engine torque, target" */
static char *name_missing(const struct check *c, const struct scene *s)
{
	struct buf why = BUF_INIT;
	size_t need, k;

	for (need = 0; need < CHECK_NEEDS && c->needs[need].any[0] != Q_NONE; need++) {
		if (scene_need(c, need, s) != NULL)
			continue;
		buf_puts(&why, why.len > 0 ? "; " : "not logged: ");
		for (k = 0; k < CHECK_ANY && c->needs[need].any[k] != Q_NONE; k++)
			buf_printf(&why, "%s%s", k > 0 ? " or " : "",
				   quantity_get(c->needs[need].any[k])->title);
	}
	return why.len > 0 ? buf_take(&why) : NULL;
}

static enum err_code judge_all(struct check_report *out, const struct check *c,
			       const struct scene *s, struct measures *measures,
			       const struct limit *limit, bool *judged, struct err *e)
{
	enum err_code code = ERR_NONE;
	size_t i;

	for (i = 0; i < measures->count && code == ERR_NONE; i++) {
		struct measure *m = &measures->list[i];

		check_gate_apply(c, s, &m->value);
		if (m->value.n == 0)
			continue;
		*judged = true;
		code = check_judge(out, c, s, m, limit, e);
		if (code == ERR_NONE)
			code = check_guide(out, c, s, m, limit, e);
	}
	return code;
}

/* Why a check need not even look; NULL: it must. */
static char *refuse(const struct check *c, const struct scene *s, const struct limit *limit,
		    enum not_run_kind *kind)
{
	char *why;

	*kind = NOT_RUN_OFF;
	if (limit->off)
		return mem_strdup("switched off by the limits file");
	*kind = NOT_RUN_CHANNEL;
	why = name_missing(c, s);
	if (why != NULL)
		return why;
	*kind = NOT_RUN_LIMIT;
	return has_limit(limit) ? NULL : mem_strdup("no limit is given for it");
}

/* Sets outcome->ran, or why it did not run. */
static enum err_code run_one(struct check_report *out, const struct check *c,
			     const struct scene *s, const struct limit *limit,
			     struct outcome *outcome, struct err *e)
{
	struct measures measures = { NULL, 0, 0, NULL };
	enum not_run_kind kind;
	char *why = refuse(c, s, limit, &kind);
	bool judged = false;
	enum err_code code = ERR_NONE;

	if (why == NULL) {
		kind = NOT_RUN_OTHER;
		code = c->measure(c, s, &measures, e);
		if (code == ERR_NONE)
			code = judge_all(out, c, s, &measures, limit, &judged, e);
		if (code == ERR_NONE && !judged)
			why = measures.why_not != NULL
				      ? mem_strdup(measures.why_not)
				      : mem_strdup("no sample of the pull is one to judge");
	}
	outcome->ran = outcome->ran || judged;
	if (outcome->why == NULL) {
		outcome->why = why;
		outcome->kind = kind;
	} else {
		free(why);
	}
	measures_release(&measures);
	return code;
}

static enum err_code ask_to_go_on(const struct check_setup *setup, struct err *e)
{
	if (setup->go_on == NULL || setup->go_on(setup->data))
		return ERR_NONE;
	return err_set(e, ERR_DATA, "judging was stopped");
}

static enum err_code run_pull(struct check_report *out, const struct run *run,
			      const struct check_setup *setup, struct log_facts facts,
			      struct outcome *outcomes, struct err *e)
{
	struct scene scene;
	enum err_code code = scene_init(&scene, run, setup->baseline, setup->car, facts, e);
	int id;

	if (code != ERR_NONE)
		return code;
	for (id = 0; id < CHECK_COUNT && code == ERR_NONE; id++) {
		code = ask_to_go_on(setup, e);
		if (code == ERR_NONE)
			code = run_one(out, check_get((enum check_id)id), &scene,
				       &setup->limits->of[id], &outcomes[id], e);
	}
	out->pulls++;
	scene_release(&scene);
	return code;
}

static enum err_code run_every_pull(struct check_report *out, const struct loaded *loaded,
				    const struct check_setup *setup, struct log_facts facts,
				    struct outcome *outcomes, struct err *e)
{
	enum err_code code = ERR_NONE;
	size_t i;

	for (i = 1; i <= loaded->pulls.count && code == ERR_NONE; i++) {
		struct run run;

		code = run_init(&run, loaded->log, &loaded->pulls, i, e);
		if (code != ERR_NONE)
			break;
		code = run_pull(out, &run, setup, facts, outcomes, e);
		run_release(&run);
	}
	return code;
}

static int by_severity(const void *pa, const void *pb)
{
	const struct finding *a = pa, *b = pb;

	if (a->severity != b->severity)
		return a->severity > b->severity ? -1 : 1;
	if (a->pull != b->pull)
		return a->pull < b->pull ? -1 : 1;
	if (a->from_s != b->from_s)
		return a->from_s < b->from_s ? -1 : 1;
	if (a->check->id != b->check->id)
		return a->check->id < b->check->id ? -1 : 1;
	return (a->channel > b->channel) - (a->channel < b->channel);
}

static void tell_outcomes(struct check_report *out, struct outcome *outcomes)
{
	int id;

	out->not_run = mem_array(CHECK_COUNT, sizeof *out->not_run);
	for (id = 0; id < CHECK_COUNT; id++) {
		if (outcomes[id].ran) {
			out->ran++;
			continue;
		}
		out->not_run[out->not_run_count++] = (struct not_run){
			check_get((enum check_id)id), outcomes[id].kind, outcomes[id].why,
		};
		outcomes[id].why = NULL;
	}
}

enum err_code check_run(struct check_report *out, const struct loaded *loaded,
			const struct run *run, const struct check_setup *setup, struct err *e)
{
	struct outcome outcomes[CHECK_COUNT] = { { false, NOT_RUN_OTHER, NULL } };
	struct log_facts facts;
	enum err_code code;
	int id;

	*out = (struct check_report)CHECK_REPORT_INIT;
	if (loaded->log->time_source == TIME_ROWS)
		return err_set(e, ERR_DATA, "%s: the log has no time, and most checks ask how long "
			       "something lasts; say how many rows a second it has: --rate HZ",
			       loaded->log->path);
	if (run->number == RUN_WHOLE && loaded->pulls.count == 0)
		return err_set(e, ERR_DATA, "%s: no pull was found, so there is nothing to judge; "
			       "see `twinpull ready`", loaded->log->path);
	facts = log_facts_find(loaded->log);
	code = run->number == RUN_WHOLE ? run_every_pull(out, loaded, setup, facts, outcomes, e)
					: run_pull(out, run, setup, facts, outcomes, e);
	if (code == ERR_NONE) {
		tell_outcomes(out, outcomes);
		if (out->count > 0)
			qsort(out->findings, out->count, sizeof *out->findings, by_severity);
		check_cause_find(out);
	}
	for (id = 0; id < CHECK_COUNT; id++)
		free(outcomes[id].why);
	if (code != ERR_NONE)
		check_report_release(out);
	return code;
}

void check_report_release(struct check_report *r)
{
	size_t i;

	for (i = 0; i < r->count; i++)
		free(r->findings[i].detail);
	for (i = 0; i < r->not_run_count; i++)
		free(r->not_run[i].why);
	for (i = 0; i < r->guide_count; i++)
		series_release(&r->guides[i].line);
	free(r->findings);
	free(r->not_run);
	free(r->guides);
	*r = (struct check_report)CHECK_REPORT_INIT;
}
