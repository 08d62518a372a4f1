/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was compared: the runs and the span. */
#include "out/heading.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "base/text.h"
#include "out/sheet.h"

#define FILE_CELLS 16	/* that a file name keeps in the heading */
#define INDENT 3
#define PLAIN_DECIMALS 3	/* of a value without a unit, at most */

double heading_duration(const struct datalog *log)
{
	return log->rows == 0 ? NAN : log->time[log->rows - 1] - log->time[0];
}

char *heading_name(const struct run *run)
{
	if (run->number == RUN_WHOLE)
		return mem_printf("%s@all", run->log->path);
	return mem_printf("%s@%zu", run->log->path, run->number);
}

const char *heading_quantity(const struct channel *ch)
{
	return ch->quantity->id == Q_NONE ? "" : ch->quantity->key;
}

int heading_decimals(enum axis_kind axis)
{
	return axis == AXIS_RPM ? 0 : 2;
}

int heading_value_decimals(const struct pair *pair)
{
	const int most = pair->unit == NULL ? PLAIN_DECIMALS : pair->unit->decimals + 1;
	const int decimals = pair_decimals(pair);

	return decimals < most ? decimals : most;
}

/* "gear 4", "53.2 rpm per km/h", or nothing. */
static char *gear_text(const struct pull *pull)
{
	char number[NUM_TEXT];

	if (pull->gear > 0)
		return mem_printf("gear %d", pull->gear);
	if (!isnan(pull->ratio))
		return mem_printf("%s rpm per km/h", num_fixed(number, pull->ratio, 1));
	return mem_strdup("");
}

static char *range_text(const struct pull *pull)
{
	char from[NUM_TEXT], to[NUM_TEXT];

	if (isnan(pull->from_rpm) || isnan(pull->to_rpm))
		return mem_strdup("");
	return mem_printf("%s-%s rpm", num_fixed(from, pull->from_rpm, 0),
			  num_fixed(to, pull->to_rpm, 0));
}

static void add_run(struct sheet *s, const struct run *run, const char *letter)
{
	char *name = heading_name(run);
	char *gear = gear_text(&run->pull);
	char *range = range_text(&run->pull);
	char *length = NULL;
	char seconds[NUM_TEXT];

	length = mem_printf("%s s", num_fixed(seconds, run->pull.to_s - run->pull.from_s, 2));
	sheet_row(s);
	sheet_text(s, letter);
	sheet_text(s, name);
	sheet_text(s, gear);
	sheet_text(s, range);
	sheet_text(s, length);
	free(name);
	free(gear);
	free(range);
	free(length);
}

static void add_weakness(struct buf *out, const struct run *run, const char *letter,
			 size_t width)
{
	const char *words;
	unsigned bit;

	for (bit = 0; (words = pull_weakness(bit, NULL)) != NULL; bit++) {
		char *line;

		if ((run->pull.weak & 1u << bit) == 0)
			continue;
		line = mem_printf("%s %s", letter, words);
		sheet_fold(out, line, INDENT, width);
		free(line);
	}
}

static double through(const struct overlay *o, const struct run *run, double from, double to)
{
	double from_s, to_s;
	size_t rows;

	heading_span(o, run, from, to, &from_s, &to_s, &rows);
	return to_s - from_s;
}

double heading_zero(const struct overlay *o)
{
	return axis_map_to_position(&o->a.by_rpm, axis_map_to_time(&o->a.by_time, 0.0));
}

/* "span 2000-6800 rpm   A 6.90 s   B 6.41 s   B-A -0.49 s" */
static void rpm_span(struct buf *out, const struct overlay *o, double from, double to)
{
	const double a = through(o, &o->a, from, to);
	char x[NUM_TEXT], y[NUM_TEXT];

	buf_printf(out, "   A %s s", num_fixed(x, a, 2));
	if (overlay_has_b(o)) {
		const double b = through(o, &o->b, from, to);

		buf_printf(out, "   B %s s   B-A %s s", num_fixed(x, b, 2),
			   num_signed(y, b - a, 2));
	}
}

static void time_span(struct buf *out, const struct overlay *o)
{
	char rpm[NUM_TEXT];

	if (overlay_has_b(o))
		buf_printf(out, "   aligned by %s", align_name(o->align));
	if (o->align == ALIGN_CROSSING && !isnan(heading_zero(o)))
		buf_printf(out, ", 0 s at %s rpm", num_fixed(rpm, heading_zero(o), 0));
}

static void add_span(struct buf *out, const struct overlay *o, double from, double to)
{
	const int decimals = heading_decimals(o->axis);
	char x[NUM_TEXT], y[NUM_TEXT];

	buf_printf(out, "span %s-%s %s", num_fixed(x, from, decimals),
		   num_fixed(y, to, decimals), axis_unit(o->axis));
	if (o->axis == AXIS_RPM)
		rpm_span(out, o, from, to);
	else
		time_span(out, o);
	buf_putc(out, '\n');
}

void heading_text(const struct overlay *o, double from, double to,
		  const struct out_style *style, struct buf *out)
{
	struct sheet *s = sheet_new();

	sheet_column(s, "", SHEET_LEFT);
	sheet_column_flex(s, "", SHEET_LEFT, FILE_CELLS);
	sheet_keys_end(s);
	sheet_column(s, "", SHEET_LEFT);
	sheet_column(s, "", SHEET_LEFT);
	sheet_column(s, "", SHEET_RIGHT);
	add_run(s, &o->a, "A");
	if (overlay_has_b(o))
		add_run(s, &o->b, "B");
	sheet_to_text(s, style, out);
	sheet_free(s);
	add_weakness(out, &o->a, "A", style_width(style));
	if (overlay_has_b(o))
		add_weakness(out, &o->b, "B", style_width(style));
	add_span(out, o, from, to);
	buf_putc(out, '\n');
}

void heading_span(const struct overlay *o, const struct run *run, double from, double to,
		  double *from_s, double *to_s, size_t *rows)
{
	const struct axis_map *map = overlay_map(o, run);
	size_t i;

	*from_s = axis_map_to_time(map, fmax(from, axis_map_from(map)));
	*to_s = axis_map_to_time(map, fmin(to, axis_map_to(map)));
	*rows = 0;
	if (!(*from_s <= *to_s)) {
		*from_s = *to_s = NAN;
		return;
	}
	for (i = run->pull.first; i <= run->pull.last; i++)
		*rows += run->log->time[i] >= *from_s && run->log->time[i] <= *to_s;
}

/* {"file","pull","from_s","to_s","rows"}; null without a run. */
static json_t *run_json(const struct overlay *o, const struct run *run, double from, double to)
{
	double from_s, to_s;
	size_t rows;
	json_t *object;

	if (run->log == NULL)
		return json_null();
	object = js_object();
	heading_span(o, run, from, to, &from_s, &to_s, &rows);
	js_set(object, "file", js_text(run->log->path));
	js_set(object, "pull", run->number == RUN_WHOLE ? json_null() :
	       js_count((double)run->number));
	js_set(object, "from_s", js_number(from_s));
	js_set(object, "to_s", js_number(to_s));
	js_set(object, "rows", js_count((double)rows));
	return object;
}

void heading_axis_json(json_t *object, const struct overlay *o, double from, double to)
{
	js_set(object, "axis", js_text(axis_name(o->axis)));
	js_set(object, "from", js_number(from));
	js_set(object, "to", js_number(to));
	js_set(object, "unit", js_text(axis_unit(o->axis)));
	js_set(object, "a", run_json(o, &o->a, from, to));
	js_set(object, "b", run_json(o, &o->b, from, to));
}

void heading_pair_json(json_t *object, const struct pair *pair)
{
	const struct channel *ch = pair_channel(pair);

	js_set(object, "name", js_text(ch->name));
	js_set(object, "quantity", js_text(heading_quantity(ch)));
	js_set(object, "unit", js_text(pair_unit(pair, false)));
}
