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

#define STATS_ROWS 11		/* a title, heads and nine rows of fields, in two parts */
#define LEAST_CELLS 8		/* of a column: digits are not given up, columns are */
#define MOST_CELLS 16
#define MOST_COLUMNS 8
#define FIELD_NAMES 10

/* Read downwards, in two parts where there is room for them side by side. */
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

/* ---- columns of numbers ---- */

struct number_column {
	const char *title;
	enum style style;
	bool sign;
};

/* Those of a table that say something here and have room, the first ones first. */
struct columns {
	const struct number_column *of;
	int at[MOST_COLUMNS];	/* of each shown one its place in the table */
	int n;
	int names;		/* cells before the first */
	int each;
};

static struct columns choose_columns(const struct view *v, const struct number_column *of, int count,
				     int names, int cells)
{
	const int most = (cells - names) / LEAST_CELLS;
	struct columns k = { .of = of, .names = names };
	int i;

	for (i = 0; i < count && k.n < most; i++)
		if (view_has_b(v) || of[i].style == STYLE_A)
			k.at[k.n++] = i;
	if (k.n > 0)
		k.each = (cells - names) / k.n;
	if (k.each > MOST_CELLS)
		k.each = MOST_CELLS;
	return k;
}

static struct rect column_place(const struct columns *k, int i, struct rect r)
{
	return (struct rect){ r.row, r.col + k->names + i * k->each, 1, k->each - 1 };
}

static void draw_heads(struct canvas *c, struct rect r, const struct columns *k)
{
	int i;

	for (i = 0; i < k->n; i++) {
		const struct rect place = column_place(k, i, r);

		canvas_text_right(c, place.row, place.col, place.cols, k->of[k->at[i]].style,
				  k->of[k->at[i]].title);
	}
}

/* ---- statistics ---- */

static const struct number_column stats_columns[] = {
	{ "A", STYLE_A, false }, { "B", STYLE_B, false }, { "B-A", STYLE_DELTA, true },
};

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
		      enum stats_field f, const struct stats *s, const struct columns *k)
{
	const struct stats_info *info = stats_info(f);
	/* where the extremes are, and of how many samples, is no matter of more or less */
	const bool differs = info->kind != STATS_POSITION && info->kind != STATS_COUNT;
	int i;

	canvas_text(c, r.row, r.col, FIELD_NAMES - 1, STYLE_TITLE, info->title);
	for (i = 0; i < k->n; i++) {
		const struct number_column *column = &k->of[k->at[i]];

		if (differs || !column->sign)
			frame_number(c, column_place(k, i, r), column->style,
				     s[k->at[i]].field[f], field_decimals(v, lane, info->kind),
				     column->sign);
	}
}

static void compute(struct view *v, struct lane *lane, double from, double to,
		    struct stats s[SIDES + 1])
{
	struct err e = ERR_INIT;
	int side;

	for (side = 0; side < SIDES; side++) {
		const struct run *run = view_run(v, (enum side)side);
		const struct series empty = SERIES_INIT;
		const struct axis_map *map = overlay_map(&v->overlay, run);

		if (stats_span(run->log == NULL ? &empty : &lane->data.of[side].series,
			       map, run->rpm.n > 0 ? &run->rpm : NULL, from, to, &s[side],
			       &e) != ERR_NONE)
			view_complain(v, "%s", e.text);
	}
	stats_subtract(&s[SIDE_A], &s[SIDE_B], &s[SIDES]);
}

/* Of the span as it is now; as long as that is the same one, they need not be computed again. */
static const struct stats *span_stats(struct view *v, struct lane *lane)
{
	struct lane_stats *kept = &lane->stats;
	double from, to;

	view_span(v, &from, &to);
	if (!kept->is_known || kept->from != from || kept->to != to)
		compute(v, lane, from, to, kept->of);
	kept->from = from;
	kept->to = to;
	kept->is_known = true;
	return kept->of;
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

/* Fields of one part, below their heads. */
static void draw_part(struct view *v, struct canvas *c, struct rect r, const struct lane *lane,
		      const struct stats *s, int first, int count)
{
	const struct columns k = choose_columns(v, stats_columns, 3, FIELD_NAMES, r.cols);
	int i;

	if (r.rows > 0)
		draw_heads(c, r, &k);
	for (i = 0; i < count && i + 1 < r.rows; i++)
		put_field(v, c, (struct rect){ r.row + 1 + i, r.col, 1, r.cols }, lane,
			  shown_fields[first + i], s, &k);
}

static void draw_stats(struct view *v, struct canvas *c, struct rect r)
{
	struct lane *lane = lane_chosen(v);
	const int half = (r.cols - 2) / 2;
	const bool two = half - 1 >= FIELD_NAMES + 3 * LEAST_CELLS;
	const int lines = two ? (SHOWN_FIELDS + 1) / 2 : SHOWN_FIELDS;
	struct rect part = { r.row + 1, 1, r.rows - 1, two ? half - 1 : r.cols - 2 };
	const struct stats *s;

	if (lane == NULL || r.rows == 0)
		return;
	panel_title(v, c, r, lane);
	if (lane_has_words(v, lane)) {
		if (r.rows > 1)
			canvas_text(c, r.row + 1, 1, r.cols - 1, STYLE_PLAIN,
				    "this channel holds words: there are no statistics of them");
		return;
	}
	if (!lane_want(v, lane)) {
		if (r.rows > 1)
			canvas_text(c, r.row + 1, 1, r.cols - 1, STYLE_DIM, FRAME_LOADING);
		return;
	}
	s = span_stats(v, lane);
	draw_part(v, c, part, lane, s, 0, lines);
	part.col += half;
	if (two)
		draw_part(v, c, part, lane, s, lines, SHOWN_FIELDS - lines);
}

/* ---- values at the cursors ---- */

static const struct number_column span_columns[] = {
	{ "A at 1", STYLE_A, false }, { "B at 1", STYLE_B, false }, { "B-A 1", STYLE_DELTA, true },
	{ "A at 2", STYLE_A, false }, { "B at 2", STYLE_B, false }, { "B-A 2", STYLE_DELTA, true },
	{ "A 2 - 1", STYLE_A, true }, { "B 2 - 1", STYLE_B, true },
};

/* With one cursor the first three are all. */
static const struct number_column cursor_columns[] = {
	{ "A", STYLE_A, false }, { "B", STYLE_B, false }, { "B-A", STYLE_DELTA, true },
};

#define LENGTH(a) ((int)(sizeof(a) / sizeof((a)[0])))

static void values_at(struct view *v, struct lane *lane, double at, double out[3])
{
	out[0] = lane_value(v, lane, SIDE_A, at);
	out[1] = lane_value(v, lane, SIDE_B, at);
	out[2] = out[1] - out[0];
}

static void values_of(struct view *v, struct lane *lane, double out[LENGTH(span_columns)])
{
	values_at(v, lane, v->cursor[0], out);
	values_at(v, lane, v->cursor[1], out + 3);
	out[6] = out[3] - out[0];
	out[7] = out[4] - out[1];
}

static void draw_value_name(const struct view *v, struct canvas *c, struct rect r,
			    const struct lane *lane)
{
	struct buf title = BUF_INIT;
	struct buf name = BUF_INIT;

	lane_title(v, lane, &title);
	text_squeeze(&name, title.data, (size_t)r.cols);
	canvas_text(c, r.row, r.col, r.cols, STYLE_TITLE, name.data);
	buf_release(&name);
	buf_release(&title);
}

static void draw_value_row(struct view *v, struct canvas *c, struct rect r, const struct columns *k,
			   struct lane *lane)
{
	double values[LENGTH(span_columns)];
	int i;

	draw_value_name(v, c, (struct rect){ r.row, 1, 1, k->names - 2 }, lane);
	if (!lane_want(v, lane)) {
		canvas_text(c, r.row, k->names, r.cols - k->names, STYLE_DIM, FRAME_LOADING);
		return;
	}
	if (v->span_on)
		values_of(v, lane, values);
	else
		values_at(v, lane, v->cursor[v->active], values);
	for (i = 0; i < k->n; i++) {
		const struct number_column *column = &k->of[k->at[i]];
		const struct rect place = column_place(k, i, r);

		if (!column->sign)
			frame_value(v, c, place, column->style, lane, values[k->at[i]]);
		else if (!lane_has_words(v, lane))	/* they have no difference */
			frame_number(c, place, column->style, values[k->at[i]],
				     lane_decimals(v, lane), true);
	}
}

static void draw_values(struct view *v, struct canvas *c, struct rect r)
{
	const int names = r.cols < 100 ? 16 : 28;
	const struct columns k = v->span_on ?
		choose_columns(v, span_columns, LENGTH(span_columns), names, r.cols) :
		choose_columns(v, cursor_columns, LENGTH(cursor_columns), names, r.cols);
	int row = 1;
	size_t i;

	if (r.rows > 0)
		draw_heads(c, r, &k);
	for (i = 0; i < v->lane_count && row < r.rows; i++)
		if (v->lanes[i].shown && !v->lanes[i].delta)
			draw_value_row(v, c, (struct rect){ r.row + row++, 0, 1, r.cols }, &k,
				       &v->lanes[i]);
}

/* ---- spool ---- */

static const struct number_column spool_columns[] = {
	{ "A rpm", STYLE_A, false }, { "B rpm", STYLE_B, false }, { "B-A rpm", STYLE_DELTA, true },
	{ "A s", STYLE_A, false }, { "B s", STYLE_B, false }, { "B-A s", STYLE_DELTA, true },
};

#define SPOOL_NAMES 28

static void draw_spool_line(struct canvas *c, struct rect r, const struct columns *k,
			    const struct spool_line *line)
{
	const double values[LENGTH(spool_columns)] = {
		line->rpm_a, line->rpm_b, line->rpm_b - line->rpm_a,
		line->seconds_a, line->seconds_b, line->seconds_b - line->seconds_a,
	};
	char text[SPOOL_NAMES + 20];
	int i;

	if (isnan(line->share))
		snprintf(text, sizeof text, "boost gets to %.0f kPa", line->level);
	else
		snprintf(text, sizeof text, "%.0f %% of A's top, %.0f kPa", 100.0 * line->share,
			 line->level);
	canvas_text(c, r.row, 1, SPOOL_NAMES - 1, STYLE_PLAIN, text);
	for (i = 0; i < k->n; i++) {
		const struct number_column *column = &k->of[k->at[i]];

		frame_number(c, column_place(k, i, r), column->style, values[k->at[i]],
			     k->at[i] < LENGTH(spool_columns) / 2 ? 0 : 2, column->sign);
	}
}

/* Where the seconds count from, in words. */
static void spool_title(struct view *v, struct canvas *c, struct rect r, const struct columns *k)
{
	const double rpm = axis_map_to_position(&v->overlay.a.by_rpm,
						axis_map_to_time(&v->overlay.a.by_time, 0.0));
	char text[SPOOL_NAMES + 20] = "spool, s of the time axis";

	if (!isnan(rpm))
		snprintf(text, sizeof text, "spool, s from %.0f rpm", rpm);
	canvas_text(c, r.row, 1, SPOOL_NAMES - 1, STYLE_TITLE, text);
	draw_heads(c, r, k);
}

static void draw_spool(struct view *v, struct canvas *c, struct rect r)
{
	const struct columns k = choose_columns(v, spool_columns, LENGTH(spool_columns), SPOOL_NAMES,
						r.cols);
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
		spool_title(v, c, r, &k);
	for (i = 0; i < count && (int)i + 1 < r.rows; i++)
		draw_spool_line(c, (struct rect){ r.row + 1 + (int)i, 0, 1, r.cols }, &k, &lines[i]);
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
