/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The statistics of a span. */
#include "out/out_stats.h"

#include <math.h>
#include <stdlib.h>

#include "base/crew.h"
#include "base/mem.h"
#include "out/heading.h"
#include "out/json.h"
#include "out/sheet.h"

#define NAME_CELLS 12
#define UNIT_CELLS 8

enum side {
	SIDE_A,
	SIDE_B,
	SIDE_DELTA,
	SIDES
};

static const char *const side_names[SIDES] = { "A", "B", "B-A" };
static const char *const side_keys[SIDES] = { "a", "b", "delta" };

void span_stats_release(struct span_stats *s)
{
	free(s->a);
	free(s->b);
	*s = (struct span_stats)SPAN_STATS_INIT;
}

#define ALONE 200000		/* samples: fewer are not worth a thread */

/* Some of the channels of a run, done by one thread. */
struct part {
	const struct span_stats *s;
	const struct run *run;
	bool is_b;
	double hole;		/* of channels that have a value in each row */
	size_t first;		/* pair; then every step-th */
	size_t step;
	struct stats *out;	/* [pairs] */
	enum err_code code;
	struct err e;
};

static const struct series *rpm_of(const struct run *run)
{
	return run->rpm.n > 0 ? &run->rpm : NULL;
}

/* Most channels have a value in each row; they need not be copied out of the log. */
static enum err_code compute_whole(struct part *p, bool *done)
{
	const size_t count = p->s->pairs->count;
	struct samples *samples = mem_array(count, sizeof *samples);
	struct stats *found = mem_array(count, sizeof *found);
	size_t *at = mem_array(count, sizeof *at);
	enum err_code code;
	size_t n = 0;
	size_t i;

	for (i = p->first; i < count; i += p->step) {
		if (!pair_samples(&p->s->pairs->list[i], p->run, p->is_b, &samples[n]))
			continue;
		samples[n].hole = p->hole;
		at[n++] = i;
		done[i] = true;
	}
	code = stats_samples(samples, n, overlay_map(p->s->o, p->run), rpm_of(p->run), p->s->from,
			     p->s->to, found, &p->e);
	for (i = 0; i < n; i++)
		p->out[at[i]] = found[i];
	free(samples);
	free(found);
	free(at);
	return code;
}

static enum err_code compute_other(struct part *p, size_t i)
{
	struct series series = SERIES_INIT;
	enum err_code code = pair_load(&p->s->pairs->list[i], p->run, p->is_b, &series, &p->e);

	if (code == ERR_NONE)
		code = stats_span(&series, overlay_map(p->s->o, p->run), rpm_of(p->run), p->s->from,
				  p->s->to, &p->out[i], &p->e);
	series_release(&series);
	return code;
}

static bool has_side(const struct pair *pair, bool is_b)
{
	return (is_b ? pair->b : pair->a) != NULL;
}

static void compute_part(void *job)
{
	struct part *p = job;
	bool *done = mem_array(p->s->pairs->count, sizeof *done);
	size_t i;

	p->code = compute_whole(p, done);
	for (i = p->first; p->code == ERR_NONE && i < p->s->pairs->count; i += p->step)
		if (!done[i] && has_side(&p->s->pairs->list[i], p->is_b))
			p->code = compute_other(p, i);
	free(done);
}

static enum err_code compute_side(const struct span_stats *s, const struct run *run, bool is_b,
				  struct stats *out, struct err *e)
{
	const size_t rows = run->pull.last - run->pull.first + 1;
	const size_t parts = rows * s->pairs->count < ALONE ? 1 : crew_size();
	struct part part[CREW_MOST];
	enum err_code code;
	double hole;
	size_t i;

	code = series_hole(run->log->time + run->pull.first, rows, &hole, e);
	if (code != ERR_NONE)
		return code;
	for (i = 0; i < parts; i++)
		part[i] = (struct part){ s, run, is_b, hole, i, parts, out, ERR_NONE, ERR_INIT };
	crew_run(compute_part, part, sizeof *part, parts);
	for (i = 0; i < parts && code == ERR_NONE; i++) {
		code = part[i].code;
		if (code != ERR_NONE && e != NULL)
			*e = part[i].e;
	}
	return code;
}

enum err_code span_stats_compute(struct span_stats *s, const struct overlay *o,
				 const struct pairing *pairs, double from, double to,
				 struct err *e)
{
	enum err_code code;

	*s = (struct span_stats){ o, pairs, from, to, NULL, NULL, 0 };
	s->a = mem_array(pairs->count, sizeof *s->a);
	s->b = mem_array(pairs->count, sizeof *s->b);
	code = compute_side(s, &o->a, false, s->a, e);
	if (code == ERR_NONE && overlay_has_b(o))
		code = compute_side(s, &o->b, true, s->b, e);
	if (code != ERR_NONE)
		span_stats_release(s);
	return code;
}

/* False where the pair lacks this side. */
static bool side_stats(const struct span_stats *s, size_t i, enum side side, struct stats *out)
{
	const bool has_a = s->pairs->list[i].a != NULL;
	const bool has_b = s->pairs->list[i].b != NULL && overlay_has_b(s->o);

	switch (side) {
	case SIDE_A:
		*out = s->a[i];
		return has_a;
	case SIDE_B:
		*out = s->b[i];
		return has_b;
	default:
		stats_subtract(&s->a[i], &s->b[i], out);
		return has_a && has_b;
	}
}

/* What the text shows: of two runs, and of one alone, where there is room for more. */
static const enum stats_field text_two[] = {
	STATS_MEAN, STATS_MIN, STATS_MIN_AT, STATS_MAX, STATS_MAX_AT,
};

static const enum stats_field text_one[] = {
	STATS_MEAN, STATS_MIN, STATS_MIN_AT, STATS_MAX, STATS_MAX_AT, STATS_FIRST, STATS_LAST,
};

static void put_field(struct sheet *s, const struct span_stats *r, const struct stats *st,
		      enum stats_field f, enum side side, int decimals)
{
	if (stats_info(f)->kind == STATS_POSITION)
		decimals = heading_decimals(r->o->axis);
	/* how far apart two extremes stand tells nothing, and misleads beside them */
	if (side == SIDE_DELTA && stats_info(f)->kind == STATS_POSITION)
		sheet_blank(s);
	else if (side == SIDE_DELTA)
		sheet_signed(s, st->field[f], decimals);
	else
		sheet_number(s, st->field[f], decimals);
}

static void text_rows(struct sheet *s, const struct span_stats *r, size_t i,
		      const enum stats_field *fields, size_t count)
{
	const struct pair *pair = &r->pairs->list[i];
	const bool two = overlay_has_b(r->o);
	const int decimals = heading_value_decimals(pair);
	bool first = true;
	struct stats st;
	int side;
	size_t k;

	for (side = 0; side < (two ? SIDES : 1); side++) {
		if (!side_stats(r, i, (enum side)side, &st))
			continue;
		sheet_row(s);
		if (two && first)
			sheet_gap(s);
		sheet_text(s, first ? pair_channel(pair)->name : "");
		sheet_text(s, first ? pair_unit(pair, false) : "");
		if (two)
			sheet_text(s, side_names[side]);
		for (k = 0; k < count; k++)
			put_field(s, r, &st, fields[k], (enum side)side, decimals);
		first = false;
	}
}

static void write_text(const struct span_stats *r, const struct out_style *style,
		       struct buf *out)
{
	const bool two = overlay_has_b(r->o);
	const enum stats_field *fields = two ? text_two : text_one;
	const size_t count = two ? sizeof text_two / sizeof text_two[0] :
		sizeof text_one / sizeof text_one[0];
	struct sheet *s = sheet_new();
	size_t i;

	heading_text(r->o, r->from, r->to, style, out);
	sheet_column_flex(s, "channel", SHEET_LEFT, NAME_CELLS);
	sheet_column_flex(s, "unit", SHEET_LEFT, UNIT_CELLS);
	if (two)
		sheet_column(s, "", SHEET_LEFT);
	sheet_keys_end(s);
	for (i = 0; i < count; i++)
		sheet_column(s, stats_info(fields[i])->title, SHEET_RIGHT);
	for (i = 0; i < r->pairs->count; i++)
		text_rows(s, r, i, fields, count);
	sheet_to_text(s, style, out);
	sheet_free(s);
	if (r->hidden > 0)
		buf_printf(out, "\n%zu more channel%s: --channel all\n", r->hidden,
			   r->hidden == 1 ? "" : "s");
}

static void csv_run(struct sheet *s, const struct overlay *o, enum side side)
{
	const struct run *run = side == SIDE_A ? &o->a : &o->b;

	if (side == SIDE_DELTA) {
		sheet_blank(s);
		sheet_blank(s);
		return;
	}
	sheet_text(s, run->log->path);
	sheet_number(s, run->number == RUN_WHOLE ? NAN : (double)run->number, 0);
}

static void csv_rows(struct sheet *s, const struct span_stats *r, size_t i)
{
	const struct channel *ch = pair_channel(&r->pairs->list[i]);
	struct stats st;
	int side, f;

	for (side = 0; side < SIDES; side++) {
		if (!side_stats(r, i, (enum side)side, &st))
			continue;
		sheet_row(s);
		sheet_text(s, side_names[side]);
		csv_run(s, r->o, (enum side)side);
		sheet_text(s, ch->name);
		sheet_text(s, heading_quantity(ch));
		sheet_text(s, pair_unit(&r->pairs->list[i], false));
		sheet_text(s, axis_name(r->o->axis));
		sheet_number(s, r->from, 0);
		sheet_number(s, r->to, 0);
		for (f = 0; f < STATS_FIELDS; f++)
			sheet_number(s, st.field[f], 0);
	}
}

static void write_csv(const struct span_stats *r, const struct out_style *style,
		      struct buf *out)
{
	static const char *const names[] = {
		"run", "file", "pull", "name", "quantity", "unit", "axis", "from", "to",
	};
	struct sheet *s = sheet_new();
	size_t i;
	int f;

	(void)style;
	for (i = 0; i < sizeof names / sizeof names[0]; i++)
		sheet_column(s, names[i], SHEET_LEFT);
	for (f = 0; f < STATS_FIELDS; f++)
		sheet_column(s, stats_info((enum stats_field)f)->key, SHEET_RIGHT);
	for (i = 0; i < r->pairs->count; i++)
		csv_rows(s, r, i);
	sheet_to_csv(s, out);
	sheet_free(s);
}

static json_t *json_side(const struct span_stats *r, size_t i, enum side side)
{
	struct stats st;
	json_t *object;
	int f;

	if (!side_stats(r, i, side, &st))
		return json_null();
	object = js_object();
	for (f = 0; f < STATS_FIELDS; f++) {
		const struct stats_info *info = stats_info((enum stats_field)f);

		js_set(object, info->key, info->kind == STATS_COUNT ? js_count(st.field[f]) :
		       js_number(st.field[f]));
	}
	return object;
}

static void write_json(const struct span_stats *r, const struct out_style *style,
		       struct buf *out)
{
	json_t *root = js_object();
	json_t *channels = js_array();
	size_t i;
	int side;

	(void)style;
	for (i = 0; i < r->pairs->count; i++) {
		json_t *object = js_object();

		heading_pair_json(object, &r->pairs->list[i]);
		for (side = 0; side < SIDES; side++)
			js_set(object, side_keys[side], json_side(r, i, (enum side)side));
		js_append(channels, object);
	}
	heading_axis_json(root, r->o, r->from, r->to);
	js_set(root, "channels", channels);
	js_write(root, out);
}

static void (*const writers[OUT_FORMATS])(const struct span_stats *, const struct out_style *,
					  struct buf *) = {
	[OUT_TEXT] = write_text,
	[OUT_CSV] = write_csv,
	[OUT_JSON] = write_json,
};

void out_stats(const struct span_stats *s, const struct out_style *style, struct buf *out)
{
	writers[style->format](s, style, out);
}
