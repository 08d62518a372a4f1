/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Running the checks in a thread of its own. */
#include "judge/checking.h"

#include <pthread.h>
#include <signal.h>
#include <stdlib.h>

#include "base/bell.h"
#include "base/mem.h"

struct checking {
	checking_fn fn;
	int news;
	bool has_thread;	/* of the caller's thread, like the next */
	pthread_t thread;

	pthread_mutex_t lock;	/* guards what follows */
	pthread_cond_t change;	/* there is a wish, or no more will come */
	bool stop;
	bool has_wish;		/* that nobody works on yet */
	struct checking_wish wish;
	unsigned number;	/* of the last wish: verdicts of others are nobody's */
	bool is_at_work;
	bool has_verdicts;
	struct checking_verdict verdicts[CHECKING_RUNS];
	struct loaded *retired;	/* what the thread may be reading */
	size_t retired_count;
	size_t retired_cap;
};

/* One wish in work. */
struct work {
	struct checking *c;
	struct checking_wish wish;
	unsigned number;
};

static void release(struct checking_verdict verdicts[CHECKING_RUNS])
{
	int i;

	for (i = 0; i < CHECKING_RUNS; i++)
		check_report_release(&verdicts[i].report);
}

/* ---- judging ---- */

/* A check_setup.go_on. */
static bool is_wanted(void *data)
{
	const struct work *w = data;
	bool wanted;

	pthread_mutex_lock(&w->c->lock);
	wanted = !w->c->stop && w->c->number == w->number;
	pthread_mutex_unlock(&w->c->lock);
	return wanted;
}

/* The runs of the wish, made here: those of a screen change under the thread. */
static enum err_code make_run(const struct checking_wish *wish, int i, struct run *out,
			      struct err *e)
{
	const struct loaded *of = &wish->runs[i].of;

	return run_init(out, of->log, &of->pulls, wish->runs[i].number, e);
}

static void judge(struct work *w, struct checking_verdict out[CHECKING_RUNS])
{
	struct run runs[CHECKING_RUNS] = { { 0 } };
	int i;

	for (i = 0; i < CHECKING_RUNS; i++) {
		const bool compared = w->wish.compared && i > 0 && runs[0].log != NULL;
		const struct check_setup setup = {
			.limits = w->wish.limits, .car = w->wish.car,
			.baseline = compared ? &runs[0] : NULL, .go_on = is_wanted, .data = w,
		};

		out[i] = (struct checking_verdict){ CHECK_REPORT_INIT, ERR_NONE, ERR_INIT };
		if (w->wish.runs[i].of.log == NULL)
			continue;
		out[i].code = make_run(&w->wish, i, &runs[i], &out[i].error);
		if (out[i].code == ERR_NONE)
			out[i].code = w->c->fn(&out[i].report, &w->wish.runs[i].of, &runs[i],
					       &setup, &out[i].error);
		if (out[i].code != ERR_NONE)
			out[i].report = (struct check_report)CHECK_REPORT_INIT;
	}
	for (i = 0; i < CHECKING_RUNS; i++)
		run_release(&runs[i]);
}

/* ---- the thread ---- */

/* What was retired is read no longer: with the lock held, which is let go meanwhile. */
static void free_retired(struct checking *c)
{
	while (c->retired_count > 0) {
		struct loaded old = c->retired[--c->retired_count];

		pthread_mutex_unlock(&c->lock);
		loaded_release(&old);
		pthread_mutex_lock(&c->lock);
	}
}

/* Takes the wish, and puts verdicts if they are still wanted; with the lock held. */
static void work(struct checking *c)
{
	struct work w = { c, c->wish, c->number };
	struct checking_verdict verdicts[CHECKING_RUNS];

	c->has_wish = false;
	c->is_at_work = true;
	pthread_mutex_unlock(&c->lock);
	judge(&w, verdicts);
	pthread_mutex_lock(&c->lock);
	if (!c->stop && c->number == w.number) {
		c->verdicts[0] = verdicts[0];
		c->verdicts[1] = verdicts[1];
		c->has_verdicts = true;
		bell_ring(c->news);
	} else {
		release(verdicts);
	}
	/* what is retired meanwhile was read by this work, too, or by none */
	free_retired(c);
	c->is_at_work = false;
}

static void *run(void *data)
{
	struct checking *c = data;

	pthread_mutex_lock(&c->lock);
	while (!c->stop) {
		if (c->has_wish)
			work(c);
		else
			pthread_cond_wait(&c->change, &c->lock);
	}
	pthread_mutex_unlock(&c->lock);
	return NULL;
}

/* Signals are for the thread that waits for keys. */
static bool start_thread(struct checking *c)
{
	sigset_t all, before;

	sigfillset(&all);
	pthread_sigmask(SIG_SETMASK, &all, &before);
	c->has_thread = pthread_create(&c->thread, NULL, run, c) == 0;
	pthread_sigmask(SIG_SETMASK, &before, NULL);
	return c->has_thread;
}

/* ---- the caller ---- */

struct checking *checking_new(int news, checking_fn fn)
{
	struct checking *c = mem_alloc(sizeof *c);

	c->fn = fn != NULL ? fn : check_run;
	c->news = news;
	pthread_mutex_init(&c->lock, NULL);
	pthread_cond_init(&c->change, NULL);
	return c;
}

/* With the lock held. */
static void drop(struct checking *c)
{
	c->number++;
	c->has_wish = false;
	if (c->has_verdicts)
		release(c->verdicts);
	c->has_verdicts = false;
}

void checking_want(struct checking *c, const struct checking_wish *wish)
{
	pthread_mutex_lock(&c->lock);
	drop(c);
	c->wish = *wish;
	c->has_wish = true;
	pthread_cond_signal(&c->change);
	pthread_mutex_unlock(&c->lock);
	if (c->has_thread || start_thread(c))
		return;
	pthread_mutex_lock(&c->lock);
	work(c);
	pthread_mutex_unlock(&c->lock);
}

void checking_drop(struct checking *c)
{
	pthread_mutex_lock(&c->lock);
	drop(c);
	pthread_mutex_unlock(&c->lock);
}

void checking_retire(struct checking *c, struct loaded *old)
{
	bool later;

	pthread_mutex_lock(&c->lock);
	drop(c);
	later = c->is_at_work;
	if (later) {
		mem_grow(&c->retired, &c->retired_cap, c->retired_count + 1, sizeof *c->retired);
		c->retired[c->retired_count++] = *old;
	}
	pthread_mutex_unlock(&c->lock);
	if (!later)
		loaded_release(old);
	*old = (struct loaded)LOADED_INIT;
}

bool checking_take(struct checking *c, struct checking_verdict out[CHECKING_RUNS])
{
	bool taken;

	pthread_mutex_lock(&c->lock);
	taken = c->has_verdicts;
	if (taken) {
		out[0] = c->verdicts[0];
		out[1] = c->verdicts[1];
		c->has_verdicts = false;
	}
	pthread_mutex_unlock(&c->lock);
	return taken;
}

void checking_free(struct checking *c)
{
	if (c == NULL)
		return;
	pthread_mutex_lock(&c->lock);
	drop(c);
	c->stop = true;
	pthread_cond_signal(&c->change);
	pthread_mutex_unlock(&c->lock);
	if (c->has_thread)
		pthread_join(c->thread, NULL);
	pthread_cond_destroy(&c->change);
	pthread_mutex_destroy(&c->lock);
	free(c->retired);
	free(c);
}
