/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a pull begins and ends: the foot, a change of gear, the limiter, the log's end. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/select.h"
#include "judge/ready_case.h"

/* All common practice, no source. */
#define NEAR_S 3.0		/* pulls so close belong to one attempt */
#define AFTER_S 0.6		/* what happens within so long behind the end ended it */
#define GEAR_SHARE 0.10		/* of the ratio: another gear */
#define FALL_SHARE 0.12		/* of engine speed, with the foot down: a change of gear */
#define AT_TOP_SHARE 0.06	/* so near the end's engine speed it bounces on the limiter */
#define STAYS_S 0.15		/* a foot that stays down for so long did not end it */
#define DOWN 0.90		/* of the pedal's highest */

const struct channel *ready_foot(const struct ready_case *c)
{
	const struct channel *pedal = ready_find(c, Q_PEDAL);

	return pedal != NULL ? pedal : ready_find(c, Q_THROTTLE);
}

/* The third highest value of the log: the stop, but for odd samples. */
static enum err_code foot_top(const struct ready_case *c, const struct channel *ch, double *top,
			      struct err *e)
{
	struct series s;
	enum err_code code = series_share(&s, c->log, ch, 0, c->log->rows - 1, NULL, NULL, e);

	*top = NAN;
	if (code != ERR_NONE)
		return code;
	if (s.n > 0)
		*top = select_nth(s.v, s.n, s.n > 3 ? s.n - 3 : s.n - 1, NULL);
	series_release(&s);
	return ERR_NONE;
}

enum err_code ready_foot_load(const struct ready_case *c, double from_s, double to_s,
			      struct series *out, struct err *e)
{
	const struct channel *ch = ready_foot(c);
	enum err_code code;
	double top;
	size_t i;

	*out = (struct series)SERIES_INIT;
	if (ch == NULL)
		return ERR_NONE;
	code = foot_top(c, ch, &top, e);
	if (code == ERR_NONE)
		code = scene_load_span(&c->scene, ch, NULL, from_s, to_s, out, e);
	for (i = 0; code == ERR_NONE && i < out->n; i++)
		out->v[i] /= top;
	return code;
}

/* The pulls next to this one, where hardly any time lies between. */
static void find_neighbours(struct ready_case *c)
{
	const struct pulls *pulls = &c->loaded->pulls;
	const size_t at = c->run->number - 1;
	const struct pull *p = &c->run->pull;
	const size_t section = datalog_section(c->log, p->first);
	const double near = NEAR_S * c->second;

	if (at > 0 && at < pulls->count) {
		const struct pull *q = &pulls->list[at - 1];

		if (p->from_s - q->to_s <= near && datalog_section(c->log, q->first) == section)
			c->before = q;
	}
	if (at + 1 < pulls->count) {
		const struct pull *q = &pulls->list[at + 1];

		if (q->from_s - p->to_s <= near && datalog_section(c->log, q->first) == section)
			c->after = q;
	}
}

/* Engine speed falls from one to the next in a change up. */
static bool other_gear(const struct pull *first, const struct pull *next)
{
	if (!isnan(first->ratio) && !isnan(next->ratio))
		return fabs(next->ratio / first->ratio - 1.0) > GEAR_SHARE;
	if (first->gear > 0 && next->gear > 0)
		return first->gear != next->gear;
	return next->from_rpm < first->to_rpm * (1.0 - FALL_SHARE);
}

/* Lowest and highest of the samples in (from, to]; NaN without any. */
static void extent(const struct series *s, double from, double to, double *low, double *high)
{
	size_t i;

	*low = *high = NAN;
	for (i = series_lower(s, nextafter(from, INFINITY)); i < s->n && s->t[i] <= to; i++) {
		*low = fmin(*low, s->v[i]);
		*high = fmax(*high, s->v[i]);
	}
}

/* What ends it while the foot stays down, until time `until`. */
static enum ready_end end_foot_down(const struct ready_case *c, double until)
{
	const struct pull *p = &c->run->pull;
	double low, high;

	extent(&c->scene.rpm, p->to_s, until, &low, &high);
	if (low < p->to_rpm * (1.0 - FALL_SHARE))
		return END_GEAR;
	if (high < p->to_rpm * (1.0 + AT_TOP_SHARE))
		return END_LIMITER;
	return END_UNKNOWN;
}

/* By the foot's samples behind the pull: it comes up at once, or stays down for a while. */
static enum ready_end end_by_foot(const struct ready_case *c, const struct series *foot,
				  double until)
{
	const double to = c->run->pull.to_s;
	double down = to;
	size_t i;

	for (i = series_lower(foot, nextafter(to, INFINITY)); i < foot->n; i++) {
		if (foot->v[i] < DOWN)
			return down - to >= STAYS_S * c->second ? end_foot_down(c, down) : END_FOOT;
		down = foot->t[i];
	}
	return foot->n == 0 ? END_UNKNOWN : end_foot_down(c, until);
}

static enum err_code find_end(struct ready_case *c, struct err *e)
{
	const struct pull *p = &c->run->pull;
	const double step = c->fast_count > 0 ? c->fast[0].interval_s : c->step_s;
	const double until = p->to_s + fmax(AFTER_S * c->second, 2.5 * step);
	double low, high;
	struct series foot;
	enum err_code code;

	extent(&c->scene.rpm, p->to_s, until, &low, &high);
	if (isnan(low)) {
		c->end = END_LOG;
		return ERR_NONE;
	}
	if (c->after != NULL && other_gear(p, c->after)) {
		c->end = END_GEAR;
		return ERR_NONE;
	}
	code = ready_foot_load(c, nextafter(p->to_s, INFINITY), until, &foot, e);
	if (code != ERR_NONE)
		return code;
	c->end = end_by_foot(c, &foot, until);
	series_release(&foot);
	return ERR_NONE;
}

enum err_code ready_ends(struct ready_case *c, struct err *e)
{
	const struct pull *p = &c->run->pull;

	find_neighbours(c);
	c->begin = END_FOOT;
	if (c->before != NULL && other_gear(c->before, p))
		c->begin = END_GEAR;
	else if (datalog_row_at(c->log, p->from_s) ==
		 c->log->sections[datalog_section(c->log, p->first)].first)
		c->begin = END_LOG;
	return find_end(c, e);
}
