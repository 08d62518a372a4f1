/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantiles by counting. */
#include "calc/quantiles.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/select.h"
#include "base/wide.h"

#define FEW 16384		/* samples that are kept */
#define BINS 1022		/* one more below and one above them */
#define ALL_BINS (BINS + 2)
#define TABLES 4		/* neighbours are counted apart: the same bin twice would wait */
#define GUESS 1000		/* samples that tell where the bins go */
#define GUESS_END 0.01		/* share of those below and above all bins */

static enum err_code no_memory(const struct quantiles *q, struct err *e)
{
	return err_set(e, ERR_MEMORY, "out of memory for %zu samples", q->s->n);
}

/* The value of sample i, by a buffer of a block. */
static double sample(const struct samples *s, size_t i, double *buffer)
{
	return samples_get(s, i, 1, buffer)[0];
}

static double guess(const double *v, double share)
{
	double work[GUESS];

	memcpy(work, v, sizeof work);
	return select_quantile(work, GUESS, share);
}

/* Puts the bins where a few samples, spread evenly but for some chance, say. */
static void place_bins(struct quantiles *q)
{
	const size_t part = q->s->n / GUESS;
	double buffer[SAMPLES_BLOCK];
	double v[GUESS];
	double work[GUESS];
	uint32_t chance = 1;
	double high;
	size_t i;

	for (i = 0; i < GUESS; i++) {
		chance = chance * 1664525u + 1013904223u;
		v[i] = sample(q->s, i * part + ((uint64_t)chance * part >> 32), buffer);
	}
	q->low = guess(v, GUESS_END);
	high = guess(v, 1.0 - GUESS_END);
	q->scale = high > q->low ? BINS / (high - q->low) : 1.0;
	for (i = 0; i < q->count; i++) {
		/* a value of the samples, not one between two */
		memcpy(work, v, sizeof work);
		q->guess[i] = select_nth(work, GUESS, (size_t)(q->shares[i] * (GUESS - 1)), NULL);
	}
}

enum err_code quantiles_init(struct quantiles *q, const struct samples *s,
			     const double *shares, size_t count, struct err *e)
{
	const size_t blocks = s->n / SAMPLES_BLOCK + 1;

	memset(q, 0, sizeof *q);
	q->s = s;
	q->count = count;
	memcpy(q->shares, shares, count * sizeof *shares);
	if (s->n <= FEW) {
		q->few = mem_try_array(s->n, sizeof *q->few);
		return q->few != NULL ? ERR_NONE : no_memory(q, e);
	}
	q->bins = mem_try_array(TABLES * ALL_BINS, sizeof *q->bins);
	q->reach = mem_try_array(2 * blocks, sizeof *q->reach);
	if (q->bins == NULL || q->reach == NULL) {
		const enum err_code code = no_memory(q, e);

		quantiles_release(q);
		return code;
	}
	memset(q->bins, 0, TABLES * ALL_BINS * sizeof *q->bins);
	place_bins(q);
	return ERR_NONE;
}

void quantiles_release(struct quantiles *q)
{
	free(q->few);
	free(q->bins);
	free(q->reach);
	memset(q, 0, sizeof *q);
}

/* The bins of values, 0 .. BINS + 1; never falling with the value. */
WIDE static void find_bins(const struct quantiles *q, const double *v, size_t n, int32_t *out)
{
	const double low = q->low;
	const double scale = q->scale;
	size_t i;

	for (i = 0; i < n; i++) {
		double at = (v[i] - low) * scale + 1.0;

		at = at > 0.0 ? at : 0.0;
		at = at < BINS + 1 ? at : BINS + 1;
		out[i] = (int32_t)at;
	}
}

void quantiles_add(struct quantiles *q, const double *v, size_t first, size_t n, double least,
		   double most)
{
	const double ends[2] = { least, most };
	int32_t bin[SAMPLES_BLOCK];
	int32_t reach[2];
	size_t i;

	if (q->few != NULL) {
		memcpy(q->few + first, v, n * sizeof *v);
		return;
	}
	find_bins(q, ends, 2, reach);
	q->reach[2 * (first / SAMPLES_BLOCK)] = (uint16_t)reach[0];
	q->reach[2 * (first / SAMPLES_BLOCK) + 1] = (uint16_t)reach[1];
	find_bins(q, v, n, bin);
	for (i = 0; i + TABLES <= n; i += TABLES) {
		q->bins[bin[i]]++;
		q->bins[ALL_BINS + bin[i + 1]]++;
		q->bins[2 * ALL_BINS + bin[i + 2]]++;
		q->bins[3 * ALL_BINS + bin[i + 3]]++;
	}
	for (; i < n; i++)
		q->bins[bin[i]]++;
}

static enum err_code find_among_few(const struct quantiles *q, double *out, struct err *e)
{
	double *work = mem_try_array(q->s->n, sizeof *work);
	size_t i;

	if (work == NULL)
		return no_memory(q, e);
	for (i = 0; i < q->count; i++) {
		memcpy(work, q->few, q->s->n * sizeof *work);
		out[i] = select_quantile(work, q->s->n, q->shares[i]);
	}
	free(work);
	return ERR_NONE;
}

/* A bin that holds a wanted sample. */
struct wanted {
	double pivot;		/* a value that may be in it often: those are only counted */
	size_t below;		/* of its samples, below the pivot */
	size_t equal;
	double *others;		/* its samples but for those equal to the pivot */
	size_t n;
	size_t room;
};

struct search {
	uint8_t which[ALL_BINS];	/* 1 + index into wanted; 0 for none */
	uint32_t reach[ALL_BINS + 1];	/* wanted bins before */
	struct wanted wanted[2 * QUANTILES];
	size_t count;
};

/* The bin that holds the sample of this rank; *before: samples in the bins before it. */
static size_t bin_of(const struct quantiles *q, size_t rank, size_t *before)
{
	size_t bin, k;

	*before = 0;
	for (bin = 0; bin < ALL_BINS; bin++) {
		size_t here = 0;

		for (k = 0; k < TABLES; k++)
			here += q->bins[k * ALL_BINS + bin];
		if (rank < *before + here)
			break;
		*before += here;
	}
	return bin;
}

static void want(struct search *s, const struct quantiles *q, size_t rank, double pivot)
{
	size_t before;
	const size_t bin = bin_of(q, rank, &before);

	if (s->which[bin] != 0)
		return;
	s->wanted[s->count] = (struct wanted){ .pivot = pivot };
	s->which[bin] = (uint8_t)++s->count;
}

static bool take(struct wanted *w, double v)
{
	if (v == w->pivot) {
		w->equal++;
		return true;
	}
	if (w->n == w->room && !mem_try_grow(&w->others, &w->room, w->n + 1, sizeof(*w->others)))
		return false;
	w->below += v < w->pivot;
	w->others[w->n++] = v;
	return true;
}

/* Takes out the samples of the wanted bins. */
static bool take_all(struct search *s, const struct quantiles *q)
{
	double buffer[SAMPLES_BLOCK];
	int32_t bin[SAMPLES_BLOCK];
	size_t first, i;

	for (i = 0; i < ALL_BINS; i++)
		s->reach[i + 1] = s->reach[i] + (s->which[i] != 0);
	for (first = 0; first < q->s->n; first += SAMPLES_BLOCK) {
		const uint16_t *reach = q->reach + 2 * (first / SAMPLES_BLOCK);
		const size_t left = q->s->n - first;
		const size_t n = left < SAMPLES_BLOCK ? left : SAMPLES_BLOCK;
		const double *v;

		if (s->reach[reach[1] + 1] == s->reach[reach[0]])
			continue;
		v = samples_get(q->s, first, n, buffer);
		find_bins(q, v, n, bin);
		for (i = 0; i < n; i++)
			if (s->which[bin[i]] != 0 && !take(&s->wanted[s->which[bin[i]] - 1], v[i]))
				return false;
	}
	return true;
}

/* The sample of this rank, which must be wanted; consumes nothing. */
static double ranked(const struct search *s, const struct quantiles *q, size_t rank, double *work)
{
	size_t before;
	const struct wanted *w = &s->wanted[s->which[bin_of(q, rank, &before)] - 1];
	const size_t k = rank - before;

	if (k >= w->below && k < w->below + w->equal)
		return w->pivot;
	memcpy(work, w->others, w->n * sizeof *work);
	return select_nth(work, w->n, k < w->below ? k : k - w->equal, NULL);
}

static bool find_all(struct search *s, const struct quantiles *q, double *out)
{
	double weight, *work;
	size_t most = 0;
	size_t i;

	for (i = 0; i < s->count; i++)
		most = s->wanted[i].n > most ? s->wanted[i].n : most;
	work = mem_try_array(most, sizeof *work);
	for (i = 0; work != NULL && i < q->count; i++) {
		const size_t rank = select_rank(q->s->n, q->shares[i], &weight);

		out[i] = ranked(s, q, rank, work);
		if (rank < q->s->n - 1)
			out[i] = (1.0 - weight) * out[i] + weight * ranked(s, q, rank + 1, work);
	}
	free(work);
	return work != NULL;
}

enum err_code quantiles_find(const struct quantiles *q, double *out, struct err *e)
{
	struct search *s;
	double weight;
	size_t i;
	bool ok;

	if (q->few != NULL)
		return find_among_few(q, out, e);
	s = mem_alloc(sizeof *s);
	for (i = 0; i < q->count; i++) {
		const size_t rank = select_rank(q->s->n, q->shares[i], &weight);

		want(s, q, rank, q->guess[i]);
		if (rank < q->s->n - 1)
			want(s, q, rank + 1, q->guess[i]);
	}
	ok = take_all(s, q) && find_all(s, q, out);
	for (i = 0; i < s->count; i++)
		free(s->wanted[i].others);
	free(s);
	return ok ? ERR_NONE : no_memory(q, e);
}
