/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the benches share: a clock, a median, a line of the table. */
#ifndef TESTS_BENCH_UTIL_H
#define TESTS_BENCH_UTIL_H

#include <stdbool.h>

#define MOST_ROUNDS 99

/* Seconds of a clock that only goes on. */
double bench_now(void);

/* Median of n values, 1 to MOST_ROUNDS. */
double bench_median(const double *v, int n);

/*
 * Prints a line of the table.  `most`: the figure may be the target at most, else at
 * least; NaN is short.  False when it is short.
 */
bool bench_judge(const char *what, double figure, double target, bool most);

#endif
