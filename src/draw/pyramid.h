/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The lowest and highest value of any stretch of an array, in a time that hardly depends
 * on how long the stretch is: level by level, each entry holds the extremes of 64 of the
 * level below.  Costs 1/31 of the array.
 */
#ifndef DRAW_PYRAMID_H
#define DRAW_PYRAMID_H

#include <stddef.h>

#include "base/err.h"
#include "draw/trace.h"

#define PYRAMID_FACTOR 64
#define PYRAMID_LEVELS 11	/* 64^11 values are more than a size_t counts */

struct pyramid {
	const double *v;		/* borrowed: must stay, and stay as it is */
	size_t n;
	struct extent *level[PYRAMID_LEVELS];	/* [0]: of 64 values each; NULL from the top on */
	size_t count[PYRAMID_LEVELS];
};

#define PYRAMID_INIT { NULL, 0, { NULL }, { 0 } }

/* Over v[n], in which NaN is no value.  Fails only for memory. */
enum err_code pyramid_build(struct pyramid *p, const double *v, size_t n, struct err *e);
void pyramid_release(struct pyramid *p);

/* The extremes of v[first] .. v[last - 1]; NaN in both where there is no value. */
struct extent pyramid_extent(const struct pyramid *p, size_t first, size_t last);

#endif
