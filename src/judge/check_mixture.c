/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The mixture: its trend with engine speed, rich mixture by fuel, trims around the pull. */
#include "judge/check_fns.h"

#include <math.h>
#include <stdlib.h>

#include "base/select.h"
#include "judge/check_help.h"
#include "judge/check_judge.h"
#include "judge/measure.h"

#define SMOOTH_S 0.3
#define LOWEST_S 0.6		/* a spike of richness is not where the mixture was */
#define LOWEST_INTERVALS 4.0	/* nor is one sample of a slow channel: its noise would count */
#define ETHANOL_FROM 50.0	/* per cent: from here on it is ethanol fuel */
#define AROUND_S 8.0		/* trims are looked at so long before and behind the pull */
#define RECOVER_S 1.5		/* behind a lift, until the fuel is trimmed again */
#define LEAST_S 1.5		/* less of closed loop says nothing */
#define TRIM_SMOOTH_S 1.0
#define FOOT_DOWN 0.5		/* of the pedal's highest */
#define FOOT_UP 0.03		/* likewise, over its lowest */
#define OVERRUN_RPM 1500.0
#define FUEL_CUT 1.25		/* lambda: nothing burns */

/* The value at t, or at the nearer end; NaN in a hole. */
static double value_near(const struct series *s, double t)
{
	return series_at(s, fmin(fmax(t, s->t[0]), s->t[s->n - 1]));
}

/* How much more lambda the target allows at t than it did at `then`. */
static double target_rise(const struct series *target, double then, double t)
{
	if (target->n == 0)
		return 0.0;
	return fmax(0.0, value_near(target, t) - value_near(target, then));
}

/*
 * From lambda itself to its rise over what was allowed, which goes into `allowed`: the
 * lowest so far and the target's rise since.  `base` is lambda, smoothed over longer.
 */
static void rise_over_lowest(struct series *v, const struct series *base,
			     const struct series *target, struct series *allowed)
{
	size_t lowest = 0;
	size_t i, n = 0;

	for (i = 0; i < v->n; i++) {
		double most;

		if (base->v[i] < base->v[lowest])
			lowest = i;
		most = base->v[lowest] + target_rise(target, base->t[lowest], v->t[i]);
		if (isnan(most))
			continue;
		v->t[n] = allowed->t[n] = v->t[i];
		allowed->v[n] = most;
		v->v[n++] = v->v[i] - most;
	}
	v->n = allowed->n = n;
}

static enum err_code trend_of(const struct check *c, const struct scene *s,
			      const struct channel *ch, struct measures *out, struct err *e)
{
	static const struct check target_need = { .needs = { { { Q_LAMBDA_TARGET } } } };
	const struct channel *goal = scene_partner(&target_need, 0, s, ch);
	struct series v, base = SERIES_INIT, target = SERIES_INIT, allowed = SERIES_INIT;
	enum err_code code = scene_load(s, ch, c->unit, &v, e);

	if (code == ERR_NONE && goal != NULL)
		code = scene_load(s, goal, c->unit, &target, e);
	/* The lowest must not be of a time when the mixture had not settled. */
	check_gate_apply(c, s, &v);
	if (code != ERR_NONE || v.n == 0)
		goto out;
	code = series_from(&base, v.t, v.v, v.n, false, e);
	if (code == ERR_NONE)
		code = series_from(&allowed, v.t, v.v, v.n, false, e);
	if (code == ERR_NONE)
		code = measure_smooth(&base, fmax(LOWEST_S, LOWEST_INTERVALS * help_interval(&v)),
				      e);
	if (code == ERR_NONE)
		code = measure_smooth(&v, SMOOTH_S, e);
	if (code != ERR_NONE)
		goto out;
	rise_over_lowest(&v, &base, &target, &allowed);
	if (v.n > 0)
		measures_add(out, ch, &v, RELATION_ABOVE, &allowed);
out:
	series_release(&v);
	series_release(&base);
	series_release(&target);
	series_release(&allowed);
	return code;
}

enum err_code check_lean_trend(const struct check *c, const struct scene *s,
			       struct measures *out, struct err *e)
{
	const struct datalog *log = s->run->log;
	enum err_code code = ERR_NONE;
	size_t i;

	for (i = 0; i < log->channel_count && code == ERR_NONE; i++) {
		const struct channel *ch = &log->channels[i];

		if (ch->quantity->id == Q_LAMBDA && scene_has(s, ch))
			code = trend_of(c, s, ch, out, e);
	}
	if (code == ERR_NONE && out->count == 0)
		measures_refuse(out, "no sample of lambda under boost");
	return code;
}

/* Median ethanol content in the pull, in per cent; NaN where it is not known. */
static enum err_code find_ethanol(const struct scene *s, double *content, struct err *e)
{
	const struct channel *ch = help_channel(s, Q_ETHANOL);
	struct series v = SERIES_INIT;
	enum err_code code = ERR_NONE;

	*content = NAN;
	if (ch != NULL)
		code = scene_load(s, ch, "%", &v, e);
	if (code == ERR_NONE)
		*content = select_median(v.v, v.n);
	series_release(&v);
	return code;
}

enum err_code check_rich(const struct check *c, const struct scene *s, struct measures *out,
			 struct err *e)
{
	double content;
	const enum err_code code = find_ethanol(s, &content, e);

	if (code != ERR_NONE)
		return code;
	if (content > ETHANOL_FROM) {
		measures_refuse(out, "ethanol fuel (%.0f %%): judged by its own limit", content);
		return ERR_NONE;
	}
	return measure_value(c, s, out, e);
}

enum err_code check_rich_ethanol(const struct check *c, const struct scene *s,
				 struct measures *out, struct err *e)
{
	double content;
	const enum err_code code = find_ethanol(s, &content, e);

	if (code != ERR_NONE)
		return code;
	if (isnan(content)) {
		measures_refuse(out, "the unit of the ethanol content cannot be converted into %%");
		return ERR_NONE;
	}
	if (!(content > ETHANOL_FROM)) {
		measures_refuse(out, "no ethanol fuel (%.0f %%)", content);
		return ERR_NONE;
	}
	return measure_value(c, s, out, e);
}

/* What tells closed loop from the rest, around the pull. */
struct foot {
	struct series pedal;	/* or the throttle, as far around the pull as it matters */
	struct series lambda;	/* empty where it is not logged */
	double down;		/* the foot is down from here on */
	double up;		/* and fully up to here */
	double from_s;		/* of the time before the pull: behind the lift before it */
	double to_s;		/* of the time behind it: the foot goes down again */
	double lifted_s;	/* the foot comes up behind the pull */
};

/* Between the pull and the next time that the foot is down, either way. */
static void find_borders(struct foot *f, const struct scene *s)
{
	const struct series *p = &f->pedal;
	size_t i = series_lower(p, s->from_s);

	f->from_s = -INFINITY;
	f->to_s = f->lifted_s = INFINITY;
	while (i > 0 && p->v[i - 1] >= f->down)
		i--;
	while (i > 0 && p->v[i - 1] < f->down)
		i--;
	if (i > 0)
		f->from_s = p->t[i - 1] + RECOVER_S;
	for (i = series_lower(p, s->to_s); i < p->n && p->v[i] >= f->down; i++)
		;
	if (i < p->n)
		f->lifted_s = p->t[i];
	while (i < p->n && p->v[i] < f->down)
		i++;
	if (i < p->n)
		f->to_s = p->t[i];
}

/* By the whole log: around the pull the foot need not have come up. */
static void find_scale(struct foot *f, const struct channel *pedal)
{
	double v, lowest = INFINITY, highest = -INFINITY;
	struct column_walk walk;

	column_walk_init(&walk, pedal->column);
	while (column_walk_next(&walk, &v)) {
		lowest = fmin(lowest, v);
		highest = fmax(highest, v);
	}
	f->down = FOOT_DOWN * highest;
	f->up = lowest + FOOT_UP * (highest - lowest);
}

static void foot_release(struct foot *f)
{
	series_release(&f->pedal);
	series_release(&f->lambda);
}

/* Its pedal is empty where neither pedal nor throttle is logged. */
static enum err_code foot_load(struct foot *f, const struct scene *s, struct err *e)
{
	const struct channel *pedal = help_channel(s, Q_PEDAL);
	const struct channel *lambda = help_channel(s, Q_LAMBDA);
	enum err_code code = ERR_NONE;

	*f = (struct foot){ .pedal = SERIES_INIT, .lambda = SERIES_INIT };
	if (pedal == NULL)
		pedal = help_channel(s, Q_THROTTLE);
	if (pedal != NULL)
		code = scene_load_span(s, pedal, NULL, s->from_s - AROUND_S - RECOVER_S,
				       s->to_s + AROUND_S + RECOVER_S, &f->pedal, e);
	if (code == ERR_NONE && lambda != NULL)
		code = scene_load_span(s, lambda, "lambda", s->from_s - AROUND_S,
				       s->to_s + RECOVER_S + AROUND_S, &f->lambda, e);
	if (code != ERR_NONE) {
		foot_release(f);
		return code;
	}
	if (f->pedal.n > 0) {
		find_scale(f, pedal);
		find_borders(f, s);
	}
	return ERR_NONE;
}

/* Is the fuel trimmed at t, as far as can be told? */
static bool is_closed_loop(const struct foot *f, const struct scene *s, double t)
{
	const double pedal = series_at(&f->pedal, t);
	const double rpm = series_at(&s->rpm, t);

	if (t > s->from_s && t < f->lifted_s + RECOVER_S)
		return false;
	if (t < f->from_s || t >= f->to_s || !(pedal < f->down))
		return false;
	if (series_at(&f->lambda, t) > FUEL_CUT)
		return false;
	return pedal > f->up || rpm <= OVERRUN_RPM;
}

static void keep_closed_loop(struct series *v, const struct foot *f, const struct scene *s)
{
	size_t i, n = 0;

	for (i = 0; i < v->n; i++)
		if (is_closed_loop(f, s, v->t[i])) {
			v->t[n] = v->t[i];
			v->v[n++] = v->v[i];
		}
	v->n = n;
}

/* The time that the samples stand for, holes left out. */
static double covered(const struct series *v)
{
	double sum = 0.0;
	size_t i;

	for (i = 1; i < v->n; i++)
		if (v->t[i] - v->t[i - 1] <= v->hole)
			sum += v->t[i] - v->t[i - 1];
	return sum;
}

/* The trim of a bank; one without a number is of all. */
static const struct channel *trim_of(const struct scene *s, enum quantity_id id, int bank)
{
	const struct datalog *log = s->run->log;
	size_t i;

	for (i = 0; i < log->channel_count; i++) {
		const struct channel *ch = &log->channels[i];

		if (ch->quantity->id == id && scene_has(s, ch) &&
		    (ch->index == bank || ch->index == 0 || bank == 0))
			return ch;
	}
	return NULL;
}

static enum err_code load_trim(const struct check *c, const struct scene *s,
			       const struct channel *ch, struct series *out, struct err *e)
{
	return scene_load_span(s, ch, c->unit, s->from_s - AROUND_S,
			       s->to_s + RECOVER_S + AROUND_S, out, e);
}

/* `other` (NULL: none) is added at the times of the first. */
static enum err_code add_trims(const struct check *c, const struct scene *s,
			       const struct foot *f, const struct channel *ch,
			       const struct channel *other, struct measures *out, struct err *e)
{
	struct series v, more = SERIES_INIT;
	enum err_code code = load_trim(c, s, ch, &v, e);
	size_t i;

	if (code == ERR_NONE && other != NULL)
		code = load_trim(c, s, other, &more, e);
	if (code != ERR_NONE)
		goto out;
	keep_closed_loop(&v, f, s);
	code = measure_smooth(&v, TRIM_SMOOTH_S, e);
	if (code != ERR_NONE || covered(&v) < LEAST_S)
		goto out;
	for (i = 0; i < v.n; i++) {
		const double added = more.n > 0 ? value_near(&more, v.t[i]) : 0.0;

		v.v[i] = fabs(v.v[i] + (isnan(added) ? 0.0 : added));
	}
	measures_add(out, ch, &v, RELATION_NONE, NULL);
out:
	series_release(&v);
	series_release(&more);
	return code;
}

enum err_code check_trims(const struct check *c, const struct scene *s, struct measures *out,
			  struct err *e)
{
	const struct datalog *log = s->run->log;
	struct foot f;
	enum err_code code = foot_load(&f, s, e);
	size_t i;

	if (code != ERR_NONE)
		return code;
	if (f.pedal.n == 0)
		measures_refuse(out, "neither pedal nor throttle tells where the engine ran on "
				"closed loop");
	for (i = 0; i < log->channel_count && code == ERR_NONE && f.pedal.n > 0; i++) {
		const struct channel *ch = &log->channels[i];
		const struct channel *longs = NULL;

		if (!scene_has(s, ch))
			continue;
		if (ch->quantity->id == Q_TRIM_SHORT)
			longs = trim_of(s, Q_TRIM_LONG, ch->index);
		else if (ch->quantity->id != Q_TRIM_LONG ||
			 trim_of(s, Q_TRIM_SHORT, ch->index) != NULL)
			continue;
		code = add_trims(c, s, &f, ch, longs, out, e);
	}
	if (code == ERR_NONE && out->count == 0 && out->why_not == NULL)
		measures_refuse(out, "less than %.1f s of closed loop before and behind the pull",
				LEAST_S);
	foot_release(&f);
	return code;
}
