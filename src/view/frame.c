/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The state of the viewer as cells: layout. */
#include "view/frame.h"

#include <stdio.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/text.h"
#include "view/lanes.h"

#define NARROW 60		/* below: no values beside the lanes */
#define WIDE 100		/* from here: the values of both cursors */
#define VERY_WIDE 130		/* from here: and their difference */
#define VALUE_COLS 12

static int name_cols(int cols)
{
	return cols < NARROW ? 12 : cols < WIDE ? 20 : 24;
}

static int values_beside(int cols)
{
	return cols < NARROW ? 0 : cols < WIDE ? 1 : cols < VERY_WIDE ? 2 : 3;
}

/* Span, status and keys, but not below a still picture. */
static int lay_foot(const struct view *v, struct layout *l)
{
	int foot = v->rows;

	if (!v->still) {
		l->key_row = --foot;
		l->status_row = --foot;
		l->span_row = --foot;
	}
	return foot;
}

/* The panel stands below the ruler's and the strips' own rows. */
static void raise_rows(struct layout *l, int panel)
{
	int *const rows[] = { &l->finding_row[SIDE_A], &l->finding_row[SIDE_B], &l->strip_row,
			      &l->ruler_row };
	size_t i;

	l->panel.row = l->ruler_row + 2 - panel;
	for (i = 0; i < sizeof rows / sizeof rows[0]; i++)
		if (*rows[i] >= 0)
			*rows[i] -= panel;
}

struct layout frame_layout(struct view *v)
{
	struct layout l = { 0 };
	int foot = lay_foot(v, &l) - 2;
	int panel, side;

	l.ruler_row = foot;
	l.strip_row = frame_needs_strip(v) ? --foot : -1;
	for (side = SIDES; side-- > 0;)
		l.finding_row[side] = frame_needs_findings(v, (enum side)side) ? --foot : -1;
	l.lanes = (struct rect){ 1, 0, foot - 1, v->cols };
	panel = v->still ? 0 : frame_panel_rows(v, l.lanes.rows);
	l.lanes.rows -= panel;
	l.panel = (struct rect){ l.lanes.row + l.lanes.rows, 0, panel, v->cols };
	if (panel > 0)
		raise_rows(&l, panel);
	l.name_cols = name_cols(v->cols);
	l.values = values_beside(v->cols);
	if (v->still && l.values > 1)
		l.values = 1;
	l.value_cols = l.values * VALUE_COLS;
	v->plot_cols = v->cols - l.name_cols - l.value_cols;
	v->lane_rows = l.lanes.rows;
	return l;
}

static void too_small(struct view *v, struct canvas *c)
{
	char text[80];

	snprintf(text, sizeof text, "too small: at least %dx%d", VIEW_LEAST_COLS, VIEW_LEAST_ROWS);
	canvas_text(c, 0, 0, v->cols, STYLE_PLAIN, text);
	canvas_text(c, 1, 0, v->cols, STYLE_PLAIN, "q quits");
}

/* Names, words and units of a log may hold anything; plain ASCII shows nothing else. */
static void keep_ascii(struct canvas *c)
{
	int row, col;

	for (row = 0; row < canvas_rows(c); row++)
		for (col = 0; col < canvas_cols(c); col++) {
			const struct cell cell = canvas_at(c, row, col);

			if (cell.ch > '~')
				canvas_put(c, row, col, '?', (enum style)cell.style);
		}
}

void frame_draw(struct view *v, struct canvas *c)
{
	struct layout l;

	canvas_clear(c);
	if (v->rows < VIEW_LEAST_ROWS || v->cols < VIEW_LEAST_COLS) {
		too_small(v, c);
		return;
	}
	l = frame_layout(v);
	lanes_scroll_to_chosen(v);
	frame_header(v, c);
	if (v->panel >= PANEL_LANES) {
		frame_list(v, c, &l);
	} else {
		frame_lanes(v, c, &l);
		frame_findings(v, c, &l);
		frame_strip(v, c, &l);
		frame_ruler(v, c, &l);
		frame_panel(v, c, &l);
	}
	frame_foot(v, c, &l);
	if (v->ascii)
		keep_ascii(c);
}

static size_t width_of(const char *s, size_t n)
{
	char *part = mem_strndup(s, n);
	const size_t width = text_width(part);

	free(part);
	return width;
}

size_t frame_prompt_skip(const struct view *v)
{
	const struct prompt *p = &v->prompt;
	const char *text = buf_text(&p->text);
	const size_t label = text_width(p->label);
	const size_t room = (size_t)v->cols > label + 1 ? (size_t)v->cols - label - 1 : 1;
	size_t skip = 0;
	uint32_t cp;

	while (skip < p->at && width_of(text + skip, p->at - skip) > room)
		skip += text_decode(text + skip, p->at - skip, &cp);
	return skip;
}

void frame_caret(struct view *v, int *row, int *col)
{
	struct layout l;

	*row = *col = 0;
	if (v->rows < VIEW_LEAST_ROWS || v->cols < VIEW_LEAST_COLS)
		return;
	l = frame_layout(v);
	*row = l.key_row;
	if (v->prompt.open) {
		const size_t skip = frame_prompt_skip(v);

		*col = (int)(text_width(v->prompt.label) +
			     width_of(buf_text(&v->prompt.text) + skip, v->prompt.at - skip));
		return;
	}
	if (v->panel >= PANEL_LANES) {
		*row = l.lanes.row + 1 + (int)(v->list.selected - v->list.top);
		return;
	}
	*row = l.ruler_row;
	*col = l.name_cols + frame_column(v, v->cursor[v->active]);
}
