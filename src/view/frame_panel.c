/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The panels below the ruler: statistics of the span, and all values at the cursors. */
#include <math.h>
#include <stdio.h>

#include "base/num.h"
#include "base/text.h"
#include "calc/delta.h"
#include "calc/stats.h"
#include "view/frame.h"
#include "view/lanes.h"

#define STATS_ROWS 10		/* a title and nine rows of fields, in two columns */

/* Two columns of fields, read downwards. */
static const enum stats_field shown_fields[] = {
	STATS_N, STATS_MIN, STATS_MIN_AT, STATS_MAX, STATS_MAX_AT, STATS_MEAN, STATS_TIME_MEAN,
	STATS_SD, STATS_MEDIAN,
	STATS_P05, STATS_P95, STATS_FIRST, STATS_LAST, STATS_CHANGE, STATS_SLOPE_PER_S,
	STATS_SLOPE_PER_KRPM, STATS_INTEGRAL,
};

#define SHOWN_FIELDS ((int)(sizeof shown_fields / sizeof shown_fields[0]))

int frame_panel_rows(struct view *v, int available)
{
	int rows = 0;

	if (v->panel == PANEL_STATS)
		rows = STATS_ROWS;
	else if (v->panel == PANEL_VALUES)
		rows = (int)lanes_shown(v) + 2;
	else if (v->panel == PANEL_SPOOL)
		rows = SPOOL_LINES + 2;
	if (rows > available - 3)
		rows = available - 3;
	return rows < 0 ? 0 : rows;
}

/* ---- statistics ---- */

static int field_decimals(const struct view *v, const struct lane *lane, enum stats_kind kind)
{
	switch (kind) {
	case STATS_COUNT:
		return 0;
	case STATS_POSITION:
		return v->overlay.axis == AXIS_RPM ? 0 : 2;
	case STATS_PURE:
		return 3;
	case STATS_VALUE:
		return lane_decimals(v, lane);
	default:
		return lane_decimals(v, lane) + 1;
	}
}

static void put_field(struct view *v, struct canvas *c, struct rect r, const struct lane *lane,
		      enum stats_field f, const struct stats s[3])
{
	const struct stats_info *info = stats_info(f);
	const int decimals = field_decimals(v, lane, info->kind);
	const int each = (r.cols - 10) / 3;
	struct rect place = { r.row, r.col + 10, 1, each - 1 };

	canvas_text(c, r.row, r.col, 9, STYLE_TITLE, info->title);
	frame_number(c, place, STYLE_A, s[0].field[f], decimals, false);
	if (!view_has_b(v))
		return;
	place.col += each;
	frame_number(c, place, STYLE_B, s[1].field[f], decimals, false);
	place.col += each;
	/* where the extremes are, and of how many samples, is no matter of more or less */
	if (info->kind != STATS_POSITION && info->kind != STATS_COUNT)
		frame_number(c, place, STYLE_DELTA, s[2].field[f], decimals, true);
}

static void compute(struct view *v, struct lane *lane, struct stats s[3])
{
	struct err e = ERR_INIT;
	double from, to;
	int side;

	view_span(v, &from, &to);
	lane_load(v, lane);
	for (side = 0; side < SIDES; side++) {
		const struct run *run = view_run(v, (enum side)side);
		const struct series empty = SERIES_INIT;
		const struct axis_map *map = overlay_map(&v->overlay, run);

		if (stats_span(run->log == NULL ? &empty : side == SIDE_A ? &lane->a : &lane->b,
			       map, run->rpm.n > 0 ? &run->rpm : NULL, from, to, &s[side],
			       &e) != ERR_NONE)
			view_complain(v, "%s", e.text);
	}
	stats_subtract(&s[0], &s[1], &s[2]);
}

static void panel_title(struct view *v, struct canvas *c, struct rect r, const struct lane *lane)
{
	struct buf text = BUF_INIT;
	const char *unit = lane_unit(v, lane);
	double from, to;
	char low[NUM_TEXT], high[NUM_TEXT];
	const int decimals = v->overlay.axis == AXIS_RPM ? 0 : 2;

	view_span(v, &from, &to);
	lane_title(v, lane, &text);
	buf_printf(&text, "%s%s, %s to %s %s", unit[0] != '\0' ? ", " : "", unit,
		   num_fixed(low, from, decimals), num_fixed(high, to, decimals),
		   axis_unit(v->overlay.axis));
	canvas_text(c, r.row, 1, r.cols - 1, STYLE_TITLE, text.data);
	canvas_style(c, (struct rect){ r.row, 0, 1, r.cols }, STYLE_TITLE);
	buf_release(&text);
}

/* A, B, B-A over the numbers of the right-hand column; the title is over the left. */
static void put_heads(struct view *v, struct canvas *c, struct rect r)
{
	const int each = (r.cols - 10) / 3;

	canvas_text_right(c, r.row, r.col + 10, each - 1, STYLE_A, "A");
	if (!view_has_b(v))
		return;
	canvas_text_right(c, r.row, r.col + 10 + each, each - 1, STYLE_B, "B");
	canvas_text_right(c, r.row, r.col + 10 + 2 * each, each - 1, STYLE_DELTA, v->glyphs->delta);
}

static void draw_stats(struct view *v, struct canvas *c, struct rect r)
{
	struct lane *lane = lane_chosen(v);
	const int half = (r.cols - 2) / 2;
	const int lines = (SHOWN_FIELDS + 1) / 2;
	struct stats s[3];
	int i;

	if (lane == NULL || r.rows == 0)
		return;
	panel_title(v, c, r, lane);
	if (lane_has_words(v, lane)) {
		if (r.rows > 1)
			canvas_text(c, r.row + 1, 1, r.cols - 1, STYLE_PLAIN,
				    "this channel holds words: there are no statistics of them");
		return;
	}
	compute(v, lane, s);
	put_heads(v, c, (struct rect){ r.row, 1 + half, 1, half - 1 });
	for (i = 0; i < SHOWN_FIELDS; i++) {
		const int row = 1 + i % lines;

		if (row < r.rows)
			put_field(v, c, (struct rect){ r.row + row, 1 + i / lines * half, 1, half - 1 },
				  lane, shown_fields[i], s);
	}
}

/* ---- values at both cursors ---- */

struct value_column {
	const char *title;
	enum style style;
	bool sign;
};

static const struct value_column value_columns[] = {
	{ "A at 1", STYLE_A, false }, { "B at 1", STYLE_B, false }, { "B-A 1", STYLE_DELTA, true },
	{ "A at 2", STYLE_A, false }, { "B at 2", STYLE_B, false }, { "B-A 2", STYLE_DELTA, true },
	{ "A 2 - 1", STYLE_A, true }, { "B 2 - 1", STYLE_B, true },
};

#define VALUE_COLUMNS ((int)(sizeof value_columns / sizeof value_columns[0]))

static void values_of(struct view *v, struct lane *lane, double out[VALUE_COLUMNS])
{
	int i;

	for (i = 0; i < 2; i++) {
		out[3 * i] = lane_value(v, lane, SIDE_A, v->cursor[i]);
		out[3 * i + 1] = lane_value(v, lane, SIDE_B, v->cursor[i]);
		out[3 * i + 2] = out[3 * i + 1] - out[3 * i];
	}
	out[6] = out[3] - out[0];
	out[7] = out[4] - out[1];
}

/* Words have no difference. */
static void draw_value(const struct view *v, struct canvas *c, struct rect r,
		       const struct value_column *column, const struct lane *lane, double value)
{
	if (!view_has_b(v) && column->style != STYLE_A)
		return;
	if (!column->sign)
		frame_value(v, c, r, column->style, lane, value);
	else if (!lane_has_words(v, lane))
		frame_number(c, r, column->style, value, lane_decimals(v, lane), true);
}

static void draw_value_row(struct view *v, struct canvas *c, struct rect r, int names,
			   struct lane *lane)
{
	const int each = (r.cols - names) / VALUE_COLUMNS;
	struct buf title = BUF_INIT;
	struct buf name = BUF_INIT;
	double values[VALUE_COLUMNS];
	int i;

	values_of(v, lane, values);
	lane_title(v, lane, &title);
	text_squeeze(&name, title.data, (size_t)(names - 2));
	canvas_text(c, r.row, 1, names - 2, STYLE_TITLE, name.data);
	buf_release(&name);
	for (i = 0; i < VALUE_COLUMNS; i++)
		draw_value(v, c, (struct rect){ r.row, names + i * each, 1, each - 1 },
			   &value_columns[i], lane, values[i]);
	buf_release(&title);
}

static void draw_values(struct view *v, struct canvas *c, struct rect r)
{
	const int names = r.cols < 100 ? 16 : 28;
	const int each = (r.cols - names) / VALUE_COLUMNS;
	int row = 1;
	size_t i;

	for (i = 0; i < (size_t)VALUE_COLUMNS && r.rows > 0; i++)
		if (view_has_b(v) || value_columns[i].style == STYLE_A)
			canvas_text_right(c, r.row, names + (int)i * each, each - 1,
					  value_columns[i].style, value_columns[i].title);
	for (i = 0; i < v->lane_count && row < r.rows; i++)
		if (v->lanes[i].shown && !v->lanes[i].delta)
			draw_value_row(v, c, (struct rect){ r.row + row++, 0, 1, r.cols }, names,
				       &v->lanes[i]);
}

/* ---- spool ---- */

static const struct value_column spool_columns[] = {
	{ "A rpm", STYLE_A, false }, { "A s", STYLE_A, false },
	{ "B rpm", STYLE_B, false }, { "B s", STYLE_B, false },
	{ "B-A rpm", STYLE_DELTA, true }, { "B-A s", STYLE_DELTA, true },
};

#define SPOOL_COLUMNS ((int)(sizeof spool_columns / sizeof spool_columns[0]))
#define SPOOL_NAMES 28

static void draw_spool_line(struct view *v, struct canvas *c, struct rect r,
			    const struct spool_line *line)
{
	const double values[SPOOL_COLUMNS] = {
		line->rpm_a, line->seconds_a, line->rpm_b, line->seconds_b,
		line->rpm_b - line->rpm_a, line->seconds_b - line->seconds_a,
	};
	const int each = (r.cols - SPOOL_NAMES) / SPOOL_COLUMNS;
	char text[SPOOL_NAMES + 20];
	int i;

	if (isnan(line->share))
		snprintf(text, sizeof text, "boost gets to %.0f kPa", line->level);
	else
		snprintf(text, sizeof text, "%.0f %% of A's top, %.0f kPa", 100.0 * line->share,
			 line->level);
	canvas_text(c, r.row, 1, SPOOL_NAMES - 1, STYLE_PLAIN, text);
	for (i = 0; i < SPOOL_COLUMNS; i++)
		if (view_has_b(v) || spool_columns[i].style == STYLE_A)
			frame_number(c, (struct rect){ r.row, SPOOL_NAMES + i * each, 1, each - 1 },
				     spool_columns[i].style, values[i], i % 2 == 0 ? 0 : 2,
				     spool_columns[i].sign);
}

/* Where the seconds count from, in words. */
static void spool_title(struct view *v, struct canvas *c, struct rect r)
{
	const int each = (r.cols - SPOOL_NAMES) / SPOOL_COLUMNS;
	const double rpm = axis_map_to_position(&v->overlay.a.by_rpm,
						axis_map_to_time(&v->overlay.a.by_time, 0.0));
	char text[SPOOL_NAMES + 20] = "spool, s of the time axis";
	int i;

	if (!isnan(rpm))
		snprintf(text, sizeof text, "spool, s from %.0f rpm", rpm);
	canvas_text(c, r.row, 1, SPOOL_NAMES - 1, STYLE_TITLE, text);
	for (i = 0; i < SPOOL_COLUMNS; i++)
		if (view_has_b(v) || spool_columns[i].style == STYLE_A)
			canvas_text_right(c, r.row, SPOOL_NAMES + i * each, each - 1,
					  spool_columns[i].style, spool_columns[i].title);
}

static void draw_spool(struct view *v, struct canvas *c, struct rect r)
{
	struct spool_line lines[SPOOL_LINES];
	struct err e = ERR_INIT;
	size_t count = 0;
	size_t i;

	if (r.rows == 0)
		return;
	if (spool_compute(&v->overlay, lines, &count, &e) != ERR_NONE)
		canvas_text(c, r.row, 1, r.cols - 1, STYLE_ERROR, e.text);
	else if (count == 0)
		canvas_text(c, r.row, 1, r.cols - 1, STYLE_PLAIN,
			    "no gauge boost here (it needs boost, or absolute and barometric pressure)");
	else
		spool_title(v, c, r);
	for (i = 0; i < count && (int)i + 1 < r.rows; i++)
		draw_spool_line(v, c, (struct rect){ r.row + 1 + (int)i, 0, 1, r.cols }, &lines[i]);
}

void frame_panel(struct view *v, struct canvas *c, const struct layout *l)
{
	if (v->panel == PANEL_STATS)
		draw_stats(v, c, l->panel);
	else if (v->panel == PANEL_VALUES)
		draw_values(v, c, l->panel);
	else if (v->panel == PANEL_SPOOL)
		draw_spool(v, c, l->panel);
}
