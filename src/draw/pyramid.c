/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lowest and highest value of any stretch of an array. */
#include "draw/pyramid.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

static const struct extent nothing = { NAN, NAN };

/* A comparison with NaN is false: what is no value is passed over. */
static void take(struct extent *x, struct extent y)
{
	if (isnan(x->low)) {
		*x = y;
		return;
	}
	if (y.low < x->low)
		x->low = y.low;
	if (y.high > x->high)
		x->high = y.high;
}

static struct extent of_values(const double *v, size_t n)
{
	double low = INFINITY;
	double high = -INFINITY;
	size_t i;

	for (i = 0; i < n; i++) {
		low = v[i] < low ? v[i] : low;
		high = v[i] > high ? v[i] : high;
	}
	/* Both are still infinite where all is NaN, and where all is the one infinity. */
	for (i = 0; low > high && i < n; i++)
		if (!isnan(v[i]))
			return (struct extent){ v[i], v[i] };
	return low > high ? nothing : (struct extent){ low, high };
}

static struct extent of_extents(const struct extent *x, size_t n)
{
	struct extent all = nothing;
	size_t i;

	for (i = 0; i < n; i++)
		take(&all, x[i]);
	return all;
}

static struct extent *make_level(const struct pyramid *p, int level, size_t below, size_t count)
{
	struct extent *made = mem_try_array(count, sizeof *made);
	size_t i;

	for (i = 0; made != NULL && i < count; i++) {
		const size_t at = i * PYRAMID_FACTOR;
		const size_t n = below - at < PYRAMID_FACTOR ? below - at : PYRAMID_FACTOR;

		made[i] = level == 0 ? of_values(p->v + at, n)
				     : of_extents(p->level[level - 1] + at, n);
	}
	return made;
}

enum err_code pyramid_build(struct pyramid *p, const double *v, size_t n, struct err *e)
{
	size_t below = n;
	int level;

	*p = (struct pyramid)PYRAMID_INIT;
	p->v = v;
	p->n = n;
	for (level = 0; below > PYRAMID_FACTOR; level++) {
		const size_t count = (below + PYRAMID_FACTOR - 1) / PYRAMID_FACTOR;

		p->level[level] = make_level(p, level, below, count);
		if (p->level[level] == NULL) {
			pyramid_release(p);
			return err_set(e, ERR_MEMORY, "out of memory for the extremes of %zu values", n);
		}
		p->count[level] = below = count;
	}
	return ERR_NONE;
}

void pyramid_release(struct pyramid *p)
{
	int level;

	for (level = 0; level < PYRAMID_LEVELS; level++)
		free(p->level[level]);
	*p = (struct pyramid)PYRAMID_INIT;
}

static struct extent on_level(const struct pyramid *p, int level, size_t first, size_t last)
{
	if (level < 0)
		return of_values(p->v + first, last - first);
	return of_extents(p->level[level] + first, last - first);
}

/*
 * Upwards, level by level: what does not fill an entry of the next level at either end is
 * taken here, what is between is left to that level.
 */
struct extent pyramid_extent(const struct pyramid *p, size_t first, size_t last)
{
	struct extent all = nothing;
	int level;

	for (level = -1; first < last; level++) {
		const size_t up = first + (PYRAMID_FACTOR - 1) - (first + (PYRAMID_FACTOR - 1)) %
									 PYRAMID_FACTOR;
		const size_t down = last - last % PYRAMID_FACTOR;

		if (up >= down || level + 1 == PYRAMID_LEVELS || p->level[level + 1] == NULL) {
			take(&all, on_level(p, level, first, last));
			break;
		}
		take(&all, on_level(p, level, first, up));
		take(&all, on_level(p, level, down, last));
		first = up / PYRAMID_FACTOR;
		last = down / PYRAMID_FACTOR;
	}
	return all;
}
