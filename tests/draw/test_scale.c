/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of scales: they hold the data, waste little, and have round ends. */
#include <check.h>
#include <math.h>

#include "draw/scale.h"
#include "draw_util.h"

Suite *scale_suite(void);

START_TEST(test_scale_row)
{
	const struct scale s = { 0.0, 200.0 };

	ck_assert_int_eq(scale_row(s, 4, 200.0), 0);
	ck_assert_int_eq(scale_row(s, 4, 151.0), 0);
	ck_assert_int_eq(scale_row(s, 4, 149.0), 1);
	ck_assert_int_eq(scale_row(s, 4, 0.0), 3);
	ck_assert_int_eq(scale_row(s, 4, 200.1), -1);
	ck_assert_int_eq(scale_row(s, 4, -0.1), -1);
	ck_assert_int_eq(scale_row(s, 4, NAN), -1);
	ck_assert_int_eq(scale_row(s, 0, 10.0), -1);
	ck_assert_int_eq(scale_row((struct scale){ 1.0, 1.0 }, 4, 1.0), -1);
	ck_assert_int_eq(scale_row_clamped(s, 4, 149.0), 1);
	ck_assert_int_eq(scale_row_clamped(s, 4, 1e9), 0);
	ck_assert_int_eq(scale_row_clamped(s, 4, INFINITY), 0);
	ck_assert_int_eq(scale_row_clamped(s, 4, -INFINITY), 3);
}
END_TEST

static const struct {
	double low, high, least;
	double want_low, want_high;
} scales[] = {
	{ 0.0, 212.0, 0.0, 0.0, 225.0 },
	{ 0.76, 1.02, 0.0, 0.75, 1.05 },
	{ 1905.0, 6810.0, 0.0, 1500.0, 7000.0 },
	{ -3.0, 9.0, 0.0, -4.0, 10.0 },
	{ 0.3, 0.8, 0.0, 0.3, 0.8 },
	{ -0.8, -0.3, 0.0, -0.8, -0.3 },
	{ 0.0, 0.1 * 3, 0.0, 0.0, 0.3 },	/* which is not 0.3 */
	{ 100.0, 100.0, 10.0, 94.0, 106.0 },
	{ 0.0, 0.0, 0.0, -0.6, 0.6 },
	{ 100.0, 100.0, 0.0, 99.99994, 100.00006 },
	{ NAN, NAN, 0.0, 0.0, 1.0 },
	{ 0.0, INFINITY, 0.0, 0.0, 1.0 },
};

START_TEST(test_scale_nice)
{
	const struct scale s = scale_nice(scales[_i].low, scales[_i].high, scales[_i].least);

	ck_assert_double_eq(s.low, scales[_i].want_low);
	ck_assert_double_eq(s.high, scales[_i].want_high);
}
END_TEST

/* The largest 1, 2, 2.5 or 5 times a power of ten that both ends are multiples of. */
static double common_step(struct scale s)
{
	static const double factors[] = { 5, 2.5, 2, 1 };
	int exponent;
	size_t k;

	for (exponent = (int)ceil(log10(s.high - s.low)); ; exponent--)
		for (k = 0; k < 4; k++) {
			const double step = factors[k] * pow(10.0, exponent);
			const double a = s.low / step;
			const double b = s.high / step;

			if (fabs(a - round(a)) < 1e-6 && fabs(b - round(b)) < 1e-6)
				return step;
		}
}

/* Holds the data, wastes little, and its ends are round. */
START_TEST(test_scale_nice_random)
{
	uint64_t seed = (uint64_t)_i * 7919 + 3;
	int i;

	for (i = 0; i < 1000; i++) {
		const double size = pow(10.0, rnd_range(&seed, -6, 8));
		const double low = rnd_range(&seed, -size, size);
		const double high = low + size * rnd_range(&seed, 0.01, 1.0);
		const struct scale s = scale_nice(low, high, 0.0);

		ck_assert_double_le(s.low, low + 1e-9 * (high - low));
		ck_assert_double_ge(s.high, high - 1e-9 * (high - low));
		ck_assert_double_le(s.high - s.low, 1.4 * (high - low) * (1 + 1e-9));
		ck_assert_double_ge(common_step(s), (high - low) / 12.6);
	}
	ck_assert_double_ge(scale_nice(5.0, 5.1, 2.0).high - scale_nice(5.0, 5.1, 2.0).low, 2.0);
	ck_assert(scale_nice(-1.7e308, 1.7e308, 0.0).low < scale_nice(-1.7e308, 1.7e308, 0.0).high);
	ck_assert(scale_nice(1e-300, 2e-300, 0.0).low < scale_nice(1e-300, 2e-300, 0.0).high);
}
END_TEST

Suite *scale_suite(void)
{
	Suite *s = suite_create("scale");
	TCase *t = tcase_create("scale");

	tcase_add_test(t, test_scale_row);
	tcase_add_loop_test(t, test_scale_nice, 0, sizeof scales / sizeof scales[0]);
	tcase_add_loop_test(t, test_scale_nice_random, 0, 5);
	suite_add_tcase(s, t);
	return s;
}
