/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The statistics of a span: computing them for every channel, and writing them. */
#ifndef OUT_OUT_STATS_H
#define OUT_OUT_STATS_H

#include <stddef.h>

#include "base/buf.h"
#include "base/err.h"
#include "calc/overlay.h"
#include "calc/pairing.h"
#include "calc/stats.h"
#include "out/style.h"

struct span_stats {
	const struct overlay *o;	/* borrowed, as is pairs */
	const struct pairing *pairs;
	double from;			/* axis positions */
	double to;
	struct stats *a;		/* [pairs]; meaningful where the pair has the side */
	struct stats *b;
	size_t hidden;			/* channels that text says were left out */
};

#define SPAN_STATS_INIT { NULL, NULL, 0.0, 0.0, NULL, NULL, 0 }

/* Of every pair over from .. to.  Fails only for memory. */
enum err_code span_stats_compute(struct span_stats *s, const struct overlay *o,
				 const struct pairing *pairs, double from, double to,
				 struct err *e);
void span_stats_release(struct span_stats *s);

void out_stats(const struct span_stats *s, const struct out_style *style, struct buf *out);

#endif
