/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Memory that is taken bit by bit, by several threads, and given back all at once.
 *
 * Touching fresh memory costs more than filling it, so the pool takes it from the
 * system in large pieces, and asks for large pages as soon as there is much of it.
 */
#ifndef BASE_POOL_H
#define BASE_POOL_H

#include <stddef.h>

struct pool;

/* A thread's own share of the pool; zeroed is empty. */
struct pool_share {
	char *at;
	size_t left;
};

struct pool *pool_new(void);

/* Another holder of the same pool; returns it. */
struct pool *pool_hold(struct pool *p);

/* Lets go of the pool; the last holder's call gives all of it back.  NULL is fine. */
void pool_free(struct pool *p);

/*
 * `size` bytes for good, aligned for any number and not zeroed; NULL when memory is out.
 * Threads may call it at the same time, each with its own share.
 */
void *pool_take(struct pool *p, struct pool_share *share, size_t size);

/* Bytes that the pool has taken from the system. */
size_t pool_size(const struct pool *p);

#endif
