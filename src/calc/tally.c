/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Sums over samples.  The loops over LANES are for the compiler: it may not reorder sums
 * by itself, and one sum alone waits for each addition.
 */
#include "calc/tally.h"

#include <math.h>
#include <string.h>

#include "base/wide.h"

#define LANES 8

void tally_init(struct tally *t)
{
	memset(t, 0, sizeof *t);
}

static double together(const double *lane)
{
	return ((lane[0] + lane[4]) + (lane[1] + lane[5])) +
	       ((lane[2] + lane[6]) + (lane[3] + lane[7]));
}

/* The sum of v[n], each less x. */
WIDE_LOOP double total(const double *v, size_t n, double x)
{
	double sum[LANES] = { 0.0 };
	size_t i, k;

	for (i = 0; i + LANES <= n; i += LANES)
		for (k = 0; k < LANES; k++)
			sum[k] += v[i + k] - x;
	for (k = 0; i < n; i++, k++)
		sum[k] += v[i] - x;
	return together(sum);
}

WIDE_LOOP double dot(const double *a, const double *b, size_t n)
{
	double sum[LANES] = { 0.0 };
	size_t i, k;

	for (i = 0; i + LANES <= n; i += LANES)
		for (k = 0; k < LANES; k++)
			sum[k] += a[i + k] * b[i + k];
	for (k = 0; i < n; i++, k++)
		sum[k] += a[i] * b[i];
	return together(sum);
}

WIDE_LOOP void subtract(const double *restrict v, size_t n, double x, double *restrict out)
{
	size_t i;

	for (i = 0; i < n; i++)
		out[i] = v[i] - x;
}

/*
 * In loops of their own: together the compiler does not see that they can go side by side.
 * The mean is summed as differences from the first, so that it is exact of equal values.
 */
WIDE_LOOP void deviate(const double *v, size_t n, struct deviations *out)
{
	const long double above = (long double)total(v, n, v[0]) / (long double)n;

	out->n = n;
	out->middle = (double)(v[0] + above);
	out->off = above - ((long double)out->middle - v[0]);
	subtract(v, n, out->middle, out->d);
	out->squares = dot(out->d, out->d, n);
}

/* Means are above x0 and y0. */
WIDE_LOOP struct pairs pair_up(const struct deviations *x, double x0, const struct deviations *y,
			    double y0)
{
	const long double n = (long double)x->n;

	return (struct pairs){
		.n = n,
		.x = (long double)x->middle - x0 + x->off,
		.y = (long double)y->middle - y0 + y->off,
		.xx = x->squares - x->off * x->off * n,
		.xy = dot(x->d, y->d, x->n) - x->off * y->off * n,
		.yy = y->squares - y->off * y->off * n,
	};
}

static void join(struct pairs *all, const struct pairs *b)
{
	const long double n = all->n + b->n;
	const long double dx = b->x - all->x;
	const long double dy = b->y - all->y;
	const long double weight = all->n * b->n / n;

	if (all->n == 0.0L) {
		*all = *b;
		return;
	}
	all->x += dx * b->n / n;
	all->y += dy * b->n / n;
	all->xx += b->xx + dx * dx * weight;
	all->xy += b->xy + dx * dy * weight;
	all->yy += b->yy + dy * dy * weight;
	all->n = n;
}

/* Products of neighbours' deviations over n values, from about a mean `by` higher. */
static long double shifted(long double product, long double n, long double sum,
			   long double ends, long double by)
{
	return product + by * (2.0L * sum - ends) + (n - 1.0L) * by * by;
}

/*
 * The new mean must be in over_time already; `before` is over_time without the block.
 * Of the block first about its own mean, as that is known best.
 */
WIDE_LOOP void join_next(struct tally *t, const struct pairs *before, const struct deviations *v,
		      double first)
{
	const long double n = (long double)v->n;
	const long double all = t->over_time.y;
	const long double block = (long double)v->middle - t->first + v->off;
	const long double ends = (long double)v->d[0] + v->d[v->n - 1];
	const long double own = shifted(dot(v->d, v->d + 1, v->n - 1), n, v->off * n, ends,
					-v->off);

	if (before->n == 0.0L) {
		t->next = own;
		return;
	}
	t->next = shifted(t->next, before->n, 0.0L,
			  (long double)t->last - t->first - 2.0L * before->y, before->y - all);
	t->next += ((long double)t->last - t->first - all) *
		   ((long double)first - t->first - all);
	t->next += shifted(own, n, 0.0L, ends - 2.0L * v->off, block - all);
}

WIDE_LOOP void find_ends(struct tally *t, const double *v, size_t first, size_t n)
{
	double least[LANES], most[LANES];
	double low = v[0], high = v[0];
	size_t i, k;

	for (k = 0; k < LANES; k++)
		least[k] = most[k] = v[0];
	for (i = 0; i + LANES <= n; i += LANES)
		for (k = 0; k < LANES; k++) {
			least[k] = v[i + k] < least[k] ? v[i + k] : least[k];
			most[k] = v[i + k] > most[k] ? v[i + k] : most[k];
		}
	for (k = 0; i < n; i++, k++) {
		least[k] = v[i] < least[k] ? v[i] : least[k];
		most[k] = v[i] > most[k] ? v[i] : most[k];
	}
	for (k = 0; k < LANES; k++) {
		low = least[k] < low ? least[k] : low;
		high = most[k] > high ? most[k] : high;
	}
	t->block_least = low;
	t->block_most = high;
	if (first == 0 || low < t->least) {
		for (i = 0; i + 1 < n && v[i] != low; i++)
			;
		t->least = low;
		t->least_at = first + i;
	}
	if (first == 0 || high > t->most) {
		for (i = 0; i + 1 < n && v[i] != high; i++)
			;
		t->most = high;
		t->most_at = first + i;
	}
}

/* Twice the area over all gaps but the first. */
WIDE_LOOP double twice_area(const double *gap, const double *v, size_t n)
{
	double sum[LANES] = { 0.0 };
	size_t i, k;

	for (i = 1; i + LANES <= n; i += LANES)
		for (k = 0; k < LANES; k++)
			sum[k] += gap[i + k] * (v[i + k - 1] + v[i + k]);
	for (k = 0; i < n; i++, k++)
		sum[k] += gap[i] * (v[i - 1] + v[i]);
	return together(sum);
}

/* From one sample to the next; held when stepped; nothing across a hole. */
static void add_piece(struct tally *t, const struct tally_block *b, size_t i, double before,
		      double v, bool stepped)
{
	if (b->gaps[i] > b->hole)
		return;
	t->area += b->gaps[i] * (stepped ? before : 0.5 * (before + v));
	t->width += b->gaps[i];
}

WIDE_LOOP void integrate(struct tally *t, const struct tally_block *b, const double *v, bool stepped)
{
	size_t i;

	if (b->first > 0)
		add_piece(t, b, 0, t->last, v[0], stepped);
	if (b->has_hole) {
		for (i = 1; i < b->n; i++)
			add_piece(t, b, i, v[i - 1], v[i], stepped);
		return;
	}
	t->area += stepped ? dot(b->gaps + 1, v, b->n - 1) : 0.5 * twice_area(b->gaps, v, b->n);
	t->width += b->t[b->n - 1] - b->t[0];
}

WIDE_LOOP void add_rpm(struct tally *t, const struct tally_block *b, const double *v,
		    const struct deviations *dv)
{
	struct deviations x, y;
	double kept_x[SAMPLES_BLOCK], kept_y[SAMPLES_BLOCK];
	struct pairs block;
	size_t n = 0;
	size_t i;

	if (!b->misses_rpm) {
		block = pair_up(&b->rpm_off, 0.0, dv, t->first);
		join(&t->over_rpm, &block);
		return;
	}
	for (i = 0; i < b->n; i++) {
		kept_x[n] = b->rpm[i];
		kept_y[n] = v[i];
		n += !isnan(b->rpm[i]);
	}
	if (n == 0)
		return;
	deviate(kept_x, n, &x);
	deviate(kept_y, n, &y);
	block = pair_up(&x, 0.0, &y, t->first);
	join(&t->over_rpm, &block);
}

WIDE_LOOP void add(struct tally *t, const struct tally_block *b, const double *v, bool stepped)
{
	const struct pairs before = t->over_time;
	struct deviations dv;
	struct pairs block;

	if (b->first == 0)
		t->first = v[0];
	deviate(v, b->n, &dv);
	block = pair_up(b->t != NULL ? &b->time : &dv, b->t != NULL ? b->start : t->first, &dv,
			t->first);
	join(&t->over_time, &block);
	join_next(t, &before, &dv, v[0]);
	find_ends(t, v, b->first, b->n);
	if (b->t != NULL)
		integrate(t, b, v, stepped);
	if (b->has_rpm)
		add_rpm(t, b, v, &dv);
	t->last = v[b->n - 1];
}

static void add_base(struct tally *t, const struct tally_block *b, const double *v, bool stepped)
{
	add(t, b, v, stepped);
}

WIDE_FOR_AVX2 static void add_avx2(struct tally *t, const struct tally_block *b, const double *v,
				   bool stepped)
{
	add(t, b, v, stepped);
}

void tally_add(struct tally *t, const struct tally_block *b, const double *v, bool stepped)
{
	if (wide_most(WIDE_AVX2) == WIDE_AVX2)
		add_avx2(t, b, v, stepped);
	else
		add_base(t, b, v, stepped);
}

static void find_gaps(struct tally_block *b)
{
	size_t wide = 0;
	size_t i;

	b->gaps[0] = b->first > 0 ? b->t[0] - b->t[-1] : 0.0;
	for (i = 1; i < b->n; i++) {
		b->gaps[i] = b->t[i] - b->t[i - 1];
		wide += b->gaps[i] > b->hole;
	}
	b->has_hole = wide > 0;
}

static void find_rpm(struct tally_block *b, const struct series *rpm)
{
	struct series_walk walk = { rpm, b->next_rpm };
	size_t missing = 0;
	size_t i;

	for (i = 0; i < b->n; i++) {
		b->rpm[i] = series_walk_at(&walk, b->t[i]);
		missing += isnan(b->rpm[i]) != 0;
	}
	b->next_rpm = walk.next;
	b->has_rpm = true;
	b->misses_rpm = missing > 0;
	if (missing == 0)
		deviate(b->rpm, b->n, &b->rpm_off);
}

void tally_block_next(struct tally_block *b, const struct samples *s, size_t first, size_t n,
		      const struct series *rpm)
{
	b->first = first;
	b->n = n;
	b->t = s->t == NULL ? NULL : s->t + first;
	b->hole = s->hole;
	if (b->t == NULL)
		return;
	if (first == 0)
		b->start = b->t[0];
	find_gaps(b);
	deviate(b->t, n, &b->time);
	if (rpm != NULL)
		find_rpm(b, rpm);
}
