/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of searching: before, between, at and behind sorted numbers, repeated ones too. */
#include <check.h>
#include <math.h>

#include "base/search.h"

Suite *search_suite(void);

static const double sorted[] = { 1, 2, 2, 2, 5, 5, 9 };

#define COUNT (sizeof sorted / sizeof sorted[0])

/* Against looking at each, on every beginning of the list. */
START_TEST(test_against_scan)
{
	static const double wanted[] = { -INFINITY, 0, 1, 1.5, 2, 3, 5, 6, 9, 10, INFINITY };
	size_t n, i, guess;

	for (n = 0; n <= COUNT; n++)
		for (i = 0; i < sizeof wanted / sizeof wanted[0]; i++) {
			size_t lower = 0, upper = 0;

			while (lower < n && sorted[lower] < wanted[i])
				lower++;
			while (upper < n && sorted[upper] <= wanted[i])
				upper++;
			ck_assert_uint_eq(search_lower(sorted, n, wanted[i]), lower);
			for (guess = 0; guess <= n + 1; guess++)
				ck_assert_uint_eq(search_near(sorted, n, wanted[i], guess), lower);
			ck_assert_uint_eq(search_upper(sorted, n, wanted[i]), upper);
		}
}
END_TEST

START_TEST(test_nan)
{
	ck_assert_uint_eq(search_lower(sorted, COUNT, NAN), 0);
	ck_assert_uint_eq(search_upper(sorted, COUNT, NAN), 0);
	ck_assert_uint_eq(search_near(sorted, COUNT, NAN, 3), 0);
}
END_TEST

Suite *search_suite(void)
{
	Suite *s = suite_create("search");
	TCase *t = tcase_create("search");

	tcase_add_test(t, test_against_scan);
	tcase_add_test(t, test_nan);
	suite_add_tcase(s, t);
	return s;
}
