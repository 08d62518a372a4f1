/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Throttle under the foot, misfires counted, and the time against the limiter. */
#include <math.h>
#include <stdlib.h>

#include "base/select.h"
#include "judge/check_fns.h"
#include "judge/check_help.h"
#include "judge/measure.h"

#define FOOT_SHARE 0.95		/* of its highest in the pull: down */
#define OPEN_QUANTILE 0.9	/* of the throttle in the pull: wide open, as this log has it */
#define BEHIND_S 10.0		/* looked at behind the pull */
#define TOP_SHARE 0.94		/* of the highest engine speed: at the top still */
#define BACK_SHARE 0.993	/* of what it was at most: engine speed comes back so far from a cut */
#define FALL_SHARE 0.08		/* of engine speed a second: faster, it is on its way down */
#define HELD_SAMPLES 2		/* at the top behind the end: a single one may be the lift */
#define GO_ON 2			/* samples by which a pull may end too early */
#define GO_ON_SHARE 0.5		/* of the rise: it goes on */
#define GEAR_SHARE 0.03		/* engine speed over road speed: the gear is the same */
#define RISE_S 0.6		/* before the pull's end */
#define RISE_SHARE 0.25		/* of the pull's mean rise: slower is no run into a limiter */

/* Where the foot is: the pedal, or the throttle for want of one. */
struct foot {
	struct series v;	/* of the pull and what is behind it */
	double down;		/* from this value on */
};

/* The q quantile of the channel in the pull; NaN without samples. */
static enum err_code quantile_of(const struct scene *s, const struct channel *ch, double q,
				 double *out, struct err *e)
{
	struct series v;
	const enum err_code code = scene_load(s, ch, NULL, &v, e);

	*out = NAN;
	if (code != ERR_NONE)
		return code;
	*out = select_quantile(v.v, v.n, q);
	series_release(&v);
	return ERR_NONE;
}

static enum err_code foot_load(struct foot *f, const struct scene *s, const struct channel *ch,
			       double quantile, struct err *e)
{
	enum err_code code = quantile_of(s, ch, quantile, &f->down, e);

	f->v = (struct series)SERIES_INIT;
	f->down *= FOOT_SHARE;
	if (code == ERR_NONE)
		code = scene_load_span(s, ch, NULL, s->from_s, s->to_s + BEHIND_S, &f->v, e);
	return code;
}

/*
 * Is the foot down at t?  The samples on both sides must say so: between one that is down
 * and one that is up it may have come up already.
 */
static bool foot_is_down(const struct foot *f, double t)
{
	const size_t next = series_lower(&f->v, t);

	if (next < f->v.n && f->v.v[next] < f->down)
		return false;
	if (next < f->v.n && f->v.t[next] == t)
		return true;
	return next > 0 && f->v.v[next - 1] >= f->down && t - f->v.t[next - 1] <= f->v.hole;
}

enum err_code check_throttle(const struct check *c, const struct scene *s, struct measures *out,
			     struct err *e)
{
	const struct channel *ch = scene_need(c, 0, s);
	struct foot foot;
	struct series v = SERIES_INIT;
	double open;
	enum err_code code = foot_load(&foot, s, scene_need(c, 1, s), 1.0, e);
	size_t i, n = 0;

	if (code == ERR_NONE)
		code = quantile_of(s, ch, OPEN_QUANTILE, &open, e);
	if (code == ERR_NONE)
		code = scene_load(s, ch, NULL, &v, e);
	if (code != ERR_NONE)
		goto out;
	for (i = 0; i < v.n && open > 0; i++)
		if (foot_is_down(&foot, v.t[i])) {
			v.t[n] = v.t[i];
			v.v[n++] = 100.0 * (1.0 - v.v[i] / open);
		}
	v.n = n;
	if (n > 0)
		measures_add(out, ch, &v, RELATION_NONE, NULL);
	else
		measures_refuse(out, "%s has no sample with the pedal down", ch->name);
out:
	series_release(&v);
	series_release(&foot.v);
	return code;
}

enum err_code check_misfires(const struct check *c, const struct scene *s, struct measures *out,
			     struct err *e)
{
	const struct datalog *log = s->run->log;
	size_t i, k;

	for (i = 0; i < log->channel_count; i++) {
		const struct channel *ch = &log->channels[i];
		struct series v;
		double start;
		enum err_code code;

		if (ch->quantity->id != c->needs[0].any[0] || !scene_has(s, ch))
			continue;
		code = scene_load(s, ch, NULL, &v, e);
		if (code != ERR_NONE)
			return code;
		start = v.v[0];
		for (k = 0; k < v.n; k++)
			v.v[k] -= start;
		measures_add(out, ch, &v, RELATION_NONE, NULL);
	}
	return ERR_NONE;
}

/* What tells that the gear is the one of the pull's end; empty where not logged. */
struct gear {
	struct series engaged;
	struct series speed;
	double at_end;
	double ratio_at_end;
};

static enum err_code gear_load(struct gear *g, const struct scene *s, struct err *e)
{
	const struct channel *engaged = help_channel(s, Q_GEAR);
	const struct channel *speed = help_channel(s, Q_SPEED);
	const double to = s->to_s + BEHIND_S;
	enum err_code code = ERR_NONE;

	*g = (struct gear){ SERIES_INIT, SERIES_INIT, NAN, NAN };
	if (engaged != NULL)
		code = scene_load_span(s, engaged, NULL, s->from_s, to, &g->engaged, e);
	if (code == ERR_NONE && speed != NULL)
		code = scene_load_span(s, speed, NULL, s->from_s, to, &g->speed, e);
	g->at_end = series_at(&g->engaged, s->to_s);
	g->ratio_at_end = series_at(&s->rpm, s->to_s) / series_at(&g->speed, s->to_s);
	return code;
}

static void gear_release(struct gear *g)
{
	series_release(&g->engaged);
	series_release(&g->speed);
}

/* What is not known is no change. */
static bool gear_stays(const struct gear *g, double t, double rpm)
{
	const double engaged = series_at(&g->engaged, t);
	const double ratio = rpm / series_at(&g->speed, t);

	if (fabs(engaged - g->at_end) > 0.5)
		return false;
	return !(fabs(ratio / g->ratio_at_end - 1.0) > GEAR_SHARE);
}

/* Rise of engine speed just before the pull's end, rpm a second; NaN where not known. */
static double last_rise(const struct scene *s)
{
	return (series_at(&s->rpm, s->to_s) - series_at(&s->rpm, s->to_s - RISE_S)) / RISE_S;
}

/*
 * Did engine speed rise into something at the end of the pull?  A car at its top speed, or
 * one without power, stays there too, but comes to it ever slower.
 */
static bool ran_into(const struct scene *s)
{
	const struct pull *p = &s->run->pull;
	const double usual = (p->to_rpm - p->from_rpm) / (s->to_s - s->from_s);

	return !(last_rise(s) < RISE_SHARE * usual);
}

/* The pull's last sample; where it `ran` into something that at which it stops rising. */
static size_t find_end(const struct scene *s, bool ran)
{
	const struct series *rpm = &s->rpm;
	const double rise = GO_ON_SHARE * last_rise(s);
	size_t end = series_lower(rpm, s->to_s);
	size_t i;

	if (end > 0 && (end == rpm->n || rpm->t[end] > s->to_s))
		end--;
	for (i = 0; ran && i < GO_ON && end + 1 < rpm->n; i++, end++)
		if (!(rpm->v[end + 1] - rpm->v[end] > rise * (rpm->t[end + 1] - rpm->t[end])))
			break;
	return end;
}

/* The samples from `first` on that are at the top, foot and gear as at the end of the pull. */
static size_t stay_at_top(const struct scene *s, const struct foot *foot, const struct gear *gear,
			  size_t first)
{
	const struct series *rpm = &s->rpm;
	const double least = TOP_SHARE * rpm->v[first];
	size_t i;

	for (i = first + 1; i < rpm->n; i++)
		if (rpm->v[i] < least || rpm->t[i] - rpm->t[i - 1] > rpm->hole ||
		    !foot_is_down(foot, rpm->t[i]) || !gear_stays(gear, rpm->t[i], rpm->v[i]))
			break;
	return i - 1;
}

/*
 * The last sample of first .. last at which engine speed is back at the top and not on its
 * way down; `first` where it does not come back.  A lift or a change of gear lets it fall
 * once and for all.
 */
static size_t last_back(const struct series *rpm, size_t first, size_t last)
{
	double top = 0.0;
	size_t i;

	for (i = first + 1; i <= last; i++)
		top = fmax(top, rpm->v[i]);
	while (last > first && (rpm->v[last] < BACK_SHARE * top ||
				rpm->v[last - 1] - rpm->v[last] >
					FALL_SHARE * top * (rpm->t[last] - rpm->t[last - 1])))
		last--;
	return last < first + HELD_SAMPLES ? first : last;
}

/* All samples from the pull's end to the last at the top, each with the time it took in all. */
static enum err_code add_hold(const struct scene *s, const struct channel *ch, size_t first,
			      size_t last, struct measures *out, struct err *e)
{
	struct series v;
	const enum err_code code = series_from(&v, s->rpm.t + first, s->rpm.v + first,
					       last - first + 1, false, e);
	size_t i;

	if (code != ERR_NONE)
		return code;
	for (i = 0; i < v.n; i++)
		v.v[i] = s->rpm.t[last] - s->rpm.t[first];
	v.hole = s->rpm.hole;
	measures_add(out, ch, &v, RELATION_NONE, NULL);
	return ERR_NONE;
}

/* Pedal or throttle, whichever is logged first of the two; says so where neither is. */
static const struct channel *foot_channel(const struct scene *s, double *quantile,
					  struct measures *out)
{
	const struct channel *pedal = help_channel(s, Q_PEDAL);
	const struct channel *throttle = help_channel(s, Q_THROTTLE);

	if (s->run->log->time_source == TIME_ROWS)
		measures_refuse(out, "the log has no times");
	else if (pedal == NULL && throttle == NULL)
		measures_refuse(out, "neither pedal nor throttle tells how long the foot stays down");
	else if (s->rpm.n == 0)
		measures_refuse(out, "engine speed is not in a unit that is known");
	if (out->why_not != NULL)
		return NULL;
	*quantile = pedal != NULL ? 1.0 : OPEN_QUANTILE;
	return pedal != NULL ? pedal : throttle;
}

enum err_code check_limiter(const struct check *c, const struct scene *s, struct measures *out,
			    struct err *e)
{
	double quantile = 1.0;
	const struct channel *ch = foot_channel(s, &quantile, out);
	struct foot foot;
	struct gear gear = { SERIES_INIT, SERIES_INIT, NAN, NAN };
	enum err_code code;
	size_t first, last;

	if (ch == NULL)
		return ERR_NONE;
	code = foot_load(&foot, s, ch, quantile, e);
	if (code == ERR_NONE)
		code = gear_load(&gear, s, e);
	if (code == ERR_NONE) {
		const bool ran = ran_into(s);

		first = last = find_end(s, ran);
		if (ran)
			last = last_back(&s->rpm, first, stay_at_top(s, &foot, &gear, first));
		code = add_hold(s, scene_need(c, 0, s), first, last, out, e);
	}
	gear_release(&gear);
	series_release(&foot.v);
	return code;
}
