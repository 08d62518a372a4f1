/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The differences of two pulls as CSV and JSON; the text is in diff_text.c. */
#include "out/out_diff.h"

#include <math.h>

#include "out/diff_text.h"
#include "out/heading.h"
#include "out/json.h"
#include "out/sheet.h"

static double percent(double a, double b)
{
	return a == 0.0 ? NAN : 100.0 * (b - a) / fabs(a);
}

/* The fields of a CSV line; NULL and NaN leave one empty. */
struct line {
	const char *part;
	double from;
	double to;
	const struct pair *pair;
	const char *unit;	/* where there is no pair */
	double level_kpa;
	double share;
	double a;
	double b;
};

static const struct line empty_line = {
	NULL, NAN, NAN, NULL, NULL, NAN, NAN, NAN, NAN,
};

static void csv_line(struct sheet *s, const struct line *l)
{
	const struct channel *ch = l->pair == NULL ? NULL : pair_channel(l->pair);

	sheet_row(s);
	sheet_text(s, l->part);
	sheet_number(s, l->from, 0);
	sheet_number(s, l->to, 0);
	sheet_text(s, ch == NULL ? "" : ch->name);
	sheet_text(s, ch == NULL ? "" : heading_quantity(ch));
	sheet_text(s, ch == NULL ? l->unit : pair_unit(l->pair, false));
	sheet_number(s, l->level_kpa, 0);
	sheet_number(s, l->share, 0);
	sheet_number(s, l->a, 0);
	sheet_number(s, l->b, 0);
	sheet_number(s, l->b - l->a, 0);
	sheet_number(s, percent(l->a, l->b), 0);
}

static void csv_elapsed(struct sheet *s, const char *part, double from, double to, double a,
			double b)
{
	struct line l = empty_line;

	l.part = part;
	l.from = from;
	l.to = to;
	l.unit = "s";
	l.a = a;
	l.b = b;
	csv_line(s, &l);
}

static void csv_bands(struct sheet *s, const struct diff_report *r)
{
	size_t i, k;

	for (i = 0; i < r->delta->band_count; i++) {
		const struct delta_band *band = &r->delta->bands[i];
		struct line l = empty_line;

		csv_elapsed(s, "elapsed", band->from, band->to, band->elapsed_a,
			    band->elapsed_b);
		l.part = "band";
		l.from = band->from;
		l.to = band->to;
		for (k = 0; k < r->pairs->count; k++) {
			l.pair = &r->pairs->list[k];
			l.a = band->cells[k].a;
			l.b = band->cells[k].b;
			csv_line(s, &l);
		}
	}
}

static void csv_spool(struct sheet *s, const struct diff_report *r)
{
	size_t i;

	for (i = 0; i < r->spool_count; i++) {
		const struct spool_line *spool = &r->spool[i];
		struct line l = empty_line;

		l.level_kpa = spool->level;
		l.share = spool->share;
		l.part = "spool";
		l.unit = "rpm";
		l.a = spool->rpm_a;
		l.b = spool->rpm_b;
		csv_line(s, &l);
		l.unit = "s";
		l.a = spool->seconds_a;
		l.b = spool->seconds_b;
		csv_line(s, &l);
	}
}

static void write_csv(const struct diff_report *r, const struct out_style *style,
		      struct buf *out)
{
	static const char *const names[] = {
		"part", "from", "to", "name", "quantity", "unit", "level_kpa", "share",
		"a", "b", "delta", "percent",
	};
	const struct delta *d = r->delta;
	struct sheet *s = sheet_new();
	size_t i;

	(void)style;
	for (i = 0; i < sizeof names / sizeof names[0]; i++)
		sheet_column(s, names[i], SHEET_LEFT);
	csv_elapsed(s, "span", d->from, d->to, d->elapsed_a, d->elapsed_b);
	csv_bands(s, r);
	csv_spool(s, r);
	for (i = 0; i < r->pairs->count; i++) {
		struct line l = empty_line;

		l.part = "largest";
		l.from = l.to = d->largest[i].at;
		l.pair = &r->pairs->list[i];
		l.a = d->largest[i].a;
		l.b = d->largest[i].b;
		csv_line(s, &l);
	}
	sheet_to_csv(s, out);
	sheet_free(s);
}

static json_t *json_three(double a, double b)
{
	json_t *object = js_object();

	js_set(object, "a", js_number(a));
	js_set(object, "b", js_number(b));
	js_set(object, "delta", js_number(b - a));
	return object;
}

static json_t *json_band(const struct diff_report *r, const struct delta_band *band)
{
	json_t *object = js_object();
	json_t *channels = js_array();
	size_t i;

	for (i = 0; i < r->pairs->count; i++) {
		const struct delta_cell *cell = &band->cells[i];
		json_t *channel = js_object();

		heading_pair_json(channel, &r->pairs->list[i]);
		js_set(channel, "a", js_number(cell->a));
		js_set(channel, "b", js_number(cell->b));
		js_set(channel, "delta", js_number(cell->delta));
		js_set(channel, "percent", js_number(cell->percent));
		js_append(channels, channel);
	}
	js_set(object, "from", js_number(band->from));
	js_set(object, "to", js_number(band->to));
	js_set(object, "elapsed", json_three(band->elapsed_a, band->elapsed_b));
	js_set(object, "channels", channels);
	return object;
}

static json_t *json_largest(const struct diff_report *r, size_t i)
{
	const struct delta_largest *most = &r->delta->largest[i];
	json_t *object = js_object();

	heading_pair_json(object, &r->pairs->list[i]);
	js_set(object, "a", js_number(most->a));
	js_set(object, "b", js_number(most->b));
	js_set(object, "delta", js_number(most->delta));
	js_set(object, "at", js_number(most->at));
	return object;
}

static json_t *json_spool(const struct diff_report *r)
{
	json_t *list = js_array();
	size_t i;

	for (i = 0; i < r->spool_count; i++) {
		const struct spool_line *spool = &r->spool[i];
		json_t *object = js_object();

		js_set(object, "level_kpa", js_number(spool->level));
		js_set(object, "share", js_number(spool->share));
		js_set(object, "rpm", json_three(spool->rpm_a, spool->rpm_b));
		js_set(object, "seconds", json_three(spool->seconds_a, spool->seconds_b));
		js_append(list, object);
	}
	return list;
}

static void write_json(const struct diff_report *r, const struct out_style *style,
		       struct buf *out)
{
	const struct delta *d = r->delta;
	json_t *root = js_object();
	json_t *bands = js_array();
	json_t *largest = js_array();
	size_t i;

	(void)style;
	for (i = 0; i < d->band_count; i++)
		js_append(bands, json_band(r, &d->bands[i]));
	for (i = 0; i < r->pairs->count; i++)
		js_append(largest, json_largest(r, i));
	heading_axis_json(root, r->o, d->from, d->to);
	js_set(root, "bands", bands);
	js_set(root, "elapsed", json_three(d->elapsed_a, d->elapsed_b));
	js_set(root, "spool", json_spool(r));
	js_set(root, "largest", largest);
	js_write(root, out);
}

static void (*const writers[OUT_FORMATS])(const struct diff_report *, const struct out_style *,
					  struct buf *) = {
	[OUT_TEXT] = diff_text,
	[OUT_CSV] = write_csv,
	[OUT_JSON] = write_json,
};

void out_diff(const struct diff_report *r, const struct out_style *style, struct buf *out)
{
	writers[style->format](r, style, out);
}
