/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Exact quantiles of many samples in little memory.  A few samples say where to put bins,
 * and which of them may hold a quantile; then all are counted, and those of such bins
 * kept.  If it was another bin, or too many would be kept, a second pass takes them out.
 */
#ifndef CALC_QUANTILES_H
#define CALC_QUANTILES_H

#include <stdbool.h>
#include <stdint.h>

#include "calc/bins.h"
#include "calc/samples.h"

#define QUANTILES BIN_RANGES	/* at most, at once */

struct quantiles {
	const struct samples *s;
	double shares[QUANTILES];
	size_t count;
	double *few;		/* few samples are kept as they are; else NULL */
	struct bins place;
	uint32_t *bins;		/* counts, in some tables side by side */
	uint16_t *reach;	/* lowest and highest bin of each block */
	struct bin_range kept_bins[QUANTILES];	/* the last one again, where there are fewer */
	double *pivots;		/* [bins], a value that may be often in it, or NaN */
	double *kept;		/* [kept_count], samples of such bins but for their pivots */
	size_t kept_count;
	size_t kept_room;
	bool is_full;		/* not all were kept */
};

/* Quantiles of s, which must stay: shares[count] of 0 .. 1.  Fails only for memory. */
enum err_code quantiles_init(struct quantiles *q, const struct samples *s,
			     const double *shares, size_t count, struct err *e);

/*
 * Block by block all samples, with values v; all but the last of SAMPLES_BLOCK.  The
 * least and the greatest of them are known by then.
 */
void quantiles_add(struct quantiles *q, const double *v, size_t first, size_t n, double least,
		   double most);

/* Hyndman and Fan's type 7; NaN of nothing. */
enum err_code quantiles_find(const struct quantiles *q, double *out, struct err *e);

void quantiles_release(struct quantiles *q);

#endif
