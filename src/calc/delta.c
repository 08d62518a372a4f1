/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Differences of two pulls by bands and through a span. */
#include "calc/delta.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

#define MOST_BANDS 10000

void delta_release(struct delta *d)
{
	size_t i;

	for (i = 0; i < d->band_count; i++)
		free(d->bands[i].cells);
	free(d->bands);
	free(d->largest);
	*d = (struct delta){ 0 };
}

static double elapsed(const struct axis_map *map, double from, double to)
{
	return axis_map_to_time(map, to) - axis_map_to_time(map, from);
}

static void lay_bands(struct delta *d, const struct overlay *o, double width)
{
	double from = d->from;
	size_t cap = 0;

	while (from < d->to) {
		const double to = fmin(d->to, (floor(from / width + 1e-9) + 1.0) * width);
		struct delta_band *band;

		mem_grow(&d->bands, &cap, d->band_count + 1, sizeof *d->bands);
		band = &d->bands[d->band_count++];
		band->from = from;
		band->to = to;
		band->elapsed_a = elapsed(overlay_map(o, &o->a), from, to);
		band->elapsed_b = elapsed(overlay_map(o, &o->b), from, to);
		band->cells = mem_array(d->pair_count, sizeof *band->cells);
		from = to;
	}
}

static struct delta_cell compare(const struct profile *a, const struct profile *b, double from,
				 double to)
{
	struct delta_cell c;

	c.a = profile_mean(a, from, to);
	c.b = profile_mean(b, from, to);
	c.delta = c.b - c.a;
	c.percent = c.a == 0.0 ? NAN : 100.0 * c.delta / fabs(c.a);
	return c;
}

static enum err_code side_profile(struct profile *out, const struct pair *pair,
				  const struct overlay *o, bool is_b, struct err *e)
{
	const struct run *run = is_b ? &o->b : &o->a;
	struct series s;
	enum err_code code = pair_load(pair, run, is_b, &s, e);

	if (code == ERR_NONE)
		code = profile_build(out, &s, overlay_map(o, run), e);
	series_release(&s);
	return code;
}

static enum err_code fill_pair(struct delta *d, const struct overlay *o,
			       const struct pair *pair, size_t column, struct err *e)
{
	struct delta_largest *most = &d->largest[column];
	struct profile a = PROFILE_INIT;
	struct profile b = PROFILE_INIT;
	enum err_code code = side_profile(&a, pair, o, false, e);
	size_t i;

	if (code == ERR_NONE)
		code = side_profile(&b, pair, o, true, e);
	if (code != ERR_NONE)
		goto out;
	for (i = 0; i < d->band_count; i++)
		d->bands[i].cells[column] = compare(&a, &b, d->bands[i].from, d->bands[i].to);
	profile_largest(&a, &b, d->from, d->to, &most->delta, &most->at);
	most->a = profile_at(&a, most->at);
	most->b = profile_at(&b, most->at);
out:
	profile_release(&a);
	profile_release(&b);
	return code;
}

enum err_code delta_compute(struct delta *d, const struct overlay *o,
			    const struct pairing *pairs, double from, double to, double width,
			    struct err *e)
{
	enum err_code code = ERR_NONE;
	double low, high;
	size_t i;

	*d = (struct delta){ 0 };
	overlay_range(o, true, &low, &high);
	d->from = isnan(from) ? low : fmax(from, low);
	d->to = isnan(to) ? high : fmin(to, high);
	if (!(d->from < d->to))
		return err_set(e, ERR_DATA, "A and B have nothing in common on the %s axis%s",
			       axis_name(o->axis), isnan(from) ? "" : " in this span");
	if (!((d->to - d->from) / width <= MOST_BANDS))
		return err_set(e, ERR_DATA, "a width of %g makes more than %d bands; take a "
			       "greater one", width, MOST_BANDS);
	d->elapsed_a = elapsed(overlay_map(o, &o->a), d->from, d->to);
	d->elapsed_b = elapsed(overlay_map(o, &o->b), d->from, d->to);
	d->pair_count = pairs->count;
	d->largest = mem_array(pairs->count, sizeof *d->largest);
	lay_bands(d, o, width);
	for (i = 0; i < pairs->count && code == ERR_NONE; i++)
		code = fill_pair(d, o, &pairs->list[i], i, e);
	if (code != ERR_NONE)
		delta_release(d);
	return code;
}
