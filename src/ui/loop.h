/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The loop of the viewer: draw, wait, act. */
#ifndef UI_LOOP_H
#define UI_LOOP_H

#include "base/err.h"
#include "ui/term.h"
#include "view/state.h"

/* Where news come from that change the view without a key. */
struct ui_feed {
	int fd;			/* readable when there are some */
	void (*take)(void *data, struct view *v);
	bool (*interrupt)(void *data, struct view *v);	/* Ctrl-C: true when it ended something */
	void *data;
};

/* Until the person quits, or the terminal is gone.  The feed may be NULL. */
void ui_run(struct ui_term *t, struct view *v, const struct ui_feed *feed);

#endif
