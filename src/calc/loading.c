/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loading a log in a thread of its own. */
#include "calc/loading.h"

#include <math.h>
#include <poll.h>
#include <pthread.h>
#include <signal.h>
#include <stdlib.h>

#include "base/bell.h"
#include "base/mem.h"
#include "base/ticks.h"
#include "data/csv_follow.h"
#include "data/csv_read.h"
#include "data/csv_reading.h"

#define TELL_S 0.1		/* how often progress is told */
#define SMALL ((size_t)512 << 10)	/* bytes: all of it is there before a part has been drawn */
#define GROWN 2			/* times as many bytes as before make another log worth it */
#define LOOK_MS 1000		/* a log that is written is looked at so often in any case */
#define REST_S 0.15		/* between two logs that are taken from one that grows */
#define REST_SHARE 3		/* and so many times as long as the last one took */

struct loading {
	char *path;
	struct load_options options;	/* the watch is ours */
	struct csv_watch watch;
	bool follow;
	int news;
	struct bell wake;	/* ends a wait */
	pthread_t thread;

	pthread_mutex_t lock;	/* guards what follows */
	bool stop;
	bool has_log;
	struct loaded log;	/* the newest, until it is taken */
	unsigned generation;	/* of it: see csv_follow.h */
	unsigned taken;		/* of the last one that was */
	struct loading_state state;

	/* of the thread that reads */
	struct csv_follow *f;	/* NULL: it is not followed */
	unsigned last_generation;
	size_t last_bytes;	/* when the last log was made */
	double told;
	double heard;		/* when something came last */
};

static bool is_stopped(struct loading *l)
{
	bool stop;

	pthread_mutex_lock(&l->lock);
	stop = l->stop;
	pthread_mutex_unlock(&l->lock);
	return stop;
}

static unsigned generation(const struct loading *l)
{
	return l->f != NULL ? csv_follow_generation(l->f) : 0;
}

/* Makes the log ready and puts it where it can be taken; one that was not is given up. */
static enum err_code put(struct loading *l, struct datalog *log, struct err *e)
{
	struct loaded ready;
	struct loaded old = LOADED_INIT;
	enum err_code code = load_finish(log, &l->options, &ready, e);

	if (code != ERR_NONE)
		return code;
	pthread_mutex_lock(&l->lock);
	if (l->has_log)
		old = l->log;
	l->log = ready;
	l->generation = generation(l);
	l->has_log = true;
	l->state.code = ERR_NONE;
	pthread_mutex_unlock(&l->lock);
	loaded_release(&old);
	bell_ring(l->news);
	return ERR_NONE;
}

static void put_error(struct loading *l, enum err_code code, const struct err *e)
{
	pthread_mutex_lock(&l->lock);
	l->state.code = code;
	l->state.error = *e;
	pthread_mutex_unlock(&l->lock);
	bell_ring(l->news);
}

/* Whether a log of what is there is wanted: there is much more, and the last was taken. */
static bool is_due(struct loading *l, const struct csv_progress *p)
{
	bool waiting;

	pthread_mutex_lock(&l->lock);
	l->state.bytes = p->bytes;
	l->state.size = p->size;
	waiting = l->has_log;
	pthread_mutex_unlock(&l->lock);
	if (l->last_generation != generation(l))
		l->last_bytes = 0;
	l->last_generation = generation(l);
	return !waiting && p->rows > 1 && p->bytes >= GROWN * l->last_bytes && p->bytes < p->size &&
		p->size >= SMALL;
}

/* A csv_watch. */
static bool look(void *data, const struct csv_progress *p, const struct csv_reading *so_far)
{
	struct loading *l = data;
	struct datalog *log;

	if (is_stopped(l))
		return false;
	if (so_far != NULL && is_due(l, p)) {
		if (csv_reading_so_far(so_far, &log, NULL) == ERR_NONE)
			put(l, log, NULL);	/* the last one tells what is wrong */
		l->last_bytes = p->bytes;
	} else if (ticks_now() - l->told >= TELL_S) {
		l->told = ticks_now();
		bell_ring(l->news);
	}
	return true;
}

static void load_once(struct loading *l)
{
	struct err e = ERR_INIT;
	struct datalog *log;
	enum err_code code = csv_read(l->path, &l->options.csv, &log, &e);

	if (code == ERR_NONE)
		code = put(l, log, &e);
	if (code != ERR_NONE)
		put_error(l, code, &e);
}

double loading_silence(double s)
{
	return s < 10.0 ? 0.0 : s < 30.0 ? 10.0 : s < 60.0 ? 30.0 : 60.0 * floor(s / 60.0);
}

/* What is to be known of a logger that writes nothing. */
static void look_after(struct loading *l)
{
	const bool is_gone = csv_follow_is_gone(l->f);
	const double silent_s = loading_silence(ticks_now() - l->heard);
	bool is_news;

	pthread_mutex_lock(&l->lock);
	is_news = is_gone != l->state.is_gone || silent_s != l->state.silent_s;
	l->state.is_gone = is_gone;
	l->state.silent_s = silent_s;
	pthread_mutex_unlock(&l->lock);
	if (is_news)
		bell_ring(l->news);
}

/* Takes what has come; false when it is over, or nothing can come of it. */
static bool take_growth(struct loading *l, double *took)
{
	const double from = ticks_now();
	struct err e = ERR_INIT;
	struct datalog *log;
	enum err_code code = csv_follow_read(l->f, &log, &e);
	bool hopeless = csv_follow_is_hopeless(l->f, code);

	if (code == ERR_NONE && log != NULL) {
		l->heard = from;
		code = put(l, log, &e);
		hopeless = code != ERR_NONE;
	}
	*took = ticks_now() - from;
	if (code != ERR_NONE)
		put_error(l, code, &e);
	look_after(l);
	return !hopeless && !csv_follow_is_over(l->f);
}

/* Lets the program do other things, and a few rows come together. */
static void rest(const struct loading *l, double took)
{
	const double s = took * REST_SHARE > REST_S ? took * REST_SHARE : REST_S;
	struct pollfd p = { l->wake.hear, POLLIN, 0 };

	poll(&p, 1, (int)(1000 * s));
}

static void follow_on(struct loading *l)
{
	struct err e = ERR_INIT;
	const enum err_code code = csv_follow_open(l->path, &l->options.csv, &l->f, &e);
	double took;

	l->heard = ticks_now();
	if (code != ERR_NONE) {
		put_error(l, code, &e);
		return;
	}
	/* Stopped at once or not, what is there is read. */
	while (take_growth(l, &took) && !is_stopped(l)) {
		rest(l, took);
		csv_follow_wait(l->f, l->wake.hear, LOOK_MS);
	}
	csv_follow_close(l->f);
	l->f = NULL;
}

static void *run(void *data)
{
	struct loading *l = data;

	if (l->follow)
		follow_on(l);
	else
		load_once(l);
	pthread_mutex_lock(&l->lock);
	l->state.is_done = true;
	pthread_mutex_unlock(&l->lock);
	bell_ring(l->news);
	return NULL;
}

/* Signals are for the thread that waits for keys, not for this one or those it starts. */
static bool start_thread(struct loading *l)
{
	sigset_t all, before;
	bool ok;

	sigfillset(&all);
	pthread_sigmask(SIG_SETMASK, &all, &before);
	ok = pthread_create(&l->thread, NULL, run, l) == 0;
	pthread_sigmask(SIG_SETMASK, &before, NULL);
	return ok;
}

enum err_code loading_start(const char *path, const struct load_options *options, bool follow,
			    int news, struct loading **out, struct err *e)
{
	struct loading *l = mem_alloc(sizeof *l);

	*out = NULL;
	if (!bell_open(&l->wake)) {
		free(l);
		return err_errno(e, path, "cannot wait for it");
	}
	l->path = mem_strdup(path);
	l->options = *options;
	l->watch = (struct csv_watch){ look, l };
	l->options.csv.watch = &l->watch;
	l->follow = follow;
	l->news = news;
	pthread_mutex_init(&l->lock, NULL);
	if (start_thread(l)) {
		*out = l;
		return ERR_NONE;
	}
	bell_close(&l->wake);
	pthread_mutex_destroy(&l->lock);
	free(l->path);
	free(l);
	return err_set(e, ERR_MEMORY, "%s: no thread can be started to read it; memory is short: close "
		       "other programs, or raise a limit (ulimit -v)", path);
}

bool loading_take(struct loading *l, struct loaded *out, struct loading_state *state)
{
	bool taken;

	pthread_mutex_lock(&l->lock);
	*state = l->state;
	taken = l->has_log;
	if (taken) {
		*out = l->log;
		l->log = (struct loaded)LOADED_INIT;
		l->has_log = false;
		state->is_anew = l->generation != l->taken;
		l->taken = l->generation;
	}
	pthread_mutex_unlock(&l->lock);
	return taken;
}

void loading_stop(struct loading *l)
{
	pthread_mutex_lock(&l->lock);
	l->stop = true;
	pthread_mutex_unlock(&l->lock);
	bell_ring(l->wake.ring);
}

void loading_free(struct loading *l)
{
	if (l == NULL)
		return;
	loading_stop(l);
	pthread_join(l->thread, NULL);
	loaded_release(&l->log);
	bell_close(&l->wake);
	pthread_mutex_destroy(&l->lock);
	free(l->path);
	free(l);
}
