/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the benches share: medians, and lines of figures with their targets. */
#ifndef TESTS_BENCH_TABLE_H
#define TESTS_BENCH_TABLE_H

#include <stdbool.h>

/* Of v[n], n > 0, which are left as they are; NaN where one is. */
double bench_median(const double *v, int n);

/* The share q of v[n] lies at or below it. */
double bench_quantile(const double *v, int n, double q);

/*
 * Prints a line; `most`: the figure may be the target at most, else it must be that at
 * least.  Returns whether it is met, and sets *is_short when not.
 */
bool bench_judge(const char *what, double figure, double target, bool most, bool *is_short);

#endif
