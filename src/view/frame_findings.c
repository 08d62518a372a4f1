/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The strips of findings below the lanes, one a side that has any. */
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "out/finding_text.h"
#include "view/findings.h"
#include "view/frame.h"

#define LEAST_ROWS 16		/* on a lower screen the lanes need them all */

bool frame_needs_findings(const struct view *v, enum side side)
{
	return v->rows >= LEAST_ROWS && v->findings[side].count > 0;
}

/* A stretch of columns whose severest finding is one and the same. */
struct stretch {
	const struct finding *finding;
	int first;
	int last;
};

struct strip {
	struct view *v;
	struct canvas *c;
	int row;
	int col;		/* of the canvas, where the traces begin */
};

/* The severest finding over each column, NULL for none: reports have it first. */
static const struct finding **owners(struct view *v, enum side side)
{
	const struct finding **out = mem_array((size_t)v->plot_cols, sizeof(*out));
	int col, first, last;
	size_t i;

	for (col = 0; col < v->plot_cols; col++)
		out[col] = NULL;
	for (i = 0; i < v->findings[side].count; i++) {
		const struct finding *f = &v->findings[side].findings[i];

		if (!frame_finding_columns(v, side, f, &first, &last))
			continue;
		for (col = first; col <= last; col++)
			if (out[col] == NULL)
				out[col] = f;
	}
	return out;
}

/* The title, or, where that is too long, what is before its comma; false: no room. */
static bool fitting_title(const struct finding *f, int cells, struct buf *out)
{
	char *comma;

	finding_title(f, out);
	comma = strchr(out->data, ',');
	if (comma != NULL && (int)text_width(out->data) > cells)
		*comma = '\0';
	return (int)text_width(out->data) <= cells;
}

/*
 * [stop lean under load--], [stop---], or a letter a column.  Returns whether the title is
 * in it.
 */
static bool draw_stretch(const struct strip *s, const struct stretch *st)
{
	const struct glyphs *g = s->v->glyphs;
	const char *word = severity_name(st->finding->severity);
	const int cells = st->last - st->first - 1;
	struct buf text = BUF_INIT;
	bool told = false;
	int col;

	if (cells < (int)strlen(word)) {
		for (col = st->first; col <= st->last; col++)
			canvas_put(s->c, s->row, s->col + col,
				   (uint32_t)findings_letter(st->finding->severity), STYLE_FINDING);
		return false;
	}
	canvas_fill(s->c, (struct rect){ s->row, s->col + st->first, 1, cells + 2 }, g->horizontal,
		    STYLE_FINDING);
	canvas_put(s->c, s->row, s->col + st->first, g->span_open, STYLE_FINDING);
	canvas_put(s->c, s->row, s->col + st->last, g->span_close, STYLE_FINDING);
	col = s->col + st->first + 1;
	col += canvas_text(s->c, s->row, col, cells, STYLE_FINDING, word);
	if (fitting_title(st->finding, cells - (int)strlen(word) - 1, &text)) {
		canvas_text(s->c, s->row, col, 1, STYLE_FINDING, " ");
		canvas_text(s->c, s->row, col + 1, cells, STYLE_FINDING, text.data);
		told = true;
	}
	buf_release(&text);
	return told;
}

/* Blank columns from `col` on in the direction of step. */
static int blanks(const struct strip *s, int col, int step)
{
	int n = 0;

	while (col >= 0 && col < s->v->plot_cols &&
	       canvas_at(s->c, s->row, s->col + col).ch == ' ') {
		col += step;
		n++;
	}
	return n;
}

/* The title beside the stretch where more is blank; a blank to it, one to what else is there. */
static void draw_title(const struct strip *s, const struct stretch *st)
{
	const int right = blanks(s, st->last + 1, 1) - 2;
	const int left = blanks(s, st->first - 1, -1) - 2;
	struct buf text = BUF_INIT;

	if (fitting_title(st->finding, right > left ? right : left, &text)) {
		const int cells = (int)text_width(text.data);

		canvas_text(s->c, s->row, s->col + (right > left ? st->last + 2 :
						    st->first - 1 - cells), cells, STYLE_PLAIN,
			    text.data);
	}
	buf_release(&text);
}

static int by_severity(const void *x, const void *y)
{
	const struct stretch *a = x;
	const struct stretch *b = y;

	if (a->finding->severity != b->finding->severity)
		return a->finding->severity > b->finding->severity ? -1 : 1;
	return a->first < b->first ? -1 : a->first > b->first;
}

static void draw_strip(const struct strip *s, enum side side)
{
	const struct finding **owner = owners(s->v, side);
	struct stretch *list = mem_array((size_t)s->v->plot_cols, sizeof *list);
	size_t count = 0, untold = 0, i;
	int col;

	for (col = 0; col < s->v->plot_cols; col++) {
		if (owner[col] == NULL)
			continue;
		if (col == 0 || owner[col] != owner[col - 1])
			list[count++] = (struct stretch){ owner[col], col, col };
		list[count - 1].last = col;
	}
	for (i = 0; i < count; i++)
		if (!draw_stretch(s, &list[i]))
			list[untold++] = list[i];
	/* only now is known what stays blank; the severest get their places first */
	qsort(list, untold, sizeof *list, by_severity);
	for (i = 0; i < untold; i++)
		draw_title(s, &list[i]);
	free(list);
	free(owner);
}

/* "B 5 findings, stop", or "B 12 caution" where there is less room. */
static void draw_name(const struct strip *s, enum side side, int cells)
{
	const char *letter = side == SIDE_A ? "A " : "B ";
	struct buf name = BUF_INIT;

	buf_puts(&name, letter);
	findings_count(s->v, side, false, &name);
	if ((int)text_width(name.data) > cells) {
		buf_clear(&name);
		buf_puts(&name, letter);
		findings_count(s->v, side, true, &name);
	}
	canvas_text(s->c, s->row, 1, cells, side == SIDE_A ? STYLE_A : STYLE_B, name.data);
	buf_release(&name);
}

void frame_findings(struct view *v, struct canvas *c, const struct layout *l)
{
	int side;

	for (side = 0; side < SIDES; side++) {
		const struct strip s = { v, c, l->finding_row[side], l->name_cols };

		if (s.row < 0)
			continue;
		draw_name(&s, (enum side)side, l->name_cols - 1);
		draw_strip(&s, (enum side)side);
	}
}
