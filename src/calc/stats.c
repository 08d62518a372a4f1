/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Statistics of a series within a span. */
#include "calc/stats.h"

#include <gsl/gsl_fit.h>
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

enum err_code stats_values(const double *v, size_t n, struct stats *out, struct err *e)
{
	double *f = out->field;
	double *sorted;

	clear(out);
	f[STATS_N] = (double)n;
	if (n == 0)
		return ERR_NONE;
	sorted = mem_try_array(n, sizeof *sorted);
	if (sorted == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", n);
	memcpy(sorted, v, n * sizeof *v);
	gsl_sort(sorted, 1, n);
	f[STATS_MIN] = sorted[0];
	f[STATS_MAX] = sorted[n - 1];
	f[STATS_MEDIAN] = gsl_stats_quantile_from_sorted_data(sorted, 1, n, 0.5);
	f[STATS_P05] = gsl_stats_quantile_from_sorted_data(sorted, 1, n, 0.05);
	f[STATS_P95] = gsl_stats_quantile_from_sorted_data(sorted, 1, n, 0.95);
	free(sorted);
	f[STATS_MEAN] = gsl_stats_mean(v, 1, n);
	f[STATS_FIRST] = v[0];
	f[STATS_LAST] = v[n - 1];
	f[STATS_CHANGE] = v[n - 1] - v[0];
	if (n > 1) {
		f[STATS_SD] = gsl_stats_sd_m(v, 1, n, f[STATS_MEAN]);
		f[STATS_LAG1] = gsl_stats_lag1_autocorrelation_m(v, 1, n, f[STATS_MEAN]);
	}
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
static double slope(const double *x, const double *v, size_t n)
{
	double c0, c1, cov00, cov01, cov11, sumsq;
	double spread = 0.0;

	if (n < 2)
		return NAN;
	spread = gsl_stats_max(x, 1, n) - gsl_stats_min(x, 1, n);
	if (!(spread > 0.0))
		return NAN;
	gsl_fit_linear(x, 1, v, 1, n, &c0, &c1, &cov00, &cov01, &cov11, &sumsq);
	return c1;
}

static enum err_code slope_per_krpm(const struct series *s, size_t first, size_t n,
				    const struct series *rpm, double *out, struct err *e)
{
	double *x = mem_try_array(2 * n, sizeof *x);
	double *v = x == NULL ? NULL : x + n;
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
	*out = slope(x, v, used) * 1000.0;
	free(x);
	return ERR_NONE;
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
	f[STATS_SLOPE_PER_S] = slope(s->t + first, s->v + first, n);
	if (rpm != NULL)
		code = slope_per_krpm(s, first, n, rpm, &f[STATS_SLOPE_PER_KRPM], e);
	return code;
}

void stats_subtract(const struct stats *a, const struct stats *b, struct stats *out)
{
	size_t i;

	for (i = 0; i < STATS_FIELDS; i++)
		out->field[i] = b->field[i] - a->field[i];
}
