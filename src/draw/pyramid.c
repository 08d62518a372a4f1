/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lowest and highest value of any stretch of an array. */
#include "draw/pyramid.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/mem.h"

#define SOON (2 * (size_t)PYRAMID_FACTOR)	/* looked through quicker than by a level more */

static const struct extent nothing = { NAN, NAN };

/* Side by side, so that one does not wait for the other. */
#define BESIDE 4

static struct extent of_either(struct extent x, double low, double high)
{
	/* a comparison with NaN is false: what is no value is passed over */
	return (struct extent){ low < x.low ? low : x.low, high > x.high ? high : x.high };
}

static inline void take_beside(struct extent x[BESIDE], const double *low, const double *high)
{
	int k;

	for (k = 0; k < BESIDE; k++)
		x[k] = of_either(x[k], low[k], high[k]);
}

/*
 * The least of low[n] and the greatest of high[n], which may be one array.  Where all are
 * NaN, the least is infinite and the greatest the other infinity; also where all are the
 * infinity that they begin with, which is why extent_of() looks again.
 */
static inline struct extent of_both(const double *low, const double *high, size_t n)
{
	static const struct extent none = { INFINITY, -INFINITY };
	struct extent x[BESIDE] = { none, none, none, none };
	size_t i;

	if (n < BESIDE) {
		for (i = 0; i < n; i++)
			x[0] = of_either(x[0], low[i], high[i]);
		return x[0];
	}
	for (i = 0; i + BESIDE < n; i += BESIDE)
		take_beside(x, low + i, high + i);
	/* the last ones may have been looked at already, which does no harm */
	take_beside(x, low + n - BESIDE, high + n - BESIDE);
	x[0] = of_either(x[0], x[1].low, x[1].high);
	x[2] = of_either(x[2], x[3].low, x[3].high);
	return of_either(x[0], x[2].low, x[2].high);
}

static inline struct extent extent_of(const double *low, const double *high, size_t n)
{
	const struct extent x = of_both(low, high, n);
	size_t i;

	for (i = 0; x.low > x.high && i < n; i++)
		if (!isnan(low[i]))
			return (struct extent){ low[i], high[i] };
	return x.low > x.high ? nothing : x;
}

/* The arrays that a level (-1: the values themselves) is made of. */
static const double *lows(const struct pyramid *p, int level)
{
	return level < 0 ? p->v : p->low[level];
}

static const double *highs(const struct pyramid *p, int level)
{
	return level < 0 ? p->v : p->high[level];
}

static bool make_level(struct pyramid *p, int level, size_t below, size_t count)
{
	double *low = mem_try_large(count, sizeof *low);
	double *high = mem_try_large(count, sizeof *high);
	size_t i;

	p->low[level] = low;
	p->high[level] = high;
	if (low == NULL || high == NULL)
		return false;
	for (i = 0; i < count; i++) {
		const size_t at = i * PYRAMID_FACTOR;
		const double *l = lows(p, level - 1) + at;
		const double *h = highs(p, level - 1) + at;
		/* the compiler is to know that it is mostly the one number */
		const struct extent x = i + 1 < count ? extent_of(l, h, PYRAMID_FACTOR) :
			extent_of(l, h, below - at);

		low[i] = x.low;
		high[i] = x.high;
	}
	return true;
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

		if (!make_level(p, level, below, count)) {
			pyramid_release(p);
			return err_set(e, ERR_MEMORY, "out of memory for the extremes of %zu values", n);
		}
		below = count;
	}
	return ERR_NONE;
}

void pyramid_release(struct pyramid *p)
{
	int level;

	for (level = 0; level < PYRAMID_LEVELS; level++) {
		free(p->low[level]);
		free(p->high[level]);
	}
	*p = (struct pyramid)PYRAMID_INIT;
}

#if defined(__GNUC__)
#define EXPECT(p) __builtin_prefetch(p)
#else
#define EXPECT(p) ((void)(p))
#endif

#define FAR_LEVELS 2		/* those above are small enough to be near anyhow */

void pyramid_expect(const struct pyramid *p, size_t at)
{
	int level;

	if (at >= p->n)
		return;
	EXPECT(p->v + at);
	for (level = 0; level < FAR_LEVELS && p->low[level] != NULL; level++) {
		at /= PYRAMID_FACTOR;
		EXPECT(p->low[level] + at);
		EXPECT(p->high[level] + at);
	}
}

static void take(struct extent *x, const struct pyramid *p, int level, size_t first, size_t last)
{
	const struct extent y = extent_of(lows(p, level) + first, highs(p, level) + first,
					  last - first);

	*x = isnan(x->low) ? y : of_either(*x, y.low, y.high);
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

		if (last - first <= SOON || up >= down || level + 1 == PYRAMID_LEVELS || p->low[level + 1] == NULL) {
			take(&all, p, level, first, last);
			break;
		}
		take(&all, p, level, first, up);
		take(&all, p, level, down, last);
		first = up / PYRAMID_FACTOR;
		last = down / PYRAMID_FACTOR;
	}
	return all;
}
