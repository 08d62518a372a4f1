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

/* The gap that counts as a hole: a multiple of the median interval. */
static enum err_code find_hole(struct series *s, struct err *e)
{
	double *gaps;
	size_t count = 0;
	size_t i;

	s->hole = INFINITY;
	if (s->n < 3)
		return ERR_NONE;
	gaps = mem_try_array(s->n - 1, sizeof *gaps);
	if (gaps == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", s->n);
	for (i = 1; i < s->n; i++)
		if (s->t[i] > s->t[i - 1])
			gaps[count++] = s->t[i] - s->t[i - 1];
	if (count > 0)
		s->hole = SERIES_HOLE_INTERVALS * select_median(gaps, count);
	free(gaps);
	return ERR_NONE;
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

enum err_code series_load(struct series *s, const struct datalog *log,
			  const struct channel *ch, size_t first, size_t last,
			  const struct unit *to, struct err *e)
{
	const size_t n = last < first || first >= log->rows ? 0 : last - first + 1;
	enum err_code code = allocate(s, n, e);
	size_t i;

	if (code != ERR_NONE)
		return code;
	s->stepped = ch->quantity->stepped || column_kind(ch->column) == COLUMN_STATE;
	column_get(ch->column, first, n, s->v);
	drop_missing(s, log->time + first, n);
	if (to != NULL && to != ch->unit)
		for (i = 0; i < s->n; i++)
			s->v[i] = unit_convert(s->v[i], ch->unit, to);
	code = find_hole(s, e);
	if (code != ERR_NONE)
		series_release(s);
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

double series_at(const struct series *s, double t)
{
	const size_t next = series_lower(s, t);
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
