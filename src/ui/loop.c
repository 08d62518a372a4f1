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

static void act(struct ui_term *t, struct view *v, const struct ui_feed *feed, uint32_t key)
{
	if (key == KEY_REDRAW)
		ui_term_redraw(t);
	else if (key != KEY_INTERRUPT || feed == NULL || !feed->interrupt(feed->data, v))
		view_key(v, key);
}

void ui_run(struct ui_term *t, struct view *v, const struct ui_feed *feed)
{
	uint32_t key;

	resize(t, v);
	if (feed != NULL)
		feed->take(feed->data, v);
	while (!v->quit) {
		show(t, v);
		switch (ui_term_wait(t, feed != NULL ? feed->fd : -1, &key)) {
		case UI_KEY:
			act(t, v, feed, key);
			break;
		case UI_NEWS:
			feed->take(feed->data, v);
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
