/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The loop of the viewer: draw, wait, act. */
#include "ui/loop.h"

#include "view/action.h"
#include "view/frame.h"
#include "view/key.h"

static void show(struct ui_term *t, struct view *v)
{
	struct canvas *c = canvas_new(v->rows, v->cols);
	int row = 0;
	int col = 0;

	frame_draw(v, c);
	frame_caret(v, &row, &col);
	ui_term_show(t, c, row, col);
}

static void resize(struct ui_term *t, struct view *v)
{
	int rows, cols;

	ui_term_size(t, &rows, &cols);
	view_resize(v, rows, cols);
}

void ui_run(struct ui_term *t, struct view *v)
{
	uint32_t key;

	resize(t, v);
	while (!v->quit) {
		show(t, v);
		switch (ui_term_wait(t, &key)) {
		case UI_KEY:
			if (key == KEY_REDRAW)
				ui_term_redraw(t);
			else
				view_key(v, key);
			break;
		case UI_RESIZED:
			resize(t, v);
			break;
		case UI_CONTINUED:
			resize(t, v);
			ui_term_redraw(t);
			break;
		case UI_GONE:
			return;
		}
	}
}
