/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the pyramid: against a plain scan, on every kind of stretch. */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "draw/pyramid.h"

Suite *pyramid_suite(void);

/* Marsaglia's xorshift64 (2003, from memory): the same numbers everywhere. */
static unsigned long long state = 88172645463325252ull;

static unsigned long long next(void)
{
	state ^= state << 13;
	state ^= state >> 7;
	state ^= state << 17;
	return state;
}

static struct extent scan(const double *v, size_t first, size_t last)
{
	struct extent x = { NAN, NAN };
	size_t i;

	for (i = first; i < last; i++) {
		if (isnan(v[i]))
			continue;
		x.low = isnan(x.low) || v[i] < x.low ? v[i] : x.low;
		x.high = isnan(x.high) || v[i] > x.high ? v[i] : x.high;
	}
	return x;
}

static void assert_same(const double *v, const struct pyramid *p, size_t first, size_t last)
{
	const struct extent want = scan(v, first, last);
	const struct extent got = pyramid_extent(p, first, last);

	ck_assert_msg((isnan(want.low) && isnan(got.low) && isnan(got.high)) ||
		      (want.low == got.low && want.high == got.high),
		      "%zu .. %zu: %g %g, not %g %g", first, last, got.low, got.high, want.low,
		      want.high);
}

/* Values of all kinds, in lengths around every power of the factor. */
static double *make(size_t n, int kind)
{
	double *v = malloc((n + 1) * sizeof *v);
	size_t i;

	for (i = 0; i < n; i++) {
		v[i] = (double)(next() % 100000) - 50000;
		if (kind == 1 && next() % 3 == 0)
			v[i] = NAN;
		if (kind == 2)
			v[i] = NAN;
		if (kind == 3)
			v[i] = next() % 50 == 0 ? (next() % 2 ? INFINITY : -INFINITY) : v[i];
		if (kind == 4)
			v[i] = INFINITY;
	}
	return v;
}

START_TEST(test_against_scan)
{
	static const size_t lengths[] = {
		0, 1, 2, 63, 64, 65, 127, 128, 129, 4095, 4096, 4097, 4160, 8192, 9000, 262144,
		262145, 270000,
	};
	const size_t n = lengths[_i / 5];
	double *v = make(n, _i % 5);
	struct pyramid p;
	int k;

	ck_assert_int_eq(pyramid_build(&p, v, n, NULL), ERR_NONE);
	assert_same(v, &p, 0, n);
	for (k = 0; k < 400; k++) {
		size_t a = (size_t)(next() % (n + 1));
		size_t b = (size_t)(next() % (n + 1));
		/* Half of them begin or end at an entry's edge, where a mistake would be. */
		if (k % 2 == 0)
			a -= a % PYRAMID_FACTOR;
		if (k % 4 < 2)
			b -= b % (PYRAMID_FACTOR * (size_t)PYRAMID_FACTOR);
		assert_same(v, &p, a < b ? a : b, a < b ? b : a);
	}
	pyramid_release(&p);
	free(v);
}
END_TEST

START_TEST(test_every_stretch)
{
	const size_t n = 200;
	double *v = make(n, 1);
	struct pyramid p;
	size_t first, last;

	ck_assert_int_eq(pyramid_build(&p, v, n, NULL), ERR_NONE);
	for (first = 0; first <= n; first++)
		for (last = first; last <= n; last++)
			assert_same(v, &p, first, last);
	pyramid_release(&p);
	free(v);
}
END_TEST

/* What it costs: less than 15 % of the values. */
START_TEST(test_size)
{
	double *v = make(270000, 0);
	struct pyramid p;
	size_t entries = 0;
	size_t below = 270000;
	int level;

	ck_assert_int_eq(pyramid_build(&p, v, 270000, NULL), ERR_NONE);
	for (level = 0; level < PYRAMID_LEVELS && p.low[level] != NULL; level++) {
		below = (below + PYRAMID_FACTOR - 1) / PYRAMID_FACTOR;
		entries += below;
	}
	ck_assert_uint_le(below, PYRAMID_FACTOR);	/* the top is quickly looked through */
	ck_assert_uint_lt(entries * 2 * sizeof(double), 270000 * sizeof(double) * 15 / 100);
	pyramid_release(&p);
	free(v);
}
END_TEST

Suite *pyramid_suite(void)
{
	Suite *s = suite_create("pyramid");
	TCase *t = tcase_create("pyramid");

	tcase_add_loop_test(t, test_against_scan, 0, 18 * 5);
	tcase_add_test(t, test_every_stretch);
	tcase_add_test(t, test_size);
	suite_add_tcase(s, t);
	return s;
}
