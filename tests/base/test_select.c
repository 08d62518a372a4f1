/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Selecting against sorting: every kind of disorder, many lengths, every rank. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/select.h"

Suite *select_suite(void);

#define MOST 5000

static uint32_t draw(uint32_t *state)
{
	*state = *state * 1664525u + 1013904223u;
	return *state >> 8;
}

static int by_value(const void *a, const void *b)
{
	const double x = *(const double *)a;
	const double y = *(const double *)b;

	return (x > y) - (x < y);
}

/* What a log may hold: noise, few levels, one level, steps, a slope, a wave, spikes. */
static double value(int kind, size_t i, size_t n, uint32_t *state)
{
	switch (kind) {
	case 0:
		return (double)draw(state) / 1000.0 - 5000.0;
	case 1:
		return draw(state) % 2;
	case 2:
		return 7.5;
	case 3:
		return 0.1 * (draw(state) % 5);
	case 4:
		return (double)i;
	case 5:
		return (double)(n - i);
	case 6:
		return sin(0.37 * (double)i);
	case 7:
		return draw(state) % 50 == 0 ? -INFINITY : draw(state) % 50 == 0 ? INFINITY : 1.0;
	default:
		return (double)(i % 8) + (draw(state) % 100 == 0 ? 1e300 : 0.0);
	}
}

#define KINDS 9

static void check_rank(const double *v, const double *sorted, size_t n, size_t k)
{
	static double work[MOST];
	double next;

	memcpy(work, v, n * sizeof(*v));
	ck_assert(select_nth(work, n, k, &next) == sorted[k]);
	ck_assert(next == sorted[k + 1 < n ? k + 1 : k]);
	memcpy(work, v, n * sizeof(*v));
	ck_assert(select_nth(work, n, k, NULL) == sorted[k]);
}

START_TEST(test_against_sorting)
{
	static const size_t lengths[] = { 1, 2, 3, 31, 32, 33, 34, 64, 100, 257, 1000, MOST };
	static double v[MOST], sorted[MOST];
	const int kind = _i;
	uint32_t state = 20310512;
	size_t l, i;

	for (l = 0; l < sizeof(lengths) / sizeof(lengths[0]); l++) {
		const size_t n = lengths[l];

		for (i = 0; i < n; i++)
			v[i] = value(kind, i, n, &state);
		memcpy(sorted, v, n * sizeof(*v));
		qsort(sorted, n, sizeof(*sorted), by_value);
		for (i = 0; i < n; i += n < 300 ? 1 : 1 + draw(&state) % 40)
			check_rank(v, sorted, n, i);
		check_rank(v, sorted, n, n - 1);
	}
}
END_TEST

START_TEST(test_median)
{
	double odd[] = { 3, 1, 2 };
	double even[] = { 4, 1, 3, 2 };

	ck_assert(isnan(select_median(NULL, 0)));
	ck_assert_double_eq(select_median(odd, 3), 2);
	ck_assert_double_eq(select_median(even, 4), 2.5);
}
END_TEST

/* Type 7 of 1 .. 10, by hand: 1 + 9 q. */
START_TEST(test_quantile)
{
	static const double shares[] = { 0, 0.05, 0.25, 0.5, 0.95, 1 };
	size_t i, k;

	for (k = 0; k < sizeof(shares) / sizeof(shares[0]); k++) {
		double v[10];

		for (i = 0; i < 10; i++)
			v[i] = (double)(10 - i);
		ck_assert_double_eq_tol(select_quantile(v, 10, shares[k]), 1 + 9 * shares[k],
					1e-12);
	}
	ck_assert(isnan(select_quantile(NULL, 0, 0.5)));
}
END_TEST

Suite *select_suite(void)
{
	Suite *s = suite_create("select");
	TCase *t = tcase_create("select");

	tcase_add_loop_test(t, test_against_sorting, 0, KINDS);
	tcase_add_test(t, test_median);
	tcase_add_test(t, test_quantile);
	suite_add_tcase(s, t);
	return s;
}
