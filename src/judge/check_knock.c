/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Knock retard in either sign, and timing against a baseline. */
#include "judge/check_fns.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/select.h"
#include "judge/check_help.h"
#include "judge/measure.h"

#define BOTH_DEG 0.5		/* beyond it on either side a channel has both signs */
#define EDGE_S 1.0		/* the other cylinders are known so far around the pull */
#define LEAST_CYLINDERS 3	/* to tell which of them is odd */
#define SAME_LOAD_KPA 10.0

/* Retard of one channel, above zero. */
struct retard {
	const struct channel *channel;
	struct series v;		/* around the pull: EDGE_S to either side */
	bool negative;			/* as the log has it */
	bool both;			/* the log has both signs in the pull */
};

struct retards {
	struct retard *list;
	size_t count;
};

/* A learned value and a momentary one may be in one channel: the larger is what matters. */
static void set_sign(struct retard *r, const struct scene *s, bool negative)
{
	double highest = 0.0, lowest = 0.0;
	size_t i;

	for (i = 0; i < r->v.n; i++) {
		if (r->v.t[i] < s->from_s || r->v.t[i] > s->to_s)
			continue;
		highest = fmax(highest, r->v.v[i]);
		lowest = fmin(lowest, r->v.v[i]);
	}
	r->both = highest > BOTH_DEG && lowest < -BOTH_DEG;
	r->negative = r->both ? -lowest > highest : negative;
	for (i = 0; r->negative && i < r->v.n; i++)
		r->v.v[i] = -r->v.v[i];
}

static void retards_release(struct retards *r)
{
	size_t i;

	for (i = 0; i < r->count; i++)
		series_release(&r->list[i].v);
	free(r->list);
	*r = (struct retards){ NULL, 0 };
}

/* Is the channel's cylinder in the list already, as from a column that is there twice? */
static bool has_cylinder(const struct retards *r, const struct channel *ch)
{
	size_t i;

	for (i = 0; i < r->count; i++)
		if (r->list[i].channel->index == ch->index)
			return true;
	return false;
}

/* Every knock channel, or (cylinders) one for each known cylinder. */
static enum err_code retards_load(struct retards *r, const struct check *c,
				  const struct scene *s, bool cylinders, struct err *e)
{
	const struct datalog *log = s->run->log;
	enum err_code code = ERR_NONE;
	size_t i;

	*r = (struct retards){ mem_array(log->channel_count, sizeof *r->list), 0 };
	for (i = 0; i < log->channel_count && code == ERR_NONE; i++) {
		const struct channel *ch = &log->channels[i];
		struct retard *new = &r->list[r->count];

		if (ch->quantity->id != Q_KNOCK_RETARD || !scene_has(s, ch))
			continue;
		if (cylinders && (ch->index == 0 || has_cylinder(r, ch)))
			continue;
		*new = (struct retard){ .channel = ch };
		code = scene_load_span(s, ch, c->unit, s->from_s - EDGE_S, s->to_s + EDGE_S,
				       &new->v, e);
		if (code != ERR_NONE || new->v.n == 0)
			continue;
		set_sign(new, s, s->facts.knock_negative);
		r->count++;
	}
	if (code != ERR_NONE)
		retards_release(r);
	return code;
}

static char *say_sign(const struct retard *r)
{
	if (r->both)
		return mem_printf("sign taken as %s: the channel has both in this pull, and "
				  "the larger value counts", r->negative ? "negative" : "positive");
	return r->negative ? mem_strdup("retard is negative in this log") : NULL;
}

/* Takes the series over; an empty one gives no measure. */
static void add(struct measures *out, const struct retard *r, struct series *v,
		enum check_relation relation, char *detail)
{
	if (v->n == 0) {
		free(detail);
		return;
	}
	measures_add(out, r->channel, v, relation, NULL);
	out->list[out->count - 1].detail = detail;
}

/* What a cylinder's sample is worth, given all of them; NaN: nothing. */
typedef double (*worth_fn)(const struct retards *r, size_t which, double t, double *scratch);

static double worth_itself(const struct retards *r, size_t which, double t, double *scratch)
{
	(void)scratch;
	return series_at(&r->list[which].v, t);
}

/* Less the median of the others. */
static double worth_odd(const struct retards *r, size_t which, double t, double *scratch)
{
	size_t i, n = 0;

	for (i = 0; i < r->count; i++) {
		const double other = series_at(&r->list[i].v, t);

		if (i != which && !isnan(other))
			scratch[n++] = other;
	}
	if (n + 1 < LEAST_CYLINDERS)
		return NAN;
	return series_at(&r->list[which].v, t) - select_median(scratch, n);
}

static double worth_least(const struct retards *r, size_t which, double t, double *scratch)
{
	double least = INFINITY;
	size_t i;

	(void)which, (void)scratch;
	for (i = 0; i < r->count; i++) {
		const double retard = series_at(&r->list[i].v, t);

		if (isnan(retard))
			return NAN;
		least = fmin(least, retard);
	}
	return least;
}

/* The worth of the samples of one channel in the pull. */
static enum err_code measure_worth(struct series *out, const struct retards *r, size_t which,
				   const struct scene *s, worth_fn worth, struct err *e)
{
	const struct series *v = &r->list[which].v;
	double *scratch = mem_array(r->count, sizeof *scratch);
	const size_t first = series_lower(v, s->from_s);
	const enum err_code code = series_from(out, v->t + first, v->v + first, v->n - first,
					       v->stepped, e);
	size_t i, n = 0;

	for (i = 0; code == ERR_NONE && i < out->n && out->t[i] <= s->to_s; i++) {
		const double value = worth(r, which, out->t[i], scratch);

		if (isnan(value))
			continue;
		out->t[n] = out->t[i];
		out->v[n++] = value;
	}
	out->n = n;
	free(scratch);
	return code;
}

enum err_code check_knock(const struct check *c, const struct scene *s, struct measures *out,
			  struct err *e)
{
	struct retards r;
	enum err_code code = retards_load(&r, c, s, false, e);
	size_t i;

	for (i = 0; code == ERR_NONE && i < r.count; i++) {
		const struct retard *one = &r.list[i];
		struct series v = SERIES_INIT;

		code = measure_worth(&v, &r, i, s, worth_itself, e);
		if (code == ERR_NONE)
			add(out, one, &v, one->negative ? RELATION_NEGATED : RELATION_VALUE,
			    say_sign(one));
		series_release(&v);
	}
	if (code == ERR_NONE && out->count == 0)
		measures_refuse(out, "the unit of knock retard cannot be converted into %s", c->unit);
	retards_release(&r);
	return code;
}

enum err_code check_knock_odd(const struct check *c, const struct scene *s,
			      struct measures *out, struct err *e)
{
	struct retards r;
	enum err_code code = retards_load(&r, c, s, true, e);
	size_t i;

	if (code == ERR_NONE && r.count < LEAST_CYLINDERS)
		measures_refuse(out, "knock retard of at least %d cylinders is needed, and the pull "
				"has %zu", LEAST_CYLINDERS, r.count);
	for (i = 0; code == ERR_NONE && r.count >= LEAST_CYLINDERS && i < r.count; i++) {
		struct series v = SERIES_INIT;

		code = measure_worth(&v, &r, i, s, worth_odd, e);
		if (code == ERR_NONE)
			add(out, &r.list[i], &v, RELATION_NONE, say_sign(&r.list[i]));
		series_release(&v);
	}
	retards_release(&r);
	return code;
}

enum err_code check_knock_all(const struct check *c, const struct scene *s,
			      struct measures *out, struct err *e)
{
	struct retards r;
	struct series v = SERIES_INIT;
	enum err_code code = retards_load(&r, c, s, true, e);

	if (code != ERR_NONE)
		return code;
	if (r.count < 2) {
		measures_refuse(out, "knock retard of at least two cylinders is needed, and the pull "
				"has %zu", r.count);
		goto out;
	}
	code = measure_worth(&v, &r, 0, s, worth_least, e);
	if (code == ERR_NONE)
		add(out, &r.list[0], &v,
		    r.list[0].negative ? RELATION_NEGATED : RELATION_VALUE,
		    mem_printf("all %zu cylinders", r.count));
out:
	series_release(&v);
	retards_release(&r);
	return code;
}

/* One side of a comparison: a pull's ignition and what tells its load. */
struct side {
	const struct run *run;
	struct series ignition;
	struct series load;	/* kPa; empty where it cannot be compared */
};

/* The first channel of the quantity with samples in the pull that the unit fits. */
static enum err_code load_quantity(const struct run *run, enum quantity_id id, const char *unit,
				   struct series *out, struct err *e)
{
	const struct unit *to = unit_find(unit, NULL);
	enum err_code code = ERR_NONE;
	size_t i;

	*out = (struct series)SERIES_INIT;
	for (i = 0; i < run->log->channel_count && code == ERR_NONE && out->n < 2; i++) {
		const struct channel *ch = &run->log->channels[i];

		if (ch->quantity->id != id || column_kind(ch->column) != COLUMN_NUMBER ||
		    ch->unit == NULL || ch->unit->dim != to->dim)
			continue;
		series_release(out);
		code = series_load(out, run->log, ch, run->pull.first, run->pull.last, to, e);
	}
	return code;
}

static void sides_release(struct side *a, struct side *b)
{
	series_release(&a->ignition);
	series_release(&a->load);
	series_release(&b->ignition);
	series_release(&b->load);
}

/* Both loads by the same quantity, or none. */
static enum err_code sides_load(struct side *a, struct side *b, struct err *e)
{
	static const enum quantity_id loads[] = { Q_MAP, Q_BOOST };
	enum err_code code = load_quantity(a->run, Q_IGNITION, "deg", &a->ignition, e);
	size_t i;

	if (code == ERR_NONE)
		code = load_quantity(b->run, Q_IGNITION, "deg", &b->ignition, e);
	for (i = 0; code == ERR_NONE && i < 2 && (a->load.n == 0 || b->load.n == 0); i++) {
		series_release(&a->load);
		series_release(&b->load);
		code = load_quantity(a->run, loads[i], "kPa", &a->load, e);
		if (code == ERR_NONE)
			code = load_quantity(b->run, loads[i], "kPa", &b->load, e);
	}
	return code;
}

/* The baseline's time at the engine speed that the pull has at t; NaN without one. */
static double same_speed(const struct side *own, const struct side *baseline, double t)
{
	const double rpm = axis_map_to_position(&own->run->by_rpm, t);

	return axis_map_to_time(&baseline->run->by_rpm, rpm);
}

static bool is_same_load(const struct side *own, double t, const struct side *baseline,
			 double there)
{
	return fabs(series_at(&own->load, t) - series_at(&baseline->load, there)) <=
	       SAME_LOAD_KPA;
}

/* From own ignition to how far it is behind; what is compared with goes to reference. */
static void fall_behind(struct side *own, const struct side *baseline, bool loaded,
			struct series *reference)
{
	struct series *v = &own->ignition;
	size_t i, n = 0;

	for (i = 0; i < v->n; i++) {
		const double t = v->t[i];
		const double there = same_speed(own, baseline, t);
		const double before = series_at(&baseline->ignition, there);

		if (isnan(before) || (loaded && !is_same_load(own, t, baseline, there)))
			continue;
		v->t[n] = reference->t[n] = t;
		reference->v[n] = before;
		v->v[n] = before - v->v[i];
		n++;
	}
	v->n = reference->n = n;
}

static enum err_code compare_timing(struct side *own, const struct side *baseline,
				    const struct channel *ch, struct measures *out,
				    struct err *e)
{
	const bool loaded = own->load.n > 0 && baseline->load.n > 0;
	struct series *v = &own->ignition, reference;
	const enum err_code code = series_from(&reference, v->t, v->v, v->n, v->stepped, e);

	if (code != ERR_NONE)
		return code;
	fall_behind(own, baseline, loaded, &reference);
	if (v->n == 0) {
		measures_refuse(out, loaded ? "at no engine speed is the load that of the baseline"
					    : "no engine speed is in the baseline too");
	} else {
		measures_add(out, ch, v, RELATION_BELOW, &reference);
		if (!loaded)
			out->list[out->count - 1].detail =
				mem_strdup("the load was not compared: no manifold pressure in both "
					   "logs");
	}
	series_release(&reference);
	return ERR_NONE;
}

enum err_code check_timing_against(const struct check *c, const struct scene *s,
				   struct measures *out, struct err *e)
{
	struct side own = { .run = s->run }, baseline = { .run = s->baseline };
	enum err_code code;

	if (s->baseline == NULL) {
		measures_refuse(out, "no baseline was given");
		return ERR_NONE;
	}
	code = sides_load(&own, &baseline, e);
	if (code != ERR_NONE)
		goto out;
	if (baseline.ignition.n == 0)
		measures_refuse(out, "the baseline has no ignition timing");
	else if (own.ignition.n == 0)
		measures_refuse(out, "the unit of ignition timing cannot be converted into %s",
				c->unit);
	else
		code = compare_timing(&own, &baseline, scene_need(c, 0, s), out, e);
out:
	sides_release(&own, &baseline);
	return code;
}
