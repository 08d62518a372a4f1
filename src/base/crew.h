/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Work shared among threads. */
#ifndef BASE_CREW_H
#define BASE_CREW_H

#include <stddef.h>

#define CREW_MOST 16

/* How many threads are of use on this machine: 1 .. CREW_MOST. */
size_t crew_size(void);

/*
 * Does work(job) for each of n jobs of `size` bytes, at the same time, and returns when
 * all are done.  Where a thread cannot be had, one after another.
 */
void crew_run(void (*work)(void *job), void *jobs, size_t size, size_t n);

#endif
