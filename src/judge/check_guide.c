/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Limits as lines in the lane of the channel that they are about. */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "judge/check_judge.h"

#define STEPS 64		/* of a limit that varies with engine speed, over the pull */

static double place(enum check_relation relation, double reference, double limit)
{
	switch (relation) {
	case RELATION_VALUE:
		return limit;
	case RELATION_NEGATED:
		return -limit;
	case RELATION_ABOVE:
		return reference + limit;
	case RELATION_BELOW:
		return reference - limit;
	case RELATION_SHARE_BELOW:
		return reference * (1 - limit / 100);
	case RELATION_NONE:
		break;
	}
	return NAN;
}

static double limit_now(const struct scene *s, const struct limit_line *line, double t)
{
	return limit_at(line, line->n > 1 ? scene_rpm(s, t) : NAN);
}

/* Times at which the line has points: its reference's, or evenly over what is judged. */
static double time_of(const struct measure *m, size_t steps, size_t i)
{
	const struct series *v = &m->value;

	if (m->reference.n > 0)
		return m->reference.t[i];
	return v->t[0] + (v->t[v->n - 1] - v->t[0]) * (double)i / (double)(steps - 1);
}

/* Where nothing is judged there is no limit to draw. */
static bool is_judged(const struct measure *m, double t)
{
	return t >= m->value.t[0] && t <= m->value.t[m->value.n - 1];
}

static enum err_code build(struct series *out, const struct scene *s, const struct measure *m,
			   const struct limit_line *line, struct err *e)
{
	const size_t steps = m->reference.n > 0 ? m->reference.n : line->n > 1 ? STEPS : 2;
	double *t = mem_try_array(steps, sizeof *t);
	double *v = mem_try_array(steps, sizeof *v);
	enum err_code code = ERR_NONE;
	size_t i;

	if (t == NULL || v == NULL) {
		code = err_set(e, ERR_MEMORY, "not enough memory for %zu points", steps);
		goto out;
	}
	for (i = 0; i < steps; i++) {
		t[i] = time_of(m, steps, i);
		v[i] = NAN;
		if (is_judged(m, t[i]))
			v[i] = place(m->relation, m->reference.n > 0 ? m->reference.v[i] : 0.0,
				     limit_now(s, line, t[i]));
	}
	code = series_from(out, t, v, steps, false, e);
out:
	free(t);
	free(v);
	return code;
}

enum err_code check_guide(struct check_report *out, const struct check *c,
			  const struct scene *s, const struct measure *m,
			  const struct limit *limit, struct err *e)
{
	const struct unit *unit = unit_find(c->unit, NULL);
	int level;

	if (m->relation == RELATION_NONE)
		return ERR_NONE;
	/* A share is drawn over the channel's own values, and so are those of no unit. */
	if (m->relation == RELATION_SHARE_BELOW || *c->unit == '\0')
		unit = m->channel->unit;
	for (level = SEVERITY_NOTE; level < SEVERITIES; level++) {
		struct guide g = { c, (enum severity)level, m->channel, SERIES_INIT, unit };
		enum err_code code;

		if (limit->level[level].n == 0)
			continue;
		code = build(&g.line, s, m, &limit->level[level], e);
		if (code != ERR_NONE)
			return code;
		mem_grow(&out->guides, &out->guide_cap, out->guide_count + 1,
			 sizeof *out->guides);
		out->guides[out->guide_count++] = g;
	}
	return ERR_NONE;
}
