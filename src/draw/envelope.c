/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lowest and highest value of a series under each point column of an axis. */
#include "draw/envelope.h"

#include <math.h>
#include <stdbool.h>

static const struct extent nothing = { NAN, NAN };

static void take(struct extent *x, double v)
{
	if (isnan(v))
		return;
	if (isnan(x->low)) {
		x->low = v;
		x->high = v;
	} else if (v < x->low) {
		x->low = v;
	} else if (v > x->high) {
		x->high = v;
	}
}

/*
 * Between two samples a linear series lies between their values and a stepped
 * one is one of them, so samples and edges are all that can be extreme.
 */
static struct extent over_times(const struct series *s, const struct pyramid *p, double from,
				double to)
{
	const size_t first = series_lower(s, from);
	struct extent x = nothing;
	size_t i;

	take(&x, series_at(s, from));
	if (p != NULL) {
		const struct extent between = pyramid_extent(p, first, series_upper(s, to));

		take(&x, between.low);
		take(&x, between.high);
	} else {
		for (i = first; i < s->n && s->t[i] <= to; i++)
			take(&x, s->v[i]);
	}
	take(&x, series_at(s, to));
	return x;
}

void envelope_fill(const struct series *s, const struct pyramid *p, const struct axis_map *map,
		   double from, double to, size_t n, struct extent *out)
{
	/* NaN for an empty map, whose times are NaN too, where a series has nothing. */
	const double first = axis_map_from(map);
	const double last = axis_map_to(map);
	const double width = (to - from) / (double)n;
	const bool range = from < to && isfinite(width);
	size_t i;

	for (i = 0; i < n; i++) {
		const double left = fmax(from + width * (double)i, first);
		const double right = fmin(i + 1 < n ? from + width * (double)(i + 1) : to, last);

		out[i] = nothing;
		if (range && left < right)	/* beside the coverage it is not */
			out[i] = over_times(s, p, axis_map_to_time(map, left),
					    axis_map_to_time(map, right));
	}
}
