/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Memory in large pieces. */
#include "base/pool.h"

#include <pthread.h>
#include <stdlib.h>

#include "base/mem.h"

#define ALIGNMENT ((size_t)16)
#define PIECE_LEAST ((size_t)64 << 10)
#define PIECE_MOST ((size_t)16 << 20)	/* what is not touched yet costs nothing */
#define MUCH ((size_t)4 << 20)		/* from here on in large pages */

struct pool {
	pthread_mutex_t lock;
	char **pieces;		/* [count] */
	size_t count;
	size_t room;
	size_t total;		/* bytes in them */
	unsigned holders;
};

struct pool *pool_new(void)
{
	struct pool *p = mem_alloc(sizeof(*p));

	pthread_mutex_init(&p->lock, NULL);
	p->holders = 1;
	return p;
}

struct pool *pool_hold(struct pool *p)
{
	pthread_mutex_lock(&p->lock);
	p->holders++;
	pthread_mutex_unlock(&p->lock);
	return p;
}

void pool_free(struct pool *p)
{
	unsigned left;
	size_t i;

	if (p == NULL)
		return;
	pthread_mutex_lock(&p->lock);
	left = --p->holders;
	pthread_mutex_unlock(&p->lock);
	if (left > 0)
		return;
	for (i = 0; i < p->count; i++)
		free(p->pieces[i]);
	free(p->pieces);
	pthread_mutex_destroy(&p->lock);
	free(p);
}

size_t pool_size(const struct pool *p)
{
	return p->total;
}

static size_t round_up(size_t size, size_t to)
{
	return (size + to - 1) / to * to;
}

/* A quarter of what there is, so that little is left over; large ones later. */
static char *new_piece(struct pool *p, size_t least, size_t *size)
{
	char *piece;

	*size = round_up(p->total < MUCH ? p->total / 4 : PIECE_MOST, ALIGNMENT);
	if (*size < PIECE_LEAST)
		*size = PIECE_LEAST;
	if (*size < least)
		*size = least;
	if (!mem_try_grow(&p->pieces, &p->room, p->count + 1, sizeof(*p->pieces)))
		return NULL;
	piece = p->total < MUCH ? mem_try_array(*size, 1) : mem_try_large(*size, 1);
	if (piece == NULL)
		return NULL;
	p->pieces[p->count++] = piece;
	p->total += *size;
	return piece;
}

void *pool_take(struct pool *p, struct pool_share *share, size_t size)
{
	void *taken;

	size = round_up(size > 0 ? size : 1, ALIGNMENT);
	if (size > share->left) {
		char *piece;
		size_t got;

		pthread_mutex_lock(&p->lock);
		piece = new_piece(p, size, &got);
		pthread_mutex_unlock(&p->lock);
		if (piece == NULL)
			return NULL;
		share->at = piece;
		share->left = got;
	}
	taken = share->at;
	share->at += size;
	share->left -= size;
	return taken;
}
