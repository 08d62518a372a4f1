/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The samples of one channel with their own times. */
#include "calc/series.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/search.h"
#include "base/select.h"
#include "data/column.h"

#define FEW_GAPS 255		/* that the median is guessed from */
#define NEAR_SAMPLES 8		/* series_follow() steps over, before it searches */
#define PART 1024		/* rows looked at together */

/* The gap between sample i, from 1, and the one before. */
static double gap(const struct series *s, size_t i)
{
	return s->t[i] - s->t[i - 1];
}

/*
 * The median gap is nearly always the same as that of a few of the gaps.  Is it?  That
 * takes one look at each, and no memory.
 */
static bool guess_median(const struct series *s, double *median)
{
	const size_t step = s->n / FEW_GAPS + 1;
	double few[FEW_GAPS];
	size_t count = 0, below = 0, within = 0;
	double middle;
	size_t i;

	for (i = 1; i < s->n; i += step)
		if (gap(s, i) > 0.0)
			few[count++] = gap(s, i);
	if (count == 0)
		return false;
	middle = select_nth(few, count, count / 2, NULL);
	for (count = 0, i = 1; i < s->n; i++) {
		count += gap(s, i) > 0.0;
		below += gap(s, i) > 0.0 && gap(s, i) < middle;
		within += gap(s, i) == middle;
	}
	*median = middle;
	return (count - 1) / 2 >= below && count / 2 < below + within;
}

static enum err_code find_median(const struct series *s, double *median, struct err *e)
{
	double *gaps = mem_try_array(s->n - 1, sizeof *gaps);
	size_t count = 0;
	size_t i;

	if (gaps == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", s->n);
	for (i = 1; i < s->n; i++) {
		gaps[count] = gap(s, i);
		count += gap(s, i) > 0.0;
	}
	*median = select_median(gaps, count);
	free(gaps);
	return ERR_NONE;
}

/* The gap that counts as a hole: a multiple of the median interval. */
static enum err_code find_hole(struct series *s, struct err *e)
{
	enum err_code code = ERR_NONE;
	double median = NAN;

	s->hole = INFINITY;
	if (s->n < 3)
		return ERR_NONE;
	if (!guess_median(s, &median))
		code = find_median(s, &median, e);
	if (code == ERR_NONE && !isnan(median))
		s->hole = SERIES_HOLE_INTERVALS * median;
	return code;
}

static enum err_code allocate(struct series *s, size_t n, struct err *e)
{
	*s = (struct series)SERIES_INIT;
	s->t = mem_try_array(n, sizeof *s->t);
	s->v = mem_try_array(n, sizeof *s->v);
	if (s->t != NULL && s->v != NULL)
		return ERR_NONE;
	series_release(s);
	return err_set(e, ERR_MEMORY, "out of memory for %zu samples", n);
}

/* How many rows at the beginning have a value and a time. */
static size_t count_whole(const double *v, const double *t, size_t n)
{
	size_t whole = 0;
	size_t bad = 0;
	size_t i;

	while (whole < n && bad == 0) {
		const size_t part = n - whole < PART ? n - whole : PART;

		for (i = whole; i < whole + part; i++)
			bad += isnan(v[i]) | isnan(t[i]);
		whole += bad == 0 ? part : 0;
	}
	return whole;
}

/* Moves the samples together, over the missing ones. */
static void drop_missing(struct series *s, const double *t, size_t n)
{
	size_t i;

	s->n = count_whole(s->v, t, n);
	if (s->n > 0)
		memcpy(s->t, t, s->n * sizeof *t);
	for (i = s->n; i < n; i++) {
		if (isnan(s->v[i]) || isnan(t[i]))
			continue;
		s->t[s->n] = t[i];
		s->v[s->n] = s->v[i];
		s->n++;
	}
}

enum err_code series_load(struct series *s, const struct datalog *log,
			  const struct channel *ch, size_t first, size_t last,
			  const struct unit *to, struct err *e)
{
	const size_t n = last < first || first >= log->rows ? 0 : last - first + 1;
	enum err_code code = allocate(s, n, e);

	if (code != ERR_NONE)
		return code;
	s->stepped = channel_is_stepped(ch);
	column_get(ch->column, first, n, s->v);
	drop_missing(s, log->time + first, n);
	if (to != NULL && to != ch->unit)
		unit_convert_all(s->v, s->n, ch->unit, to);
	code = find_hole(s, e);
	if (code != ERR_NONE)
		series_release(s);
	return code;
}

enum err_code series_hole(const double *t, size_t n, double *hole, struct err *e)
{
	struct series s = { .n = n, .t = (double *)t };
	const enum err_code code = find_hole(&s, e);

	*hole = s.hole;
	return code;
}

enum err_code series_from(struct series *s, const double *t, const double *v, size_t n,
			  bool stepped, struct err *e)
{
	enum err_code code = allocate(s, n, e);

	if (code != ERR_NONE)
		return code;
	s->stepped = stepped;
	if (n > 0)
		memcpy(s->v, v, n * sizeof *v);
	drop_missing(s, t, n);
	code = find_hole(s, e);
	if (code != ERR_NONE)
		series_release(s);
	return code;
}

void series_release(struct series *s)
{
	free(s->t);
	free(s->v);
	*s = (struct series)SERIES_INIT;
}

size_t series_lower(const struct series *s, double t)
{
	return search_lower(s->t, s->n, t);
}

size_t series_upper(const struct series *s, double t)
{
	return search_upper(s->t, s->n, t);
}

/* At time t, where `next` is the first sample at or after it. */
static double value_at(const struct series *s, double t, size_t next)
{
	double wide;

	if (isnan(t) || next == s->n)
		return NAN;
	if (s->t[next] == t)
		return s->v[next];
	if (next == 0)
		return NAN;
	wide = gap(s, next);
	if (wide > s->hole)
		return NAN;
	if (s->stepped)
		return s->v[next - 1];
	return s->v[next - 1] + (s->v[next] - s->v[next - 1]) * ((t - s->t[next - 1]) / wide);
}

double series_at(const struct series *s, double t)
{
	return value_at(s, t, series_lower(s, t));
}

double series_follow(const struct series *s, double t, size_t *near)
{
	const size_t last = *near + NEAR_SAMPLES < s->n ? *near + NEAR_SAMPLES : s->n;
	size_t next = *near;

	if (next < s->n && (next == 0 || s->t[next - 1] < t))
		while (next < last && s->t[next] < t)
			next++;
	if (next >= last || (next > 0 && s->t[next - 1] >= t))
		next = series_lower(s, t);
	*near = next;
	return value_at(s, t, next);
}
