/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Quantiles without sorting.  Of many values those are counted that fall into each of
 * many equal steps from the least to the greatest; only those in the steps that hold a
 * wanted one are looked at more closely.
 */
#include "base/quantiles.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>

#include "base/search.h"

#define STEPS 2048
#define MANY 16384		/* values from which counting is worth it */

/* The k-th least value and the next, among values of which some are left out. */
struct wanted {
	size_t k;
	double part;		/* how far on towards the next */
};

struct steps {
	double least;
	double per_step;	/* steps in a unit */
	size_t count[STEPS];
	bool wanted[STEPS];
};

static size_t step_of(const struct steps *s, double x)
{
	const size_t i = (size_t)((x - s->least) * s->per_step);

	return i < STEPS ? i : STEPS - 1;
}

static double find_least(const double *v, size_t n)
{
	double x = v[0];
	size_t i;

	for (i = 1; i < n; i++)
		x = v[i] < x ? v[i] : x;
	return x;
}

/* False where the values do not lend themselves to it. */
static bool count_steps(struct steps *s, const double *v, size_t n)
{
	double most = v[0];
	size_t i;

	*s = (struct steps){ .least = find_least(v, n) };
	for (i = 1; i < n; i++)
		most = v[i] > most ? v[i] : most;
	s->per_step = STEPS / (most - s->least);
	if (!isfinite(s->per_step) || !isfinite(s->least))
		return false;
	for (i = 0; i < n; i++)
		s->count[step_of(s, v[i])]++;
	return true;
}

/* Marks the step that holds the k-th least value. */
static void want(struct steps *s, size_t k)
{
	size_t before = 0;
	size_t i;

	for (i = 0; before + s->count[i] <= k; i++)
		before += s->count[i];
	s->wanted[i] = true;
}

/* How many values come before the k-th least that are in no wanted step. */
static size_t left_out(const struct steps *s, size_t k)
{
	size_t before = 0;
	size_t out = 0;
	size_t i;

	for (i = 0; before + s->count[i] <= k; i++) {
		before += s->count[i];
		out += s->wanted[i] ? 0 : s->count[i];
	}
	return out;
}

/* Keeps only the values of wanted steps; returns how many. */
static size_t narrow(double *v, size_t n, struct wanted *w, size_t count)
{
	struct steps s;
	size_t kept = 0;
	size_t i;

	if (n < MANY || !count_steps(&s, v, n))
		return n;
	for (i = 0; i < count; i++) {
		want(&s, w[i].k);
		if (w[i].k + 1 < n)
			want(&s, w[i].k + 1);
	}
	for (i = 0; i < count; i++)
		w[i].k -= left_out(&s, w[i].k);
	for (i = 0; i < n; i++) {
		v[kept] = v[i];
		kept += s.wanted[step_of(&s, v[i])];
	}
	return kept;
}

void quantiles_take(double *v, size_t n, const double *q, size_t count, double *out)
{
	struct wanted w[QUANTILES_MOST];
	size_t from = 0;	/* those before are no greater than any behind */
	size_t i;

	for (i = 0; i < count; i++) {
		const double place = q[i] * (double)(n - 1);

		w[i].k = (size_t)place;
		w[i].part = place - (double)w[i].k;
	}
	n = narrow(v, n, w, count);
	for (i = 0; i < count; i++) {
		const size_t k = w[i].k;

		out[i] = search_nth(v + from, n - from, k - from);
		if (k + 1 < n)
			out[i] = (1.0 - w[i].part) * out[i] +
				 w[i].part * find_least(v + k + 1, n - k - 1);
		from = k;
	}
}
