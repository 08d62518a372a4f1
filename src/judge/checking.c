/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Running the checks in a thread of its own. */
#include "judge/checking.h"

#include <stdlib.h>

#include "base/errands.h"
#include "base/mem.h"

struct checking {
	checking_fn fn;
	struct errands *errands;
	unsigned long ticket;	/* of the last wish */
};

/* One wish, and what came of it. */
struct judging {
	struct checking_wish wish;
	struct loaded held[CHECKING_RUNS];	/* what the wish is of */
	checking_fn fn;
	struct checking_verdict verdicts[CHECKING_RUNS];
};

/* ---- in the thread ---- */

/* A check_setup.go_on. */
static bool is_wanted(void *errands)
{
	return errands_go_on(errands);
}

/* The run of the wish, made here: that of a screen changes under the thread. */
static enum err_code make_run(const struct judging *j, int i, struct run *out, struct err *e)
{
	const struct loaded *of = &j->held[i];

	return run_init(out, of->log, &of->pulls, j->wish.runs[i].number, e);
}

static void work(struct errands *errands, void *errand)
{
	struct judging *j = errand;
	struct run runs[CHECKING_RUNS] = { { 0 } };
	int i;

	for (i = 0; i < CHECKING_RUNS; i++) {
		const bool compared = j->wish.compared && i > 0 && runs[0].log != NULL;
		const struct check_setup setup = {
			.limits = j->wish.limits, .car = j->wish.car,
			.baseline = compared ? &runs[0] : NULL, .go_on = is_wanted, .data = errands,
		};
		struct checking_verdict *v = &j->verdicts[i];

		if (j->held[i].log == NULL)
			continue;
		v->code = make_run(j, i, &runs[i], &v->error);
		if (v->code == ERR_NONE)
			v->code = j->fn(&v->report, &j->held[i], &runs[i], &setup, &v->error);
		if (v->code != ERR_NONE)
			v->report = (struct check_report)CHECK_REPORT_INIT;
	}
	for (i = 0; i < CHECKING_RUNS; i++)
		run_release(&runs[i]);
}

/* ---- for the caller ---- */

static void let_go(struct judging *j)
{
	int i;

	for (i = 0; i < CHECKING_RUNS; i++)
		loaded_release(&j->held[i]);
	free(j);
}

static void release(void *errand)
{
	struct judging *j = errand;
	int i;

	for (i = 0; i < CHECKING_RUNS; i++)
		check_report_release(&j->verdicts[i].report);
	let_go(j);
}

static const struct errand_kind judgings = { work, release };

struct checking *checking_new(int news, checking_fn fn)
{
	struct checking *c = mem_alloc(sizeof *c);

	c->fn = fn != NULL ? fn : check_run;
	c->errands = errands_new(&judgings, news);
	return c;
}

void checking_want(struct checking *c, const struct checking_wish *wish)
{
	struct judging *j = mem_alloc(sizeof *j);
	int i;

	checking_drop(c);
	j->wish = *wish;
	j->fn = c->fn;
	for (i = 0; i < CHECKING_RUNS; i++) {
		j->verdicts[i] = (struct checking_verdict){ CHECK_REPORT_INIT, ERR_NONE, ERR_INIT };
		if (wish->runs[i].of != NULL)
			j->held[i] = loaded_hold(wish->runs[i].of);
	}
	c->ticket = errands_give(c->errands, j);
}

void checking_drop(struct checking *c)
{
	errands_drop(c->errands, c->ticket);
	c->ticket = 0;
}

bool checking_take(struct checking *c, struct checking_verdict out[CHECKING_RUNS])
{
	unsigned long ticket;
	struct judging *j = errands_take(c->errands, &ticket);
	int i;

	if (j == NULL)
		return false;
	for (i = 0; i < CHECKING_RUNS; i++)
		out[i] = j->verdicts[i];
	let_go(j);
	return true;
}

void checking_free(struct checking *c)
{
	if (c == NULL)
		return;
	errands_free(c->errands);
	free(c);
}
