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

#define FEW_GAPS 1023		/* that the median is guessed from */
#define FEW_OFF 16		/* the guess is hardly ever off by a 16th of them: 4 standard errors */
#define SAME_GAP 2e-5		/* of a gap: less than what SERIES_HOLE_INTERVALS has to spare */
#define NEAR_SAMPLES 8		/* series_walk_at() steps over, before it searches */
#define PART 1024		/* rows looked at together */

/* The gap between sample i, from 1, and the one before. */
static double gap(const struct series *s, size_t i)
{
	return s->t[i] - s->t[i - 1];
}

/* What a few of the gaps say of the median of all: about where it is, and surely between. */
struct guess {
	double least;
	double middle;
	double most;
};

/* How many of all gaps, those of 0 aside. */
struct gap_counts {
	size_t all;
	size_t below;		/* the guess's bounds */
	size_t within;
	size_t less;		/* than what is as good as its middle */
	size_t alike;		/* as good as its middle */
};

static bool guess_median(const struct series *s, struct guess *out)
{
	const size_t step = s->n / FEW_GAPS + 1;
	double few[FEW_GAPS];
	size_t count = 0;
	size_t i;

	for (i = 1; i < s->n; i += step)
		if (gap(s, i) > 0.0)
			few[count++] = gap(s, i);
	if (count == 0)
		return false;
	out->least = select_nth(few, count, count / 2 - count / FEW_OFF, NULL);
	out->middle = select_nth(few, count, count / 2, NULL);
	out->most = select_nth(few, count, (count - 1) / 2 + count / FEW_OFF, NULL);
	return true;
}

static struct gap_counts count_gaps(const struct series *s, const struct guess *g)
{
	const double least = g->middle * (1.0 - SAME_GAP);
	const double most = g->middle * (1.0 + SAME_GAP);
	struct gap_counts c = { 0, 0, 0, 0, 0 };
	size_t i;

	for (i = 1; i < s->n; i++) {
		const double x = gap(s, i);

		c.all += x > 0.0;
		c.below += (x > 0.0) & (x < g->least);
		c.within += (x >= g->least) & (x <= g->most);
		c.less += (x > 0.0) & (x < least);
		c.alike += (x >= least) & (x <= most);
	}
	return c;
}

/* Of the n gaps above 0 that are within the bounds: between the ranks `first` and `second`. */
static enum err_code select_gap(const struct series *s, double least, double most, size_t n,
				size_t first, size_t second, double *out, struct err *e)
{
	double *gaps = mem_try_large(n, sizeof *gaps);
	size_t count = 0;
	double value, next;
	size_t i;

	if (gaps == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", s->n);
	for (i = 1; i < s->n && count < n; i++) {
		const double x = gap(s, i);

		gaps[count] = x;
		count += (x > 0.0) & (x >= least) & (x <= most);
	}
	value = select_nth(gaps, n, first, &next);
	*out = 0.5 * (value + (second > first ? next : value));
	free(gaps);
	return ERR_NONE;
}

/*
 * Of the gaps above 0; NaN for none.  It is nearly always that of a few of them, but for the
 * rounding of times, or near it: is it?  That takes one look at each, and little memory.
 */
static enum err_code find_median(const struct series *s, double *median, struct err *e)
{
	struct guess g;
	struct gap_counts c;
	size_t first, second;

	*median = NAN;
	if (!guess_median(s, &g))
		g = (struct guess){ 0.0, NAN, INFINITY };
	c = count_gaps(s, &g);
	if (c.all == 0)
		return ERR_NONE;
	first = (c.all - 1) / 2;
	second = c.all / 2;
	if (first >= c.less && second < c.less + c.alike) {
		*median = g.middle;
		return ERR_NONE;
	}
	if (first >= c.below && second < c.below + c.within)
		return select_gap(s, g.least, g.most, c.within, first - c.below,
				  second - c.below, median, e);
	return select_gap(s, 0.0, INFINITY, c.all, first, second, median, e);
}

/* The gap that counts as a hole: a multiple of the median interval. */
static enum err_code find_hole(struct series *s, struct err *e)
{
	enum err_code code;
	double median;

	s->hole = INFINITY;
	if (s->n < 3)
		return ERR_NONE;
	code = find_median(s, &median, e);
	if (code == ERR_NONE && !isnan(median))
		s->hole = SERIES_HOLE_INTERVALS * median;
	return code;
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

static size_t rows_of(const struct datalog *log, size_t first, size_t last)
{
	return last < first || first >= log->rows ? 0 : last - first + 1;
}

/* How the values of a channel are to be taken. */
static void set_values(struct series *s, const struct channel *ch, const struct unit *to)
{
	s->stepped = channel_is_stepped(ch);
	if (to != NULL && to != ch->unit)
		unit_convert_all(s->v, s->n, ch->unit, to);
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

enum err_code series_own(struct series *s, struct err *e)
{
	double *t;

	if (!s->shared)
		return ERR_NONE;
	t = mem_try_large(s->n, sizeof *t);
	if (t == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", s->n);
	if (s->n > 0)
		memcpy(t, s->t, s->n * sizeof *t);
	s->t = t;
	s->shared = false;
	return ERR_NONE;
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
	return series_between(s, series_lower(s, t), t);
}

double series_walk_at(struct series_walk *w, double t)
{
	const struct series *s = w->s;
	const size_t last = w->next + NEAR_SAMPLES < s->n ? w->next + NEAR_SAMPLES : s->n;

	while (w->next < last && s->t[w->next] < t)
		w->next++;
	if (w->next == last && last < s->n && s->t[last] < t)
		w->next = series_lower(s, t);
	return series_between(s, w->next, t);
}
