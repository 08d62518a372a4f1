/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Dips of acceleration, seen by engine speed alone.
 *
 * A dip is what is lower than on both sides: the reference at a sample is the less of the
 * greatest acceleration before and that behind it.  So acceleration may rise with the boost
 * and fall towards the top, in whatever curve, and no dip is seen; one at either end of the
 * pull is not seen either.
 *
 * Acceleration is the least-squares slope of engine speed over a fifth of a second, or over
 * more where noise or coarse steps would drown it: at each sample by itself, as the same noise
 * is little against a quick rise and much against a slow one.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/select.h"
#include "judge/check_fns.h"
#include "judge/check_help.h"
#include "judge/measure.h"

#define LEAST_RATE 10.0
#define ROUNDING 1.05		/* of a nominal interval */
#define REACH 1.25		/* intervals to either side that a slope takes in at least */
#define LEVEL_S 0.5		/* acceleration around a dip is the mean over so long */
#define AROUND_S 5.0		/* how far a dip may lie from it */
#define NOISE_S 0.4		/* noise is told from straight lines over so long */
#define LEAST_SPREAD 0.4	/* of a full window's */
#define MOST_NOISE 0.06		/* of the acceleration that a slope may be off by (1 sd) */

#define SLIP_SEEN 3.0		/* per cent */
#define SLIP_AHEAD_S 0.3
#define GRIP_S 0.6		/* until the engine turns with the road again */

#define WIDTHS 5

static const double widths[WIDTHS] = { 0.2, 0.3, 0.4, 0.6, 0.8 };	/* s */

struct line {
	double slope;		/* NaN with too few samples */
	double spread;		/* sum of squares of the times about their mean */
	double left;		/* sum of squares left over */
	size_t n;
};

/* Least-squares line through the samples within `half` of t. */
static struct line line_at(const struct series *v, double t, double half)
{
	struct line l = { NAN, 0.0, 0.0, 0 };
	const size_t first = series_lower(v, t - half);
	double mt = 0.0, mv = 0.0, tv = 0.0, vv = 0.0;
	size_t i, last;

	for (last = first; last < v->n && v->t[last] <= t + half; last++) {
		mt += v->t[last] - t;
		mv += v->v[last];
	}
	l.n = last - first;
	if (l.n < 3)
		return l;
	mt /= (double)l.n;
	mv /= (double)l.n;
	for (i = first; i < last; i++) {
		const double dt = v->t[i] - t - mt;
		const double dv = v->v[i] - mv;

		l.spread += dt * dt;
		tv += dt * dv;
		vv += dv * dv;
	}
	if (!(l.spread > 0.0))
		return l;
	l.slope = tv / l.spread;
	l.left = fmax(vv - l.slope * tv, 0.0);
	return l;
}

/* Median of chi-square with k degrees of freedom, over k (Wilson and Hilferty, from memory). */
static double chi_median(double k)
{
	return pow(1.0 - 2.0 / (9.0 * k), 3.0);
}

/* Standard deviation of a sample about a smooth course. */
static double noise_of(const struct series *rpm, double *scratch)
{
	const double half = fmax(NOISE_S / 2, 2.0 * REACH * help_interval(rpm));
	double freedom = 0.0;
	size_t i, n = 0;

	for (i = 0; i < rpm->n; i++) {
		const struct line l = line_at(rpm, rpm->t[i], half);

		if (l.n < 4 || isnan(l.slope))
			continue;
		freedom += (double)(l.n - 2);
		scratch[n++] = l.left / (double)(l.n - 2);
	}
	if (n == 0)
		return 0.0;
	freedom /= (double)n;
	return sqrt(select_median(scratch, n) / chi_median(freedom));
}

/* Engine speed and what its slopes are good for. */
struct course {
	const struct series *rpm;
	double noise;		/* of a sample about a smooth course, sd in rpm */
	double interval;
	double step;		/* of coarse engine speed; 0: none */
	size_t narrowest;	/* of widths[], that noise leaves of use for most of the pull */
};

static double half_width(const struct course *c, size_t width)
{
	return fmax(widths[width] / 2 * (1 + 1e-9), REACH * c->interval);
}

/*
 * Noise of a slope, sd in rpm a second: that of the samples, and more where engine speed
 * stays on one coarse step for several of them, which then are no independent ones.
 */
static double slope_noise(const struct course *c, double spread, double usual)
{
	const double on_step = c->step / (usual * c->interval);

	return c->noise / sqrt(spread) * sqrt(fmax(1.0, on_step));
}

/* Of samples that fill a window: the spread of even ones is half^2 / 3 each. */
static double full_spread(const struct course *c, size_t width)
{
	const double half = half_width(c, width);

	return half * half / 3.0 * (2.0 * half / c->interval);
}

/*
 * The slopes over a width, at each sample that has one; `spread` becomes their mean spread.  At
 * the ends of the pull, and beside a hole, half a window's slope is too rough to be a level.
 */
static enum err_code find_slopes(const struct course *c, size_t width, struct series *out,
				 double *spread, struct err *e)
{
	const struct series *rpm = c->rpm;
	const enum err_code code = series_from(out, rpm->t, rpm->v, rpm->n, false, e);
	size_t i, n = 0;

	*spread = 0.0;
	for (i = 0; code == ERR_NONE && i < rpm->n; i++) {
		const struct line l = line_at(rpm, rpm->t[i], half_width(c, width));

		if (isnan(l.slope) || l.spread < LEAST_SPREAD * full_spread(c, width))
			continue;
		*spread += l.spread;
		out->t[n] = rpm->t[i];
		out->v[n++] = l.slope;
	}
	*spread /= n > 0 ? (double)n : 1.0;
	out->n = n;
	return code;
}

/* Each slope anew over the narrowest width at which noise is little where it is. */
static void widen_slopes(const struct course *c, struct series *level)
{
	size_t i, k;

	for (i = 0; i < level->n; i++) {
		const double t = level->t[i];
		const double usual = line_at(c->rpm, t, half_width(c, WIDTHS - 1)).slope;

		for (k = c->narrowest; k < WIDTHS; k++) {
			const struct line l = line_at(c->rpm, t, half_width(c, k));

			if (isnan(l.slope) || l.spread < LEAST_SPREAD * full_spread(c, k))
				continue;
			level->v[i] = l.slope;
			if (slope_noise(c, l.spread, usual) <= MOST_NOISE * usual)
				break;
		}
	}
}

/*
 * The level of acceleration that dips are held against: slopes over the narrowest width that
 * noise leaves of use, smoothed.  Empty where none is.
 */
static enum err_code find_level(struct course *c, double *scratch, struct series *level,
				struct err *e)
{
	enum err_code code = ERR_NONE;
	size_t i;

	for (i = 0; i < WIDTHS; i++) {
		double spread, usual;

		code = find_slopes(c, i, level, &spread, e);
		if (code != ERR_NONE)
			return code;
		memcpy(scratch, level->v, level->n * sizeof *scratch);
		usual = select_quantile(scratch, level->n, 0.75);
		if (usual > 0 && slope_noise(c, spread, usual) <= MOST_NOISE * usual)
			break;
		series_release(level);
	}
	c->narrowest = i;
	if (i == WIDTHS)
		return ERR_NONE;
	widen_slopes(c, level);
	return measure_smooth(level, LEVEL_S, e);
}

static double greatest(const struct series *v, double from, double to)
{
	double most = -INFINITY;
	size_t i;

	for (i = series_lower(v, from); i < v->n && v->t[i] <= to; i++)
		most = v->v[i] > most ? v->v[i] : most;
	return most;
}

/*
 * Share of the usual acceleration that is lost at t for certain: by the slope over the
 * narrowest width at which noise is little, less that noise; NaN where none is.
 */
static double share_lost(const struct course *c, double t, double usual)
{
	size_t i;

	for (i = c->narrowest; i < WIDTHS; i++) {
		const struct line l = line_at(c->rpm, t, half_width(c, i));
		const double noise = slope_noise(c, l.spread, usual) / usual;

		if (!isnan(l.slope) && noise <= MOST_NOISE)
			return 1.0 - l.slope / usual - noise;
	}
	return NAN;
}

/* Per cent lost at each sample from from_s on; those that noise drowns are left out. */
static enum err_code find_losses(const struct course *c, const struct series *level,
				 double from_s, struct series *out, struct err *e)
{
	const struct series *rpm = c->rpm;
	const enum err_code code = series_from(out, rpm->t, rpm->v, rpm->n, false, e);
	size_t i, n = 0;

	for (i = series_lower(rpm, from_s); code == ERR_NONE && i < rpm->n; i++) {
		const double t = rpm->t[i];
		const double before = greatest(level, fmax(from_s, t - AROUND_S), t);
		const double behind = greatest(level, t, t + AROUND_S);
		const double usual = before < behind ? before : behind;
		const double lost = usual > 0 ? share_lost(c, t, usual) : NAN;

		if (isnan(lost))
			continue;
		out->t[n] = t;
		out->v[n++] = 100.0 * lost;
	}
	out->n = n;
	return code;
}

/* The losses of the pull; empty where engine speed is too rough. */
static enum err_code find_dips(const struct series *rpm, double from_s, struct series *out,
			       struct err *e)
{
	double *scratch = mem_try_array(rpm->n, sizeof *scratch);
	struct course c = { rpm, 0.0, help_interval(rpm), help_step(rpm), WIDTHS };
	struct series level = SERIES_INIT;
	enum err_code code;

	*out = (struct series)SERIES_INIT;
	if (scratch == NULL)
		return err_set(e, ERR_MEMORY, "not enough memory for %zu samples", rpm->n);
	c.noise = noise_of(rpm, scratch);
	code = find_level(&c, scratch, &level, e);
	if (code == ERR_NONE && level.n > 0)
		code = find_losses(&c, &level, from_s, out, e);
	series_release(&level);
	free(scratch);
	return code;
}

static bool is_slipping(const struct measures *slips, double t)
{
	size_t i, k;

	for (k = 0; k < slips->count; k++) {
		const struct series *v = &slips->list[k].value;

		for (i = series_lower(v, t - GRIP_S); i < v->n && v->t[i] <= t + SLIP_AHEAD_S; i++)
			if (v->v[i] > SLIP_SEEN)
				return true;
	}
	return false;
}

/*
 * Wheels that spin speed the engine up, and down again when they grip: that is slip and no
 * dip.  A dip in it or just behind it cannot be told from it.
 */
static enum err_code leave_out_slip(struct series *v, const struct scene *s, struct err *e)
{
	const struct check *slip = check_get(CHECK_SLIP);
	struct measures slips = { NULL, 0, 0, NULL };
	enum err_code code = ERR_NONE;
	size_t i, n = 0;

	if (scene_need(slip, 0, s) != NULL)
		code = slip->measure(slip, s, &slips, e);
	for (i = 0; i < v->n && code == ERR_NONE; i++) {
		if (is_slipping(&slips, v->t[i]))
			continue;
		v->t[n] = v->t[i];
		v->v[n++] = v->v[i];
	}
	v->n = n;
	measures_release(&slips);
	return code;
}

enum err_code check_hesitation(const struct check *c, const struct scene *s,
			       struct measures *out, struct err *e)
{
	const struct channel *ch = scene_need(c, 0, s);
	struct series rpm, losses = SERIES_INIT;
	enum err_code code = scene_load(s, ch, "rpm", &rpm, e);

	if (code != ERR_NONE)
		return code;
	if (!(help_interval(&rpm) <= ROUNDING / LEAST_RATE)) {
		measures_refuse(out, "%s is too slow to see a dip", ch->name);
		goto out;
	}
	code = find_dips(&rpm, s->from_s + c->settle_s, &losses, e);
	if (code == ERR_NONE)
		code = leave_out_slip(&losses, s, e);
	if (code != ERR_NONE)
		goto out;
	if (losses.n > 0)
		measures_add(out, ch, &losses, RELATION_NONE, NULL);
	else
		measures_refuse(out, "%s is too rough for its slow rise to see a dip", ch->name);
out:
	series_release(&losses);
	series_release(&rpm);
	return code;
}
