/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The panels that are lists, as cells. */
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "view/frame.h"
#include "view/lists.h"

/* Rows below a list that tell more: a line, the text, what holds for all. */
static const struct {
	int from_rows;		/* of the screen */
	int more;
} rooms[] = { { 20, 9 }, { 16, 6 }, { 0, 4 } };

static void keep_selected_on_screen(struct view *v, size_t count, int rows)
{
	struct list *list = &v->list;

	if (list->selected >= count)
		list->selected = count == 0 ? 0 : count - 1;
	if (list->selected < list->top)
		list->top = list->selected;
	if (rows > 0 && list->selected >= list->top + (size_t)rows)
		list->top = list->selected - (size_t)rows + 1;
}

/* Bytes of s on a row of `cells`: all, or up to its last blank there, or what fits. */
static size_t row_of(const char *s, size_t cells)
{
	const size_t fit = text_fit(s, cells);
	size_t blank = fit;

	while (s[fit] != '\0' && blank > 0 && s[blank] != ' ')
		blank--;
	return blank > 0 ? blank : fit;
}

int frame_wrap(struct canvas *c, struct rect r, enum style style, const char *text)
{
	int row;

	for (row = 0; row < r.rows && *text != '\0'; row++) {
		const size_t n = row + 1 < r.rows ? row_of(text, (size_t)r.cols) : strlen(text);
		char *line = mem_strndup(text, n);

		canvas_text(c, r.row + row, r.col, r.cols, style, line);
		free(line);
		text += n;
		text += *text == ' ';
	}
	return row;
}

/* What the list says of the selected row, and what holds for all of it, below the rows. */
static void draw_more(struct view *v, struct canvas *c, int row, int rows)
{
	struct buf text = BUF_INIT;
	struct buf plain = BUF_INIT;

	list_more(v, &text);
	if (v->ascii)
		text_to_ascii(&plain, buf_text(&text));
	canvas_fill(c, (struct rect){ row, 0, 1, v->cols }, v->glyphs->horizontal, STYLE_DIM);
	frame_wrap(c, (struct rect){ row + 1, 1, rows - 2, v->cols - 2 }, STYLE_PLAIN,
		   v->ascii ? buf_text(&plain) : buf_text(&text));
	canvas_text(c, row + rows - 1, 1, v->cols - 2, STYLE_DIM, list_caution(v));
	buf_release(&text);
	buf_release(&plain);
}

static int more_rows(const struct view *v)
{
	size_t i = 0;

	if (list_caution(v) == NULL)
		return 0;
	while (v->rows < rooms[i].from_rows)
		i++;
	return rooms[i].more;
}

void frame_list(struct view *v, struct canvas *c, const struct layout *l)
{
	/* down to above the span line, or to the rows that tell more, which end at the status */
	const int more = more_rows(v);
	const int rows = more > 0 ? l->status_row - more - l->lanes.row :
		l->ruler_row + 1 - l->lanes.row;
	const size_t count = list_count(v);
	int row;

	keep_selected_on_screen(v, count, rows);
	canvas_text(c, l->lanes.row, 1, v->cols - 2, STYLE_TITLE, list_title(v));
	if (v->list.filter[0] != '\0') {
		struct buf text = BUF_INIT;

		buf_printf(&text, "only: %s", v->list.filter);
		canvas_text_right(c, l->lanes.row, v->cols / 2, v->cols / 2 - 1, STYLE_KEY,
				  text.data);
		buf_release(&text);
	}
	if (count == 0)
		canvas_text(c, l->lanes.row + 1, 1, v->cols - 2, STYLE_PLAIN, list_empty(v));
	for (row = 0; row < rows && v->list.top + (size_t)row < count; row++) {
		const size_t i = v->list.top + (size_t)row;
		struct buf text = BUF_INIT;
		struct buf plain = BUF_INIT;
		const enum style style = list_row(v, i, &text);

		if (v->ascii)
			text_to_ascii(&plain, buf_text(&text));
		canvas_text(c, l->lanes.row + 1 + row, 1, v->cols - 2, style,
			    v->ascii ? buf_text(&plain) : buf_text(&text));
		if (i == v->list.selected)
			canvas_flag(c, (struct rect){ l->lanes.row + 1 + row, 0, 1, v->cols },
				    CELL_CHOSEN);
		buf_release(&text);
		buf_release(&plain);
	}
	if (more > 0)
		draw_more(v, c, l->status_row + 1 - more, more);
	if (v->list.top > 0)
		canvas_put(c, l->lanes.row + 1, v->cols - 1, v->glyphs->more_up, STYLE_KEY);
	if (v->list.top + (size_t)rows < count)
		canvas_put(c, l->lanes.row + rows, v->cols - 1, v->glyphs->more_down, STYLE_KEY);
}
