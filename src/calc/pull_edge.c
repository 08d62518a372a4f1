/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where exactly a rise of engine speed begins and ends. */
#include <math.h>

#include "calc/pull_rise.h"

/* All common practice, no source. */
#define FIT_SECONDS 0.5		/* of the rise before a sample, to say what comes next */
#define FIT_SAMPLES 4		/* at least */
#define LEAST_NOISE 1.0		/* rpm: engine speed comes in whole rpm */
#define NOISES 4.0		/* a sample further off does not belong to the line */
#define BEND 0.35		/* nor one that falls back by more of a step */
#define STANDS 0.3		/* a tail that rises by less of what it should: it stands */
#define OFF 1.5			/* noises: a sample as far off may be off the line already */
#define TAIL_SAMPLES 4		/* must be off on average, as it is the end */
#define SINGLE 2.0		/* times as far, when there is but one */
#define BACK_SAMPLES 8		/* a bend is seen so late at most */
#define SHUT 0.01		/* of engine speed: a clutch that slips no more is shut */
#define SHUT_SECONDS 0.6	/* before the lowest engine speed, at most */

struct line {
	double t;
	double v;		/* at time t */
	double slope;
	double noise;		/* standard deviation about it */
};

/* Least-squares line through the samples first .. last. */
static struct line fit(const struct series *s, size_t first, size_t last)
{
	const double n = (double)(last - first + 1);
	struct line l = { 0.0, 0.0, 0.0, 0.0 };
	double tt = 0.0, tv = 0.0, vv = 0.0;
	size_t i;

	for (i = first; i <= last; i++) {
		l.t += (s->t[i] - s->t[first]) / n;
		l.v += s->v[i] / n;
	}
	l.t += s->t[first];
	for (i = first; i <= last; i++) {
		tt += (s->t[i] - l.t) * (s->t[i] - l.t);
		tv += (s->t[i] - l.t) * (s->v[i] - l.v);
		vv += (s->v[i] - l.v) * (s->v[i] - l.v);
	}
	if (tt > 0.0)
		l.slope = tv / tt;
	if (n > 2.0)
		l.noise = sqrt(fmax(vv - l.slope * tv, 0.0) / (n - 2.0));
	return l;
}

static double above(const struct series *s, size_t i, const struct line *l)
{
	return s->v[i] - (l->v + l->slope * (s->t[i] - l->t));
}

static double noise_of(const struct hunt *h)
{
	return fmax(LEAST_NOISE, h->noise);
}

/* The line of the rise up to sample i; false when that is too few samples. */
static bool line_before(const struct hunt *h, size_t first, size_t i, struct line *l)
{
	const struct series *s = &h->rpm;
	size_t from = i;

	while (from > first && (i - from < FIT_SAMPLES - 1 ||
				s->t[i] - s->t[from - 1] <= FIT_SECONDS * h->second))
		from--;
	if (i - from + 1 < FIT_SAMPLES)
		return false;
	*l = fit(s, from, i);
	return l->slope > 0.0;
}

/* Does engine speed not go on to rise from sample i on, as far as `behind`? */
static bool stands(const struct hunt *h, size_t i, size_t behind, const struct line *l)
{
	const struct series *s = &h->rpm;
	size_t j;

	for (j = i; j <= behind; j++)
		if (s->v[j] - s->v[i - 1] > 2.0 * noise_of(h) +
		    STANDS * l->slope * (s->t[j] - s->t[i - 1]))
			return false;
	return true;
}

/*
 * Does engine speed fall behind the line from sample i on?  Sample i and the next few, on
 * average, must be off it by more than noise, and by a share of a step; a single last
 * one further.
 */
static bool bends(const struct hunt *h, size_t i, size_t behind, const struct line *l)
{
	const struct series *s = &h->rpm;
	const size_t last = behind - i < TAIL_SAMPLES ? behind : i + TAIL_SAMPLES - 1;
	const double step = l->slope * (s->t[i] - s->t[i - 1]);
	const double off = fmax(NOISES * noise_of(h), BEND * step) * (last > i ? 1.0 : SINGLE);
	double sum = 0.0;
	size_t j;

	if (above(s, i, l) > -off)
		return false;
	for (j = i; j <= last; j++)
		sum += above(s, j, l);
	return sum < -off * (double)(last - i + 1) && stands(h, i, behind, l);
}

/*
 * Engine speed was seen to be off the line at sample i: the sample k, the last on the
 * line, for which it fits best that it fell straight from k to i.
 */
static size_t before_bend(const struct hunt *h, size_t first, size_t i, const struct line *l)
{
	const struct series *s = &h->rpm;
	const size_t from = i - first > BACK_SAMPLES ? i - BACK_SAMPLES : first;
	const double off = OFF * fmax(noise_of(h), l->noise);
	double least = INFINITY;
	size_t best = i - 1;
	size_t j, k;

	for (k = i - 1; k > from && (k == i - 1 || above(s, k + 1, l) < -off); k--) {
		double tt = 0.0, te = 0.0, ee = 0.0;

		for (j = from; j <= i; j++) {
			const double t = fmax(s->t[j] - s->t[k], 0.0);

			tt += t * t;
			te += t * above(s, j, l);
			ee += above(s, j, l) * above(s, j, l);
		}
		if (tt > 0.0 && ee - te * te / tt < least) {
			least = ee - te * te / tt;
			best = k;
		}
	}
	return best;
}

static size_t sharpen_end(const struct hunt *h, double ratio, const struct rise *r)
{
	const struct series *s = &h->rpm;
	double top = s->v[r->first];
	struct line l;
	size_t i;

	for (i = r->first; i <= r->last; i++)
		top = fmax(top, s->v[i]);
	for (i = r->first; i < r->last && s->v[i] < top - h->drop; i++)
		;
	for (i = i > r->first ? i : i + 1; i <= r->behind; i++) {
		if (!line_before(h, r->first, i - 1, &l) || !bends(h, i, r->behind, &l))
			continue;
		if (hunt_ratio(h, i - 1) > ratio * (1.0 + HUNT_SLIP))
			continue;	/* the end of a slip is no end of the pull */
		return before_bend(h, r->first, i, &l);
	}
	return r->last;
}

/* Where nothing tells full throttle: the last sample before engine speed leaves its level. */
static size_t leave_level(const struct hunt *h, const struct rise *r)
{
	const struct series *s = &h->rpm;
	const double level = s->v[r->first] + NOISES * noise_of(h);
	size_t first = r->first;
	size_t i;

	for (i = r->first; i < r->last && s->v[i] <= s->v[r->first] + h->drop; i++)
		if (s->v[i] <= level)
			first = i;
	return first;
}

/* Behind a change of gear engine speed falls fast until the clutch is shut, then hardly. */
static size_t sharpen_begin(const struct hunt *h, const struct rise *r)
{
	const struct series *s = &h->rpm;
	const double low = s->v[r->first];
	const double slack = fmax(SHUT * low, NOISES * h->noise);
	size_t first = r->first;

	while (first > r->earliest && fabs(s->v[first - 1] - low) < slack &&
	       s->t[r->first] - s->t[first - 1] <= SHUT_SECONDS * h->second)
		first--;
	return first;
}

void rise_sharpen(const struct hunt *h, double ratio, struct rise *r)
{
	const size_t last = sharpen_end(h, ratio, r);

	if (h->by == NULL)
		r->first = leave_level(h, r);
	else if (!r->at_begin)
		r->first = sharpen_begin(h, r);
	r->at_end = r->at_end && last == r->last;
	r->last = last;
}
