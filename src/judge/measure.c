/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Measures: a list of them, and the ways of looking that serve many checks. */
#include "judge/measure.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/mem.h"
#include "judge/check_help.h"

#define START_S 0.5		/* of the pull, for what a value was when it began */
#define SMOOTH_S 0.3
#define SMOOTH_INTERVALS 2.2	/* three samples */
#define HIGHEST_S 0.6		/* noise alone makes the highest of many short means high */
#define HIGHEST_INTERVALS 4.0

void measures_add(struct measures *m, const struct channel *ch, struct series *value,
		  enum check_relation relation, struct series *reference)
{
	struct measure *new;

	mem_grow(&m->list, &m->cap, m->count + 1, sizeof *m->list);
	new = &m->list[m->count++];
	*new = (struct measure){ .channel = ch, .value = *value, .relation = relation };
	*value = (struct series)SERIES_INIT;
	if (reference != NULL) {
		new->reference = *reference;
		*reference = (struct series)SERIES_INIT;
	}
}

void measures_refuse(struct measures *m, const char *format, ...)
{
	char text[256];
	va_list args;

	va_start(args, format);
	vsnprintf(text, sizeof text, format, args);
	va_end(args);
	free(m->why_not);
	m->why_not = mem_strdup(text);
}

void measures_release(struct measures *m)
{
	size_t i;

	for (i = 0; i < m->count; i++) {
		series_release(&m->list[i].value);
		series_release(&m->list[i].reference);
		free(m->list[i].detail);
	}
	free(m->list);
	free(m->why_not);
	*m = (struct measures){ .list = NULL };
}

/* What one channel gives to a check. */
typedef enum err_code (*one_fn)(const struct check *c, const struct scene *s,
				const struct channel *ch, struct measures *out, struct err *e);

/* Every channel of the first need by itself; says so when their unit does not fit. */
static enum err_code each(const struct check *c, const struct scene *s, one_fn one,
			  struct measures *out, struct err *e)
{
	const struct datalog *log = s->run->log;
	enum err_code code = ERR_NONE;
	size_t i;

	for (i = 0; i < log->channel_count && code == ERR_NONE; i++) {
		const struct channel *ch = &log->channels[i];

		if (scene_wants(c, 0, ch) && scene_has(s, ch))
			code = one(c, s, ch, out, e);
	}
	if (code == ERR_NONE && out->count == 0 && out->why_not == NULL)
		measures_refuse(out, "the unit of %s cannot be converted into %s",
				scene_need(c, 0, s)->name, c->unit);
	return code;
}

static enum err_code one_value(const struct check *c, const struct scene *s,
			       const struct channel *ch, struct measures *out, struct err *e)
{
	struct series v;
	enum err_code code = scene_load(s, ch, c->unit, &v, e);

	if (code == ERR_NONE && v.n > 0)
		measures_add(out, ch, &v, RELATION_VALUE, NULL);
	return code;
}

enum err_code measure_value(const struct check *c, const struct scene *s, struct measures *out,
			    struct err *e)
{
	return each(c, s, one_value, out, e);
}

void measure_drop_missing(struct series *v)
{
	size_t i, n = 0;

	for (i = 0; i < v->n; i++)
		if (!isnan(v->v[i])) {
			v->t[n] = v->t[i];
			v->v[n++] = v->v[i];
		}
	v->n = n;
}

/* A channel and its reference, in the check's unit or (share) in the channel's own. */
static enum err_code load_pair(const struct check *c, const struct scene *s,
			       const struct channel *ch, bool share, struct series *v,
			       struct series *reference, struct err *e)
{
	const struct channel *other = scene_partner(c, 1, s, ch);
	const char *unit = share ? (ch->unit != NULL ? ch->unit->name : "") : c->unit;
	enum err_code code = scene_load(s, ch, unit, v, e);

	*reference = (struct series)SERIES_INIT;
	if (code == ERR_NONE)
		code = scene_load(s, other, unit, reference, e);
	if (code != ERR_NONE)
		series_release(v);
	return code;
}

static enum err_code add_pair(struct measures *out, const struct channel *ch, struct series *v,
			      struct series *reference, enum check_relation relation)
{
	measure_drop_missing(v);
	if (v->n > 0)
		measures_add(out, ch, v, relation, reference);
	else if (out->why_not == NULL)
		measures_refuse(out, "%s has no target at its own times", ch->name);
	series_release(v);
	series_release(reference);
	return ERR_NONE;
}

/* sign x (channel - reference), in the check's unit. */
static enum err_code add_miss(const struct check *c, const struct scene *s,
			      const struct channel *ch, double sign, struct measures *out,
			      struct err *e)
{
	struct series v, reference;
	const enum err_code code = load_pair(c, s, ch, false, &v, &reference, e);
	size_t i;

	if (code != ERR_NONE)
		return code;
	for (i = 0; i < v.n; i++)
		v.v[i] = sign * (v.v[i] - series_at(&reference, v.t[i]));
	return add_pair(out, ch, &v, &reference, sign > 0 ? RELATION_ABOVE : RELATION_BELOW);
}

static enum err_code one_over(const struct check *c, const struct scene *s,
			      const struct channel *ch, struct measures *out, struct err *e)
{
	return add_miss(c, s, ch, 1.0, out, e);
}

enum err_code measure_over(const struct check *c, const struct scene *s, struct measures *out,
			   struct err *e)
{
	return each(c, s, one_over, out, e);
}

static enum err_code one_under(const struct check *c, const struct scene *s,
			       const struct channel *ch, struct measures *out, struct err *e)
{
	return add_miss(c, s, ch, -1.0, out, e);
}

enum err_code measure_under(const struct check *c, const struct scene *s, struct measures *out,
			    struct err *e)
{
	return each(c, s, one_under, out, e);
}

static enum err_code one_share_under(const struct check *c, const struct scene *s,
				     const struct channel *ch, struct measures *out,
				     struct err *e)
{
	struct series v, reference;
	const enum err_code code = load_pair(c, s, ch, true, &v, &reference, e);
	size_t i;

	if (code != ERR_NONE)
		return code;
	for (i = 0; i < v.n; i++) {
		const double want = series_at(&reference, v.t[i]);

		v.v[i] = want > 0 ? 100.0 * (want - v.v[i]) / want : NAN;
	}
	return add_pair(out, ch, &v, &reference, RELATION_SHARE_BELOW);
}

enum err_code measure_share_under(const struct check *c, const struct scene *s,
				  struct measures *out, struct err *e)
{
	return each(c, s, one_share_under, out, e);
}

/* The mean of what the series holds in the first half second; its first value at least. */
static double at_start(const struct series *v)
{
	double sum = 0.0;
	size_t i;

	for (i = 0; i < v->n && (i == 0 || v->t[i] <= v->t[0] + START_S); i++)
		sum += v->v[i];
	return sum / (double)i;
}

static enum err_code one_rise(const struct check *c, const struct scene *s,
			      const struct channel *ch, struct measures *out, struct err *e)
{
	struct series v;
	const enum err_code code = scene_load(s, ch, c->unit, &v, e);
	double start;
	size_t i;

	if (code != ERR_NONE || v.n == 0)
		return code;
	start = at_start(&v);
	for (i = 0; i < v.n; i++)
		v.v[i] -= start;
	measures_add(out, ch, &v, RELATION_NONE, NULL);
	return ERR_NONE;
}

enum err_code measure_rise(const struct check *c, const struct scene *s, struct measures *out,
			   struct err *e)
{
	return each(c, s, one_rise, out, e);
}

enum err_code measure_fall(struct series *v, bool share, struct err *e)
{
	const double interval = v->n < 3 ? 0.0 : help_interval(v);
	struct series base = SERIES_INIT;
	double highest = -INFINITY;
	enum err_code code = ERR_NONE;
	size_t i;

	if (v->n == 0)
		return ERR_NONE;
	code = series_from(&base, v->t, v->v, v->n, false, e);
	if (code == ERR_NONE)
		code = measure_smooth(&base, fmax(HIGHEST_S, HIGHEST_INTERVALS * interval), e);
	if (code == ERR_NONE)
		code = measure_smooth(v, fmax(SMOOTH_S, SMOOTH_INTERVALS * interval), e);
	for (i = 0; code == ERR_NONE && i < v->n; i++) {
		highest = fmax(highest, base.v[i]);
		v->v[i] = fmax(highest - v->v[i], 0.0);
		if (share)
			v->v[i] = highest > 0 ? 100.0 * v->v[i] / highest : 0.0;
	}
	series_release(&base);
	return code;
}

static enum err_code one_share_fallen(const struct check *c, const struct scene *s,
				      const struct channel *ch, struct measures *out,
				      struct err *e)
{
	struct series v;
	enum err_code code = scene_load(s, ch, NULL, &v, e);

	(void)c;
	if (code == ERR_NONE)
		code = measure_fall(&v, true, e);
	if (code == ERR_NONE && v.n > 0)
		measures_add(out, ch, &v, RELATION_NONE, NULL);
	series_release(&v);
	return code;
}

enum err_code measure_share_fallen(const struct check *c, const struct scene *s,
				   struct measures *out, struct err *e)
{
	return each(c, s, one_share_fallen, out, e);
}

/* Each window is summed anew: a running sum would carry one absurd value to the end. */
enum err_code measure_smooth(struct series *v, double width_s, struct err *e)
{
	/* The little more keeps a sample that is just at the edge, whatever the rounding. */
	const double half = width_s / 2 * (1 + 1e-9);
	double *mean = mem_try_array(v->n + 1, sizeof *mean);
	size_t low = 0;
	size_t i, k;

	if (mean == NULL)
		return err_set(e, ERR_MEMORY, "not enough memory for %zu samples", v->n);
	for (i = 0; i < v->n; i++) {
		double sum = 0.0;

		while (v->t[low] < v->t[i] - half)
			low++;
		for (k = low; k < v->n && v->t[k] <= v->t[i] + half; k++)
			sum += v->v[k];
		mean[i] = sum / (double)(k - low);
	}
	for (i = 0; i < v->n; i++)
		v->v[i] = mean[i];
	free(mean);
	return ERR_NONE;
}
