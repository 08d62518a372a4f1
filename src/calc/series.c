/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The samples of one channel with their own times. */
#include "calc/series.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/search.h"
#include "data/column.h"

/* The gap that counts as a hole: a multiple of the median interval. */
static enum err_code find_hole(struct series *s, struct err *e)
{
	double *gaps;
	size_t count = 0;
	size_t i;

	s->hole = INFINITY;
	if (s->n < 3)
		return ERR_NONE;
	gaps = mem_try_large(s->n - 1, sizeof *gaps);
	if (gaps == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", s->n);
	for (i = 1; i < s->n; i++)
		if (s->t[i] > s->t[i - 1])
			gaps[count++] = s->t[i] - s->t[i - 1];
	if (count > 0)
		s->hole = SERIES_HOLE_INTERVALS * search_median(gaps, count);
	free(gaps);
	return ERR_NONE;
}

static enum err_code no_memory(struct series *s, size_t n, struct err *e)
{
	series_release(s);
	return err_set(e, ERR_MEMORY, "out of memory for %zu samples", n);
}

static enum err_code allocate(struct series *s, size_t n, struct err *e)
{
	*s = (struct series)SERIES_INIT;
	s->t = mem_try_large(n, sizeof *s->t);
	s->v = mem_try_large(n, sizeof *s->v);
	return s->t != NULL && s->v != NULL ? ERR_NONE : no_memory(s, n, e);
}

/* Moves the samples together, over the missing ones. */
static void drop_missing(struct series *s, const double *t, size_t n)
{
	size_t i;

	for (i = 0; i < n; i++) {
		if (isnan(s->v[i]) || isnan(t[i]))
			continue;
		s->t[s->n] = t[i];
		s->v[s->n] = s->v[i];
		s->n++;
	}
}

static size_t rows_of(const struct datalog *log, size_t first, size_t last)
{
	return last < first || first >= log->rows ? 0 : last - first + 1;
}

/* How the values of a channel are to be taken. */
static void set_values(struct series *s, const struct channel *ch, const struct unit *to)
{
	size_t i;

	s->stepped = ch->quantity->stepped || column_kind(ch->column) == COLUMN_STATE;
	if (to != NULL && to != ch->unit)
		for (i = 0; i < s->n; i++)
			s->v[i] = unit_convert(s->v[i], ch->unit, to);
}

static enum err_code finish(struct series *s, struct err *e)
{
	const enum err_code code = find_hole(s, e);

	if (code != ERR_NONE)
		series_release(s);
	return code;
}

enum err_code series_load(struct series *s, const struct datalog *log,
			  const struct channel *ch, size_t first, size_t last,
			  const struct unit *to, struct err *e)
{
	const size_t n = rows_of(log, first, last);
	enum err_code code = allocate(s, n, e);

	if (code != ERR_NONE)
		return code;
	column_get(ch->column, first, n, s->v);
	drop_missing(s, log->time + first, n);
	set_values(s, ch, to);
	return finish(s, e);
}

enum err_code series_share(struct series *s, const struct datalog *log,
			   const struct channel *ch, size_t first, size_t last,
			   const struct unit *to, const struct series *like, struct err *e)
{
	const size_t n = rows_of(log, first, last);

	if (column_samples(ch->column) < column_rows(ch->column))
		return series_load(s, log, ch, first, last, to, e);
	*s = (struct series)SERIES_INIT;
	s->v = mem_try_large(n, sizeof *s->v);
	if (s->v == NULL)
		return no_memory(s, n, e);
	column_get(ch->column, first, n, s->v);
	s->n = n;
	s->t = log->time + first;
	s->shared = true;
	set_values(s, ch, to);
	if (like == NULL || !like->shared || like->t != s->t || like->n != n)
		return finish(s, e);
	s->hole = like->hole;
	return ERR_NONE;
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
	return finish(s, e);
}

void series_release(struct series *s)
{
	if (!s->shared)
		free(s->t);
	free(s->v);
	*s = (struct series)SERIES_INIT;
}

/* Most logs have a row every so often: t stands about in proportion. */
size_t series_lower(const struct series *s, double t)
{
	const double part = s->n == 0 ? 0.0 : (t - s->t[0]) / (s->t[s->n - 1] - s->t[0]);

	return search_near(s->t, s->n, t,
			   part > 0.0 && part <= 1.0 ? (size_t)(part * (double)(s->n - 1)) : 0);
}

size_t series_upper(const struct series *s, double t)
{
	return series_end(s, series_lower(s, t), t);
}

size_t series_end(const struct series *s, size_t next, double t)
{
	if (next == s->n || !(s->t[next] <= t))
		return next;
	return next + search_upper(s->t + next, s->n - next, t);
}

double series_between(const struct series *s, size_t next, double t)
{
	double gap;

	if (isnan(t) || next == s->n)
		return NAN;
	if (s->t[next] == t)
		return s->v[next];
	if (next == 0)
		return NAN;
	gap = s->t[next] - s->t[next - 1];
	if (gap > s->hole)
		return NAN;
	if (s->stepped)
		return s->v[next - 1];
	return s->v[next - 1] + (s->v[next] - s->v[next - 1]) * ((t - s->t[next - 1]) / gap);
}

double series_at(const struct series *s, double t)
{
	return series_between(s, series_lower(s, t), t);
}

double series_walk_at(struct series_walk *w, double t)
{
	while (w->next < w->s->n && w->s->t[w->next] < t)
		w->next++;
	return series_between(w->s, w->next, t);
}
