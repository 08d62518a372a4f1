/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The loop of the viewer: draw, wait, act. */
#include "ui/loop.h"

#include <math.h>

#include "base/ticks.h"
#include "view/action.h"
#include "view/findings.h"
#include "view/frame.h"
#include "view/key.h"

#define HOLD_S 0.04		/* nobody sees that a picture comes so much later */

/* What is on the screen. */
struct shown {
	bool whole;		/* with the findings */
	double until;		/* it stays, as the next one is not yet whole; 0: it need not */
};

/*
 * How many ms the next picture may wait for its findings, which come at once as a rule: else
 * all that shows them would vanish and come back.  0: it may not.
 */
static int hold(struct shown *s, const struct view *v)
{
	double left;

	if (!s->whole || !findings_are_due(v))
		return 0;
	if (s->until == 0.0)
		s->until = ticks_now() + HOLD_S;
	left = s->until - ticks_now();
	return left > 0.0 ? (int)ceil(1000.0 * left) : 0;
}

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
	struct shown shown = { false, 0.0 };
	uint32_t key;

	resize(t, v);
	if (feed != NULL)
		feed->take(feed->data, v);
	while (!v->quit) {
		const int ms = hold(&shown, v);

		if (ms == 0) {
			show(t, v);
			shown = (struct shown){ !findings_are_due(v), 0.0 };
		}
		findings_begin(v);
		switch (ui_term_wait(t, feed != NULL ? feed->fd : -1, ms > 0 ? ms : -1, &key)) {
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
		case UI_LATE:
			break;
		case UI_GONE:
			return;
		}
	}
}
