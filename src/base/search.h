/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a number stands among others. */
#ifndef BASE_SEARCH_H
#define BASE_SEARCH_H

#include <stddef.h>

/*
 * Index of the first of v[n], which never fall, that is at least x (lower) or above x
 * (upper); n when there is none.  0 for a NaN x.
 */
size_t search_lower(const double *v, size_t n, double x);
size_t search_upper(const double *v, size_t n, double x);

/* As search_lower(), in few steps where what is looked for stands near `guess`. */
size_t search_near(const double *v, size_t n, double x, size_t guess);

#endif
