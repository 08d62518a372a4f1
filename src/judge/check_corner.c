/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Constant stretches and the corners before them. */
#include "judge/check_corner.h"

#include <gsl/gsl_statistics.h>
#include <math.h>

#include "judge/check_help.h"

#define RATIO 9.0		/* twice the log likelihood: three standard deviations */
#define ROUND_S 0.12		/* a real value turns no faster */
#define CORNER_S 0.4		/* of samples to either side of the corner */
#define CORNER_INTERVALS 4.2	/* likewise, at least */
#define AT_REST 1.5		/* for what else may be wrong with a fit */
#define PLACES 80		/* at which a corner is tried */

double stretch_length(const struct series *v, const struct stretch *s)
{
	return v->t[s->last] - v->t[s->first];
}

double stretch_mean(const struct series *v, const struct stretch *s)
{
	return gsl_stats_mean(v->v + s->first, 1, s->last - s->first + 1);
}

double stretch_scan(const struct series *v, const struct stretch *s, double noise)
{
	const double *y = v->v + s->first;
	const size_t n = s->last - s->first + 1;
	const double mean = stretch_mean(v, s);
	double most = 0.0;
	size_t width, i;

	for (width = 2; width <= n / 2; width *= 2) {
		const double w = (double)width, rest = (double)(n - width);
		double sum = 0.0;

		for (i = 0; i < n; i++) {
			sum += y[i] - mean - (i >= width ? y[i - width] - mean : 0.0);
			if (i + 1 >= width)
				most = fmax(most, fabs(sum / w + sum / rest) /
						  (noise * sqrt(1 / w + 1 / rest)));
		}
	}
	return most;
}

struct corner {
	double at_s;
	double slope;		/* before it, a second */
	double bend;		/* a second squared */
	double squares;		/* of the residuals */
};

/* How far before the corner, rounded off over `round_s`. */
static double before(double t, double at_s, double round_s)
{
	const double d = at_s - t;

	if (round_s <= 0)
		return fmax(d, 0.0);
	return d > 30 * round_s ? d : round_s * log1p(exp(d / round_s));
}

/*
 * What comes to rest as a parabola is within half a step of its level so long before that
 * its slope can be taken for so much.
 */
static double slope_at_rest(const struct corner *c, double step)
{
	return AT_REST * 2.0 * sqrt(c->bend * step / 2);
}

/* Least squares of level - slope x before - bend x before^2 (neither below 0) at one corner. */
static struct corner fit_at(const struct series *v, const struct stretch *w, double level,
			    double at_s, double round_s)
{
	double a = 0.0, b = 0.0, c = 0.0, p = 0.0, q = 0.0, squares = 0.0, det, slope, bend = 0.0;
	size_t i;

	for (i = w->first; i <= w->last; i++) {
		const double u = before(v->t[i], at_s, round_s);
		const double y = level - v->v[i];

		a += u * u;
		b += u * u * u;
		c += u * u * u * u;
		p += u * y;
		q += u * u * y;
		squares += y * y;
	}
	det = a * c - b * b;
	slope = a > 0 ? p / a : 0.0;
	if (det > 1e-12 * a * c && a * q - b * p > 0) {
		bend = (a * q - b * p) / det;
		slope = (c * p - b * q) / det;
	}
	squares -= 2 * (slope * p + bend * q) - (slope * slope * a + 2 * slope * bend * b +
						 bend * bend * c);
	return (struct corner){ at_s, slope, bend, slope > 0 ? fmax(squares, 0.0) : INFINITY };
}

static struct corner fit_corner(const struct series *v, const struct stretch *w, double level,
				double around_s, double round_s)
{
	const double reach = 2 * help_interval(v) + 0.1 + 2 * round_s;
	struct corner best = { NAN, 0.0, 0.0, INFINITY };
	int k;

	for (k = 0; k <= PLACES; k++) {
		const double at_s = around_s + reach * (2.0 * k / PLACES - 1.0);
		const struct corner c = fit_at(v, w, level, at_s, round_s);

		if (c.squares < best.squares)
			best = c;
	}
	return best;
}

bool stretch_corner(const struct series *v, const struct stretch *s, double noise, double steep,
		    double step, double *at_s)
{
	const size_t n = s->last - s->first + 1;
	const double width = fmax(CORNER_S, CORNER_INTERVALS * help_interval(v));
	const double at = v->t[s->first];
	const struct stretch body = { s->first + n / 8, s->last };
	const double level = stretch_mean(v, &body);
	struct stretch w = { series_lower(v, at - width), s->first };
	struct corner sharp, round;
	double variance;

	while (w.last < s->last && v->t[w.last + 1] <= at + width)
		w.last++;
	if (s->first - w.first < 3)
		return false;
	sharp = fit_corner(v, &w, level, at, 0.0);
	round = fit_corner(v, &w, level, at, ROUND_S);
	if (isinf(sharp.squares) || sharp.slope < fmax(steep, slope_at_rest(&sharp, step)))
		return false;
	variance = fmax(noise * noise, sharp.squares / (double)(w.last - w.first + 1));
	*at_s = sharp.at_s;
	return round.squares - sharp.squares >= RATIO * variance;
}
