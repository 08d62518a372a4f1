/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Sums over samples.  The loops over LANES are for the compiler: it may not reorder sums
 * by itself, and one sum alone waits for each addition.
 */
#include "calc/tally.h"

#include <math.h>
#include <string.h>

#define LANES 4

void tally_init(struct tally *t)
{
	memset(t, 0, sizeof *t);
}

static double together(const double *lane)
{
	return (lane[0] + lane[1]) + (lane[2] + lane[3]);
}

/* About the mean: exact where all are alike. */
static double middle_of(const double *v, size_t n)
{
	double sum[LANES] = { 0.0 };
	size_t i, k;

	for (i = 0; i + LANES <= n; i += LANES)
		for (k = 0; k < LANES; k++)
			sum[k] += v[i + k] - v[0];
	for (k = 0; i < n; i++, k++)
		sum[k] += v[i] - v[0];
	return v[0] + together(sum) / (double)n;
}

static double dot(const double *a, const double *b, size_t n)
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

/* A block of pairs, about near its means. */
struct near_mean {
	double dx[SAMPLES_BLOCK + LANES];	/* deviations, then zeros up to whole lanes */
	double dy[SAMPLES_BLOCK + LANES];
	long double sum;	/* of dy */
	long double off;	/* by so much what dy is about is above the mean */
};

static struct pairs sum_block(const double *x, const double *y, size_t n, struct near_mean *near)
{
	const double mx = middle_of(x, n);
	const double my = middle_of(y, n);
	double *dx = near->dx;
	double *dy = near->dy;
	double sx[LANES] = { 0.0 }, sy[LANES] = { 0.0 };
	double xx[LANES] = { 0.0 }, xy[LANES] = { 0.0 }, yy[LANES] = { 0.0 };
	long double mean_dx, mean_dy;
	size_t i, k;

	for (i = 0; i < n; i++) {
		dx[i] = x[i] - mx;
		dy[i] = y[i] - my;
	}
	for (i = n; i % LANES != 0; i++)
		dx[i] = dy[i] = 0.0;
	for (i = 0; i < n; i += LANES)
		for (k = 0; k < LANES; k++) {
			sx[k] += dx[i + k];
			sy[k] += dy[i + k];
			xx[k] += dx[i + k] * dx[i + k];
			xy[k] += dx[i + k] * dy[i + k];
			yy[k] += dy[i + k] * dy[i + k];
		}
	/* what rounding kept the means from being the means */
	mean_dx = (long double)together(sx) / (long double)n;
	mean_dy = (long double)together(sy) / (long double)n;
	near->sum = together(sy);
	near->off = -mean_dy;
	return (struct pairs){
		.n = (long double)n,
		.x = mx + mean_dx,
		.y = my + mean_dy,
		.xx = together(xx) - mean_dx * mean_dx * (long double)n,
		.xy = together(xy) - mean_dx * mean_dy * (long double)n,
		.yy = together(yy) - mean_dy * mean_dy * (long double)n,
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

/* The new mean must be in over_time already; `before` is over_time without the block. */
static void join_next(struct tally *t, const struct pairs *before, const struct pairs *block,
		      const struct near_mean *near, double first, size_t n)
{
	const long double all = t->over_time.y;
	const double *dy = near->dy;
	const long double ends = (long double)dy[0] + dy[n - 1];

	if (before->n > 0.0L) {
		t->next = shifted(t->next, before->n, 0.0L,
				  t->first - before->y + (t->last - before->y), before->y - all);
		t->next += (t->last - all) * (first - all);
	}
	t->next += shifted(dot(dy, dy + 1, n - 1), (long double)n, near->sum, ends,
			   block->y + near->off - all);
}

static void find_ends(struct tally *t, const double *v, size_t first, size_t n)
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

/* From one sample to the next; held when stepped; nothing across a hole. */
static void add_piece(struct tally *t, const struct samples *s, double wide, double v0, double v1)
{
	if (wide > s->hole)
		return;
	t->area += wide * (s->stepped ? v0 : 0.5 * (v0 + v1));
	t->width += wide;
}

static bool has_hole(const double *t, size_t n, double hole)
{
	size_t wide = 0;
	size_t i;

	for (i = 0; i + 1 < n; i++)
		wide += t[i + 1] - t[i] > hole;
	return wide > 0;
}

/* Twice the area under a block without a hole. */
static double twice_area(const double *t, const double *v, size_t n, bool stepped)
{
	double sum[LANES] = { 0.0 };
	size_t i, k;

	for (i = 0; i + LANES < n; i += LANES)
		for (k = 0; k < LANES; k++)
			sum[k] += (t[i + k + 1] - t[i + k]) *
				  (v[i + k] + v[i + k + (stepped ? 0 : 1)]);
	for (k = 0; i + 1 < n; i++, k++)
		sum[k] += (t[i + 1] - t[i]) * (v[i] + v[i + (stepped ? 0 : 1)]);
	return together(sum);
}

static void integrate(struct tally *t, const struct samples *s, const double *v, size_t first,
		      size_t n)
{
	const double *at = s->t + first;
	size_t i;

	if (first > 0)
		add_piece(t, s, at[0] - at[-1], t->last, v[0]);
	if (!has_hole(at, n, s->hole)) {
		t->area += 0.5 * twice_area(at, v, n, s->stepped);
		t->width += at[n - 1] - at[0];
		return;
	}
	for (i = 0; i + 1 < n; i++)
		add_piece(t, s, at[i + 1] - at[i], v[i], v[i + 1]);
}

/* Pairs the values with engine speed at their times; usually it has the same ones. */
static void add_rpm(struct tally *t, const double *at, const double *v, size_t n,
		    const struct series *rpm, size_t *near)
{
	double x[SAMPLES_BLOCK + LANES], y[SAMPLES_BLOCK + LANES];
	struct near_mean near_mean;
	struct pairs block;
	size_t used = 0;
	size_t i;

	series_follow(rpm, at[0], near);
	if (*near + n <= rpm->n && memcmp(rpm->t + *near, at, n * sizeof *at) == 0) {
		block = sum_block(rpm->v + *near, v, n, &near_mean);
		join(&t->over_rpm, &block);
		*near += n - 1;
		return;
	}
	for (i = 0; i < n; i++) {
		x[used] = series_follow(rpm, at[i], near);
		y[used] = v[i];
		used += !isnan(x[used]);
	}
	if (used == 0)
		return;
	block = sum_block(x, y, used, &near_mean);
	join(&t->over_rpm, &block);
}

void tally_add(struct tally *t, const struct samples *s, const double *v, size_t first,
	       size_t n, const struct series *rpm, size_t *near)
{
	struct near_mean near_mean;
	const struct pairs before = t->over_time;
	const double *at = s->t == NULL ? v : s->t + first;
	const struct pairs block = sum_block(at, v, n, &near_mean);

	if (first == 0)
		t->first = v[0];
	join(&t->over_time, &block);
	join_next(t, &before, &block, &near_mean, v[0], n);
	find_ends(t, v, first, n);
	if (s->t != NULL)
		integrate(t, s, v, first, n);
	if (s->t != NULL && rpm != NULL)
		add_rpm(t, at, v, n, rpm, near);
	t->last = v[n - 1];
}
