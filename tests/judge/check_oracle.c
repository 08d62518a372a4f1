/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Gates and limits over true values; what the values are is in check_oracle_value.c. */
#include "judge/check_oracle.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "judge/check_oracle_value.h"

#define NOISE_SD 4.0
#define BOOSTED_KPA 30.0
#define BOOST_SLACK_KPA 4.0	/* either way, for a gate that must or may be open */
#define NO_BOOST_S 1.0
#define SPOOL_STAYS_S 0.5
#define SPOOL_DOUBT_S 0.1	/* samples and noise may make it so much longer */
#define SPOOL_SMOOTH_S 0.4

static bool init_gauge(struct oracle *o)
{
	const double *boost = check_truth_of(o->truth, "boost");
	const double *map = check_truth_of(o->truth, "map");
	size_t i;

	if (boost == NULL && map == NULL)
		return false;
	o->gauge = mem_array(o->truth->rows, sizeof *o->gauge);
	for (i = 0; i < o->truth->rows; i++)
		o->gauge[i] = boost != NULL ? boost[i] : map[i] - o->truth->air_kpa;
	return true;
}

static bool in_pull(const struct oracle *o, size_t row)
{
	return o->truth->t[row] >= o->from_s && o->truth->t[row] <= o->to_s;
}

/* Boost around a row, its swing averaged away. */
static double steady_gauge(const struct oracle *o, size_t row)
{
	const double t = o->truth->t[row];
	double sum = 0.0;
	size_t i, n = 0;

	for (i = 0; i < o->truth->rows; i++)
		if (in_pull(o, i) && fabs(o->truth->t[i] - t) <= SPOOL_SMOOTH_S / 2 + 1e-9) {
			sum += o->gauge[i];
			n++;
		}
	return sum / (double)n;
}

static double highest_boost(const struct oracle *o)
{
	double highest = -INFINITY;
	size_t i;

	for (i = 0; i < o->truth->rows; i++)
		if (in_pull(o, i))
			highest = fmax(highest, steady_gauge(o, i));
	return highest;
}

/* 60 % of the way through the pull's engine speeds. */
static double by_speed(const struct oracle *o)
{
	const double *rpm = check_truth_of(o->truth, "rpm");
	double low = INFINITY, high = -INFINITY;
	size_t i;

	for (i = 0; i < o->truth->rows; i++)
		if (in_pull(o, i)) {
			low = fmin(low, rpm[i]);
			high = fmax(high, rpm[i]);
		}
	for (i = 0; i < o->truth->rows; i++)
		if (in_pull(o, i) && rpm[i] >= low + 0.6 * (high - low))
			return o->truth->t[i];
	return o->to_s;
}

/* The first row from which boost stays near its target so long. */
static double spool_by_target(struct oracle *o, const double *target, double shift, double stays)
{
	double since = NAN;
	size_t i;

	for (i = 0; i < o->truth->rows; i++) {
		const double want = target[i] - shift;

		if (!in_pull(o, i))
			continue;
		if (want < 20.0 || steady_gauge(o, i) < want - fmax(5.0, 0.05 * want))
			since = NAN;
		else if (isnan(since))
			since = o->truth->t[i];
		else if (o->truth->t[i] - since > stays)
			break;
		if (isnan(o->near_s))
			o->near_s = since;
	}
	return since;
}

/* As calc/measure.h defines the end of the spool. */
static double spool_end(struct oracle *o)
{
	const double *target = oracle_boost_target(o->truth);
	double end = NAN, highest = INFINITY;
	size_t i;

	if (target != NULL) {
		const double shift = oracle_target_shift(o->truth);

		end = spool_by_target(o, target, shift, SPOOL_STAYS_S);
		o->late_s = spool_by_target(o, target, shift, SPOOL_STAYS_S + SPOOL_DOUBT_S);
	} else {
		highest = highest_boost(o);
	}
	for (i = 0; target == NULL && isnan(end) && i < o->truth->rows; i++)
		if (in_pull(o, i) && steady_gauge(o, i) >= 0.95 * highest)
			end = o->truth->t[i];
	end = isnan(end) ? by_speed(o) : end;
	if (isnan(o->late_s))
		o->late_s = fmax(end, target != NULL ? by_speed(o) : end);
	return end;
}

bool oracle_make(struct oracle *o, enum check_id id, const struct check_truth *t,
		 const struct true_pull *pull, const struct oracle_setup *setup)
{
	const struct oracle_def *def = oracle_def_get(id);

	*o = (struct oracle){
		.id = id, .truth = t, .limits = setup->limits, .from_s = pull->from_s,
		.to_s = pull->to_s, .healthy = def->healthy, .window_s = def->window_s,
		.beyond = def->beyond, .least_hz = def->least_hz, .spooled_s = NAN, .near_s = NAN,
		.late_s = NAN,
		.least_s = fmax(setup->limits->of[id].least_s, def->least_s),
		.band = NOISE_SD * def->noise * setup->noise +
			(setup->coarse ? fmax(def->coarse, def->fine) : def->fine),
	};
	if (init_gauge(o))
		o->spooled_s = spool_end(o);
	o->x = mem_array(t->rows, sizeof *o->x);
	return oracle_values(o, def, pull, setup);
}

void oracle_release(struct oracle *o)
{
	free(o->x);
	free(o->gauge);
	*o = (struct oracle){ .truth = NULL };
}

double oracle_over(const struct oracle *o, size_t row, enum severity severity)
{
	const struct limit_line *line = &o->limits->of[o->id].level[severity];
	const double *rpm = check_truth_of(o->truth, "rpm");
	const double sign = check_get(o->id)->side == CHECK_OVER ? 1.0 : -1.0;

	return sign * (o->x[row] - limit_at(line, rpm[row]));
}

double oracle_excess(const struct oracle *o, size_t row, enum severity severity)
{
	const struct limit_line *line = &o->limits->of[o->id].level[severity];
	const double limit = limit_at(line, check_truth_of(o->truth, "rpm")[row]);
	double distance = fabs(limit - o->healthy);

	if (isnan(o->healthy))
		distance = fabs(limit);
	else if (o->id == CHECK_OIL_PRESSURE)
		distance = o->healthy;	/* its limit goes with engine speed, and so does the pump */
	return oracle_over(o, row, severity) / distance;
}

/*
 * Boost that swings about its target, or falls again after hardly longer than it must stay
 * there: the end of the spool is anyone's guess.  way < 0: the earliest, > 0: the latest.
 */
static double spooled(const struct oracle *o, double way)
{
	if (isnan(o->spooled_s))
		return o->from_s + NO_BOOST_S;
	if (way > 0)
		return fmax(o->late_s, o->spooled_s);
	return way < 0 && o->near_s < o->spooled_s ? o->near_s : o->spooled_s;
}

bool oracle_judged(const struct oracle *o, size_t row, double slack_s)
{
	const struct check *c = check_get(o->id);
	const double t = o->truth->t[row];
	const double way = (slack_s > 0) - (slack_s < 0);
	double from = o->from_s;

	if (isnan(o->x[row]))
		return false;
	if (o->beyond)
		return true;
	if ((c->gates & GATE_SPOOLED) != 0)
		from = spooled(o, way) + c->settle_s + 0.1 * way;
	else if ((c->gates & GATE_SETTLED) != 0)
		from = o->from_s + c->settle_s;
	if (t < from + slack_s - 1e-9 || t > o->to_s - slack_s + 1e-9)
		return false;
	if ((c->gates & GATE_BOOSTED) == 0)
		return true;
	if (o->gauge == NULL)
		return t >= o->from_s + NO_BOOST_S;
	return o->gauge[row] > BOOSTED_KPA + way * BOOST_SLACK_KPA;
}
