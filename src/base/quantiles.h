/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantiles without sorting. */
#ifndef BASE_QUANTILES_H
#define BASE_QUANTILES_H

#include <stddef.h>

#define QUANTILES_MOST 8

/*
 * Quantiles of v[n], n > 0, none NaN, which are put in another order and partly lost:
 * out[i] for q[i], of which there are up to QUANTILES_MOST and none is below the one
 * before.  Hyndman and Fan, The American Statistician 50, 361 (1996), type 7.
 */
void quantiles_take(double *v, size_t n, const double *q, size_t count, double *out);

#endif
