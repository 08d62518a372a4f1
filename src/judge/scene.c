/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One pull as the checks see it. */
#include <math.h>

#include "base/search.h"
#include "judge/measure.h"

#define AROUND_S 10.0		/* engine speed is kept so far around the pull */
#define SPOOL_NEAR_KPA 5.0
#define SPOOL_NEAR_SHARE 0.05
#define SPOOL_LEAST_KPA 20.0	/* a target below is no boost asked for */
#define SPOOL_STAYS_S 0.5
#define SPOOL_SMOOTH_S 0.4	/* a period of the quickest swing that boost control makes */
#define SPOOL_OPEN_SHARE 0.95
#define NO_FIRE_LAMBDA 1.25	/* common practice, no source */
#define CUT_RISE_S 0.3
#define CUT_RISE 0.02		/* lambda, from sample to sample */
#define SPOOL_GIVEN_UP 0.6	/* of the pull's engine speeds */

/* Retard is below zero where that outweighs, over all channels of it. */
static bool is_knock_negative(const struct datalog *log)
{
	double v, sum = 0.0;
	struct column_walk walk;
	size_t i;

	for (i = 0; i < log->channel_count; i++) {
		const struct channel *ch = &log->channels[i];

		if (ch->quantity->id != Q_KNOCK_RETARD || column_kind(ch->column) != COLUMN_NUMBER)
			continue;
		column_walk_init(&walk, ch->column);
		while (column_walk_next(&walk, &v))
			sum += isfinite(v) ? v : 0.0;
	}
	return sum < 0;
}

struct log_facts log_facts_find(const struct datalog *log)
{
	return (struct log_facts){ .knock_negative = is_knock_negative(log) };
}

bool scene_wants(const struct check *c, size_t need, const struct channel *ch)
{
	size_t i;

	for (i = 0; i < CHECK_ANY; i++)
		if (ch->quantity->id != Q_NONE && ch->quantity->id == c->needs[need].any[i])
			return true;
	return false;
}

bool scene_has(const struct scene *s, const struct channel *ch)
{
	size_t found = 0;
	size_t row;

	if (ch == NULL || column_kind(ch->column) != COLUMN_NUMBER)
		return false;
	for (row = s->run->pull.first; row <= s->run->pull.last && found < 2; row++)
		found += !isnan(column_at(ch->column, row));
	return found == 2;
}

const struct channel *scene_need(const struct check *c, size_t need, const struct scene *s)
{
	const struct datalog *log = s->run->log;
	size_t i, k;

	for (k = 0; k < CHECK_ANY && c->needs[need].any[k] != Q_NONE; k++)
		for (i = 0; i < log->channel_count; i++) {
			const struct channel *ch = &log->channels[i];

			if (ch->quantity->id == c->needs[need].any[k] && scene_has(s, ch))
				return ch;
		}
	return NULL;
}

const struct channel *scene_partner(const struct check *c, size_t need, const struct scene *s,
				    const struct channel *ch)
{
	const struct datalog *log = s->run->log;
	size_t i;

	for (i = 0; i < log->channel_count; i++) {
		const struct channel *other = &log->channels[i];

		if (other->index == ch->index && scene_wants(c, need, other) &&
		    scene_has(s, other))
			return other;
	}
	return scene_need(c, need, s);
}

/* The rows of the section that holds the pull. */
static void section_rows(const struct run *run, size_t *first, size_t *last)
{
	const struct datalog *log = run->log;
	const size_t at = datalog_section(log, run->pull.first);

	*first = log->sections[at].first;
	*last = at + 1 < log->section_count ? log->sections[at + 1].first - 1 : log->rows - 1;
}

static enum err_code load_rows(const struct scene *s, const struct channel *ch, const char *unit,
			       size_t first, size_t last, struct series *out, struct err *e)
{
	const struct unit *to = unit != NULL && *unit != '\0' ? unit_find(unit, NULL) : NULL;

	*out = (struct series)SERIES_INIT;
	if (to != NULL && (ch->unit == NULL || ch->unit->dim != to->dim))
		return ERR_NONE;
	return series_load(out, s->run->log, ch, first, last, to, e);
}

enum err_code scene_load_span(const struct scene *s, const struct channel *ch, const char *unit,
			      double from_s, double to_s, struct series *out, struct err *e)
{
	size_t first, last;
	size_t low = search_lower(s->run->log->time, s->run->log->rows, from_s);
	size_t high = datalog_row_at(s->run->log, to_s);

	section_rows(s->run, &first, &last);
	low = low < first ? first : low;
	*out = (struct series)SERIES_INIT;
	if (high == s->run->log->rows)
		return ERR_NONE;
	high = high > last ? last : high;
	if (low > high)
		return ERR_NONE;
	return load_rows(s, ch, unit, low, high, out, e);
}

enum err_code scene_load(const struct scene *s, const struct channel *ch, const char *unit,
			 struct series *out, struct err *e)
{
	return load_rows(s, ch, unit, s->run->pull.first, s->run->pull.last, out, e);
}

double scene_spool_end(const struct scene *s)
{
	return isnan(s->spooled_s) ? s->from_s + SCENE_NO_BOOST_S : s->spooled_s;
}

double scene_rpm(const struct scene *s, double t)
{
	const double rpm = axis_map_to_position(&s->run->by_rpm, t);

	return isnan(rpm) ? series_at(&s->rpm, t) : rpm;
}

/* Loads the first channel of a quantity; empty where there is none. */
static enum err_code load_first(const struct scene *s, enum quantity_id id, const char *unit,
				struct series *out, struct err *e)
{
	const struct datalog *log = s->run->log;
	size_t i;

	*out = (struct series)SERIES_INIT;
	for (i = 0; i < log->channel_count; i++) {
		const struct channel *ch = &log->channels[i];
		enum err_code code;

		if (ch->quantity->id != id || !scene_has(s, ch))
			continue;
		code = scene_load(s, ch, unit, out, e);
		if (code != ERR_NONE || out->n > 0)
			return code;
	}
	return ERR_NONE;
}

static enum err_code load_boost(struct scene *s, struct err *e)
{
	enum err_code code = load_first(s, Q_BOOST, "kPa", &s->boost, e);
	size_t i;

	if (code != ERR_NONE || s->boost.n > 0)
		return code;
	code = load_first(s, Q_MAP, "kPa", &s->boost, e);
	for (i = 0; i < s->boost.n; i++)
		s->boost.v[i] -= SCENE_AIR_KPA;
	return code;
}

/* The target of s->boost, gauge like it. */
static enum err_code load_target(const struct scene *s, struct series *target, struct err *e)
{
	enum err_code code = load_first(s, Q_BOOST_TARGET, "kPa", target, e);
	size_t i;

	if (code != ERR_NONE || target->n > 0)
		return code;
	code = load_first(s, Q_MAP_TARGET, "kPa", target, e);
	for (i = 0; i < target->n; i++)
		target->v[i] -= SCENE_AIR_KPA;
	return code;
}

static bool is_near(double boost, double target)
{
	const double share = SPOOL_NEAR_SHARE * target;

	return target > SPOOL_LEAST_KPA &&
	       boost >= target - (share > SPOOL_NEAR_KPA ? share : SPOOL_NEAR_KPA);
}

/*
 * The first sample from which boost, of which the swing is smoothed away, stays near its
 * target; NaN when there is none.
 */
static double spool_by_target(const struct series *boost, const struct series *target)
{
	double since = NAN;
	size_t i;

	for (i = 0; i < boost->n; i++) {
		const double want = series_at(target, boost->t[i]);

		if (isnan(want))
			continue;
		if (!is_near(boost->v[i], want))
			since = NAN;
		else if (isnan(since))
			since = boost->t[i];
		else if (boost->t[i] - since >= SPOOL_STAYS_S)
			return since;
	}
	return since;
}

/* NaN where there is hardly any boost. */
static double spool_by_highest(const struct series *boost)
{
	double highest = boost->v[0];
	size_t i;

	for (i = 0; i < boost->n; i++)
		highest = boost->v[i] > highest ? boost->v[i] : highest;
	if (highest < SPOOL_LEAST_KPA)
		return NAN;
	for (i = 0; boost->v[i] < SPOOL_OPEN_SHARE * highest; i++)
		;
	return boost->t[i];
}

/* Where the pull has run through a share of its engine speeds. */
static double time_of_share(const struct scene *s, double share)
{
	const struct axis_map *map = &s->run->by_rpm;
	const double from = axis_map_from(map);
	const double t = axis_map_to_time(map, from + share * (axis_map_to(map) - from));

	return isnan(t) ? s->from_s + share * (s->to_s - s->from_s) : t;
}

static enum err_code find_spool(struct scene *s, struct err *e)
{
	struct series target = SERIES_INIT, steady = SERIES_INIT;
	enum err_code code;

	s->spooled_s = NAN;
	if (s->boost.n == 0)
		return ERR_NONE;
	code = load_target(s, &target, e);
	if (code == ERR_NONE)
		code = series_from(&steady, s->boost.t, s->boost.v, s->boost.n, false, e);
	if (code == ERR_NONE)
		code = measure_smooth(&steady, SPOOL_SMOOTH_S, e);
	if (code == ERR_NONE)
		s->spooled_s = target.n > 0 ? spool_by_target(&steady, &target)
					    : spool_by_highest(&steady);
	if (isnan(s->spooled_s))
		s->spooled_s = time_of_share(s, SPOOL_GIVEN_UP);
	series_release(&steady);
	series_release(&target);
	return code;
}

/*
 * Where the limiter, or a lift, has cut the fuel before the pull ends: from there to the end
 * lambda is too high for anything to burn.  The rise to it, through whatever the sensor
 * shows on its way, belongs to it.
 */
static enum err_code find_cut(struct scene *s, struct err *e)
{
	struct series v;
	const enum err_code code = load_first(s, Q_LAMBDA, "lambda", &v, e);
	size_t i = v.n;

	while (code == ERR_NONE && i > 0 && v.v[i - 1] >= NO_FIRE_LAMBDA)
		i--;
	if (code == ERR_NONE && i < v.n) {
		const double at = v.t[i];

		while (i > 0 && at - v.t[i - 1] <= CUT_RISE_S && v.v[i] > v.v[i - 1] + CUT_RISE)
			i--;
		s->cut_s = v.t[i];
	}
	series_release(&v);
	return code;
}

enum err_code scene_init(struct scene *s, const struct run *run, const struct run *baseline,
			 const struct car *car, struct log_facts facts, struct err *e)
{
	const struct channel *rpm = datalog_find(run->log, Q_RPM);
	enum err_code code = ERR_NONE;

	*s = (struct scene){
		.run = run, .baseline = baseline, .car = car, .facts = facts,
		.from_s = run->pull.from_s, .to_s = run->pull.to_s, .spooled_s = NAN,
		.cut_s = INFINITY,
		.boost = SERIES_INIT, .rpm = SERIES_INIT,
	};
	s->direct_injection = car->injection == INJECTION_DIRECT ||
			      (car->injection == INJECTION_UNKNOWN &&
			       datalog_find(run->log, Q_RAIL_PRESSURE) != NULL);
	if (rpm != NULL)
		code = scene_load_span(s, rpm, "rpm", s->from_s - AROUND_S, s->to_s + AROUND_S,
				       &s->rpm, e);
	if (code == ERR_NONE)
		code = load_boost(s, e);
	if (code == ERR_NONE)
		code = find_spool(s, e);
	if (code == ERR_NONE)
		code = find_cut(s, e);
	if (code != ERR_NONE)
		scene_release(s);
	return code;
}

void scene_release(struct scene *s)
{
	series_release(&s->boost);
	series_release(&s->rpm);
}
