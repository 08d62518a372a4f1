/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A block of numbers in few bytes: (base + offset) / 10^decimals with offsets of 1, 2
 * or 4 bytes, or plain doubles where that does not fit.
 *
 * What comes out is what went in, bit for bit: a whole number below 2^53 over a power
 * of ten up to 10^22 is rounded once, as a correctly rounded reading of the decimal is.
 * Two offsets stand for a missing value and for -0.0.
 */
#ifndef DATA_PACKED_H
#define DATA_PACKED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/pool.h"

struct packed {
	void *data;		/* [count] of `width` bytes; NULL for width 0 */
	int64_t base;
	uint32_t count;
	uint32_t samples;	/* of those, not missing */
	uint8_t width;		/* 0: all are alike, 1, 2, 4, or 8: doubles */
	uint8_t decimals;
	bool special;		/* some are missing or -0.0; with width 0: all are missing */
};

/* Among numbers to pack: a missing value, and -0.0.  All others lie within the limit. */
#define PACKED_MISSING INT32_MIN
#define PACKED_MINUS_ZERO (INT32_MIN + 1)
#define PACKED_LIMIT 2000000000
#define PACKED_DECIMALS 9	/* at most */

/*
 * Packs v[n] / 10^decimals.  The bytes come from the pool, or from malloc() where that
 * is NULL; false when memory is out.
 */
bool packed_ints(struct packed *p, const int32_t *v, size_t n, int decimals,
		 struct pool *pool, struct pool_share *share);

/*
 * Packs doubles, NaN being missing; finds out whether they are short decimals.
 * scratch[n] is the caller's and holds nothing.
 */
bool packed_doubles(struct packed *p, const double *v, size_t n, int32_t *scratch,
		    struct pool *pool, struct pool_share *share);

/* Unpacks from .. from+n-1. */
void packed_get(const struct packed *p, size_t from, size_t n, double *out);

/* 10^k, exact; k up to 22. */
double packed_power(int k);

#endif
