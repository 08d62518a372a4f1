/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ruler, span, status and keys as cells. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "base/text.h"
#include "draw/ruler.h"
#include "view/action.h"
#include "view/findings.h"
#include "view/frame.h"
#include "view/lists.h"
#include "view/refresh.h"

/* ---- ruler ---- */

/* The span and both cursors over the ruler's line; the active one on top. */
static void draw_cursors(struct view *v, struct canvas *c, struct rect r)
{
	double from, to;
	int i;

	view_span(v, &from, &to);
	for (i = 0; v->span_on && i < r.cols; i++) {
		const double x = ruler_position(r.cols, v->from, v->to, i);

		if (x > from && x < to)
			canvas_put(c, r.row, r.col + i, v->glyphs->span_line, STYLE_CURSOR);
	}
	for (i = v->span_on ? 0 : 1; i < 2; i++) {
		const int which = i == 0 ? !v->active : v->active;
		const int col = frame_column(v, v->cursor[which]);

		if (col < 0)
			continue;
		canvas_put(c, r.row, r.col + col, (uint32_t)('1' + which), STYLE_CURSOR);
		if (which == v->active)
			canvas_flag(c, (struct rect){ r.row, r.col + col, 1, 1 }, CELL_CHOSEN);
	}
}

/* What a column of values beside the lanes holds: as frame_lanes.c draws them. */
static const char *value_heading(const struct view *v, int column, int columns)
{
	static const char *const with_span[] = { "cursor 1", "cursor 2", "2 - 1" };
	static const char *const without[] = { "at cursor", "highest", "lowest" };

	if (v->still)
		return "highest";
	if (!v->span_on)
		return without[column];
	if (columns == 1)
		return v->active == 0 ? "at cursor 1" : "at cursor 2";
	return with_span[column];
}

static void draw_headings(struct view *v, struct canvas *c, const struct layout *l)
{
	const int col = l->name_cols + v->plot_cols + 1;
	const int each = l->values > 0 ? l->value_cols / l->values : 0;
	int i;

	for (i = 0; i < l->values; i++)
		canvas_text(c, l->ruler_row, col + i * each, each - 1,
			    v->still ? STYLE_TITLE : STYLE_CURSOR, value_heading(v, i, l->values));
}

/* What the axis is; on the time axis where its 0 is, and how B was shifted. */
static void draw_axis_name(struct view *v, struct canvas *c, const struct layout *l)
{
	const double rpm = axis_map_to_position(&v->overlay.a.by_rpm,
						axis_map_to_time(&v->overlay.a.by_time, 0.0));
	char text[40] = "engine rpm";

	if (v->overlay.axis == AXIS_TIME) {
		if (isnan(rpm))
			snprintf(text, sizeof text, "time, s");
		else
			snprintf(text, sizeof text, "s from %.0f rpm", rpm);
		if (v->overlay.nudge != 0.0 && view_has_b(v)) {
			char shift[40];

			snprintf(shift, sizeof shift, "B shifted %+.2f s", v->overlay.nudge);
			canvas_text(c, l->ruler_row, 1, l->name_cols - 2, STYLE_B, shift);
		}
	}
	canvas_text(c, l->ruler_row + 1, 1, l->name_cols - 2, STYLE_TITLE, text);
}

void frame_ruler(struct view *v, struct canvas *c, const struct layout *l)
{
	const struct rect r = { l->ruler_row, l->name_cols, 2, v->plot_cols };

	ruler_draw(c, r, v->glyphs, v->from, v->to);
	if (!v->still)
		draw_cursors(v, c, r);
	draw_axis_name(v, c, l);
	draw_headings(v, c, l);
}

/* ---- span, status, keys ---- */

static int position_decimals(const struct view *v)
{
	return v->overlay.axis == AXIS_RPM ? 0 : 2;
}

/* What runs across the span: time on the engine-speed axis, engine speed on the time axis. */
static double across(const struct view *v, const struct run *run, double from, double to)
{
	const struct axis_map *map = overlay_map(&v->overlay, run);
	const double t0 = axis_map_to_time(map, from);
	const double t1 = axis_map_to_time(map, to);

	if (v->overlay.axis == AXIS_RPM)
		return t1 - t0;
	return series_at(&run->rpm, t1) - series_at(&run->rpm, t0);
}

/* As beside the lanes: the letter has the colour. */
static void put_across(const struct view *v, struct canvas *c, int row, int *col,
		       const char *label, enum style style, double value)
{
	const bool time = v->overlay.axis == AXIS_RPM;
	char number[NUM_TEXT];
	char text[64];

	if (time && style != STYLE_DELTA)
		num_fixed(number, value, 2);
	else
		num_signed(number, value, time ? 2 : 0);
	snprintf(text, sizeof text, " %s%s", number, isnan(value) ? "" : time ? " s" : " rpm");
	*col += 3 + canvas_text(c, row, *col + 3, v->cols - *col - 3, style, label);
	*col += canvas_text(c, row, *col, v->cols - *col, STYLE_PLAIN, text);
}

static void draw_span(struct view *v, struct canvas *c, int row)
{
	const int decimals = position_decimals(v);
	char low[NUM_TEXT], high[NUM_TEXT];
	struct buf text = BUF_INIT;
	double from, to, a, b;
	int col;

	view_span(v, &from, &to);
	buf_printf(&text, "%s %s to %s %s", v->span_on ? "span" : "on screen",
		   num_fixed(low, from, decimals),
		   num_fixed(high, to, decimals), axis_unit(v->overlay.axis));
	col = canvas_text(c, row, 0, v->cols, STYLE_CURSOR, text.data);
	if (v->overlay.axis == AXIS_TIME && v->overlay.a.rpm.n == 0 && v->overlay.b.rpm.n == 0)
		goto out;	/* nothing runs across */
	a = across(v, &v->overlay.a, from, to);
	put_across(v, c, row, &col, "A", STYLE_A, a);
	if (view_has_b(v)) {
		b = across(v, &v->overlay.b, from, to);
		put_across(v, c, row, &col, "B", STYLE_B, b);
		put_across(v, c, row, &col, v->glyphs->delta, STYLE_DELTA, b - a);
	}
out:
	buf_release(&text);
}

/* The message; a long one begins on the row above. */
static void draw_message(struct view *v, struct canvas *c, int row)
{
	const enum style style = v->message_bad ? STYLE_ERROR : STYLE_PLAIN;
	struct buf text = BUF_INIT;
	int rows;

	if (v->ascii)
		text_to_ascii(&text, v->message);
	else
		text_sanitise(&text, v->message, strlen(v->message));
	rows = text_width(buf_text(&text)) > (size_t)v->cols ? 2 : 1;
	canvas_fill(c, (struct rect){ row + 1 - rows, 0, rows, v->cols }, ' ', STYLE_PLAIN);
	frame_wrap(c, (struct rect){ row + 1 - rows, 0, rows, v->cols }, style, buf_text(&text));
	buf_release(&text);
}

static bool draw_greeting(struct view *v, struct canvas *c, int row)
{
	struct buf text = BUF_INIT;
	bool any;

	if (v->greeting)
		findings_greeting(v, &text);
	any = text.len > 0;
	canvas_text(c, row, 0, v->cols, STYLE_PLAIN, buf_text(&text));
	buf_release(&text);
	return any;
}

/* Where the active cursor is, on both axes and in the logs' own clocks. */
static void draw_status(struct view *v, struct canvas *c, int row)
{
	const double at = v->cursor[v->active];
	struct buf text = BUF_INIT;
	char number[NUM_TEXT];
	int side;

	if (v->message != NULL) {
		draw_message(v, c, row);
		return;
	}
	if (draw_greeting(v, c, row))
		return;
	buf_printf(&text, "cursor%s at %s %s", !v->span_on ? "" : v->active == 0 ? " 1" : " 2",
		   num_fixed(number, at, position_decimals(v)), axis_unit(v->overlay.axis));
	for (side = 0; side < SIDES; side++) {
		const struct run *run = view_run(v, (enum side)side);
		double t;

		if (run->log == NULL)
			continue;
		t = axis_map_to_time(overlay_map(&v->overlay, run), at);
		if (isnan(t))
			continue;
		buf_printf(&text, "   %s log ", side == SIDE_A ? "A" : "B");
		datalog_time_text(run->log, t, 2, &text);
		buf_puts(&text, run->log->time_of_day ? "" : " s");
		if (v->overlay.axis == AXIS_TIME && run->rpm.n > 0)
			buf_printf(&text, " %s rpm", num_fixed(number, series_at(&run->rpm, t), 0));
	}
	canvas_text(c, row, 0, v->cols, STYLE_PLAIN, text.data);
	buf_release(&text);
}

/* At the right end of the status line: what is still to come. */
static void draw_coming(struct view *v, struct canvas *c, int row)
{
	struct buf text = BUF_INIT;
	int width;

	view_coming_text(v, &text);
	width = (int)text_width(buf_text(&text));
	if (width > 0 && width + 2 < v->cols) {
		canvas_fill(c, (struct rect){ row, v->cols - width - 1, 1, 1 }, ' ', STYLE_PLAIN);
		canvas_text(c, row, v->cols - width, width, STYLE_TITLE, text.data);
	}
	buf_release(&text);
}

static void put_hint(struct view *v, struct canvas *c, int row, int *col, const char *key,
		     const char *word)
{
	const int width = (int)(text_width(key) + 1 + text_width(word));

	if (*col + width > v->cols)
		return;
	*col += canvas_text(c, row, *col, v->cols - *col, STYLE_KEY, key) + 1;
	*col += canvas_text(c, row, *col, v->cols - *col, STYLE_PLAIN, word) + 2;
}

/* The key line, the most needed first: what does not fit is left out at the end. */
static const struct {
	const char *action;
	const char *word;
} key_line[] = {
	{ "help", "help" }, { "quit", "quit" }, { "findings", "findings" }, { "begin", "span" },
	{ "axis", "axis" }, { "lanes", "channels" }, { "stats", "stats" }, { "mark", "mark" },
	{ "other", "cursor" }, { "pulls", "pulls" }, { "spool", "spool" }, { "delta", "delta" },
	{ "values", "values" }, { "closer", "zoom" }, { "fit", "fit" }, { "apart", "apart" },
	{ "highest", "highest" }, { "lowest", "lowest" }, { "scale", "scale" },
	{ "marks", "marks" }, { "undo", "undo" },
};

static void draw_keys(struct view *v, struct canvas *c, int row)
{
	int col = 0;
	size_t i;

	for (i = 0; i < sizeof key_line / sizeof key_line[0]; i++) {
		struct buf keys = BUF_INIT;

		action_keys(action_by_name(key_line[i].action), &keys);
		keys.data[strcspn(keys.data, " ")] = '\0';
		put_hint(v, c, row, &col, keys.data, key_line[i].word);
		buf_release(&keys);
	}
}

static void draw_prompt(struct view *v, struct canvas *c, int row)
{
	const int col = canvas_text(c, row, 0, v->cols, STYLE_KEY, v->prompt.label);

	canvas_text(c, row, col, v->cols - col, STYLE_PLAIN,
		    buf_text(&v->prompt.text) + frame_prompt_skip(v));
}

void frame_foot(struct view *v, struct canvas *c, const struct layout *l)
{
	if (v->still)
		return;
	if (v->panel != PANEL_FINDINGS)
		draw_span(v, c, l->span_row);
	if (v->panel != PANEL_FINDINGS || v->message != NULL)
		draw_status(v, c, l->status_row);
	draw_coming(v, c, l->status_row);
	if (v->prompt.open)
		draw_prompt(v, c, l->key_row);
	else if (v->panel >= PANEL_LANES)
		canvas_text(c, l->key_row, 0, v->cols, STYLE_PLAIN, list_keys(v));
	else
		draw_keys(v, c, l->key_row);
}
