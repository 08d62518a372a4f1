/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The differences of two pulls for somebody at the car. */
#include "out/diff_text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "base/text.h"
#include "out/diff_pick.h"
#include "out/heading.h"
#include "out/sheet.h"

#define FIRST_CHANNELS 5	/* with the elapsed times, two blocks of three at 80 cells */
#define LARGEST_LINES 12
#define HEADING_CELLS 18	/* of a channel's name above its columns */
#define NAME_CELLS 12
#define UNIT_CELLS 8

static void three_columns(struct sheet *s, const char *heading)
{
	sheet_group(s, heading);
	sheet_column(s, "A", SHEET_RIGHT);
	sheet_column(s, "B", SHEET_RIGHT);
	sheet_column(s, "B-A", SHEET_RIGHT);
}

static void three_cells(struct sheet *s, double a, double b, int decimals)
{
	sheet_number(s, a, decimals);
	sheet_number(s, b, decimals);
	sheet_signed(s, b - a, decimals);
}

/* "Knock Retar..l 3 deg" */
static void channel_columns(struct sheet *s, const struct pair *pair)
{
	char *name = sheet_shorten(pair_channel(pair)->name, HEADING_CELLS);
	char *heading = mem_printf("%s%s%s", name, pair_unit(pair, false)[0] ? " " : "",
				   pair_unit(pair, false));

	three_columns(s, heading);
	free(heading);
	free(name);
}

static void band_row(struct sheet *s, const struct diff_report *r,
		     const struct delta_band *band, const size_t *shown, size_t count)
{
	const int decimals = heading_decimals(r->o->axis);
	char from[NUM_TEXT], to[NUM_TEXT];
	char *range = mem_printf("%s-%s", num_fixed(from, band->from, decimals),
				 num_fixed(to, band->to, decimals));
	size_t i;

	sheet_row(s);
	sheet_text(s, range);
	if (r->o->axis == AXIS_RPM)
		three_cells(s, band->elapsed_a, band->elapsed_b, 2);
	for (i = 0; i < count; i++)
		three_cells(s, band->cells[shown[i]].a, band->cells[shown[i]].b,
			    heading_value_decimals(&r->pairs->list[shown[i]]));
	free(range);
}

static void put_bands(const struct diff_report *r, const size_t *shown, size_t count,
		      const struct out_style *style, struct buf *out)
{
	struct sheet *s = sheet_new();
	size_t i;

	sheet_column(s, axis_unit(r->o->axis), SHEET_LEFT);
	sheet_keys_end(s);
	if (r->o->axis == AXIS_RPM)
		three_columns(s, "seconds");
	for (i = 0; i < count; i++)
		channel_columns(s, &r->pairs->list[shown[i]]);
	for (i = 0; i < r->delta->band_count; i++)
		band_row(s, r, &r->delta->bands[i], shown, count);
	sheet_to_text(s, style, out);
	sheet_free(s);
}

/* "boost 100 kPa", "90 % of A's top, 110 kPa" */
static char *level_text(const struct diff_report *r, const struct spool_line *line)
{
	const struct unit *kpa = unit_find("kPa", NULL);
	const struct unit *unit = r->boost_unit == NULL ? kpa : r->boost_unit;
	const double value = unit_convert(line->level, kpa, unit);
	char level[NUM_TEXT], share[NUM_TEXT];

	num_fixed(level, value, value == floor(value) ? 0 : unit->decimals);
	if (isnan(line->share))
		return mem_printf("boost %s %s", level, unit->ascii);
	return mem_printf("%s %% of A's top, %s %s", num_fixed(share, 100.0 * line->share, 0),
			  level, unit->ascii);
}

static void put_spool(const struct diff_report *r, const struct out_style *style,
		      struct buf *out)
{
	static const char *const sides[] = { "A", "B", "B-A" };
	char zero[NUM_TEXT];
	struct sheet *s;
	size_t i;

	if (r->spool_count == 0) {
		buf_puts(out, "\nspool: no boost channel\n");
		return;
	}
	s = sheet_new();
	sheet_column(s, "spool: reaches", SHEET_LEFT);
	sheet_keys_end(s);
	for (i = 0; i < 3; i++) {
		sheet_group(s, sides[i]);
		sheet_column(s, "rpm", SHEET_RIGHT);
		sheet_column(s, "s", SHEET_RIGHT);
	}
	for (i = 0; i < r->spool_count; i++) {
		const struct spool_line *line = &r->spool[i];
		char *level = level_text(r, line);

		sheet_row(s);
		sheet_text(s, level);
		sheet_number(s, line->rpm_a, 0);
		sheet_number(s, line->seconds_a, 2);
		sheet_number(s, line->rpm_b, 0);
		sheet_number(s, line->seconds_b, 2);
		sheet_signed(s, line->rpm_b - line->rpm_a, 0);
		sheet_signed(s, line->seconds_b - line->seconds_a, 2);
		free(level);
	}
	buf_putc(out, '\n');
	sheet_to_text(s, style, out);
	sheet_free(s);
	if (!isnan(heading_zero(r->o)))
		buf_printf(out, "    s count from %s rpm\n",
			   num_fixed(zero, heading_zero(r->o), 0));
}

static void put_largest(const struct diff_report *r, const size_t *shown, size_t count,
			const struct out_style *style, struct buf *out)
{
	struct sheet *s;
	char *at;
	size_t i;

	if (count == 0) {
		buf_puts(out, "\nno channel differs\n");
		return;
	}
	s = sheet_new();
	at = mem_printf("at %s", axis_unit(r->o->axis));
	sheet_column_flex(s, "largest differences", SHEET_LEFT, NAME_CELLS);
	sheet_column_flex(s, "unit", SHEET_LEFT, UNIT_CELLS);
	sheet_keys_end(s);
	sheet_column(s, "A", SHEET_RIGHT);
	sheet_column(s, "B", SHEET_RIGHT);
	sheet_column(s, "B-A", SHEET_RIGHT);
	sheet_column(s, at, SHEET_RIGHT);
	for (i = 0; i < count; i++) {
		const struct pair *pair = &r->pairs->list[shown[i]];
		const struct delta_largest *most = &r->delta->largest[shown[i]];

		sheet_row(s);
		sheet_text(s, pair_channel(pair)->name);
		sheet_text(s, pair_unit(pair, false));
		three_cells(s, most->a, most->b, heading_value_decimals(pair));
		sheet_number(s, most->at, heading_decimals(r->o->axis));
	}
	buf_putc(out, '\n');
	sheet_to_text(s, style, out);
	sheet_free(s);
	free(at);
}

static size_t take_all(const struct diff_report *r, size_t *out)
{
	size_t i;

	for (i = 0; i < r->pairs->count; i++)
		out[i] = i;
	return r->pairs->count;
}

void diff_text(const struct diff_report *r, const struct out_style *style, struct buf *out)
{
	size_t *shown = mem_array(r->pairs->count + FIRST_CHANNELS + LARGEST_LINES,
				  sizeof *shown);
	size_t count;

	heading_text(r->o, r->delta->from, r->delta->to, style, out);
	count = r->chosen ? take_all(r, shown) : diff_pick_first(r, shown, FIRST_CHANNELS);
	put_bands(r, shown, count, style, out);
	put_spool(r, style, out);
	count = r->chosen ? take_all(r, shown) : diff_pick_largest(r, shown, LARGEST_LINES);
	put_largest(r, shown, count, style, out);
	if (!r->chosen && count < r->pairs->count)
		buf_printf(out, "\n%zu of %zu channels: --channel all\n", count,
			   r->pairs->count);
	free(shown);
}
