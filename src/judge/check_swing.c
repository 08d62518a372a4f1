/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Boost that swings: how far, and how often.
 *
 * To either side of a sample a sine on a straight line is fitted, over a period and a half, and
 * both must be one sine: as high, and in step.  So boost that climbs, bends or falls does not
 * swing, nor does a single peak or a step: they are on one side of any sample.  Noise on
 * both sides is not in step.  The frequency is one for the pull: that with the most swing.
 */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "judge/check_boost.h"
#include "judge/check_fns.h"
#include "judge/check_help.h"

#define LEAST_HZ 1.4
#define MOST_HZ 5.0
#define STEP_HZ 0.1
#define MOST_SHARE 0.4		/* of the sample rate that can be told */
#define LEAST_RATE 8.0
#define ROUNDING 1.05		/* of a nominal interval */
#define SIDE_PERIODS 1.5
#define SIDE_INTERVALS 6.0	/* at least */
#define NEAR_INTERVALS 3.0
#define SWINGS_SHARE 0.75	/* of the amplitude nearby: as much goes on for periods */
#define SEEK_S 0.1		/* between the samples at which the frequency is sought */
#define TERMS 4			/* 1, t, cos, sin */
#define OFF_WEIGHT 4.0		/* of the squares that a sine does not explain: a step leaves many */
#define EDGE 1e-9		/* s, for rounding of times */

/* Cosine and sine at each sample, of one frequency, its phase counted from the first sample. */
struct wave {
	const struct series *v;
	double *cosine;		/* [v->n] */
	double *sine;
};

struct swing {
	struct wave spooled;	/* behind the spool */
	struct wave whole;	/* of the pull; in the frequency that was found only */
	double hz;
	double side;		/* width of a side, in s */
	double interval;
};

static double phase_of(const struct swing *w, const struct wave *wave, double t)
{
	return 2.0 * acos(-1.0) * w->hz * (t - wave->v->t[0]);
}

static enum err_code wave_init(struct wave *wave, const struct series *v, struct err *e)
{
	wave->v = v;
	wave->cosine = mem_try_array(v->n, sizeof *wave->cosine);
	wave->sine = mem_try_array(v->n, sizeof *wave->sine);
	if (v->n > 0 && (wave->cosine == NULL || wave->sine == NULL))
		return err_set(e, ERR_MEMORY, "not enough memory for %zu samples", v->n);
	return ERR_NONE;
}

static void wave_release(struct wave *wave)
{
	free(wave->cosine);
	free(wave->sine);
}

static void wave_fill(const struct swing *w, struct wave *wave)
{
	size_t i;

	for (i = 0; i < wave->v->n; i++) {
		const double phase = phase_of(w, wave, wave->v->t[i]);

		wave->cosine[i] = cos(phase);
		wave->sine[i] = sin(phase);
	}
}

/*
 * Solves the normal equations by elimination without pivoting (they are positive definite);
 * false when they are singular.
 */
static bool solve(double a[TERMS][TERMS + 1], double x[TERMS])
{
	size_t i, j, k;

	for (k = 0; k < TERMS; k++) {
		if (!(a[k][k] > 1e-6))
			return false;
		for (i = k + 1; i < TERMS; i++) {
			const double f = a[i][k] / a[k][k];

			for (j = k; j <= TERMS; j++)
				a[i][j] -= f * a[k][j];
		}
	}
	for (k = TERMS; k-- > 0;) {
		x[k] = a[k][TERMS];
		for (j = k + 1; j < TERMS; j++)
			x[k] -= a[k][j] * x[j];
		x[k] /= a[k][k];
	}
	return true;
}

/* One side's swing. */
struct side {
	double term[TERMS];	/* a sine on a line, times counted from the sample */
	double amplitude;	/* of the sine, what is no sine taken off */
};

/*
 * Least squares from .. to; false with too few samples.  What the fit leaves of the squares
 * is theirs less each term times its right-hand side.
 */
static bool fit(const struct swing *w, const struct wave *wave, double t, double from, double to,
		struct side *out)
{
	const struct series *v = wave->v;
	const double c = cos(phase_of(w, wave, t));
	const double s = sin(phase_of(w, wave, t));
	const size_t first = series_lower(v, from - EDGE);
	double a[TERMS][TERMS + 1] = { { 0.0 } };
	double right[TERMS];
	double b[TERMS];
	double left = 0.0, square;
	size_t i, j, k;

	for (i = first; i < v->n && v->t[i] <= to + EDGE; i++) {
		b[0] = 1.0;
		b[1] = v->t[i] - t;
		b[2] = wave->cosine[i] * c + wave->sine[i] * s;	/* of b[1], not of t */
		b[3] = wave->sine[i] * c - wave->cosine[i] * s;
		left += v->v[i] * v->v[i];
		for (j = 0; j < TERMS; j++) {
			for (k = j; k < TERMS; k++)
				a[j][k] += b[j] * b[k];
			a[j][TERMS] += b[j] * v->v[i];
		}
	}
	for (j = 0; j < TERMS; j++) {
		right[j] = a[j][TERMS];
		for (k = 0; k < j; k++)
			a[j][k] = a[k][j];
	}
	if (i - first <= TERMS || !solve(a, out->term))
		return false;
	for (j = 0; j < TERMS; j++)
		left -= out->term[j] * right[j];
	square = out->term[2] * out->term[2] + out->term[3] * out->term[3] -
		 OFF_WEIGHT * fmax(left, 0.0) / (double)(i - first - TERMS);
	out->amplitude = sqrt(fmax(square, 0.0));
	return true;
}

/* The amplitude that both sides of t share; NaN where a side is not in the series. */
static double shared(const struct swing *w, double t)
{
	const struct wave *wave = &w->spooled;
	const struct series *v = wave->v;
	struct side before, behind;
	double in_step;

	if (t - w->side < v->t[0] - EDGE || t + w->side > v->t[v->n - 1] + EDGE ||
	    !fit(w, wave, t, t - w->side, t, &before) ||
	    !fit(w, wave, t, t, t + w->side, &behind))
		return NAN;
	in_step = (before.term[2] * behind.term[2] + before.term[3] * behind.term[3]) /
		  (hypot(before.term[2], before.term[3]) * hypot(behind.term[2], behind.term[3]));
	return in_step > 0.0 ? in_step * fmin(before.amplitude, behind.amplitude) : 0.0;
}

static void set_frequency(struct swing *w, double hz)
{
	w->hz = hz;
	w->side = fmax(SIDE_PERIODS / hz, SIDE_INTERVALS * w->interval);
	wave_fill(w, &w->spooled);
}

/* Mean of the squares of what is shared; below 0 when the series is too short. */
static double power(const struct swing *w)
{
	const struct series *v = w->spooled.v;
	const double from = v->t[0] + w->side;
	const double to = v->t[v->n - 1] - w->side;
	double sum = 0.0, t;
	size_t n = 0, i;

	for (i = 0; t = from + SEEK_S * (double)i, t <= to + EDGE; i++) {
		const double much = shared(w, t);

		if (isnan(much))
			continue;
		sum += much * much;
		n++;
	}
	return n > 0 ? sum / (double)n : -1.0;
}

/* Sets the frequency with the most swing; false when the series is too short for any. */
static bool seek_frequency(struct swing *w)
{
	const double most = fmin(MOST_HZ, MOST_SHARE / w->interval);
	double best = -1.0, best_hz = NAN;
	int i;

	for (i = 0; LEAST_HZ + STEP_HZ * i <= most + EDGE; i++) {
		double much;

		set_frequency(w, LEAST_HZ + STEP_HZ * i);
		much = power(w);
		if (much > best) {
			best = much;
			best_hz = w->hz;
		}
	}
	if (isnan(best_hz))
		return false;
	set_frequency(w, best_hz);
	wave_fill(w, &w->whole);
	return true;
}

/*
 * The greatest of what is shared within half a side: at the first and the last period of a
 * swing one side is still.  Near the ends of the series that of the nearest sample with two
 * sides.
 */
static void widen(const struct swing *w, const double *share, struct series *out)
{
	const struct series *v = w->spooled.v;
	const double reach = fmax(w->side, w->interval);
	size_t i, k, n = 0;

	for (i = 0; i < v->n; i++) {
		const double t = fmin(fmax(v->t[i], v->t[0] + w->side),
				      v->t[v->n - 1] - w->side);
		double most = -INFINITY;

		for (k = series_lower(v, t - reach - EDGE);
		     k < v->n && v->t[k] <= t + reach + EDGE; k++)
			if (share[k] > most)
				most = share[k];
		if (isinf(most))
			continue;
		out->t[n] = v->t[i];
		out->v[n++] = most;
	}
	out->n = n;
}

/* The amplitude within one period about t, or about what is nearest; INFINITY where unknown. */
static double near_amplitude(const struct swing *w, double t)
{
	const struct series *v = w->whole.v;
	const double half = fmax(0.5 / w->hz, NEAR_INTERVALS * w->interval);
	struct side near;

	t = fmin(fmax(t, v->t[0] + half), v->t[v->n - 1] - half);
	if (!fit(w, &w->whole, t, t - half, t + half, &near))
		return INFINITY;
	return hypot(near.term[2], near.term[3]);
}

/*
 * Fills `out`, which is a copy of w->spooled, with amplitudes.  That it swings is seen from three
 * periods, but where the swing begins and ends from one: else what grows slowly would seem to
 * begin early.
 */
static enum err_code find_amplitude(const struct swing *w, struct series *out, struct err *e)
{
	const struct series *v = w->spooled.v;
	const size_t n = v->n;
	double *share = mem_try_array(n, sizeof *share);
	size_t i;

	if (share == NULL)
		return err_set(e, ERR_MEMORY, "not enough memory for %zu samples", n);
	for (i = 0; i < n; i++)
		share[i] = shared(w, v->t[i]);
	widen(w, share, out);
	for (i = 0; i < out->n; i++) {
		const double near = near_amplitude(w, out->t[i]);

		if (out->v[i] >= SWINGS_SHARE * near || near < out->v[i])
			out->v[i] = near;
	}
	free(share);
	return ERR_NONE;
}

/*
 * Boost, its target taken off where there is one, of the pull and of what is behind the spool;
 * empty where unknown.
 */
static enum err_code load(const struct check *c, const struct scene *s, const struct channel **ch,
			  struct series *whole, struct series *out, struct err *e)
{
	struct boost_pair p;
	enum err_code code = boost_pair_load(&p, s, e);
	size_t i, n = 0, first;

	*whole = *out = (struct series)SERIES_INIT;
	*ch = p.channel != NULL ? p.channel : scene_need(c, 0, s);
	if (code == ERR_NONE)
		code = scene_load(s, *ch, c->unit, whole, e);
	if (code != ERR_NONE || whole->n == 0)
		goto out;
	for (i = 0; i < whole->n; i++) {
		const double target = p.channel != NULL ? series_at(&p.target, whole->t[i]) : 0.0;

		if (isnan(target))
			continue;
		whole->t[n] = whole->t[i];
		whole->v[n++] = whole->v[i] - target;
	}
	whole->n = n;
	first = series_lower(whole, scene_spool_end(s) + c->settle_s);
	code = series_from(out, whole->t + first, whole->v + first, n - first, false, e);
out:
	boost_pair_release(&p);
	return code;
}

enum err_code check_boost_swing(const struct check *c, const struct scene *s,
				struct measures *out, struct err *e)
{
	const struct channel *ch;
	struct series v, whole, amplitude = SERIES_INIT;
	struct swing w = { .interval = INFINITY };
	enum err_code code = load(c, s, &ch, &whole, &v, e);

	if (code == ERR_NONE)
		code = wave_init(&w.spooled, &v, e);
	if (code == ERR_NONE)
		code = wave_init(&w.whole, &whole, e);
	if (code != ERR_NONE)
		goto out;
	w.interval = help_interval(&v);
	if (w.interval <= ROUNDING / LEAST_RATE && seek_frequency(&w)) {
		code = series_from(&amplitude, v.t, v.v, v.n, false, e);
		if (code == ERR_NONE)
			code = find_amplitude(&w, &amplitude, e);
		if (code == ERR_NONE && amplitude.n > 0) {
			measures_add(out, ch, &amplitude, RELATION_NONE, NULL);
			out->list[out->count - 1].detail = mem_printf("%.1f Hz", w.hz);
		}
	} else if (v.n >= 3 && w.interval > ROUNDING / LEAST_RATE) {
		measures_refuse(out, "%s is too slow to see a swing", ch->name);
	}
	if (code == ERR_NONE && out->count == 0 && out->why_not == NULL)
		measures_refuse(out, "too little of the pull is behind the spool to see a swing");
out:
	wave_release(&w.spooled);
	wave_release(&w.whole);
	series_release(&amplitude);
	series_release(&whole);
	series_release(&v);
	return code;
}
