/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a pull spools: where boost first reaches a level. */
#include <math.h>

#include "calc/delta.h"

static const struct {
	double level;		/* kPa gauge; 0: by the share */
	double share;
} levels[SPOOL_LINES] = {
	{ 50.0, NAN },
	{ 100.0, NAN },
	{ 0.0, 0.5 },
	{ 0.0, 0.9 },
};

static enum err_code load_boost(const struct run *run, struct series *s, struct err *e)
{
	const struct channel *ch = run->log == NULL ? NULL : datalog_find(run->log, Q_BOOST);

	*s = (struct series)SERIES_INIT;
	if (ch == NULL || ch->unit == NULL || ch->unit->dim != DIM_PRESSURE)
		return ERR_NONE;
	return series_load(s, run->log, ch, run->pull.first, run->pull.last,
			   unit_find("kPa", NULL), e);
}

/* Gauge boost over a run's time axis. */
struct boost {
	struct series series;
	struct profile profile;
};

static enum err_code load(const struct run *run, struct boost *b, struct err *e)
{
	enum err_code code = load_boost(run, &b->series, e);

	b->profile = (struct profile)PROFILE_INIT;
	if (code == ERR_NONE)
		code = profile_build(&b->profile, &b->series, &run->by_time, e);
	return code;
}

static void release(struct boost *b)
{
	series_release(&b->series);
	profile_release(&b->profile);
}

/* Where boost first reaches the level: engine speed, and time on the time axis. */
static void reach(const struct run *run, const struct boost *b, double level, double *rpm,
		  double *seconds)
{
	*seconds = profile_reaches(&b->profile, -INFINITY, level);
	*rpm = axis_map_to_position(&run->by_rpm, axis_map_to_time(&run->by_time, *seconds));
}

static double highest(const struct series *s)
{
	double top = -INFINITY;
	size_t i;

	for (i = 0; i < s->n; i++)
		top = fmax(top, s->v[i]);
	return top;
}

enum err_code spool_compute(const struct overlay *o, struct spool_line out[SPOOL_LINES],
			    size_t *count, struct err *e)
{
	struct boost a = { SERIES_INIT, PROFILE_INIT };
	struct boost b = { SERIES_INIT, PROFILE_INIT };
	enum err_code code = load(&o->a, &a, e);
	size_t i;

	*count = 0;
	if (code == ERR_NONE)
		code = load(&o->b, &b, e);
	for (i = 0; i < SPOOL_LINES && code == ERR_NONE && a.series.n > 0; i++) {
		struct spool_line *line = &out[(*count)++];

		line->share = levels[i].share;
		line->level = isnan(line->share) ? levels[i].level :
			line->share * highest(&a.series);
		reach(&o->a, &a, line->level, &line->rpm_a, &line->seconds_a);
		reach(&o->b, &b, line->level, &line->rpm_b, &line->seconds_b);
	}
	release(&a);
	release(&b);
	return code;
}
