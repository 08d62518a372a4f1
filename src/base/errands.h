/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A thread that does one errand after another, for who must not wait: each is given, and what
 * came of it taken when a bell has rung.
 *
 * An errand is one piece of memory: what it needs, which nobody else may change, and room for
 * what comes of it.
 */
#ifndef BASE_ERRANDS_H
#define BASE_ERRANDS_H

#include <stdbool.h>

struct errands;

struct errand_kind {
	/* Does it, in the thread; a long one asks errands_go_on() now and then. */
	void (*work)(struct errands *e, void *errand);
	/* Frees one that nobody takes, done or not, in whatever thread. */
	void (*release)(void *errand);
};

/*
 * All errands are of this kind, which must stay.  The bell's end `news` is rung when there is
 * something to take.  The thread starts with the first errand.
 */
struct errands *errands_new(const struct errand_kind *kind, int news);

/* Stops, waits until the errand in work has heard of it, and releases them all; NULL is allowed. */
void errands_free(struct errands *e);

/*
 * Takes the errand over; returns its ticket, which is never 0.  Where no thread can be started
 * it is done at once.
 */
unsigned long errands_give(struct errands *e, void *errand);

/* Wants that errand no more, wherever it is: it will not be taken.  0 and old tickets are none. */
void errands_drop(struct errands *e, unsigned long ticket);

/* Whether the errand in work is still wanted; for its work() alone. */
bool errands_go_on(struct errands *e);

/* The next one that is done, in the order given, now the caller's; NULL when there is none. */
void *errands_take(struct errands *e, unsigned long *ticket);

#endif
