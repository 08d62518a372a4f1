/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Order statistics by sampling, after Floyd and Rivest, "Expected time bounds for
 * selection", CACM 18, 165 (1975): two values of a sample that probably hold the wanted
 * one between them leave a small part of the rest to look at.  In passes that do not
 * branch on the data, because the processor cannot guess it.
 */
#include "base/select.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/wide.h"

#define FEW 32			/* values that are sorted */
#define SAMPLE 255		/* at most, and one in eight */

static void insert_all(double *v, size_t n)
{
	size_t i, j;

	for (i = 1; i < n; i++) {
		const double x = v[i];

		for (j = i; j > 0 && v[j - 1] > x; j--)
			v[j] = v[j - 1];
		v[j] = x;
	}
}

/* One value, somewhere, of each m-th part of v[n]. */
static void take_sample(const double *v, size_t n, double *sample, size_t m)
{
	const size_t part = n / m;
	uint32_t at = 1;
	size_t i;

	for (i = 0; i < m; i++) {
		at = at * 1664525u + 1013904223u;
		sample[i] = v[i * part + ((uint64_t)at * part >> 32)];
	}
}

/* Two of the values, between which the k-th probably is. */
static void guess(const double *v, size_t n, size_t k, double *low, double *high)
{
	const size_t m = n / 8 < SAMPLE ? n / 8 : SAMPLE;
	const double share = ((double)k + 0.5) / (double)n;
	const double at = share * (double)m;
	const double slack = 1.5 * sqrt(at * (1.0 - share)) + 0.5;
	double sample[SAMPLE];
	double again[SAMPLE];
	size_t rank;

	take_sample(v, n, sample, m);
	memcpy(again, sample, m * sizeof(*again));
	*low = select_nth(again, m, at > slack ? (size_t)(at - slack) : 0, NULL);
	rank = (size_t)(at + slack);
	*high = select_nth(sample, m, rank < m ? rank : m - 1, NULL);
}

/* How many of the values are below, or at most, low and high. */
struct counts {
	size_t below_low;
	size_t to_low;
	size_t below_high;
	size_t to_high;
};

WIDE_LOOP struct counts count_any(const double *v, size_t n, double low, double high)
{
	struct counts c = { 0, 0, 0, 0 };
	size_t i;

	for (i = 0; i < n; i++) {
		c.below_low += v[i] < low;
		c.to_low += v[i] <= low;
		c.below_high += v[i] < high;
		c.to_high += v[i] <= high;
	}
	return c;
}

static struct counts count_base(const double *v, size_t n, double low, double high)
{
	return count_any(v, n, low, high);
}

WIDE_FOR_AVX2 static struct counts count_avx2(const double *v, size_t n, double low, double high)
{
	return count_any(v, n, low, high);
}

static struct counts count(const double *v, size_t n, double low, double high)
{
	return wide_most(WIDE_AVX2) == WIDE_AVX2 ? count_avx2(v, n, low, high) :
		count_base(v, n, low, high);
}

/* Moves those below low (side -1), between (0) or above high (1) together; how many. */
static size_t keep(double *v, size_t n, double low, double high, int side)
{
	size_t kept = 0;
	size_t i;

	for (i = 0; i < n; i++) {
		const double x = v[i];

		v[kept] = x;
		kept += side < 0 ? x < low : side > 0 ? x > high : (x > low) & (x < high);
	}
	return kept;
}

/* The least above x, but for `otherwise`, which is above all. */
static double least_above(const double *v, size_t n, double x, double otherwise)
{
	double least = otherwise;
	size_t i;

	for (i = 0; i < n; i++)
		if (v[i] > x && !(v[i] >= least))
			least = v[i];
	return least;
}

/* The k-th, and behind it in order another; `above` where there is none in v. */
static double find(double *v, size_t n, size_t k, double above, double *next)
{
	/* k is beyond n only where there is a NaN against the rules */
	while (n > FEW && k < n) {
		double low, high;
		struct counts c;

		guess(v, n, k, &low, &high);
		c = count(v, n, low, high);
		if (k < c.below_low) {
			n = keep(v, n, low, high, -1);
			above = low;
		} else if (k < c.to_low) {
			*next = k + 1 < c.to_low ? low : least_above(v, n, low, above);
			return low;
		} else if (k < c.below_high) {
			n = keep(v, n, low, high, 0);
			k -= c.to_low;
			above = high;
		} else if (k < c.to_high) {
			*next = k + 1 < c.to_high ? high : least_above(v, n, high, above);
			return high;
		} else {
			n = keep(v, n, low, high, 1);
			k -= c.to_high;
		}
	}
	*next = NAN;
	if (k >= n)
		return NAN;
	insert_all(v, n);
	*next = k + 1 < n ? v[k + 1] : above;
	return v[k];
}

double select_nth(double *v, size_t n, size_t k, double *next)
{
	double behind;
	const double found = find(v, n, k, NAN, &behind);

	if (next != NULL)
		*next = isnan(behind) ? found : behind;
	return found;
}

double select_median(double *v, size_t n)
{
	double first, second;

	if (n == 0)
		return NAN;
	first = select_nth(v, n, (n - 1) / 2, &second);
	return 0.5 * (first + (n % 2 == 0 ? second : first));
}

size_t select_rank(size_t n, double q, double *weight)
{
	const double at = q * (double)(n - 1);
	const size_t rank = (size_t)at;

	*weight = at - (double)rank;
	return rank;
}

double select_quantile(double *v, size_t n, double q)
{
	double first, second, weight;
	size_t rank;

	if (n == 0)
		return NAN;
	rank = select_rank(n, q, &weight);
	first = select_nth(v, n, rank, &second);
	return rank == n - 1 ? first : (1.0 - weight) * first + weight * second;
}
