/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Packing numbers. */
#include "data/packed.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/wide.h"

#define SAFE (INT32_MAX - UINT16_MAX)	/* 32 bits hold it and an offset of 16 */
#define SPECIALS 2		/* the two highest offsets: -0.0, then missing */
#define EXACT 4503599627370496.0	/* 2^52: a half can still be added exactly */

static const double powers[] = {
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
};

double packed_power(int k)
{
	return powers[k];
}

static void *take(size_t size, struct pool *pool, struct pool_share *share)
{
	return pool != NULL ? pool_take(pool, share, size) : mem_try_array(size, 1);
}

/* Least and most without the special values, and how many of those there are. */
struct range {
	int32_t least;
	int32_t most;
	size_t missing;
	size_t zeros;		/* -0.0 */
};

static inline int32_t lesser(int32_t a, int32_t b)
{
	return a < b ? a : b;
}

static inline int32_t greater(int32_t a, int32_t b)
{
	return a > b ? a : b;
}

/* Least and most of v[n], the special values among them. */
WIDE_LOOP struct range find_ends(const int32_t *v, size_t n)
{
	/* Two halves side by side: a step need not wait for the one before. */
	const size_t half = n / 2;
	const int32_t *w = v + half;
	int32_t least = INT32_MAX, least_w = INT32_MAX;
	int32_t most = INT32_MIN, most_w = INT32_MIN;
	size_t i;

	for (i = 0; i < half; i++) {
		least = lesser(least, v[i]);
		most = greater(most, v[i]);
		least_w = lesser(least_w, w[i]);
		most_w = greater(most_w, w[i]);
	}
	if (n % 2 == 1) {
		least = lesser(least, v[n - 1]);
		most = greater(most, v[n - 1]);
	}
	return (struct range){ lesser(least, least_w), greater(most, most_w), 0, 0 };
}

WIDE_LOOP struct range find_range(const int32_t *v, size_t n)
{
	struct range r = find_ends(v, n);
	size_t i;

	if (r.least > PACKED_MINUS_ZERO)
		return r;
	r.least = INT32_MAX;
	for (i = 0; i < n; i++) {
		r.missing += v[i] == PACKED_MISSING;
		r.zeros += v[i] == PACKED_MINUS_ZERO;
		if (v[i] > PACKED_MINUS_ZERO && v[i] < r.least)
			r.least = v[i];
	}
	if (r.missing + r.zeros == n)
		r.least = r.most = 0;
	return r;
}

/* The narrowest width for offsets up to `range`, and for the specials if there are any. */
static uint8_t width_for(uint32_t range, bool special)
{
	if (range == 0 && !special)
		return 0;
	if (range <= UINT8_MAX - SPECIALS)
		return 1;
	return range <= UINT16_MAX - SPECIALS ? 2 : 4;
}

/* Defines pack_TYPE(), which writes the offsets of v[n] from `least`. */
#define DEFINE_PACK(type) \
WIDE_LOOP void pack_##type(type *to, const int32_t *v, size_t n, int32_t least, bool special) \
{ \
	size_t i; \
	for (i = 0; i < n; i++) \
		to[i] = (type)((uint32_t)v[i] - (uint32_t)least); \
	for (i = 0; special && i < n; i++) \
		if (v[i] <= PACKED_MINUS_ZERO) \
			to[i] = (type)(v[i] == PACKED_MISSING ? (type)-1 : (type)-2); \
}

DEFINE_PACK(uint8_t)
DEFINE_PACK(uint16_t)
DEFINE_PACK(uint32_t)

/* As packed_ints(), of the values v[n] + shift. */
WIDE_LOOP bool pack_any(struct packed *p, const int32_t *v, size_t n, int64_t shift, int decimals,
			struct pool *pool, struct pool_share *share)
{
	const struct range r = find_range(v, n);

	*p = (struct packed){ .count = (uint32_t)n, .samples = (uint32_t)(n - r.missing),
			      .decimals = (uint8_t)decimals };
	p->special = r.missing + r.zeros > 0;
	p->base = r.least + shift;
	if (r.missing == n)
		return true;
	p->width = width_for((uint32_t)r.most - (uint32_t)r.least, p->special);
	if (p->width == 0)
		return true;
	p->data = take(n * p->width, pool, share);
	if (p->data == NULL)
		return false;
	if (p->width == 1)
		pack_uint8_t(p->data, v, n, r.least, p->special);
	else if (p->width == 2)
		pack_uint16_t(p->data, v, n, r.least, p->special);
	else
		pack_uint32_t(p->data, v, n, r.least, p->special);
	return true;
}

static bool pack_base(struct packed *p, const int32_t *v, size_t n, int64_t shift, int decimals,
		      struct pool *pool, struct pool_share *share)
{
	return pack_any(p, v, n, shift, decimals, pool, share);
}

WIDE_FOR_AVX2 static bool pack_avx2(struct packed *p, const int32_t *v, size_t n, int64_t shift,
				    int decimals, struct pool *pool, struct pool_share *share)
{
	return pack_any(p, v, n, shift, decimals, pool, share);
}

static bool pack(struct packed *p, const int32_t *v, size_t n, int64_t shift, int decimals,
		 struct pool *pool, struct pool_share *share)
{
	return wide_most(WIDE_AVX2) == WIDE_AVX2
		? pack_avx2(p, v, n, shift, decimals, pool, share)
		: pack_base(p, v, n, shift, decimals, pool, share);
}

bool packed_ints(struct packed *p, const int32_t *v, size_t n, int decimals,
		 struct pool *pool, struct pool_share *share)
{
	return pack(p, v, n, 0, decimals, pool, share);
}

/* v * 10^k as a whole number, if v is that over 10^k, bit for bit. */
static bool scaled(double v, int k, int64_t *out)
{
	const double x = v * powers[k];

	if (!(fabs(x) < EXACT))
		return false;
	*out = (int64_t)(x < 0 ? x - 0.5 : x + 0.5);
	return (double)*out / powers[k] == v;
}

/* The fewest decimals with which all can be written; more than the most when none do. */
static int find_decimals(const double *v, size_t n, int64_t *first)
{
	int k = 0;
	size_t i;
	int64_t whole;

	for (i = 0; i < n && k <= PACKED_DECIMALS; i++)
		while (!isnan(v[i]) && k <= PACKED_DECIMALS && !scaled(v[i], k, &whole))
			k++;
	for (i = 0; i < n && isnan(v[i]); i++)
		;
	*first = 0;
	if (i < n && k <= PACKED_DECIMALS)
		scaled(v[i], k, first);
	return k;
}

/* Short decimals as whole numbers, less the first of them; false when they are none. */
static bool as_ints(const double *v, size_t n, int32_t *out, int64_t *shift, int *decimals)
{
	int64_t whole;
	size_t i;

	*decimals = find_decimals(v, n, shift);
	if (*decimals > PACKED_DECIMALS)
		return false;
	for (i = 0; i < n; i++) {
		if (isnan(v[i])) {
			out[i] = PACKED_MISSING;
		} else if (v[i] == 0 && signbit(v[i])) {
			out[i] = PACKED_MINUS_ZERO;
		} else {
			if (!scaled(v[i], *decimals, &whole) || whole - *shift > PACKED_LIMIT ||
			    whole - *shift < -PACKED_LIMIT)
				return false;
			out[i] = (int32_t)(whole - *shift);
		}
	}
	return true;
}

static bool pack_plain(struct packed *p, const double *v, size_t n, struct pool *pool,
		       struct pool_share *share)
{
	size_t i;

	*p = (struct packed){ .count = (uint32_t)n, .width = sizeof(*v) };
	for (i = 0; i < n; i++)
		p->samples += !isnan(v[i]);
	p->data = take(n * sizeof(*v), pool, share);
	if (p->data != NULL)
		memcpy(p->data, v, n * sizeof(*v));
	return p->data != NULL;
}

bool packed_doubles(struct packed *p, const double *v, size_t n, int32_t *scratch,
		    struct pool *pool, struct pool_share *share)
{
	int64_t shift;
	int decimals;

	if (as_ints(v, n, scratch, &shift, &decimals))
		return pack(p, scratch, n, shift, decimals, pool, share);
	return pack_plain(p, v, n, pool, share);
}

/*
 * Defines get_TYPE(), which reads the offsets of the block back into numbers.  Whole
 * numbers of 32 bits, as nearly all are, become doubles several at a time.
 */
#define DEFINE_GET(type) \
WIDE_LOOP void get_##type(const struct packed *p, size_t from, size_t n, double *out) \
{ \
	const type *offset = (const type *)p->data + from; \
	const double power = powers[p->decimals]; \
	size_t i; \
	if (sizeof(type) < sizeof(int32_t) && p->base >= -SAFE && p->base <= SAFE) { \
		const int32_t base = (int32_t)p->base; \
		for (i = 0; i < n; i++) \
			out[i] = (double)(base + (int32_t)offset[i]) / power; \
	} else { \
		for (i = 0; i < n; i++) \
			out[i] = (double)(p->base + offset[i]) / power; \
	} \
	for (i = 0; p->special && i < n; i++) \
		if (offset[i] >= (type)-2) \
			out[i] = offset[i] == (type)-1 ? NAN : -0.0; \
}

DEFINE_GET(uint8_t)
DEFINE_GET(uint16_t)
DEFINE_GET(uint32_t)

static void get_constant(const struct packed *p, size_t n, double *out)
{
	const double v = p->special ? NAN : (double)p->base / powers[p->decimals];
	size_t i;

	for (i = 0; i < n; i++)
		out[i] = v;
}

WIDE_LOOP void get_any(const struct packed *p, size_t from, size_t n, double *out)
{
	switch (p->width) {
	case 0:
		get_constant(p, n, out);
		break;
	case 1:
		get_uint8_t(p, from, n, out);
		break;
	case 2:
		get_uint16_t(p, from, n, out);
		break;
	case 4:
		get_uint32_t(p, from, n, out);
		break;
	default:
		memcpy(out, (const double *)p->data + from, n * sizeof(*out));
	}
}

static void get_base(const struct packed *p, size_t from, size_t n, double *out)
{
	get_any(p, from, n, out);
}

WIDE_FOR_AVX2 static void get_avx2(const struct packed *p, size_t from, size_t n, double *out)
{
	get_any(p, from, n, out);
}

void packed_get(const struct packed *p, size_t from, size_t n, double *out)
{
	if (wide_most(WIDE_AVX2) == WIDE_AVX2)
		get_avx2(p, from, n, out);
	else
		get_base(p, from, n, out);
}
