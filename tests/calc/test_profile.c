/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of profiles: means along the axis are exact, holes stay holes, steps stay steps. */
#include "calc/profile.h"
#include "calc_util.h"

Suite *profile_suite(void);

/* A map with these knots; the arrays are borrowed, so it is not to be released. */
static struct axis_map knots(double *position, double *time, size_t n)
{
	struct axis_map m = AXIS_MAP_INIT;

	m.kind = AXIS_RPM;
	m.n = n;
	m.position = position;
	m.time = time;
	return m;
}

static struct profile profile_of(const struct series *s, const struct axis_map *m)
{
	struct profile p;

	ck_assert_int_eq(profile_build(&p, s, m, NULL), ERR_NONE);
	return p;
}

/* Points straight on a rising line: x is time, so that what is wanted is plain to see. */
static struct profile plain(const double *x, const double *y, size_t n, bool stepped)
{
	struct series s;
	struct axis_map m;
	struct profile p;

	make_series(&s, x, y, n, stepped);
	axis_map_time(&m, x[0], x[n - 1], 0.0);
	p = profile_of(&s, &m);
	series_release(&s);
	axis_map_release(&m);
	return p;
}

START_TEST(test_mean_plain)
{
	static const double x[] = { 0, 1, 3, 4 };
	static const double y[] = { 0, 2, 6, 0 };
	struct profile p = plain(x, y, 4, false);

	CHECK_NEAR(profile_mean(&p, 0, 4), (1.0 + 8.0 + 3.0) / 4.0, 1e-12);
	CHECK_NEAR(profile_mean(&p, 0.5, 2.0), (0.75 + 3.0) / 1.5, 1e-12);
	CHECK_NEAR(profile_mean(&p, 3.25, 3.75), 3.0, 1e-12);
	CHECK_NEAR(profile_mean(&p, 0.9995, 1.0005), 2.0, 1e-6);
	/* only what is covered counts */
	CHECK_NEAR(profile_mean(&p, -10, 1), 1.0, 1e-12);
	CHECK_NEAR(profile_mean(&p, 3, 99), 3.0, 1e-12);
	ck_assert_double_nan(profile_mean(&p, 5, 9));
	ck_assert_double_nan(profile_mean(&p, -9, -5));
	ck_assert_double_nan(profile_mean(&p, 2, 2));
	ck_assert_double_nan(profile_mean(&p, 3, 2));
	ck_assert_double_eq(profile_at(&p, 2.0), 4.0);
	ck_assert_double_nan(profile_at(&p, 4.1));
	ck_assert_double_nan(profile_at(&p, -0.1));
	ck_assert_double_nan(profile_at(&p, NAN));
	ck_assert_double_eq(profile_at(&p, 4.0), 0.0);
	profile_release(&p);
	ck_assert_double_nan(profile_at(&p, 1.0));
	ck_assert_double_nan(profile_mean(&p, 0, 4));
}
END_TEST

/*
 * A value that is a straight line over time, along an axis with bends: within each
 * bend it is straight along the axis too, so the integral is known exactly, though
 * the samples stand nowhere near the bends.
 */
START_TEST(test_mean_analytic)
{
	uint64_t seed = 121;
	int round, i;

	for (round = 0; round < 500; round++) {
		double position[12], time[12], t[9], v[9];
		const double slope = rng_range(&seed, -50, 50);
		const double at_zero = rng_range(&seed, -100, 100);
		struct series s;
		struct axis_map m;
		struct profile p;
		double from, to, area = 0.0;

		for (i = 0; i < 12; i++) {
			position[i] = i == 0 ? 2000 : position[i - 1] + rng_range(&seed, 1, 900);
			time[i] = i == 0 ? 1.0 : time[i - 1] + rng_range(&seed, 0.01, 2.0);
		}
		for (i = 0; i < 9; i++) {
			t[i] = time[0] - 0.5 + (time[11] - time[0] + 1.0) * i / 8.0;
			v[i] = at_zero + slope * t[i];
		}
		m = knots(position, time, 12);
		make_series(&s, t, v, 9, false);
		p = profile_of(&s, &m);
		from = rng_range(&seed, position[0], position[11]);
		to = rng_range(&seed, from, position[11]);
		for (i = 0; i < 11; i++) {
			const double x0 = fmax(from, position[i]);
			const double x1 = fmin(to, position[i + 1]);
			const double k = (time[i + 1] - time[i]) / (position[i + 1] - position[i]);
			const double t0 = time[i] + k * (x0 - position[i]);
			const double t1 = time[i] + k * (x1 - position[i]);

			if (x1 > x0)
				area += (x1 - x0) * (at_zero + slope * 0.5 * (t0 + t1));
		}
		CHECK_NEAR(profile_mean(&p, from, to), area / (to - from), 1e-9);
		for (i = 0; i < 20; i++) {
			const double x = rng_range(&seed, position[0], position[11]);

			CHECK_NEAR(profile_at(&p, x), at_zero + slope * axis_map_to_time(&m, x),
				   1e-9);
		}
		profile_release(&p);
		series_release(&s);
	}
}
END_TEST

/* Holes and steps too: everywhere the profile is the series seen through the map. */
START_TEST(test_equals_series)
{
	uint64_t seed = 131 + (uint64_t)_i;
	const bool stepped = _i % 2 == 1;
	int round, i;

	for (round = 0; round < 200; round++) {
		double position[30], time[30], t[60], v[60];
		struct series s;
		struct axis_map m;
		struct profile p;

		for (i = 0; i < 30; i++) {
			position[i] = i == 0 ? 2000 : position[i - 1] + rng_range(&seed, 1, 400);
			time[i] = i == 0 ? 5.0 : time[i - 1] + rng_range(&seed, 0.01, 0.4);
		}
		for (i = 0; i < 60; i++) {
			const double gap = rng_below(&seed, 15) == 0 ? 0.8 : 0.1;

			t[i] = i == 0 ? rng_range(&seed, 4, 7) : t[i - 1] + gap;
			v[i] = rng_range(&seed, -10, 10);
		}
		m = knots(position, time, 30);
		make_series(&s, t, v, 60, stepped);
		p = profile_of(&s, &m);
		ck_assert_uint_le(p.n, 2 * 60 + 30);
		for (i = 1; i < (int)p.n; i++)
			ck_assert(p.x[i] >= p.x[i - 1]);
		for (i = 0; i < 400; i++) {
			const double x = rng_range(&seed, 1990, position[29] + 10);

			CHECK_NEAR(profile_at(&p, x), series_at(&s, axis_map_to_time(&m, x)), 1e-9);
		}
		profile_release(&p);
		series_release(&s);
	}
}
END_TEST

/* Samples at 0..3 and 30..33: between them is nothing, but at both sides of it are values. */
START_TEST(test_hole)
{
	static const double x[] = { 0, 1, 2, 3, 30, 31, 32, 33 };
	static const double y[] = { 1, 1, 1, 9, 5, 5, 5, 5 };
	struct profile p = plain(x, y, 8, _i == 1);

	ck_assert_double_nan(profile_at(&p, 3.001));
	ck_assert_double_nan(profile_at(&p, 29.9));
	ck_assert_double_eq(profile_at(&p, 30.0), 5.0);
	ck_assert_double_eq(profile_at(&p, 3.0), 9.0);
	CHECK_NEAR(profile_mean(&p, 2.5, 31.0), _i == 1 ? (0.5 + 5.0) / 1.5 : (3.5 + 5.0) / 1.5, 1e-12);
	ck_assert_double_nan(profile_mean(&p, 4.0, 29.0));
	profile_release(&p);
}
END_TEST

START_TEST(test_steps)
{
	static const double x[] = { 0, 1, 2, 3 };
	static const double gear[] = { 2, 3, 3, 4 };
	struct profile p = plain(x, gear, 4, true);

	ck_assert_double_eq(profile_at(&p, 0.999), 2);
	ck_assert_double_eq(profile_at(&p, 1.0), 3);
	CHECK_NEAR(profile_mean(&p, 0.5, 1.5), 2.5, 1e-12);
	CHECK_NEAR(profile_mean(&p, 0, 3), 8.0 / 3.0, 1e-12);
	profile_release(&p);
}
END_TEST

START_TEST(test_empty)
{
	static const double x[] = { 0, 1 };
	const struct axis_map none = AXIS_MAP_INIT;
	struct series s;
	struct axis_map m;
	struct profile p;

	make_series(&s, x, x, 2, false);
	p = profile_of(&s, &none);
	ck_assert_uint_eq(p.n, 0);
	profile_release(&p);
	series_release(&s);
	make_series(&s, x, x, 0, false);
	axis_map_time(&m, 0, 1, 0);
	p = profile_of(&s, &m);
	ck_assert_uint_eq(p.n, 0);
	ck_assert_double_nan(profile_reaches(&p, 0, 0));
	profile_release(&p);
	series_release(&s);
	axis_map_release(&m);
}
END_TEST

START_TEST(test_largest)
{
	static const double xa[] = { 0, 2, 4, 10 };
	static const double ya[] = { 0, 0, 8, 8 };
	static const double xb[] = { 1, 3, 8 };
	static const double yb[] = { 0, 7, 2 };
	struct profile a = plain(xa, ya, 4, false);
	struct profile b = plain(xb, yb, 3, false);
	const struct profile none = PROFILE_INIT;
	double delta, at;

	/* at 3: 7 - 4; at 8: 2 - 8 */
	profile_largest(&a, &b, 0, 10, &delta, &at);
	CHECK_NEAR(delta, -6.0, 1e-12);
	CHECK_NEAR(at, 8.0, 0.0);
	profile_largest(&a, &b, 0, 4, &delta, &at);
	CHECK_NEAR(delta, 3.5, 1e-12);		/* at 2: 3.5 - 0 */
	CHECK_NEAR(at, 2.0, 0.0);
	/* at the end of the span, where neither has a point */
	profile_largest(&a, &b, 5, 6, &delta, &at);
	CHECK_NEAR(at, 6.0, 0.0);
	CHECK_NEAR(delta, 4.0 - 8.0, 1e-12);
	profile_largest(&a, &b, 8.5, 9, &delta, &at);
	ck_assert_double_nan(delta);
	ck_assert_double_nan(at);
	profile_largest(&a, &none, 0, 10, &delta, &at);
	ck_assert_double_nan(delta);
	profile_release(&a);
	profile_release(&b);
}
END_TEST

/* The last sample before a hole differs most, and it is seen. */
START_TEST(test_largest_at_hole)
{
	static const double x[] = { 0, 1, 2, 3, 30, 31, 32, 33 };
	static const double ya[] = { 0, 0, 0, 0, 0, 0, 0, 0 };
	static const double yb[] = { 1, 1, 1, 9, 5, 5, 5, 5 };
	struct profile a = plain(x, ya, 8, false);
	struct profile b = plain(x, yb, 8, false);
	double delta, at;

	profile_largest(&a, &b, 0, 33, &delta, &at);
	ck_assert_double_eq(delta, 9.0);
	ck_assert_double_eq(at, 3.0);
	profile_largest(&b, &a, 0, 3, &delta, &at);
	ck_assert_double_eq(delta, -9.0);
	profile_release(&a);
	profile_release(&b);
}
END_TEST

/* Nowhere on a fine grid is the difference greater, and where it is said to be it is. */
START_TEST(test_largest_random)
{
	uint64_t seed = 141;
	int round, i;

	for (round = 0; round < 200; round++) {
		double x[2][40], y[2][40];
		struct profile p[2];
		const double from = rng_range(&seed, 0, 3);
		const double to = rng_range(&seed, 3, 6);
		double delta, at;
		int k;

		for (k = 0; k < 2; k++) {
			for (i = 0; i < 40; i++) {
				const double gap = rng_below(&seed, 15) == 0 ? 1.0 : 0.1;

				x[k][i] = i == 0 ? 0.0 : x[k][i - 1] + gap;
				y[k][i] = rng_range(&seed, 0, 10);
			}
			p[k] = plain(x[k], y[k], 40, false);
		}
		profile_largest(&p[0], &p[1], from, to, &delta, &at);
		for (i = 0; i <= 1000; i++) {
			const double here = from + (to - from) * i / 1000.0;
			const double d = profile_at(&p[1], here) - profile_at(&p[0], here);

			if (!isnan(d))
				ck_assert_double_le(fabs(d), fabs(delta) + 1e-12);
		}
		if (!isnan(at)) {
			ck_assert(at >= from && at <= to);
			CHECK_NEAR(profile_at(&p[1], at) - profile_at(&p[0], at), delta, 1e-12);
		}
		profile_release(&p[0]);
		profile_release(&p[1]);
	}
}
END_TEST

START_TEST(test_reaches)
{
	static const double x[] = { 0, 1, 2, 3, 4 };
	static const double y[] = { 1, 5, 2, 8, 8 };
	struct profile p = plain(x, y, 5, false);
	struct profile step = plain(x, y, 5, true);

	CHECK_NEAR(profile_reaches(&p, -INFINITY, 3), 0.5, 1e-12);
	CHECK_NEAR(profile_reaches(&p, 0, 5), 1.0, 1e-12);
	CHECK_NEAR(profile_reaches(&p, 0, 6.5), 2.75, 1e-12);
	ck_assert_double_nan(profile_reaches(&p, 0, 8.1));
	/* from later on: it is above there already, so there it is */
	CHECK_NEAR(profile_reaches(&p, 0.75, 3), 0.75, 1e-12);
	CHECK_NEAR(profile_reaches(&p, 1.9, 3), 2.0 + 1.0 / 6.0, 1e-12);
	CHECK_NEAR(profile_reaches(&p, 3.5, 8), 3.5, 1e-12);
	CHECK_NEAR(profile_reaches(&p, -INFINITY, 1), 0.0, 0.0);
	ck_assert_double_nan(profile_reaches(&p, 4.5, 1));
	CHECK_NEAR(profile_reaches(&step, -INFINITY, 3), 1.0, 0.0);
	CHECK_NEAR(profile_reaches(&step, 1.5, 3), 1.5, 0.0);
	CHECK_NEAR(profile_reaches(&step, 2.5, 3), 3.0, 0.0);
	profile_release(&p);
	profile_release(&step);
}
END_TEST

Suite *profile_suite(void)
{
	Suite *s = suite_create("profile");
	TCase *t = tcase_create("profile");

	tcase_set_timeout(t, 60);
	tcase_add_test(t, test_mean_plain);
	tcase_add_test(t, test_mean_analytic);
	tcase_add_loop_test(t, test_equals_series, 0, 4);
	tcase_add_loop_test(t, test_hole, 0, 2);
	tcase_add_test(t, test_steps);
	tcase_add_test(t, test_empty);
	tcase_add_test(t, test_largest);
	tcase_add_test(t, test_largest_at_hole);
	tcase_add_test(t, test_largest_random);
	tcase_add_test(t, test_reaches);
	suite_add_tcase(s, t);
	return s;
}
