/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Putting values into bins, many at a time. */
#include "calc/bins.h"

#include "base/wide.h"

WIDE_LOOP void find_any(const struct bins *b, const double *v, size_t n, int32_t *out)
{
	const double low = b->low;
	const double scale = b->scale;
	size_t i;

	for (i = 0; i < n; i++) {
		double at = (v[i] - low) * scale + 1.0;

		at = at > 0.0 ? at : 0.0;
		at = at < BINS + 1 ? at : BINS + 1;
		out[i] = (int32_t)at;
	}
}

static void find_base(const struct bins *b, const double *v, size_t n, int32_t *out)
{
	find_any(b, v, n, out);
}

WIDE_FOR_AVX2 static void find_avx2(const struct bins *b, const double *v, size_t n, int32_t *out)
{
	find_any(b, v, n, out);
}

void bins_find(const struct bins *b, const double *v, size_t n, int32_t *out)
{
	if (wide_most(WIDE_AVX2) == WIDE_AVX2)
		find_avx2(b, v, n, out);
	else
		find_base(b, v, n, out);
}

WIDE_LOOP void mark_any(const struct bin_range *ranges, const int32_t *bin, size_t n, uint8_t *out)
{
	uint32_t first[BIN_RANGES], more[BIN_RANGES];
	size_t i, k;

	for (k = 0; k < BIN_RANGES; k++) {
		first[k] = (uint32_t)ranges[k].first;
		more[k] = (uint32_t)(ranges[k].last - ranges[k].first);
	}
	for (i = 0; i < n; i++)
		out[i] = ((uint32_t)bin[i] - first[0] <= more[0]) |
			((uint32_t)bin[i] - first[1] <= more[1]) |
			((uint32_t)bin[i] - first[2] <= more[2]);
}

static void mark_base(const struct bin_range *ranges, const int32_t *bin, size_t n, uint8_t *out)
{
	mark_any(ranges, bin, n, out);
}

WIDE_FOR_AVX2 static void mark_avx2(const struct bin_range *ranges, const int32_t *bin, size_t n,
				    uint8_t *out)
{
	mark_any(ranges, bin, n, out);
}

void bins_mark(const struct bin_range *ranges, const int32_t *bin, size_t n, uint8_t *out)
{
	if (wide_most(WIDE_AVX2) == WIDE_AVX2)
		mark_avx2(ranges, bin, n, out);
	else
		mark_base(ranges, bin, n, out);
}
