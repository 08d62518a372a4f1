/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bins of equal width between two values, one more below and one above them. */
#ifndef CALC_BINS_H
#define CALC_BINS_H

#include <stddef.h>
#include <stdint.h>

#define BINS 1022
#define ALL_BINS (BINS + 2)
#define BIN_RANGES 3

struct bins {
	double low;		/* where bin 1 begins */
	double scale;		/* bins a unit */
};

/* Bins first .. last. */
struct bin_range {
	int32_t first;
	int32_t last;
};

/* The bins of v[n], 0 .. BINS + 1; never falling with the value. */
void bins_find(const struct bins *b, const double *v, size_t n, int32_t *out);

/* Of each of bin[n] whether it is in one of ranges[BIN_RANGES], 1 or 0. */
void bins_mark(const struct bin_range *ranges, const int32_t *bin, size_t n, uint8_t *out);

#endif
