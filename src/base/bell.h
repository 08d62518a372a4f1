/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A pipe that wakes who waits for its hearing end, among other descriptors, with poll().
 * Any thread and any signal handler may ring.
 */
#ifndef BASE_BELL_H
#define BASE_BELL_H

#include <stdbool.h>

struct bell {
	int hear;		/* readable when it has rung */
	int ring;		/* for bell_ring() */
};

#define BELL_INIT { -1, -1 }

/* False, with errno, when there are too many descriptors. */
bool bell_open(struct bell *b);

/* It may not be open. */
void bell_close(struct bell *b);

/* Async-signal-safe; errno stays as it was. */
void bell_ring(int ring);

/* As if it had never rung. */
void bell_hush(const struct bell *b);

#endif
