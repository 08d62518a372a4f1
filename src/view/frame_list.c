/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The panels that are lists, as cells. */
#include "base/text.h"
#include "view/frame.h"
#include "view/lists.h"

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

void frame_list(struct view *v, struct canvas *c, const struct layout *l)
{
	const int rows = l->ruler_row + 1 - l->lanes.row;	/* down to above the span line */
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
	if (v->list.top > 0)
		canvas_put(c, l->lanes.row + 1, v->cols - 1, v->glyphs->more_up, STYLE_KEY);
	if (v->list.top + (size_t)rows < count)
		canvas_put(c, l->lanes.row + rows, v->cols - 1, v->glyphs->more_down, STYLE_KEY);
}
