/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the benches share. */
#include "bench/bench_util.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

double bench_now(void)
{
	struct timespec t;

	clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int by_value(const void *a, const void *b)
{
	const double x = *(const double *)a;
	const double y = *(const double *)b;

	return (x > y) - (x < y);
}

double bench_median(const double *v, int n)
{
	double sorted[MOST_ROUNDS];

	memcpy(sorted, v, (size_t)n * sizeof(*v));
	qsort(sorted, (size_t)n, sizeof(*sorted), by_value);
	return n % 2 == 1 ? sorted[n / 2] : 0.5 * (sorted[n / 2 - 1] + sorted[n / 2]);
}

bool bench_judge(const char *what, double figure, double target, bool most)
{
	const bool pass = most ? figure <= target : figure >= target;

	printf("  %-52s %8.2f  %s %5.2f  %s\n", what, figure, most ? "<=" : ">=", target,
	       pass ? "pass" : "short");
	return pass;
}
