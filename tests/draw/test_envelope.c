/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the envelope against a scan of every sample for every column. */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "draw/envelope.h"
#include "draw_util.h"

Suite *envelope_suite(void);

#define SAMPLES 600
#define KNOTS 40
#define COLUMNS 200

static void assert_same(double got, double want)
{
	if (isnan(want))
		ck_assert(isnan(got));
	else
		ck_assert_double_eq_tol(got, want, 1e-9 * fmax(1.0, fabs(want)));
}

/* Linear between the knots, by walking along them. */
static double slow_time(const struct axis_map *m, double p)
{
	size_t i;

	for (i = 0; i + 1 < m->n; i++)
		if (p >= m->position[i] && p <= m->position[i + 1]) {
			const double part = (p - m->position[i]) /
					    (m->position[i + 1] - m->position[i]);

			return m->time[i] * (1 - part) + m->time[i + 1] * part;
		}
	return NAN;
}

/* The value at t by walking along the samples. */
static double slow_value(const struct series *s, double t)
{
	double v = NAN;
	size_t i;

	for (i = 0; i < s->n; i++)
		if (s->t[i] == t)
			return s->v[i];
	for (i = 0; i + 1 < s->n; i++) {
		const double gap = s->t[i + 1] - s->t[i];
		const double part = (t - s->t[i]) / gap;

		if (t > s->t[i] && t < s->t[i + 1] && gap <= s->hole)
			v = s->stepped ? s->v[i] : s->v[i] * (1 - part) + s->v[i + 1] * part;
	}
	return v;
}

static struct extent slow_column(const struct series *s, const struct axis_map *m, double left,
				 double right)
{
	struct extent x = { NAN, NAN };
	double from;
	double to;
	size_t i;

	left = fmax(left, m->position[0]);
	right = fmin(right, m->position[m->n - 1]);
	if (left >= right)
		return x;
	from = slow_time(m, left);
	to = slow_time(m, right);
	x.low = fmin(slow_value(s, from), slow_value(s, to));
	x.high = fmax(slow_value(s, from), slow_value(s, to));
	for (i = 0; i < s->n; i++)
		if (s->t[i] >= from && s->t[i] <= to) {
			x.low = fmin(x.low, s->v[i]);
			x.high = fmax(x.high, s->v[i]);
		}
	return x;
}

/* Noise with spikes, missing samples, long holes and jitter in time. */
static void random_series(struct series *s, uint64_t *seed, bool stepped)
{
	double t[SAMPLES];
	double v[SAMPLES];
	double now = 3.0;
	int i;

	for (i = 0; i < SAMPLES; i++) {
		now += rnd_range(seed, 0.03, 0.07) + (rnd_below(seed, 60) == 0 ? 0.9 : 0.0);
		t[i] = now;
		v[i] = rnd_range(seed, -1.0, 1.0) + (rnd_below(seed, 50) == 0 ? 20.0 : 0.0);
		if (stepped)
			v[i] = floor(v[i] * 3.0);
		if (rnd_below(seed, 10) == 0)
			v[i] = NAN;
	}
	ck_assert_int_eq(series_from(s, t, v, SAMPLES, stepped, NULL), ERR_NONE);
}

static bool same(struct extent a, struct extent b)
{
	return (isnan(a.low) && isnan(b.low) && isnan(a.high) && isnan(b.high)) ||
	       (a.low == b.low && a.high == b.high);
}

/* With a pyramid and without: both must give the same. */
static void fill(const struct series *s, const struct axis_map *map, double from, double to,
		 size_t n, struct extent *out)
{
	struct extent *other = malloc((n + 1) * sizeof *other);
	struct pyramid p;
	size_t i;

	envelope_fill(s, NULL, map, from, to, n, out);
	ck_assert_int_eq(pyramid_build(&p, s->v, s->n, NULL), ERR_NONE);
	envelope_fill(s, &p, map, from, to, n, other);
	for (i = 0; i < n; i++)
		ck_assert_msg(same(out[i], other[i]), "column %zu: %g..%g and %g..%g", i,
			      out[i].low, out[i].high, other[i].low, other[i].high);
	pyramid_release(&p);
	free(other);
}

/* Knots at uneven distances over more or less than the time of the series. */
static void random_map(struct axis_map *m, uint64_t *seed)
{
	double position = 2000.0;
	double time = rnd_range(seed, 0.0, 8.0);
	size_t i;

	*m = (struct axis_map)AXIS_MAP_INIT;
	m->kind = AXIS_RPM;
	m->n = KNOTS;
	m->position = malloc(KNOTS * sizeof *m->position);
	m->time = malloc(KNOTS * sizeof *m->time);
	for (i = 0; i < KNOTS; i++) {
		m->position[i] = position += rnd_range(seed, 1.0, 250.0);
		m->time[i] = time += rnd_range(seed, 0.01, 1.6);
	}
}

START_TEST(test_against_scan)
{
	uint64_t seed = (uint64_t)_i + 42;
	struct series s = SERIES_INIT;
	struct axis_map m;
	struct extent got[COLUMNS];
	const size_t n = 1 + (size_t)rnd_below(&seed, COLUMNS);
	double from;
	double to;
	size_t i;

	random_series(&s, &seed, _i % 2 == 1);
	random_map(&m, &seed);
	from = rnd_range(&seed, 1000.0, 5000.0);
	to = from + rnd_range(&seed, 1.0, 6000.0);
	fill(&s, &m, from, to, n, got);
	for (i = 0; i < n; i++) {
		const double left = from + (to - from) / (double)n * (double)i;
		const double right = from + (to - from) / (double)n * (double)(i + 1);
		const struct extent want = slow_column(&s, &m, left, i + 1 < n ? right : to);

		assert_same(got[i].low, want.low);
		assert_same(got[i].high, want.high);
	}
	axis_map_release(&m);
	series_release(&s);
}
END_TEST

/* No value anywhere in a column lies outside its extent. */
START_TEST(test_holds_everything)
{
	uint64_t seed = (uint64_t)_i + 4242;
	struct series s = SERIES_INIT;
	struct axis_map m;
	struct extent got[50];
	int k;

	random_series(&s, &seed, _i % 2 == 1);
	random_map(&m, &seed);
	fill(&s, &m, 1900.0, 7000.0, 50, got);
	for (k = 0; k < 5000; k++) {
		const double position = 1900.0 + (k + 0.5) * 5100.0 / 5000.0;
		const double v = series_at(&s, axis_map_to_time(&m, position));

		if (isnan(v))
			continue;
		ck_assert_double_ge(v, got[k / 100].low - 1e-9);
		ck_assert_double_le(v, got[k / 100].high + 1e-9);
	}
	axis_map_release(&m);
	series_release(&s);
}
END_TEST

/* Zoomed out to one column it is the series' own extremes, bit for bit. */
START_TEST(test_one_column)
{
	uint64_t seed = 9;
	struct series s = SERIES_INIT;
	struct axis_map m;
	struct extent got;
	double low = INFINITY;
	double high = -INFINITY;
	size_t i;

	random_series(&s, &seed, false);
	axis_map_time(&m, 0.0, 1000.0, 10.0);
	fill(&s, &m, -100.0, 2000.0, 1, &got);
	for (i = 0; i < s.n; i++) {
		low = fmin(low, s.v[i]);
		high = fmax(high, s.v[i]);
	}
	ck_assert_double_eq(got.low, low);
	ck_assert_double_eq(got.high, high);
	axis_map_release(&m);
	series_release(&s);
}
END_TEST

/* Worked by hand: samples at 0 1 2 3 s, a hole to 20 s; columns of 0.5 s. */
START_TEST(test_by_hand)
{
	static const double t[] = { 0, 1, 2, 3, 20, 21 };
	static const double v[] = { 0, 10, 4, 4, 7, 8 };
	static const double linear[][2] = { { 0, 5 }, { 5, 10 }, { 7, 10 }, { 4, 7 },
					    { 4, 4 }, { 4, 4 }, { 4, 4 }, { NAN, NAN } };
	static const double held[][2] = { { 0, 0 }, { 0, 10 }, { 10, 10 }, { 4, 10 },
					  { 4, 4 }, { 4, 4 }, { 4, 4 }, { NAN, NAN } };
	struct series s = SERIES_INIT;
	struct axis_map m;
	struct extent got[8];
	int stepped;
	int i;

	axis_map_time(&m, 0.0, 21.0, 0.0);
	for (stepped = 0; stepped < 2; stepped++) {
		ck_assert_int_eq(series_from(&s, t, v, 6, stepped, NULL), ERR_NONE);
		fill(&s, &m, 0.0, 4.0, 8, got);
		for (i = 0; i < 8; i++) {
			assert_same(got[i].low, stepped ? held[i][0] : linear[i][0]);
			assert_same(got[i].high, stepped ? held[i][1] : linear[i][1]);
		}
		series_release(&s);
	}
	axis_map_release(&m);
}
END_TEST

/* Two samples at one time count both, at an edge too; so does one at the very end. */
START_TEST(test_edges)
{
	static const double t[] = { 0, 1, 1, 2, 7.3 };
	static const double v[] = { 0, 1, 9, 2, 50 };
	struct series s = SERIES_INIT;
	struct axis_map m;
	struct extent got[100];
	size_t n;

	ck_assert_int_eq(series_from(&s, t, v, 5, false, NULL), ERR_NONE);
	axis_map_time(&m, 0.1, 7.3, 0.0);
	fill(&s, &m, 0.5, 2.0, 3, got);
	assert_same(got[0].high, 9.0);
	assert_same(got[1].low, 1.0);
	assert_same(got[1].high, 9.0);
	for (n = 1; n <= 100; n++) {
		fill(&s, &m, 0.1, 7.3, n, got);
		ck_assert_double_eq(got[n - 1].high, 50.0);
	}
	axis_map_release(&m);
	series_release(&s);
}
END_TEST

/* Only where the map covers, to its very ends. */
START_TEST(test_coverage)
{
	static const double t[] = { 0, 1, 2, 3, 4 };
	static const double v[] = { 0, 1, 2, 3, 4 };
	struct series s = SERIES_INIT;
	struct axis_map m;
	struct extent got[10];
	int i;

	ck_assert_int_eq(series_from(&s, t, v, 5, false, NULL), ERR_NONE);
	axis_map_time(&m, 1.25, 3.0, 0.0);
	fill(&s, &m, 0.0, 5.0, 10, got);
	for (i = 0; i < 10; i++)
		ck_assert(isnan(got[i].low) == (i < 2 || i > 5));
	assert_same(got[2].low, 1.25);
	assert_same(got[2].high, 1.5);
	assert_same(got[5].high, 3.0);
	axis_map_release(&m);
	series_release(&s);
}
END_TEST

START_TEST(test_nothing)
{
	static const double t[] = { 0, 1 };
	static const double v[] = { 5, 6 };
	static const double ranges[][2] = { { 1, 1 }, { 1, 0 }, { NAN, 1 }, { 0, NAN },
					    { 0, INFINITY } };
	const struct axis_map empty = AXIS_MAP_INIT;
	const struct series none = SERIES_INIT;
	struct series s = SERIES_INIT;
	struct axis_map m;
	struct extent got[4] = { { 1, 1 }, { 1, 1 }, { 1, 1 }, { 1, 1 } };
	size_t i;

	ck_assert_int_eq(series_from(&s, t, v, 2, false, NULL), ERR_NONE);
	axis_map_time(&m, 0.0, 1.0, 0.0);
	fill(&s, &empty, 0.0, 1.0, 4, got);
	ck_assert(isnan(got[0].low) && isnan(got[3].high));
	fill(&none, &m, 0.0, 1.0, 4, got);
	ck_assert(isnan(got[0].low) && isnan(got[3].high));
	for (i = 0; i < sizeof ranges / sizeof ranges[0]; i++) {
		got[0] = got[3] = (struct extent){ 1, 1 };
		fill(&s, &m, ranges[i][0], ranges[i][1], 4, got);
		ck_assert(isnan(got[0].low) && isnan(got[3].high));
	}
	fill(&s, &m, 0.0, 1.0, 0, NULL);
	axis_map_release(&m);
	series_release(&s);
}
END_TEST

Suite *envelope_suite(void)
{
	Suite *s = suite_create("envelope");
	TCase *t = tcase_create("envelope");

	tcase_add_loop_test(t, test_against_scan, 0, 60);
	tcase_add_loop_test(t, test_holds_everything, 0, 10);
	tcase_add_test(t, test_one_column);
	tcase_add_test(t, test_by_hand);
	tcase_add_test(t, test_edges);
	tcase_add_test(t, test_coverage);
	tcase_add_test(t, test_nothing);
	suite_add_tcase(s, t);
	return s;
}
