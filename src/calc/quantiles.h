/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Exact quantiles of many samples in little memory and at most two passes: the first
 * counts the samples in bins, which a few samples say where to put; the second takes out
 * those of the bins that hold a wanted one.
 */
#ifndef CALC_QUANTILES_H
#define CALC_QUANTILES_H

#include <stdint.h>

#include "calc/samples.h"

#define QUANTILES 3		/* at most, at once */

struct quantiles {
	const struct samples *s;
	double shares[QUANTILES];
	double guess[QUANTILES];	/* by the few samples */
	size_t count;
	double *few;		/* few samples are kept as they are; else NULL */
	double low;		/* of the bins */
	double scale;		/* bins a unit */
	uint32_t *bins;		/* counts, in some tables side by side */
	uint16_t *reach;	/* lowest and highest bin of each block */
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
