/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Statistics of a series within a span. */
#include "calc/stats.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/search.h"
#include "calc/quantiles.h"
#include "calc/tally.h"

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

static const double shares[] = { 0.5, 0.05, 0.95 };
static const enum stats_field share_fields[] = { STATS_MEDIAN, STATS_P05, STATS_P95 };

#define SHARES (sizeof shares / sizeof shares[0])

static enum err_code find_quantiles(const struct quantiles *q, double *f, struct err *e)
{
	double found[SHARES];
	const enum err_code code = quantiles_find(q, found, e);
	size_t i;

	for (i = 0; code == ERR_NONE && i < SHARES; i++)
		f[share_fields[i]] = found[i];
	return code;
}

/* The sums and quantiles of one of several channels. */
struct gathered {
	struct samples s;
	struct tally tally;
	struct quantiles quantiles;
};

static void release_all(struct gathered *g, size_t count)
{
	size_t i;

	for (i = 0; i < count; i++)
		quantiles_release(&g[i].quantiles);
}

/*
 * Goes over the samples of channels that have them at the same times, at least one, by
 * blocks: what hangs on the times alone is done once for all.
 */
static enum err_code gather(struct gathered *g, size_t count, const struct series *rpm,
			    struct err *e)
{
	struct tally_block *block = mem_alloc(sizeof *block);
	const size_t all = g[0].s.n;
	double buffer[SAMPLES_BLOCK];
	enum err_code code = ERR_NONE;
	size_t first, i, n;

	for (i = 0; code == ERR_NONE && i < count; i++) {
		tally_init(&g[i].tally);
		code = quantiles_init(&g[i].quantiles, &g[i].s, shares, SHARES, e);
	}
	for (first = 0; code == ERR_NONE && first < all; first += n) {
		n = all - first < SAMPLES_BLOCK ? all - first : SAMPLES_BLOCK;
		tally_block_next(block, &g[0].s, first, n, rpm);
		for (i = 0; i < count; i++) {
			const double *v = samples_get(&g[i].s, first, n, buffer);

			tally_add(&g[i].tally, block, v, g[i].s.stepped);
			quantiles_add(&g[i].quantiles, v, first, n, g[i].tally.block_least,
				      g[i].tally.block_most);
		}
	}
	free(block);
	return code;
}

static double slope(const struct pairs *p)
{
	return p->xx > 0.0L ? (double)(p->xy / p->xx) : NAN;
}

/* What needs no time. */
static void take_values(const struct tally *t, double *f)
{
	const struct pairs *p = &t->over_time;

	f[STATS_MIN] = t->least;
	f[STATS_MAX] = t->most;
	f[STATS_FIRST] = t->first;
	f[STATS_LAST] = t->last;
	f[STATS_CHANGE] = t->last - t->first;
	f[STATS_MEAN] = (double)(t->first + p->y);
	if (p->n > 1.0L)
		f[STATS_SD] = (double)sqrtl(fmaxl(p->yy, 0.0L) / (p->n - 1.0L));
	if (p->yy > 0.0L)
		f[STATS_LAG1] = (double)(t->next / p->yy);
}

enum err_code stats_values(const double *v, size_t n, struct stats *out, struct err *e)
{
	struct gathered g = { .s = samples_of_values(v, n) };
	enum err_code code;

	clear(out);
	out->field[STATS_N] = (double)n;
	if (n == 0)
		return ERR_NONE;
	code = gather(&g, 1, NULL, e);
	if (code == ERR_NONE)
		code = find_quantiles(&g.quantiles, out->field, e);
	if (code == ERR_NONE)
		take_values(&g.tally, out->field);
	release_all(&g, 1);
	return code;
}

/* A piece at an end of a span: from (t0, v0) to (t1, v1), the one or the other interpolated. */
static void add_end(struct tally *t, const struct samples *s, double t0, double v0, double t1,
		    double v1)
{
	if (isnan(v0) || isnan(v1))
		return;
	t->area += (t1 - t0) * (s->stepped ? v0 : 0.5 * (v0 + v1));
	t->width += t1 - t0;
}

/* Samples part, of s, lie in t0 .. t1; without any the two ends alone make the area. */
static void add_ends(struct tally *t, const struct samples *s, const struct samples *part,
		     double t0, double t1)
{
	const double v0 = samples_at(s, t0);
	const double v1 = samples_at(s, t1);

	if (part->n == 0) {
		add_end(t, s, t0, v0, t1, v1);
		return;
	}
	if (part->t[0] - t0 <= s->hole)
		add_end(t, s, t0, v0, part->t[0], t->first);
	add_end(t, s, part->t[part->n - 1], t->last, t1, v1);
}

static void take_times(const struct tally *t, const struct samples *part,
		       const struct axis_map *map, bool has_rpm, double *f)
{
	if (t->width > 0.0L) {
		f[STATS_INTEGRAL] = (double)t->area;
		f[STATS_TIME_MEAN] = (double)(t->area / t->width);
	}
	if (part->n == 0)
		return;
	f[STATS_MIN_AT] = axis_map_to_position(map, part->t[t->least_at]);
	f[STATS_MAX_AT] = axis_map_to_position(map, part->t[t->most_at]);
	f[STATS_SLOPE_PER_S] = slope(&t->over_time);
	if (has_rpm)
		f[STATS_SLOPE_PER_KRPM] = 1000.0 * slope(&t->over_rpm);
}

/* The samples of g lie in t0 .. t1, those of s around. */
static enum err_code take_all(struct gathered *g, const struct samples *s, double t0, double t1,
			      const struct axis_map *map, bool has_rpm, struct stats *out,
			      struct err *e)
{
	enum err_code code = ERR_NONE;

	out->field[STATS_N] = (double)g->s.n;
	if (g->s.n > 0)
		code = find_quantiles(&g->quantiles, out->field, e);
	if (code != ERR_NONE)
		return code;
	if (g->s.n > 0)
		take_values(&g->tally, out->field);
	add_ends(&g->tally, s, &g->s, t0, t1);
	take_times(&g->tally, &g->s, map, has_rpm, out->field);
	return ERR_NONE;
}

enum err_code stats_samples(const struct samples *s, size_t count, const struct axis_map *map,
			    const struct series *rpm, double from, double to,
			    struct stats *out, struct err *e)
{
	const double t0 = axis_map_to_time(map, fmax(from, axis_map_from(map)));
	const double t1 = axis_map_to_time(map, fmin(to, axis_map_to(map)));
	struct gathered *g;
	enum err_code code = ERR_NONE;
	size_t first, n, i;

	for (i = 0; i < count; i++)
		clear(&out[i]);
	if (count == 0 || isnan(t0) || isnan(t1) || t1 < t0)
		return ERR_NONE;
	first = search_lower(s->t, s->n, t0);
	n = search_upper(s->t, s->n, t1) - first;
	g = mem_array(count, sizeof *g);
	for (i = 0; i < count; i++)
		g[i].s = samples_part(&s[i], first, n);
	if (n > 0)
		code = gather(g, count, rpm, e);
	for (i = 0; code == ERR_NONE && i < count; i++)
		code = take_all(&g[i], &s[i], t0, t1, map, rpm != NULL, &out[i], e);
	release_all(g, count);
	free(g);
	return code;
}

enum err_code stats_span(const struct series *s, const struct axis_map *map,
			 const struct series *rpm, double from, double to,
			 struct stats *out, struct err *e)
{
	const struct samples samples = samples_of(s);

	return stats_samples(&samples, 1, map, rpm, from, to, out, e);
}

void stats_subtract(const struct stats *a, const struct stats *b, struct stats *out)
{
	size_t i;

	for (i = 0; i < STATS_FIELDS; i++)
		out->field[i] = b->field[i] - a->field[i];
}
