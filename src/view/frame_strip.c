/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The strip of pulls and marks below the lanes. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "view/frame.h"
#include "view/where.h"

/* Calls `each` for every mark and pull that lies on the axis now. */
typedef void (*strip_fn)(void *user, enum style style, const char *label, double from, double to);

static void each_mark(struct view *v, strip_fn each, void *user)
{
	double from, to;
	size_t s, i;

	for (s = 0; s < v->source_count; s++)
		for (i = 0; i < v->sources[s].marks.count; i++) {
			const struct mark *m = &v->sources[s].marks.list[i];

			if (where_mark(v, SIDE_A, s, m, &from, &to) ||
			    where_mark(v, SIDE_B, s, m, &from, &to))
				each(user, STYLE_MARK, m->title, from, to);
		}
}

static void each_strip(struct view *v, strip_fn each, void *user)
{
	char label[32];
	double from, to;
	size_t i;

	for (i = 1; v->overlay.a.number == RUN_WHOLE &&
		    i <= view_source(v, SIDE_A)->loaded.pulls.count; i++) {
		snprintf(label, sizeof label, "pull %zu", i);
		if (where_pull(v, SIDE_A, i, &from, &to))
			each(user, STYLE_TITLE, label, from, to);
	}
	each_mark(v, each, user);
}

static void count_one(void *user, enum style style, const char *label, double from, double to)
{
	(void)style;
	(void)label;
	(void)from;
	(void)to;
	++*(int *)user;
}

bool frame_needs_strip(struct view *v)
{
	int n = 0;

	each_strip(v, count_one, &n);
	return n > 0;
}

struct strip {
	struct view *v;
	struct canvas *c;
	int row;
	int col;
};

/* Two numbers side by side would read as a third. */
static bool is_blank(const struct strip *s, int first, int cells)
{
	int i;

	for (i = 0; i < cells; i++)
		if (canvas_at(s->c, s->row, s->col + first + i).ch != ' ')
			return false;
	return true;
}

/*
 * [label----], cut to its room.  One cell keeps the glyph of a mark, or a pull's number; where
 * that would run into another's, a line.
 */
static void draw_strip(void *user, enum style style, const char *label, double from, double to)
{
	const struct strip *s = user;
	const struct view *v = s->v;
	const int first = frame_column(v, fmax(from, v->from));
	const int last = frame_column(v, fmin(to, v->to));
	const bool pull = style == STYLE_TITLE;

	if (to < v->from || from > v->to || first < 0 || last < 0)
		return;
	if (pull && last - first - 1 < (int)strlen(label))
		label += strcspn(label, "0123456789");
	if (last - first < 2) {
		if (pull && is_blank(s, first - 1, 2 + (int)strlen(label)))
			canvas_text(s->c, s->row, s->col + first, v->plot_cols - first, style,
				    label);
		else if (!pull || is_blank(s, first, 1))
			canvas_put(s->c, s->row, s->col + first,
				   pull ? v->glyphs->horizontal : v->glyphs->mark, style);
		return;
	}
	canvas_fill(s->c, (struct rect){ s->row, s->col + first, 1, last - first + 1 },
		    v->glyphs->horizontal, style);
	canvas_put(s->c, s->row, s->col + first, v->glyphs->span_open, style);
	canvas_put(s->c, s->row, s->col + last, v->glyphs->span_close, style);
	canvas_text(s->c, s->row, s->col + first + 1, last - first - 1, style, label);
}

void frame_strip(struct view *v, struct canvas *c, const struct layout *l)
{
	struct strip s = { v, c, l->strip_row, l->name_cols };

	if (l->strip_row < 0)
		return;
	canvas_text(c, l->strip_row, 1, l->name_cols - 2, STYLE_DIM,
		    v->overlay.a.number == RUN_WHOLE ? "pulls, marks" : "marks");
	each_strip(v, draw_strip, &s);
}
