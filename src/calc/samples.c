/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Samples by blocks. */
#include "calc/samples.h"

#include "base/search.h"
#include "data/column.h"

struct samples samples_of(const struct series *s)
{
	return (struct samples){ .n = s->n, .t = s->t, .v = s->v, .stepped = s->stepped,
				 .hole = s->hole };
}

struct samples samples_of_values(const double *v, size_t n)
{
	return (struct samples){ .n = n, .v = v };
}

struct samples samples_of_channel(const struct datalog *log, const struct channel *ch,
				  size_t first, size_t last, const struct unit *to)
{
	struct samples s = { .n = last - first + 1, .t = log->time + first,
			     .column = ch->column, .first = first,
			     .stepped = channel_is_stepped(ch) };

	if (to != NULL && to != ch->unit) {
		s.from = ch->unit;
		s.to = to;
	}
	return s;
}

struct samples samples_part(const struct samples *s, size_t first, size_t n)
{
	struct samples part = *s;

	part.n = n;
	part.t = s->t == NULL ? NULL : s->t + first;
	part.v = s->v == NULL ? NULL : s->v + first;
	part.first = s->first + first;
	return part;
}

const double *samples_get(const struct samples *s, size_t first, size_t n, double *buffer)
{
	if (s->v != NULL)
		return s->v + first;
	column_get(s->column, s->first + first, n, buffer);
	if (s->to != NULL)
		unit_convert_all(buffer, n, s->from, s->to);
	return buffer;
}

/* The value hangs on the two samples around t alone. */
double samples_at(const struct samples *s, double t)
{
	const size_t next = search_lower(s->t, s->n, t);
	const size_t first = next > 0 ? next - 1 : 0;
	double v[SAMPLES_BLOCK];
	struct series near = { .stepped = s->stepped, .hole = s->hole };

	near.n = s->n - first < 2 ? s->n - first : 2;
	near.t = (double *)s->t + first;
	near.v = (double *)samples_get(s, first, near.n, v);
	return series_at(&near, t);
}
