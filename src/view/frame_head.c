/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The header as cells: which pulls are A and B, what was found in them, the axis. */
#include <stdio.h>
#include <string.h>

#include "base/path.h"
#include "base/text.h"
#include "view/findings.h"
#include "view/frame.h"

#define NARROW 60		/* below: no name of the axis, which the ruler has as well */

/* A letter and a stroke of the trace as the lanes draw it. */
static void put_legend(const struct view *v, struct buf *out, enum side side)
{
	const struct glyphs *g = v->glyphs;
	const unsigned points = GLYPH_POINT(g, g->sub_rows / 2, 0);
	const uint32_t stroke = g->set == GLYPH_ASCII ? (side == SIDE_A ? g->a : g->b) :
		side == SIDE_A && view_has_b(v) ? glyph_points(g, points, 0) :
		glyph_points(g, 0, points | GLYPH_POINT(g, g->sub_rows / 2, g->sub_cols - 1));
	char utf8[4];
	const size_t n = text_encode(stroke, utf8);
	int i;

	buf_puts(out, side == SIDE_A ? "A " : "B ");
	for (i = 0; i < 3; i++)
		buf_add(out, utf8, n);
	buf_putc(out, ' ');
}

/* How much of a run is told, from the most to the least. */
enum detail {
	DETAIL_UNIT,
	DETAIL_RANGE,
	DETAIL_GEAR,
	DETAIL_NAME,
};

static void describe_run(const struct run *run, enum detail detail, struct buf *out)
{
	const struct pull *p = &run->pull;
	const char *name = strcmp(run->log->path, "-") == 0 ? "standard input" :
		path_basename(run->log->path);

	text_sanitise(out, name, strlen(name));
	if (run->number == RUN_WHOLE) {
		buf_puts(out, detail < DETAIL_NAME ? " whole log" : " all");
		return;
	}
	buf_printf(out, "@%zu", run->number);
	if (p->gear > 0 && detail <= DETAIL_GEAR)
		buf_printf(out, " gear %d", p->gear);
	if (detail <= DETAIL_RANGE)
		buf_printf(out, " %.0f-%.0f", p->from_rpm, p->to_rpm);
	if (detail == DETAIL_UNIT)
		buf_puts(out, " rpm");
}

static void describe_side(struct view *v, enum side side, enum detail detail, struct buf *out)
{
	put_legend(v, out, side);
	describe_run(view_run(v, side), detail, out);
}

static void describe_findings(const struct view *v, enum side side, enum detail detail,
			      struct buf *out)
{
	findings_count(v, side, detail > DETAIL_UNIT, out);
}

/* As much detail as fits for both sides: one must not be told more of than the other. */
static enum detail detail_that_fits(struct view *v, int cells)
{
	int detail = DETAIL_UNIT;
	int side;

	for (side = SIDE_A; side < SIDES && detail < DETAIL_NAME;) {
		struct buf text = BUF_INIT;

		if (view_run(v, (enum side)side)->log != NULL) {
			describe_side(v, (enum side)side, (enum detail)detail, &text);
			buf_puts(&text, "  ");
			describe_findings(v, (enum side)side, (enum detail)detail, &text);
		}
		if ((int)text_width(buf_text(&text)) <= cells)
			side++;
		else
			detail++;
		buf_release(&text);
	}
	return (enum detail)detail;
}

/* A name too long for its place is cut: what was found stays. */
static void draw_run(struct view *v, struct canvas *c, int col, int cells, enum side side,
		     enum detail detail)
{
	struct buf text = BUF_INIT;
	struct buf found = BUF_INIT;
	int room;

	describe_side(v, side, detail, &text);
	describe_findings(v, side, detail, &found);
	room = cells - (int)text_width(found.data) - 1;
	col += canvas_text(c, 0, col, room, side == SIDE_A ? STYLE_A : STYLE_B, text.data);
	canvas_text(c, 0, col + 1 + ((int)text_width(text.data) < room), cells,
		    v->findings[side].count > 0 ? STYLE_FINDING : STYLE_DIM, found.data);
	buf_release(&text);
	buf_release(&found);
}

void frame_header(struct view *v, struct canvas *c)
{
	const int axis_cols = v->cols < NARROW ? 0 : 9;	/* "axis time" */
	const int room = v->cols - axis_cols - (axis_cols > 0);
	const int half = view_has_b(v) ? room / 2 : room;
	const enum detail detail = detail_that_fits(v, half - 1);
	char axis[16];

	draw_run(v, c, 0, half - 1, SIDE_A, detail);
	if (view_has_b(v))
		draw_run(v, c, half, half - 1, SIDE_B, detail);
	snprintf(axis, sizeof axis, "axis %s", axis_name(v->overlay.axis));
	if (axis_cols > 0)
		canvas_text_right(c, 0, room + 1, axis_cols, STYLE_TITLE, axis);
}
