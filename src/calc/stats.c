/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Statistics of a series within a span. */
#include "calc/stats.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/quantiles.h"

static const struct stats_info infos[STATS_FIELDS] = {
	[STATS_N] = { "n", "samples", STATS_COUNT },
	[STATS_MIN] = { "min", "min", STATS_VALUE },
	[STATS_MIN_AT] = { "min_at", "min at", STATS_POSITION },
	[STATS_MAX] = { "max", "max", STATS_VALUE },
	[STATS_MAX_AT] = { "max_at", "max at", STATS_POSITION },
	[STATS_MEAN] = { "mean", "mean", STATS_VALUE },
	[STATS_TIME_MEAN] = { "time_mean", "time mean", STATS_VALUE },
	[STATS_SD] = { "sd", "sd", STATS_SPREAD },
	[STATS_MEDIAN] = { "median", "median", STATS_VALUE },
	[STATS_P05] = { "p05", "p05", STATS_VALUE },
	[STATS_P95] = { "p95", "p95", STATS_VALUE },
	[STATS_FIRST] = { "first", "first", STATS_VALUE },
	[STATS_LAST] = { "last", "last", STATS_VALUE },
	[STATS_CHANGE] = { "change", "change", STATS_SPREAD },
	[STATS_SLOPE_PER_S] = { "slope_per_s", "per s", STATS_PER_S },
	[STATS_SLOPE_PER_KRPM] = { "slope_per_krpm", "per krpm", STATS_PER_KRPM },
	[STATS_INTEGRAL] = { "integral", "integral", STATS_TIMES_S },
	[STATS_LAG1] = { "lag1", "lag-1 r", STATS_PURE },
};

const struct stats_info *stats_info(enum stats_field f)
{
	return &infos[f];
}

static void clear(struct stats *out)
{
	size_t i;

	for (i = 0; i < STATS_FIELDS; i++)
		out->field[i] = NAN;
	out->field[STATS_N] = 0;
}

/* Sums are long doubles, four at a time: each addition waits for the one before. */
static long double sum(const double *v, size_t n)
{
	long double s[4] = { 0.0L, 0.0L, 0.0L, 0.0L };
	size_t i;

	for (i = 0; i + 4 <= n; i += 4) {
		s[0] += v[i];
		s[1] += v[i + 1];
		s[2] += v[i + 2];
		s[3] += v[i + 3];
	}
	for (; i < n; i++)
		s[0] += v[i];
	return (s[0] + s[1]) + (s[2] + s[3]);
}

static long double dot(const double *a, const double *b, size_t n)
{
	long double s[4] = { 0.0L, 0.0L, 0.0L, 0.0L };
	size_t i;

	for (i = 0; i + 4 <= n; i += 4) {
		s[0] += (long double)a[i] * b[i];
		s[1] += (long double)a[i + 1] * b[i + 1];
		s[2] += (long double)a[i + 2] * b[i + 2];
		s[3] += (long double)a[i + 3] * b[i + 3];
	}
	for (; i < n; i++)
		s[0] += (long double)a[i] * b[i];
	return (s[0] + s[1]) + (s[2] + s[3]);
}

/*
 * Deviations from the mean, into d[n], which may be v; returns the mean.  The mean of
 * values far from zero is rounded by more than they may differ, so what it missed is
 * taken off again.
 */
static double centre(const double *v, size_t n, double *d)
{
	const double mean = (double)(sum(v, n) / (long double)n);
	double missed;
	size_t i;

	for (i = 0; i < n; i++)
		d[i] = v[i] - mean;
	missed = (double)(sum(d, n) / (long double)n);
	for (i = 0; i < n && missed != 0.0; i++)
		d[i] -= missed;
	return mean;
}

/* The first of the smallest values, and of the largest. */
static void find_extremes(const double *v, size_t n, size_t *low, size_t *high)
{
	size_t i;

	*low = *high = 0;
	for (i = 1; i < n; i++) {
		if (v[i] < v[*low])
			*low = i;
		if (v[i] > v[*high])
			*high = i;
	}
}

/* What needs no time, of v[n], n > 0; d[n] receives the deviations from the mean. */
static void describe(const double *v, size_t n, double *d, double *f)
{
	static const double q[] = { 0.05, 0.5, 0.95 };
	double quantiles[3];
	long double square;

	memcpy(d, v, n * sizeof *v);
	quantiles_take(d, n, q, 3, quantiles);
	f[STATS_P05] = quantiles[0];
	f[STATS_MEDIAN] = quantiles[1];
	f[STATS_P95] = quantiles[2];
	f[STATS_FIRST] = v[0];
	f[STATS_LAST] = v[n - 1];
	f[STATS_CHANGE] = v[n - 1] - v[0];
	f[STATS_MEAN] = centre(v, n, d);
	square = dot(d, d, n);
	if (n > 1)
		f[STATS_SD] = (double)sqrtl(square / (long double)(n - 1));
	if (square > 0.0L)
		f[STATS_LAG1] = (double)(dot(d, d + 1, n - 1) / square);
}

enum err_code stats_values(const double *v, size_t n, struct stats *out, struct err *e)
{
	double *f = out->field;
	double *d;
	size_t low, high;

	clear(out);
	f[STATS_N] = (double)n;
	if (n == 0)
		return ERR_NONE;
	d = mem_try_array(n, sizeof *d);
	if (d == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", n);
	find_extremes(v, n, &low, &high);
	f[STATS_MIN] = v[low];
	f[STATS_MAX] = v[high];
	describe(v, n, d, f);
	free(d);
	return ERR_NONE;
}

struct trapezoid {
	double area;
	double width;
};

/* One piece from (t0, v0) to (t1, v1); held at v0 when stepped; none across a hole. */
static void add_piece(struct trapezoid *z, const struct series *s, double t0, double v0,
		      double t1, double v1)
{
	if (isnan(v0) || isnan(v1))
		return;
	z->area += (t1 - t0) * (s->stepped ? v0 : 0.5 * (v0 + v1));
	z->width += t1 - t0;
}

/* Samples first .. first+n-1 lie in [t0, t1]; the ends are interpolated. */
static struct trapezoid integrate(const struct series *s, size_t first, size_t n, double t0,
				  double t1)
{
	struct trapezoid z = { 0.0, 0.0 };
	const double t = t0;
	const double v = series_at(s, t0);
	size_t i;

	if (n == 0) {
		add_piece(&z, s, t, v, t1, series_at(s, t1));
		return z;
	}
	if (s->t[first] - t <= s->hole)
		add_piece(&z, s, t, v, s->t[first], s->v[first]);
	for (i = first + 1; i < first + n; i++) {
		const double gap = s->t[i] - s->t[i - 1];

		if (gap > s->hole)
			continue;
		z.area += gap * (s->stepped ? s->v[i - 1] : 0.5 * (s->v[i - 1] + s->v[i]));
		z.width += gap;
	}
	add_piece(&z, s, s->t[i - 1], s->v[i - 1], t1, series_at(s, t1));
	return z;
}

/* Least squares from deviations of both; NaN when x does not vary. */
static double slope(const double *dx, const double *dv, size_t n)
{
	const long double square = dot(dx, dx, n);

	return n > 1 && square > 0.0L ? (double)(dot(dx, dv, n) / square) : NAN;
}

/*
 * On engine speed, in x[n]; dv[n] are deviations of all values.  Where engine speed is
 * not known, both leave a value out.
 */
static double slope_per_rpm(const struct series *s, size_t first, size_t n,
			    const struct series *rpm, double *x, double *dv)
{
	struct series_walk walk = { rpm, 0 };
	size_t used = 0;
	size_t i;

	for (i = 0; i < n; i++) {
		x[used] = series_walk_at(&walk, s->t[first + i]);
		dv[used] = dv[i];
		used += !isnan(x[used]);
	}
	if (used == 0)
		return NAN;
	centre(x, used, x);
	if (used < n)
		centre(dv, used, dv);
	return slope(x, dv, used);
}

/* All that is about samples first .. first+n-1, n > 0; d[2 n] is for use. */
static void describe_samples(const struct series *s, const struct axis_map *map, size_t first,
			     size_t n, const struct series *rpm, double *d, double *f)
{
	const double *v = s->v + first;
	const double *t = s->t + first;
	size_t low, high;

	find_extremes(v, n, &low, &high);
	f[STATS_MIN] = v[low];
	f[STATS_MAX] = v[high];
	f[STATS_MIN_AT] = axis_map_to_position(map, t[low]);
	f[STATS_MAX_AT] = axis_map_to_position(map, t[high]);
	describe(v, n, d, f);
	centre(t, n, d + n);
	f[STATS_SLOPE_PER_S] = slope(d + n, d, n);
	if (rpm != NULL)
		f[STATS_SLOPE_PER_KRPM] = 1000.0 * slope_per_rpm(s, first, n, rpm, d + n, d);
}

enum err_code stats_span(const struct series *s, const struct axis_map *map,
			 const struct series *rpm, double from, double to,
			 struct stats *out, struct err *e)
{
	const double t0 = axis_map_to_time(map, fmax(from, axis_map_from(map)));
	const double t1 = axis_map_to_time(map, fmin(to, axis_map_to(map)));
	double *f = out->field;
	struct trapezoid z;
	size_t first, n;
	double *d;

	clear(out);
	if (isnan(t0) || isnan(t1) || t1 < t0)
		return ERR_NONE;
	first = series_lower(s, t0);
	n = series_upper(s, t1) - first;
	f[STATS_N] = (double)n;
	z = integrate(s, first, n, t0, t1);
	if (z.width > 0.0) {
		f[STATS_INTEGRAL] = z.area;
		f[STATS_TIME_MEAN] = z.area / z.width;
	}
	if (n == 0)
		return ERR_NONE;
	d = mem_try_array(2 * n, sizeof *d);
	if (d == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", n);
	describe_samples(s, map, first, n, rpm, d, f);
	free(d);
	return ERR_NONE;
}

void stats_subtract(const struct stats *a, const struct stats *b, struct stats *out)
{
	size_t i;

	for (i = 0; i < STATS_FIELDS; i++)
		out->field[i] = b->field[i] - a->field[i];
}
