/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See check_still.h. */
#include "judge/check_still.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/select.h"
#include "judge/check_help.h"
#include "judge/measure.h"

#define DEAD_S 1.0
#define DEAD_SAMPLES 8
#define DEAD_STEP 6e-4		/* of the level: finer than any control */
#define DEAD_RPM_RISE 1.5
#define RPM_RISE 1.35		/* no live air flow stays the same over so much engine speed */
#define FLATTEST 0.3		/* of a parabola: times the square of the share off its top */
#define HIDDEN_STEPS 3.0	/* a change of so many steps, or of twice that in noises, shows */
#define NEAR_TARGET_KPA 5.0
#define WITNESS_BEFORE_S 5.0	/* before the pull: the two pressures are compared there, too */
#define WITNESS_SAMPLES 4
#define WITNESS_KPA 4.0		/* two sensors, or a throttle between them, differ by less */
#define WITNESS_SD 5.0

bool still_is_dead(const struct still *s)
{
	size_t i, n = 0;

	for (i = s->at.first; i <= s->at.last; i++)
		n += fabs(s->v->v[i] - s->level) <= 0.5 * s->step;
	return s->step <= DEAD_STEP * fabs(s->level) && n >= DEAD_SAMPLES &&
	       n + 1 >= s->at.last - s->at.first + 1 && stretch_length(s->v, &s->at) >= DEAD_S;
}

bool still_outlasts_control(const struct still *s)
{
	const double from = scene_rpm(s->scene, s->v->t[s->at.first]);
	const double to = scene_rpm(s->scene, s->v->t[s->at.last]);

	return still_is_dead(s) && from > 0 && to >= DEAD_RPM_RISE * from;
}

bool still_outlasts_flow(const struct still *s)
{
	const double from = scene_rpm(s->scene, s->v->t[s->at.first]);
	const double to = scene_rpm(s->scene, s->v->t[s->at.last]);
	const double off = (to / from - 1.0) / 2;	/* at the ends of a top in the middle */

	if (!(from > 0))
		return false;
	return to >= RPM_RISE * from ||
	       (off > 0 && FLATTEST * s->level * off * off >= HIDDEN_STEPS * fmax(s->step, 2 * s->noise));
}

static bool is_within(const struct still *s, double t)
{
	return t >= s->v->t[s->at.first] && t <= s->v->t[s->at.last];
}

/* Manifold pressure less boost, where that is the air outside: not in the stretch. */
static double air_between(const struct still *s, const struct series *boost,
			  const struct series *map, double *scratch)
{
	size_t i, n = 0;

	for (i = 0; i < boost->n; i++) {
		const double p = series_at(map, boost->t[i]);

		if (!is_within(s, boost->t[i]) && p < s->level - 4 * s->noise - s->step)
			scratch[n++] = p - boost->v[i];
	}
	return n >= WITNESS_SAMPLES ? select_median(scratch, n) : NAN;
}

/* How far boost and the air outside are over the level in the stretch, and surely so. */
static bool speaks(const struct still *s, const struct series *boost, double air)
{
	double sum = 0.0, squares = 0.0, mean, variance;
	size_t i, n = 0;

	for (i = 0; i < boost->n; i++) {
		const double over = boost->v[i] + air - s->level;

		if (!is_within(s, boost->t[i]))
			continue;
		sum += over;
		squares += over * over;
		n++;
	}
	if (n < WITNESS_SAMPLES)
		return false;
	mean = sum / (double)n;
	variance = fmax(squares / (double)n - mean * mean, 0.0) + s->step * s->step;
	return mean >= WITNESS_KPA && mean >= WITNESS_SD * sqrt(variance / (double)n);
}

enum err_code still_find_witness(const struct still *s, bool *yes, struct err *e)
{
	const struct channel *gauge = help_channel(s->scene, Q_BOOST);
	const struct channel *absolute = help_channel(s->scene, Q_MAP);
	const double from = s->scene->from_s - WITNESS_BEFORE_S, to = s->scene->to_s;
	struct series boost = SERIES_INIT, map = SERIES_INIT;
	double *scratch = NULL;
	enum err_code code = ERR_NONE;

	*yes = false;
	if (gauge == NULL || gauge->derived || absolute == NULL)
		return ERR_NONE;
	code = scene_load_span(s->scene, gauge, "kPa", from, to, &boost, e);
	if (code == ERR_NONE)
		code = scene_load_span(s->scene, absolute, "kPa", from, to, &map, e);
	if (code == ERR_NONE && boost.n > 0 && map.n > 0) {
		scratch = mem_array(boost.n, sizeof *scratch);
		*yes = speaks(s, &boost, air_between(s, &boost, &map, scratch));
	}
	free(scratch);
	series_release(&boost);
	series_release(&map);
	return code;
}

/* Of the air outside: logged, or between the two pressures where the stretch is not. */
static enum err_code find_air(const struct still *s, double *air, struct err *e)
{
	const struct channel *baro = help_channel(s->scene, Q_BARO);
	const struct channel *boost = help_channel(s->scene, Q_BOOST);
	const struct channel *use = baro != NULL ? baro : boost;
	struct series v = SERIES_INIT;
	enum err_code code = ERR_NONE;
	size_t i, n = 0;

	*air = SCENE_AIR_KPA;
	if (use == NULL)
		return ERR_NONE;
	code = scene_load(s->scene, use, "kPa", &v, e);
	for (i = 0; code == ERR_NONE && i < v.n; i++) {
		const bool outside = !is_within(s, v.t[i]);
		const double map = series_at(s->v, v.t[i]);

		if (baro != NULL)
			v.v[n++] = v.v[i];
		else if (outside && !isnan(map))
			v.v[n++] = map - v.v[i];
	}
	if (code == ERR_NONE && n > 0)
		*air = select_median(v.v, n);
	series_release(&v);
	return code;
}

enum err_code still_find_control(const struct still *s, bool *yes, struct err *e)
{
	const struct channel *absolute = help_channel(s->scene, Q_MAP_TARGET);
	const struct channel *gauge = help_channel(s->scene, Q_BOOST_TARGET);
	const struct channel *use = absolute != NULL ? absolute : gauge;
	struct series target = SERIES_INIT;
	double air = 0.0;
	enum err_code code = ERR_NONE;
	size_t i, near = 0;

	*yes = false;
	if (use == NULL)
		return ERR_NONE;
	if (absolute == NULL)
		code = find_air(s, &air, e);
	if (code == ERR_NONE)
		code = scene_load(s->scene, use, "kPa", &target, e);
	for (i = s->at.first; code == ERR_NONE && i <= s->at.last; i++)
		near += fabs(s->v->v[i] - air - series_at(&target, s->v->t[i])) <=
			NEAR_TARGET_KPA;
	*yes = 2 * near > s->at.last - s->at.first + 1;
	series_release(&target);
	return code;
}
