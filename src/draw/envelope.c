/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lowest and highest value of a series under each point column of an axis. */
#include "draw/envelope.h"

#include <math.h>
#include <stdbool.h>

#include "base/search.h"

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

#define AHEAD 4			/* columns: what memory takes to bring something */

/* Where a column begins or ends. */
struct edge {
	double position;
	double time;
	size_t next;		/* the first sample at or after it */
	double value;		/* of the series there */
};

/* The series, and where in it the last edges were: the next is about as far on. */
struct walk {
	const struct series *s;
	const struct pyramid *p;
	const struct axis_map *map;
	size_t last;
	size_t stride;
};

static struct edge edge_at(struct walk *w, double position)
{
	struct edge e = { position, axis_map_to_time(w->map, position), 0, NAN };

	e.next = search_near(w->s->t, w->s->n, e.time, w->last + w->stride);
	e.value = series_between(w->s, e.next, e.time);
	w->stride = e.next > w->last ? e.next - w->last : 0;
	w->last = e.next;
	if (w->p != NULL)
		pyramid_expect(w->p, w->last + AHEAD * w->stride);
	return e;
}

/*
 * Between two samples a linear series lies between their values and a stepped
 * one is one of them, so samples and edges are all that can be extreme.
 */
static struct extent over(const struct walk *w, const struct edge *from, const struct edge *to)
{
	const struct series *s = w->s;
	struct extent x = nothing;
	const size_t end = series_end(s, to->next, to->time);
	size_t i;

	take(&x, from->value);
	if (w->p != NULL) {
		const struct extent between = pyramid_extent(w->p, from->next, end);

		take(&x, between.low);
		take(&x, between.high);
	} else {
		for (i = from->next; i < end; i++)
			take(&x, s->v[i]);
	}
	take(&x, to->value);
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
	struct walk w = { s, p, map, 0, 0 };
	struct edge right = { NAN, NAN, 0, NAN };
	size_t i;

	for (i = 0; i < n; i++) {
		const double begin = fmax(from + width * (double)i, first);
		const double end = fmin(i + 1 < n ? from + width * (double)(i + 1) : to, last);
		struct edge left = right;

		out[i] = nothing;
		if (!range || !(begin < end))	/* beside the coverage it is not */
			continue;
		if (left.position != begin)
			left = edge_at(&w, begin);
		right = edge_at(&w, end);
		out[i] = over(&w, &left, &right);
	}
}
