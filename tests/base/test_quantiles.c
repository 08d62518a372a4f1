/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantiles without sorting against GSL's of sorted values: few, many, alike, far apart. */
#include <check.h>
#include <gsl/gsl_sort_double.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/quantiles.h"

Suite *quantiles_suite(void);

static const double q[] = { 0.0, 0.05, 0.05, 0.5, 0.95, 1.0 };

enum { COUNT_OF_Q = sizeof q / sizeof q[0] };

/* Kinds of values; `x` is in 0 .. 1. */
static double make_value(int kind, double x, size_t i)
{
	switch (kind) {
	case 0:
		return x;
	case 1:
		return floor(5.0 * x);			/* many are alike */
	case 2:
		return i % 1000 == 0 ? 1e300 : x;	/* all but a few in one step */
	case 3:
		return -1e-300 * (double)i;
	case 4:
		return 7.25;
	case 5:
		return i % 2 == 0 ? -1e308 : 1e308 * x;	/* the range overflows */
	default:
		return (x - 0.5) * exp(600.0 * x);
	}
}

START_TEST(as_of_sorted_values)
{
	static const size_t sizes[] = { 1, 2, 3, 10, 60, 16383, 16384, 50001 };
	uint32_t state = 20310512;
	size_t k, n, i;
	int kind;

	for (kind = 0; kind < 7; kind++) {
		for (k = 0; k < sizeof sizes / sizeof sizes[0]; k++) {
			double out[COUNT_OF_Q];
			double *v, *in_order;

			n = sizes[k];
			v = mem_array(n, sizeof *v);
			in_order = mem_array(n, sizeof *in_order);
			for (i = 0; i < n; i++) {
				state = state * 1664525u + 1013904223u;
				v[i] = in_order[i] = make_value(kind, (state >> 8) / 16777216.0, i);
			}
			gsl_sort(in_order, 1, n);
			quantiles_take(v, n, q, COUNT_OF_Q, out);
			for (i = 0; i < COUNT_OF_Q; i++)
				ck_assert_double_eq(out[i], gsl_stats_quantile_from_sorted_data(
							    in_order, 1, n, q[i]));
			free(v);
			free(in_order);
		}
	}
}
END_TEST

Suite *quantiles_suite(void)
{
	Suite *s = suite_create("quantiles");
	TCase *t = tcase_create("quantiles");

	tcase_add_test(t, as_of_sorted_values);
	suite_add_tcase(s, t);
	return s;
}
