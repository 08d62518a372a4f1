/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fuel supply: rail pressure without a target, low-side pressure, injectors. */
#include "judge/check_fns.h"

#include <math.h>

#include "judge/check_help.h"
#include "judge/measure.h"

#define START_S 0.5		/* of the pull: the pressure before the engine drew fuel */

enum err_code check_rail_falls(const struct check *c, const struct scene *s,
			       struct measures *out, struct err *e)
{
	if (help_channel(s, Q_RAIL_TARGET) != NULL) {
		measures_refuse(out, "fuel rail pressure is judged against its target");
		return ERR_NONE;
	}
	return measure_share_fallen(c, s, out, e);
}

/* Takes the manifold's gauge pressure off: the regulator follows it. */
static void take_boost_off(struct series *v, const struct series *boost, const struct unit *unit)
{
	const struct unit *kpa = unit_find("kPa", NULL);
	size_t i, n = 0;

	for (i = 0; i < v->n; i++) {
		const double gauge = unit_convert_delta(series_at(boost, v->t[i]), kpa, unit);

		if (isnan(gauge))
			continue;
		v->t[n] = v->t[i];
		v->v[n++] = v->v[i] - gauge;
	}
	v->n = n;
}

static double mean_at_start(const struct series *v, double from_s)
{
	double sum = 0.0;
	size_t i;

	for (i = 0; i < v->n && (i == 0 || v->t[i] <= from_s + START_S); i++)
		sum += v->v[i];
	return i > 0 ? sum / (double)i : NAN;
}

static enum err_code pressure_of(const struct scene *s, const struct channel *ch,
				 struct measures *out, struct err *e)
{
	const bool follows = !s->direct_injection && s->boost.n > 0;
	struct series v, reference = SERIES_INIT;
	enum err_code code = scene_load(s, ch, NULL, &v, e);
	double start;
	size_t i;

	if (code == ERR_NONE && follows)
		take_boost_off(&v, &s->boost, ch->unit);
	start = mean_at_start(&v, s->from_s);
	if (code == ERR_NONE && !(start > 0)) {
		measures_refuse(out, v.n == 0 ? "the unit of %s does not go with boost's"
					      : "%s is not above zero at the start", ch->name);
		goto out;
	}
	if (code == ERR_NONE)
		code = series_from(&reference, v.t, v.v, v.n, false, e);
	if (code != ERR_NONE)
		goto out;
	for (i = 0; i < v.n; i++) {
		v.v[i] = 100.0 * (start - v.v[i]) / start;
		reference.v[i] = start;
	}
	/* A pressure over another has no line of its own in the channel's lane. */
	measures_add(out, ch, &v, follows ? RELATION_NONE : RELATION_SHARE_BELOW,
		     follows ? NULL : &reference);
out:
	series_release(&v);
	series_release(&reference);
	return code;
}

enum err_code check_fuel_pressure(const struct check *c, const struct scene *s,
				  struct measures *out, struct err *e)
{
	const struct datalog *log = s->run->log;
	enum err_code code = ERR_NONE;
	size_t i;

	(void)c;
	for (i = 0; i < log->channel_count && code == ERR_NONE; i++) {
		const struct channel *ch = &log->channels[i];

		if (ch->quantity->id == Q_FUEL_PRESSURE && scene_has(s, ch))
			code = pressure_of(s, ch, out, e);
	}
	return code;
}

enum err_code check_injector_duty(const struct check *c, const struct scene *s,
				  struct measures *out, struct err *e)
{
	if (s->direct_injection) {
		measures_refuse(out, "direct injection: the window and the rail pressure decide, "
				"not the duty");
		return ERR_NONE;
	}
	return measure_value(c, s, out, e);
}
