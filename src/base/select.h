/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Order statistics without sorting, in linear time. */
#ifndef BASE_SELECT_H
#define BASE_SELECT_H

#include <stddef.h>

/*
 * The k-th smallest, from 0, of v[n], which hold no NaN and nothing useful afterwards;
 * k < n.  *next (may be NULL) gets the one behind it in order, or the same where it is
 * the last.
 */
double select_nth(double *v, size_t n, size_t k, double *next);

/* Median of v[n], which hold nothing useful afterwards; NaN for none. */
double select_median(double *v, size_t n);

/*
 * The q quantile, 0 .. 1, of v[n], which hold nothing useful afterwards; NaN for none.
 * Hyndman and Fan, The American Statistician 50, 361 (1996), type 7.
 */
double select_quantile(double *v, size_t n, double q);

/* The rank below the q quantile of n values, and the weight of the one behind it. */
size_t select_rank(size_t n, double q, double *weight);

#endif
