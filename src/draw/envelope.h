/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The lowest and highest value of a series under each point column of an axis.
 */
#ifndef DRAW_ENVELOPE_H
#define DRAW_ENVELOPE_H

#include "calc/axis.h"
#include "calc/series.h"
#include "draw/pyramid.h"
#include "draw/trace.h"

/*
 * Fills out[n] for axis positions from .. to in n equal columns.  A column spans
 * its positions including both edges, as far as the map covers them, and holds
 * the samples in it and the values interpolated at its two ends: exactly the
 * lowest and highest value that the series takes there.  Where the map or the
 * series has nothing, or from < to does not hold, NaN in both.  A stepped
 * series is held.
 *
 * `p` is the pyramid over s->v, and the time then hardly depends on how many samples
 * there are; NULL: each sample in view is looked at.
 */
void envelope_fill(const struct series *s, const struct pyramid *p, const struct axis_map *map,
		   double from, double to, size_t n, struct extent *out);

#endif
