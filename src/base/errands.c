/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Errands done by a thread. */
#include "base/errands.h"

#include <pthread.h>
#include <signal.h>
#include <stdlib.h>

#include "base/bell.h"
#include "base/mem.h"

struct errand {
	void *of;
	unsigned long ticket;
	bool is_dropped;	/* while it is in work */
	struct errand *next;
};

struct errands {
	const struct errand_kind *kind;
	int news;
	bool has_thread;	/* of the caller's thread, like the next */
	pthread_t thread;

	pthread_mutex_t lock;	/* guards what follows */
	pthread_cond_t change;	/* there is an errand, or no more will come */
	bool stop;
	unsigned long last_ticket;
	struct errand *waiting;	/* the first of them, like the next */
	struct errand *done;
	struct errand *in_work;
};

static void append(struct errand **list, struct errand *one)
{
	while (*list != NULL)
		list = &(*list)->next;
	one->next = NULL;
	*list = one;
}

static struct errand *take_first(struct errand **list)
{
	struct errand *first = *list;

	if (first != NULL)
		*list = first->next;
	return first;
}

/* Where the list points to the errand, or to its end. */
static struct errand **find(struct errand **list, unsigned long ticket)
{
	while (*list != NULL && (*list)->ticket != ticket)
		list = &(*list)->next;
	return list;
}

static void release(const struct errands *e, struct errand *one)
{
	if (one == NULL)
		return;
	e->kind->release(one->of);
	free(one);
}

/* ---- the thread ---- */

/* With the lock held, which is let go meanwhile. */
static void do_next(struct errands *e)
{
	struct errand *one = take_first(&e->waiting);

	e->in_work = one;
	pthread_mutex_unlock(&e->lock);
	e->kind->work(e, one->of);
	pthread_mutex_lock(&e->lock);
	e->in_work = NULL;
	if (!one->is_dropped) {
		append(&e->done, one);
		bell_ring(e->news);
		return;
	}
	pthread_mutex_unlock(&e->lock);
	release(e, one);
	pthread_mutex_lock(&e->lock);
}

static void *run(void *data)
{
	struct errands *e = data;

	pthread_mutex_lock(&e->lock);
	while (!e->stop) {
		if (e->waiting != NULL)
			do_next(e);
		else
			pthread_cond_wait(&e->change, &e->lock);
	}
	pthread_mutex_unlock(&e->lock);
	return NULL;
}

/* Signals are for the thread that waits for keys. */
static bool start_thread(struct errands *e)
{
	sigset_t all, before;

	sigfillset(&all);
	pthread_sigmask(SIG_SETMASK, &all, &before);
	e->has_thread = pthread_create(&e->thread, NULL, run, e) == 0;
	pthread_sigmask(SIG_SETMASK, &before, NULL);
	return e->has_thread;
}

bool errands_go_on(struct errands *e)
{
	bool wanted;

	pthread_mutex_lock(&e->lock);
	wanted = !e->stop && !e->in_work->is_dropped;
	pthread_mutex_unlock(&e->lock);
	return wanted;
}

/* ---- who gives them ---- */

struct errands *errands_new(const struct errand_kind *kind, int news)
{
	struct errands *e = mem_alloc(sizeof *e);

	e->kind = kind;
	e->news = news;
	pthread_mutex_init(&e->lock, NULL);
	pthread_cond_init(&e->change, NULL);
	return e;
}

unsigned long errands_give(struct errands *e, void *errand)
{
	struct errand *one = mem_alloc(sizeof *one);
	unsigned long ticket;

	one->of = errand;
	pthread_mutex_lock(&e->lock);
	ticket = one->ticket = ++e->last_ticket;
	append(&e->waiting, one);
	pthread_cond_signal(&e->change);
	pthread_mutex_unlock(&e->lock);
	if (e->has_thread || start_thread(e))
		return ticket;
	pthread_mutex_lock(&e->lock);
	do_next(e);
	pthread_mutex_unlock(&e->lock);
	return ticket;
}

void errands_drop(struct errands *e, unsigned long ticket)
{
	struct errand *one;

	pthread_mutex_lock(&e->lock);
	one = take_first(find(&e->waiting, ticket));
	if (one == NULL)
		one = take_first(find(&e->done, ticket));
	if (e->in_work != NULL && e->in_work->ticket == ticket)
		e->in_work->is_dropped = true;
	pthread_mutex_unlock(&e->lock);
	release(e, one);
}

void *errands_take(struct errands *e, unsigned long *ticket)
{
	struct errand *one;
	void *errand;

	pthread_mutex_lock(&e->lock);
	one = take_first(&e->done);
	pthread_mutex_unlock(&e->lock);
	if (one == NULL)
		return NULL;
	*ticket = one->ticket;
	errand = one->of;
	free(one);
	return errand;
}

void errands_free(struct errands *e)
{
	if (e == NULL)
		return;
	pthread_mutex_lock(&e->lock);
	e->stop = true;
	pthread_cond_signal(&e->change);
	pthread_mutex_unlock(&e->lock);
	if (e->has_thread)
		pthread_join(e->thread, NULL);
	while (e->waiting != NULL)
		release(e, take_first(&e->waiting));
	while (e->done != NULL)
		release(e, take_first(&e->done));
	pthread_cond_destroy(&e->change);
	pthread_mutex_destroy(&e->lock);
	free(e);
}
