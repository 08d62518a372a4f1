/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was recognised in a log. */
#include "out/out_channels.h"

#include <math.h>
#include <string.h>

#include "base/num.h"
#include "base/text.h"
#include "out/heading.h"
#include "out/json.h"
#include "out/sheet.h"

#define NAME_CELLS 12
#define UNIT_CELLS 8
#define INDENT 2
#define CHUNK 1024		/* rows looked at together */

/* What is in one column. */
struct extent {
	double min;
	double max;
	double first;
	double last;
	double rate;		/* Hz */
};

struct view {
	const struct datalog *log;
	enum unit_system system;
	double rate;		/* Hz, of the channels that have a sample in each row */
};

static const struct unit *shown_unit(const struct view *v, const struct channel *ch)
{
	const struct unit *wanted = NULL;

	if (ch->unit != NULL && ch->quantity->id != Q_TIME)
		wanted = unit_preferred(ch->unit->dim, v->system);
	return wanted == NULL ? ch->unit : wanted;
}

static const char *unit_text(const struct view *v, const struct channel *ch)
{
	const struct unit *unit = shown_unit(v, ch);

	return unit == NULL ? ch->raw_unit : unit->name;
}

static double shown_value(const struct view *v, const struct channel *ch, double value)
{
	const struct unit *unit = shown_unit(v, ch);

	return unit == ch->unit ? value : unit_convert(value, ch->unit, unit);
}

static void take_samples(struct extent *x, const double *v, size_t n)
{
	size_t i;

	for (i = 0; i < n; i++) {
		if (isnan(v[i]))
			continue;
		if (isnan(x->first))
			x->first = x->min = x->max = v[i];
		x->last = v[i];
		x->min = v[i] < x->min ? v[i] : x->min;
		x->max = v[i] > x->max ? v[i] : x->max;
	}
}

static size_t missing(const struct channel *ch)
{
	return column_rows(ch->column) - column_samples(ch->column);
}

static double rate_of(const struct datalog *log, const struct channel *ch)
{
	const double rate = 1.0 / datalog_interval(log, ch);

	return log->time_source == TIME_ROWS || !isfinite(rate) ? NAN : rate;
}

static struct extent measure(const struct view *v, const struct channel *ch)
{
	const size_t rows = column_rows(ch->column);
	struct extent x = { NAN, NAN, NAN, NAN, NAN };
	double chunk[CHUNK];
	size_t row, n;

	for (row = 0; row < rows; row += n) {
		n = rows - row < CHUNK ? rows - row : CHUNK;
		column_get(ch->column, row, n, chunk);
		take_samples(&x, chunk, n);
	}
	x.min = shown_value(v, ch, x.min);
	x.max = shown_value(v, ch, x.max);
	x.first = shown_value(v, ch, x.first);
	x.last = shown_value(v, ch, x.last);
	x.rate = missing(ch) == 0 ? v->rate : rate_of(v->log, ch);
	return x;
}

/* The rate of the first channel that has it. */
static double find_rate(const struct datalog *log)
{
	size_t i;

	for (i = 0; i < log->channel_count; i++)
		if (missing(&log->channels[i]) == 0)
			return rate_of(log, &log->channels[i]);
	return NAN;
}

static bool has_words(const struct channel *ch)
{
	return column_kind(ch->column) == COLUMN_STATE;
}

static int decimals(const struct view *v, const struct channel *ch)
{
	const struct pair pair = { ch, NULL, shown_unit(v, ch) };

	return heading_value_decimals(&pair);
}

static void add_words(struct buf *out, const struct channel *ch)
{
	size_t i;

	for (i = 0; column_word(ch->column, (double)i)[0] != '\0'; i++)
		buf_printf(out, "%s%s", i > 0 ? ", " : "", column_word(ch->column, (double)i));
}

/* "12.5 to 80.1; WHY" below the row. */
static void note_row(struct sheet *s, const struct view *v, const struct channel *ch,
		     const struct extent *x)
{
	struct buf note = BUF_INIT;
	char a[NUM_TEXT], b[NUM_TEXT];

	if (has_words(ch)) {
		buf_printf(&note, "first %s, last %s; words: ", column_word(ch->column, x->first),
			   column_word(ch->column, x->last));
		add_words(&note, ch);
	} else if (column_samples(ch->column) > 0) {
		buf_printf(&note, "first %s, last %s", num_fixed(a, x->first, decimals(v, ch)),
			   num_fixed(b, x->last, decimals(v, ch)));
	}
	if (ch->why != NULL && ch->why[0] != '\0')
		buf_printf(&note, "%s%s", note.len > 0 ? "; " : "", ch->why);
	if (note.len > 0)
		sheet_note(s, buf_text(&note));
	buf_release(&note);
}

static void text_row(struct sheet *s, const struct view *v, const struct channel *ch)
{
	const struct extent x = measure(v, ch);

	sheet_row(s);
	sheet_text(s, ch->name);
	sheet_text(s, heading_quantity(ch)[0] == '\0' ? "-" : heading_quantity(ch));
	sheet_text(s, unit_text(v, ch));
	sheet_number(s, x.rate, x.rate < 9.95 ? 1 : 0);
	sheet_count(s, missing(ch));
	if (has_words(ch)) {
		sheet_text(s, "words");
	} else {
		sheet_number(s, x.min, decimals(v, ch));
		sheet_number(s, x.max, decimals(v, ch));
	}
	note_row(s, v, ch, &x);
}

static void text_counts(const struct datalog *log, struct buf *out, size_t width)
{
	size_t i;

	buf_printf(out, "\nunread: %zu row%s, %zu cell%s; uneven rows kept: %zu\n",
		   log->bad_rows, log->bad_rows == 1 ? "" : "s", log->bad_cells,
		   log->bad_cells == 1 ? "" : "s", log->ragged_rows);
	for (i = 0; i < log->place_count; i++) {
		const struct bad_place *p = &log->places[i];
		struct buf line = BUF_INIT;

		buf_printf(&line, "line %zu", p->line);
		if (p->field > 0)
			buf_printf(&line, ", field %zu", p->field);
		buf_printf(&line, ": \"%s\"", p->text == NULL ? "" : p->text);
		sheet_fold(out, buf_text(&line), INDENT, width);
		buf_release(&line);
	}
	buf_puts(out, log->note_count > 0 ? "\nnotes\n" : "");
	for (i = 0; i < log->note_count; i++)
		sheet_fold(out, log->notes[i], INDENT, width);
}

static void write_text(const struct view *v, const struct out_style *style, struct buf *out)
{
	struct sheet *s = sheet_new();
	struct buf rest = BUF_INIT;
	char seconds[NUM_TEXT];
	size_t i;

	style_show(out, v->log->path, style);
	buf_printf(out, "   %zu rows   %s s   %zu channels\n\n", v->log->rows,
		   num_fixed(seconds, heading_duration(v->log), 1), v->log->channel_count);
	sheet_column_flex(s, "channel", SHEET_LEFT, NAME_CELLS);
	sheet_column(s, "quantity", SHEET_LEFT);
	sheet_column_flex(s, "unit", SHEET_LEFT, UNIT_CELLS);
	sheet_column(s, "Hz", SHEET_RIGHT);
	sheet_column(s, "missing", SHEET_RIGHT);
	sheet_column(s, "min", SHEET_RIGHT);
	sheet_column(s, "max", SHEET_RIGHT);
	for (i = 0; i < v->log->channel_count; i++)
		text_row(s, v, &v->log->channels[i]);
	sheet_to_text(s, style, out);
	sheet_free(s);
	text_counts(v->log, &rest, style_width(style));
	if (style->ascii)
		text_to_ascii(out, buf_text(&rest));
	else
		buf_puts(out, buf_text(&rest));
	buf_release(&rest);
}

static void csv_row(struct sheet *s, const struct view *v, const struct channel *ch)
{
	const struct extent x = measure(v, ch);
	const double number = has_words(ch) ? NAN : 1.0;

	sheet_row(s);
	sheet_text(s, ch->name);
	sheet_text(s, ch->raw_name);
	sheet_text(s, heading_quantity(ch));
	sheet_text(s, unit_text(v, ch));
	sheet_text(s, ch->raw_unit);
	sheet_text(s, ch->why == NULL ? "" : ch->why);
	sheet_count(s, column_samples(ch->column));
	sheet_count(s, missing(ch));
	sheet_number(s, x.rate, 0);
	sheet_number(s, x.min * number, 0);
	sheet_number(s, x.max * number, 0);
	sheet_number(s, x.first * number, 0);
	sheet_number(s, x.last * number, 0);
}

static void write_csv(const struct view *v, const struct out_style *style, struct buf *out)
{
	static const char *const names[] = {
		"name", "raw_name", "quantity", "unit", "raw_unit", "why", "samples", "missing",
		"rate_hz", "min", "max", "first", "last",
	};
	struct sheet *s = sheet_new();
	size_t i;

	(void)style;
	for (i = 0; i < sizeof names / sizeof names[0]; i++)
		sheet_column(s, names[i], SHEET_LEFT);
	for (i = 0; i < v->log->channel_count; i++)
		csv_row(s, v, &v->log->channels[i]);
	sheet_to_csv(s, out);
	sheet_free(s);
}

static json_t *json_words(const struct channel *ch)
{
	json_t *words = js_array();
	size_t i;

	for (i = 0; column_word(ch->column, (double)i)[0] != '\0'; i++)
		js_append(words, js_text(column_word(ch->column, (double)i)));
	return words;
}

static json_t *json_channel(const struct view *v, const struct channel *ch)
{
	const struct extent x = measure(v, ch);
	const double number = has_words(ch) ? NAN : 1.0;
	json_t *object = js_object();

	js_set(object, "name", js_text(ch->name));
	js_set(object, "raw_name", js_text(ch->raw_name));
	js_set(object, "quantity", js_text(heading_quantity(ch)));
	js_set(object, "index", js_count(ch->index > 0 ? ch->index : NAN));
	js_set(object, "unit", js_text(unit_text(v, ch)));
	js_set(object, "raw_unit", js_text(ch->raw_unit));
	js_set(object, "why", js_text(ch->why));
	js_set(object, "derived", json_boolean(ch->derived));
	js_set(object, "words", has_words(ch) ? json_words(ch) : json_null());
	js_set(object, "samples", js_count((double)column_samples(ch->column)));
	js_set(object, "missing", js_count((double)missing(ch)));
	js_set(object, "rate_hz", js_number(x.rate));
	js_set(object, "min", js_number(x.min * number));
	js_set(object, "max", js_number(x.max * number));
	js_set(object, "first", js_number(x.first * number));
	js_set(object, "last", js_number(x.last * number));
	return object;
}

static json_t *json_places(const struct datalog *log)
{
	json_t *list = js_array();
	size_t i;

	for (i = 0; i < log->place_count; i++) {
		const struct bad_place *p = &log->places[i];
		json_t *object = js_object();

		js_set(object, "line", js_count((double)p->line));
		js_set(object, "field", js_count(p->field > 0 ? (double)p->field : NAN));
		js_set(object, "text", js_text(p->text));
		js_append(list, object);
	}
	return list;
}

static void write_json(const struct view *v, const struct out_style *style, struct buf *out)
{
	const struct datalog *log = v->log;
	json_t *root = js_object();
	json_t *channels = js_array();
	json_t *notes = js_array();
	size_t i;

	(void)style;
	for (i = 0; i < log->channel_count; i++)
		js_append(channels, json_channel(v, &log->channels[i]));
	for (i = 0; i < log->note_count; i++)
		js_append(notes, js_text(log->notes[i]));
	js_set(root, "file", js_text(log->path));
	js_set(root, "rows", js_count((double)log->rows));
	js_set(root, "duration_s", js_number(heading_duration(log)));
	js_set(root, "bad_rows", js_count((double)log->bad_rows));
	js_set(root, "bad_cells", js_count((double)log->bad_cells));
	js_set(root, "ragged_rows", js_count((double)log->ragged_rows));
	js_set(root, "places", json_places(log));
	js_set(root, "channels", channels);
	js_set(root, "notes", notes);
	js_write(root, out);
}

static void (*const writers[OUT_FORMATS])(const struct view *, const struct out_style *,
					  struct buf *) = {
	[OUT_TEXT] = write_text,
	[OUT_CSV] = write_csv,
	[OUT_JSON] = write_json,
};

void out_channels(const struct datalog *log, enum unit_system system,
		  const struct out_style *style, struct buf *out)
{
	const struct view v = { log, system, find_rate(log) };

	writers[style->format](&v, style, out);
}
