/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Boost against its target, and the wastegate that holds it there. */
#include "judge/check_boost.h"

#include <math.h>

#include "judge/check_fns.h"
#include "judge/check_help.h"

#define OVERSHOOT_S 1.0		/* behind the spool: what comes later is no overshoot */
#define SMOOTH_S 0.3
#define GUESS_FACTOR 5.0
#define SHORT_KPA 5.0		/* below its target by more: the wastegate has work to do */

static bool is_guessed(const struct channel *ch)
{
	return !ch->derived && *ch->raw_unit == '\0';
}

/*
 * A unit that the log does not give was guessed from the values: bar or MPa?  Then boost and
 * target that are far apart say that the guess is wrong.
 */
static bool units_fit(const struct boost_pair *p, const struct channel *target)
{
	const double a = help_highest(&p->actual), b = help_highest(&p->target);

	if (!is_guessed(p->channel) && !is_guessed(target))
		return true;
	return a < GUESS_FACTOR * b && b < GUESS_FACTOR * a;
}

static enum err_code load_two(struct boost_pair *p, const struct scene *s, enum quantity_id actual,
			      enum quantity_id target, struct err *e)
{
	const struct channel *a = help_channel(s, actual);
	const struct channel *b = help_channel(s, target);
	enum err_code code;

	if (a == NULL || b == NULL)
		return ERR_NONE;
	code = scene_load(s, a, "kPa", &p->actual, e);
	if (code == ERR_NONE)
		code = scene_load(s, b, "kPa", &p->target, e);
	p->channel = a;
	if (code != ERR_NONE || p->actual.n == 0 || p->target.n == 0 || !units_fit(p, b))
		boost_pair_release(p);
	return code;
}

enum err_code boost_pair_load(struct boost_pair *p, const struct scene *s, struct err *e)
{
	enum err_code code;

	*p = (struct boost_pair){ NULL, SERIES_INIT, SERIES_INIT };
	code = load_two(p, s, Q_BOOST, Q_BOOST_TARGET, e);
	if (code == ERR_NONE && p->channel == NULL)
		code = load_two(p, s, Q_MAP, Q_MAP_TARGET, e);
	return code;
}

void boost_pair_release(struct boost_pair *p)
{
	series_release(&p->actual);
	series_release(&p->target);
	p->channel = NULL;
}

/* Says what is missing where boost and its target are there, but not as a pair. */
static void refuse_pair(const struct scene *s, struct measures *out)
{
	const bool gauge = help_channel(s, Q_BOOST) != NULL;
	const bool gauge_target = help_channel(s, Q_BOOST_TARGET) != NULL;

	if (gauge && !gauge_target)
		measures_refuse(out, "boost is gauge and its target absolute, and barometric pressure "
				"is missing");
	else if (!gauge && gauge_target)
		measures_refuse(out, "boost is absolute and its target gauge, and barometric pressure "
				"is missing");
	else
		measures_refuse(out, "the units of boost and its target do not fit each other");
}

/* Leaves the samples from .. to that have a value; the series may become empty. */
static void keep(struct series *v, double from_s, double to_s)
{
	size_t i, n = 0;

	for (i = 0; i < v->n; i++) {
		if (isnan(v->v[i]) || v->t[i] < from_s || v->t[i] > to_s)
			continue;
		v->t[n] = v->t[i];
		v->v[n++] = v->v[i];
	}
	v->n = n;
}

/* sign x (actual - target) at the samples from .. to of the actual. */
static enum err_code measure_miss(const struct scene *s, double sign, double from_s, double to_s,
				  struct measures *out, struct err *e)
{
	struct boost_pair p;
	const enum err_code code = boost_pair_load(&p, s, e);
	size_t i;

	if (code != ERR_NONE)
		return code;
	if (p.channel == NULL) {
		refuse_pair(s, out);
		return ERR_NONE;
	}
	for (i = 0; i < p.actual.n; i++)
		p.actual.v[i] = sign * (p.actual.v[i] - series_at(&p.target, p.actual.t[i]));
	keep(&p.actual, from_s, to_s);
	if (p.actual.n > 0)
		measures_add(out, p.channel, &p.actual, sign > 0 ? RELATION_ABOVE : RELATION_BELOW,
			     &p.target);
	else
		measures_refuse(out, "%s has no sample there that its target covers",
				p.channel->name);
	boost_pair_release(&p);
	return ERR_NONE;
}

enum err_code check_boost_over(const struct check *c, const struct scene *s, struct measures *out,
			       struct err *e)
{
	(void)c;
	return measure_miss(s, 1.0, -INFINITY, INFINITY, out, e);
}

enum err_code check_boost_under(const struct check *c, const struct scene *s,
				struct measures *out, struct err *e)
{
	(void)c;
	return measure_miss(s, -1.0, -INFINITY, INFINITY, out, e);
}

enum err_code check_boost_overshoot(const struct check *c, const struct scene *s,
				    struct measures *out, struct err *e)
{
	(void)c;
	if (isnan(s->spooled_s)) {
		measures_refuse(out, "there is no boost and so no spool");
		return ERR_NONE;
	}
	return measure_miss(s, 1.0, s->spooled_s, s->spooled_s + OVERSHOOT_S, out, e);
}

enum err_code check_boost_falls(const struct check *c, const struct scene *s,
				struct measures *out, struct err *e)
{
	const struct channel *ch = scene_need(c, 0, s);
	struct boost_pair p;
	struct series v = SERIES_INIT;
	enum err_code code = boost_pair_load(&p, s, e);

	if (code == ERR_NONE && p.channel != NULL) {
		measures_refuse(out, "boost is judged against its target");
		goto out;
	}
	if (code == ERR_NONE)
		code = scene_load(s, ch, c->unit, &v, e);
	if (code == ERR_NONE)
		code = measure_fall(&v, false, e);
	if (code != ERR_NONE)
		goto out;
	if (v.n > 0)
		measures_add(out, ch, &v, RELATION_NONE, NULL);
	else
		measures_refuse(out, "the unit of %s cannot be converted into %s", ch->name, c->unit);
out:
	series_release(&v);
	boost_pair_release(&p);
	return code;
}

/*
 * The drive where boost is short of its target, and 0 where it is not: a wastegate at its stop
 * while boost is on target holds it there yet.  (Samples left out instead would turn a pull
 * that is always on target into one that was not checked.)
 */
enum err_code check_wastegate_stop(const struct check *c, const struct scene *s,
				   struct measures *out, struct err *e)
{
	const struct channel *ch = scene_need(c, 0, s);
	struct boost_pair p;
	struct series v = SERIES_INIT;
	enum err_code code = boost_pair_load(&p, s, e);
	size_t i;

	if (code == ERR_NONE)
		code = scene_load(s, ch, c->unit, &v, e);
	if (code == ERR_NONE && v.n == 0) {
		measures_refuse(out, "%s is not in per cent", ch->name);
		goto out;
	}
	if (code == ERR_NONE && p.channel != NULL)
		code = measure_smooth(&p.actual, SMOOTH_S, e);
	if (code != ERR_NONE)
		goto out;
	for (i = 0; i < v.n && p.channel != NULL; i++) {
		const double miss = series_at(&p.target, v.t[i]) - series_at(&p.actual, v.t[i]);

		v.v[i] = isnan(miss) ? NAN : miss > SHORT_KPA ? v.v[i] : 0.0;
	}
	measure_drop_missing(&v);
	if (v.n > 0)
		measures_add(out, ch, &v, RELATION_VALUE, NULL);
	else
		measures_refuse(out, "%s has no sample where boost and its target are known",
				ch->name);
out:
	series_release(&v);
	boost_pair_release(&p);
	return code;
}
