/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the benches share. */
#include "bench/bench_util.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/select.h"

double bench_quantile(const double *v, int n, double q)
{
	double *copy = mem_array((size_t)n, sizeof *copy);
	double found = NAN;
	int i;

	for (i = 0; i < n && !isnan(v[i]); i++)
		copy[i] = v[i];
	if (i == n)
		found = select_quantile(copy, (size_t)n, q);
	free(copy);
	return found;
}

double bench_median(const double *v, int n)
{
	return bench_quantile(v, n, 0.5);
}

bool bench_judge(const char *what, double figure, double target, bool most)
{
	const bool pass = most ? figure <= target : figure >= target;

	printf("  %-52s %8.2f  %s %5.2f  %s\n", what, figure, most ? "<=" : ">=", target,
	       pass ? "pass" : "short");
	fflush(stdout);
	return pass;
}
