/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The lowest and highest value of any stretch of an array, in a time that hardly depends
 * on how long the stretch is: level by level, each entry holds the extremes of 32 of the
 * level below.  Costs 2/31 of the array.
 */
#ifndef DRAW_PYRAMID_H
#define DRAW_PYRAMID_H

#include <stddef.h>

#include "base/err.h"
#include "draw/trace.h"

#define PYRAMID_FACTOR 32
#define PYRAMID_LEVELS 13	/* 32^13 values are more than a size_t counts */

struct pyramid {
	const double *v;		/* borrowed: must stay, and stay as it is */
	size_t n;
	double *low[PYRAMID_LEVELS];	/* [0]: of 32 values each; NULL from the top on */
	double *high[PYRAMID_LEVELS];	/* likewise; NaN in both where there is no value */
};

#define PYRAMID_INIT { NULL, 0, { NULL }, { NULL } }

/* Over v[n], in which NaN is no value.  Fails only for memory. */
enum err_code pyramid_build(struct pyramid *p, const double *v, size_t n, struct err *e);
void pyramid_release(struct pyramid *p);

/* Soon something around v[at] will be asked for: memory may begin to bring it. */
void pyramid_expect(const struct pyramid *p, size_t at);

/* The extremes of v[first] .. v[last - 1]; NaN in both where there is no value. */
struct extent pyramid_extent(const struct pyramid *p, size_t first, size_t last);

#endif
