/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Statistics of a series within a span. */
#include "calc/stats.h"

#include <gsl/gsl_sort_double.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

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

/*
 * Deviations from the mean, into d[n]; returns the mean.  The mean of values far from
 * zero is rounded by more than they may differ, so what it missed is taken off again.
 */
static double centre(const double *v, size_t n, double *d)
{
	const double mean = gsl_stats_mean(v, 1, n);
	double missed;
	size_t i;

	for (i = 0; i < n; i++)
		d[i] = v[i] - mean;
	missed = gsl_stats_mean(d, 1, n);
	for (i = 0; i < n; i++)
		d[i] -= missed;
	return mean;
}

static long double dot(const double *a, const double *b, size_t n)
{
	long double sum = 0.0L;
	size_t i;

	for (i = 0; i < n; i++)
		sum += (long double)a[i] * b[i];
	return sum;
}

enum err_code stats_values(const double *v, size_t n, struct stats *out, struct err *e)
{
	double *f = out->field;
	double *work;		/* v sorted, then its deviations */
	long double square;

	clear(out);
	f[STATS_N] = (double)n;
	if (n == 0)
		return ERR_NONE;
	work = mem_try_array(n, sizeof *work);
	if (work == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", n);
	memcpy(work, v, n * sizeof *v);
	gsl_sort(work, 1, n);
	f[STATS_MIN] = work[0];
	f[STATS_MAX] = work[n - 1];
	f[STATS_MEDIAN] = gsl_stats_quantile_from_sorted_data(work, 1, n, 0.5);
	f[STATS_P05] = gsl_stats_quantile_from_sorted_data(work, 1, n, 0.05);
	f[STATS_P95] = gsl_stats_quantile_from_sorted_data(work, 1, n, 0.95);
	f[STATS_FIRST] = v[0];
	f[STATS_LAST] = v[n - 1];
	f[STATS_CHANGE] = v[n - 1] - v[0];
	f[STATS_MEAN] = centre(v, n, work);
	square = dot(work, work, n);
	if (n > 1)
		f[STATS_SD] = (double)sqrtl(square / (long double)(n - 1));
	if (square > 0.0L)
		f[STATS_LAG1] = (double)(dot(work, work + 1, n - 1) / square);
	free(work);
	return ERR_NONE;
}

/* Where on the axis the first sample with this value is. */
static double position_of(const struct series *s, const struct axis_map *map, size_t first,
			  size_t n, double v)
{
	size_t i;

	for (i = first; i < first + n; i++)
		if (s->v[i] == v)
			return axis_map_to_position(map, s->t[i]);
	return NAN;
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
	double t = t0;
	double v = series_at(s, t0);
	size_t i;

	for (i = first; i < first + n; i++) {
		if (s->t[i] - t <= s->hole)
			add_piece(&z, s, t, v, s->t[i], s->v[i]);
		t = s->t[i];
		v = s->v[i];
	}
	add_piece(&z, s, t, v, t1, series_at(s, t1));
	return z;
}

/* Least squares of v on x; NaN when x does not vary. */
static enum err_code slope(const double *x, const double *v, size_t n, double *out,
			   struct err *e)
{
	double *dx, *dv;
	long double square;

	*out = NAN;
	if (n < 2)
		return ERR_NONE;
	dx = mem_try_array(2 * n, sizeof *dx);
	if (dx == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", n);
	dv = dx + n;
	centre(x, n, dx);
	centre(v, n, dv);
	square = dot(dx, dx, n);
	if (square > 0.0L)
		*out = (double)(dot(dx, dv, n) / square);
	free(dx);
	return ERR_NONE;
}

static enum err_code slope_per_krpm(const struct series *s, size_t first, size_t n,
				    const struct series *rpm, double *out, struct err *e)
{
	double *x = mem_try_array(2 * n, sizeof *x);
	double *v = x == NULL ? NULL : x + n;
	enum err_code code;
	size_t used = 0;
	size_t i;

	if (x == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", n);
	for (i = first; i < first + n; i++) {
		x[used] = series_at(rpm, s->t[i]);
		v[used] = s->v[i];
		if (!isnan(x[used]))
			used++;
	}
	code = slope(x, v, used, out, e);
	*out *= 1000.0;
	free(x);
	return code;
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
	enum err_code code;

	clear(out);
	if (isnan(t0) || isnan(t1) || t1 < t0)
		return ERR_NONE;
	first = series_lower(s, t0);
	for (n = 0; first + n < s->n && s->t[first + n] <= t1; n++)
		;
	code = stats_values(s->v + first, n, out, e);
	if (code != ERR_NONE)
		return code;
	z = integrate(s, first, n, t0, t1);
	if (z.width > 0.0) {
		f[STATS_INTEGRAL] = z.area;
		f[STATS_TIME_MEAN] = z.area / z.width;
	}
	if (n == 0)
		return ERR_NONE;
	f[STATS_MIN_AT] = position_of(s, map, first, n, f[STATS_MIN]);
	f[STATS_MAX_AT] = position_of(s, map, first, n, f[STATS_MAX]);
	code = slope(s->t + first, s->v + first, n, &f[STATS_SLOPE_PER_S], e);
	if (code == ERR_NONE && rpm != NULL)
		code = slope_per_krpm(s, first, n, rpm, &f[STATS_SLOPE_PER_KRPM], e);
	return code;
}

void stats_subtract(const struct stats *a, const struct stats *b, struct stats *out)
{
	size_t i;

	for (i = 0; i < STATS_FIELDS; i++)
		out->field[i] = b->field[i] - a->field[i];
}
