/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the benches share: medians, and lines of figures with their targets. */
#ifndef TESTS_BENCH_UTIL_H
#define TESTS_BENCH_UTIL_H

#include <stdbool.h>

#define MOST_ROUNDS 99

/* The q quantile of v[n], n > 0, which are left as they are; NaN where one is. */
double bench_quantile(const double *v, int n, double q);
double bench_median(const double *v, int n);

/*
 * Prints a line of the table.  `most`: the figure may be the target at most, else at
 * least; NaN is short.  False when it is short.
 */
bool bench_judge(const char *what, double figure, double target, bool most);

#endif
