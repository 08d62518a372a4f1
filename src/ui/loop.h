/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The loop of the viewer: draw, wait, act. */
#ifndef UI_LOOP_H
#define UI_LOOP_H

#include "base/err.h"
#include "ui/term.h"
#include "view/state.h"

/* Until the person quits, or the terminal is gone. */
void ui_run(struct ui_term *t, struct view *v);

#endif
