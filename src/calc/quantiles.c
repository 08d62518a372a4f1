/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantiles by counting. */
#include "calc/quantiles.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/select.h"

#define FEW 16384		/* samples that are kept */
#define TABLES 4		/* neighbours are counted apart: the same bin twice would wait */
#define GUESS_MOST 20000		/* samples that tell where the bins go, at most */
#define GUESS_STEP 128		/* and so many others for each */
#define GUESS_END 0.01		/* share of those below and above all bins */
#define GUESS_OFF 3.0		/* standard deviations that a guess may be off */
#define KEEP_MORE 1.25		/* than expected is kept at most */

static enum err_code no_memory(const struct quantiles *q, struct err *e)
{
	return err_set(e, ERR_MEMORY, "out of memory for %zu samples", q->s->n);
}

/* The value of sample i, by a buffer of a block. */
static double sample(const struct samples *s, size_t i, double *buffer)
{
	return samples_get(s, i, 1, buffer)[0];
}

/* A value of v[n], none between two, that about a share of the others is below. */
static double guess(const double *v, size_t n, double share, double *work)
{
	const double at = share * (double)(n - 1);

	memcpy(work, v, n * sizeof *v);
	return select_nth(work, n, at > 0.0 ? (size_t)fmin(at, (double)(n - 1)) : 0, NULL);
}

/* Some samples, spread evenly but for some chance. */
static void take_some(const struct samples *s, double *v, size_t n)
{
	const size_t part = s->n / n;
	double buffer[SAMPLES_BLOCK];
	uint32_t chance = 1;
	size_t i;

	for (i = 0; i < n; i++) {
		chance = chance * 1664525u + 1013904223u;
		v[i] = sample(s, i * part + ((uint64_t)chance * part >> 32), buffer);
	}
}

/* By how much the share below a quantile, guessed from n samples, may be off. */
static double guess_off(double share, size_t n)
{
	return GUESS_OFF * sqrt(share * (1.0 - share) / (double)n) + 1.0 / (double)n;
}

/* Keeps the bins that may hold a quantile, as the samples v[n] say. */
static void keep_around(struct quantiles *q, size_t which, const double *v, size_t n, double *work)
{
	const double share = q->shares[which];
	const double off = guess_off(share, n);
	const double three[3] = {
		guess(v, n, share - off, work), guess(v, n, share, work),
		guess(v, n, share + off, work),
	};
	int32_t bin[3];

	bins_find(&q->place, three, 3, bin);
	q->kept_bins[which] = (struct bin_range){ bin[0], bin[2] };
}

/*
 * In each bin the value that is most of the samples v[n] there, if one is, by the vote of
 * Boyer and Moore, "MJRTY: a fast majority vote algorithm" (1981, 1991).
 */
static void find_pivots(struct quantiles *q, const double *v, size_t n)
{
	uint16_t votes[ALL_BINS] = { 0 };
	size_t first, i;

	for (i = 0; i < ALL_BINS; i++)
		q->pivots[i] = NAN;
	for (first = 0; first < n; first += SAMPLES_BLOCK) {
		const size_t part = n - first < SAMPLES_BLOCK ? n - first : SAMPLES_BLOCK;
		int32_t bin[SAMPLES_BLOCK];

		bins_find(&q->place, v + first, part, bin);
		for (i = 0; i < part; i++) {
			double *pivot = &q->pivots[bin[i]];
			uint16_t *vote = &votes[bin[i]];

			if (*vote == 0)
				*pivot = v[first + i];
			*vote = (uint16_t)(v[first + i] == *pivot ? *vote + 1 : *vote - 1);
		}
	}
}

static bool place_bins(struct quantiles *q)
{
	const size_t n = q->s->n / GUESS_STEP < GUESS_MOST ? q->s->n / GUESS_STEP : GUESS_MOST;
	double *v = mem_try_array(2 * n, sizeof *v);
	double expected = 0.0;
	double high;
	size_t i;

	if (v == NULL)
		return false;
	take_some(q->s, v, n);
	q->place.low = guess(v, n, GUESS_END, v + n);
	high = guess(v, n, 1.0 - GUESS_END, v + n);
	q->place.scale = high > q->place.low ? BINS / (high - q->place.low) : 1.0;
	find_pivots(q, v, n);
	for (i = 0; i < q->count; i++) {
		keep_around(q, i, v, n, v + n);
		expected += 2.0 * guess_off(q->shares[i], n) + 1.0 / BINS;
	}
	for (; i < BIN_RANGES && i > 0; i++)
		q->kept_bins[i] = q->kept_bins[i - 1];
	free(v);
	q->kept_room = (size_t)(KEEP_MORE * expected * (double)q->s->n) + SAMPLES_BLOCK;
	q->kept = mem_try_array(q->kept_room, sizeof *q->kept);
	return q->kept != NULL;
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
	q->pivots = mem_try_array(ALL_BINS, sizeof *q->pivots);
	if (q->bins == NULL || q->reach == NULL || q->pivots == NULL || !place_bins(q)) {
		const enum err_code code = no_memory(q, e);

		quantiles_release(q);
		return code;
	}
	memset(q->bins, 0, TABLES * ALL_BINS * sizeof *q->bins);
	return ERR_NONE;
}

void quantiles_release(struct quantiles *q)
{
	free(q->few);
	free(q->bins);
	free(q->reach);
	free(q->pivots);
	free(q->kept);
	memset(q, 0, sizeof *q);
}

/* Which are kept, one after another; most of eight together are not. */
static size_t list_kept(const uint8_t *is_kept, size_t n, uint16_t *out)
{
	uint64_t any;
	size_t count = 0;
	size_t first, i;

	for (first = 0; first < n; first += sizeof any) {
		memcpy(&any, is_kept + first, sizeof any);
		if (any == 0)
			continue;
		for (i = first; i < first + sizeof any; i++) {
			out[count] = (uint16_t)i;
			count += is_kept[i];
		}
	}
	return count;
}

/*
 * Keeps what may be wanted, but for pivots, which need only be counted; with few branches,
 * because nobody can guess them.
 */
static void keep(struct quantiles *q, const double *v, const int32_t *bin, size_t n)
{
	uint8_t is_kept[SAMPLES_BLOCK + sizeof(uint64_t)];
	uint16_t at[SAMPLES_BLOCK + sizeof(uint64_t)];
	size_t kept = q->kept_count;
	size_t count, i;

	q->is_full = q->is_full || kept + n > q->kept_room;
	if (q->is_full)
		return;
	bins_mark(q->kept_bins, bin, n, is_kept);
	memset(is_kept + n, 0, sizeof(uint64_t));
	count = list_kept(is_kept, n, at);
	for (i = 0; i < count; i++) {
		q->kept[kept] = v[at[i]];
		kept += v[at[i]] != q->pivots[bin[at[i]]];
	}
	q->kept_count = kept;
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
	bins_find(&q->place, ends, 2, reach);
	q->reach[2 * (first / SAMPLES_BLOCK)] = (uint16_t)reach[0];
	q->reach[2 * (first / SAMPLES_BLOCK) + 1] = (uint16_t)reach[1];
	bins_find(&q->place, v, n, bin);
	for (i = 0; i + TABLES <= n; i += TABLES) {
		q->bins[bin[i]]++;
		q->bins[ALL_BINS + bin[i + 1]]++;
		q->bins[2 * ALL_BINS + bin[i + 2]]++;
		q->bins[3 * ALL_BINS + bin[i + 3]]++;
	}
	for (; i < n; i++)
		q->bins[bin[i]]++;
	keep(q, v, bin, n);
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
	size_t bin;
	size_t all;		/* its samples */
	double *others;		/* but for those equal to the pivot */
	size_t n;
	size_t room;
	size_t below;		/* of the others, below the pivot */
};

struct search {
	uint8_t which[ALL_BINS];	/* 1 + index into wanted; 0 for none */
	uint32_t reach[ALL_BINS + 1];	/* wanted bins before */
	struct wanted wanted[2 * QUANTILES];
	size_t count;
	bool all_kept;
};

static size_t count_in(const struct quantiles *q, size_t bin)
{
	size_t count = 0;
	size_t k;

	for (k = 0; k < TABLES; k++)
		count += q->bins[k * ALL_BINS + bin];
	return count;
}

/* The bin that holds the sample of this rank; *before: samples in the bins before it. */
static size_t bin_of(const struct quantiles *q, size_t rank, size_t *before)
{
	size_t bin;

	*before = 0;
	for (bin = 0; bin < ALL_BINS; bin++) {
		const size_t here = count_in(q, bin);

		if (rank < *before + here)
			break;
		*before += here;
	}
	return bin;
}

static bool is_kept(const struct quantiles *q, int32_t bin)
{
	uint8_t kept;

	bins_mark(q->kept_bins, &bin, 1, &kept);
	return kept != 0;
}

static void want(struct search *s, const struct quantiles *q, size_t rank)
{
	size_t before;
	const size_t bin = bin_of(q, rank, &before);

	if (s->which[bin] != 0)
		return;
	s->wanted[s->count] = (struct wanted){ .bin = bin, .all = count_in(q, bin) };
	s->all_kept = s->all_kept && is_kept(q, (int32_t)bin);
	s->which[bin] = (uint8_t)++s->count;
}

static bool take(struct wanted *w, double v, double pivot)
{
	if (v == pivot)
		return true;
	if (w->n == w->room && !mem_try_grow(&w->others, &w->room, w->n + 1, sizeof(*w->others)))
		return false;
	w->below += v < pivot;
	w->others[w->n++] = v;
	return true;
}

/* Takes v[n], at most a block, if wanted. */
static bool take_block(struct search *s, const struct quantiles *q, const double *v, size_t n)
{
	int32_t bin[SAMPLES_BLOCK];
	size_t i;

	bins_find(&q->place, v, n, bin);
	for (i = 0; i < n; i++)
		if (s->which[bin[i]] != 0 && !take(&s->wanted[s->which[bin[i]] - 1], v[i],
						   q->pivots[bin[i]]))
			return false;
	return true;
}

/* What was kept has all that is wanted. */
static bool take_kept(struct search *s, const struct quantiles *q)
{
	size_t first, n;

	for (first = 0; first < q->kept_count; first += n) {
		n = q->kept_count - first < SAMPLES_BLOCK ? q->kept_count - first : SAMPLES_BLOCK;
		if (!take_block(s, q, q->kept + first, n))
			return false;
	}
	return true;
}

/* Goes over all samples once more. */
static bool take_again(struct search *s, const struct quantiles *q)
{
	double buffer[SAMPLES_BLOCK];
	size_t first, i;

	for (i = 0; i < ALL_BINS; i++)
		s->reach[i + 1] = s->reach[i] + (s->which[i] != 0);
	for (first = 0; first < q->s->n; first += SAMPLES_BLOCK) {
		const uint16_t *reach = q->reach + 2 * (first / SAMPLES_BLOCK);
		const size_t left = q->s->n - first;
		const size_t n = left < SAMPLES_BLOCK ? left : SAMPLES_BLOCK;

		if (s->reach[reach[1] + 1] > s->reach[reach[0]] &&
		    !take_block(s, q, samples_get(q->s, first, n, buffer), n))
			return false;
	}
	return true;
}

/* The sample of this rank, which must be wanted; consumes nothing. */
static double ranked(const struct search *s, const struct quantiles *q, size_t rank, double *work)
{
	size_t before;
	const struct wanted *w = &s->wanted[s->which[bin_of(q, rank, &before)] - 1];
	const size_t equal = w->all - w->n;
	const size_t k = rank - before;

	if (k >= w->below && k < w->below + equal)
		return q->pivots[w->bin];
	memcpy(work, w->others, w->n * sizeof *work);
	return select_nth(work, w->n, k < w->below ? k : k - equal, NULL);
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
	s->all_kept = !q->is_full;
	for (i = 0; i < q->count; i++) {
		const size_t rank = select_rank(q->s->n, q->shares[i], &weight);

		want(s, q, rank);
		if (rank < q->s->n - 1)
			want(s, q, rank + 1);
	}
	ok = (s->all_kept ? take_kept(s, q) : take_again(s, q)) && find_all(s, q, out);
	for (i = 0; i < s->count; i++)
		free(s->wanted[i].others);
	free(s);
	return ok ? ERR_NONE : no_memory(q, e);
}
