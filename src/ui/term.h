/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The terminal: starting and restoring it, putting a canvas on it, reading keys.
 * This floor alone knows curses.
 */
#ifndef UI_TERM_H
#define UI_TERM_H

#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"
#include "draw/canvas.h"
#include "draw/glyph.h"
#include "draw/theme.h"

struct ui_term;

/*
 * Takes the terminal over.  Keys come from /dev/tty where standard input is no
 * terminal.  ERR_IO when there is none, or its type is unknown.
 */
enum err_code ui_term_start(struct ui_term **out, struct err *e);

/* Gives it back as it was. */
void ui_term_end(struct ui_term *t);

void ui_term_size(const struct ui_term *t, int *rows, int *cols);

/* Puts the canvas, which it takes over, on the screen, the hardware cursor at a place. */
void ui_term_show(struct ui_term *t, struct canvas *c, int row, int col);

/* All of it again, as after other programs wrote on the screen. */
void ui_term_redraw(struct ui_term *t);

enum ui_event {
	UI_KEY,
	UI_RESIZED,
	UI_CONTINUED,		/* after a stop: draw all again */
	UI_NEWS,		/* the other descriptor is readable */
	UI_LATE,		/* nothing of all this in so many ms */
	UI_GONE,		/* the terminal hung up, or a signal asks to end */
};

/*
 * Waits for the next event; a key (view/key.h) goes to *key.  Keys come before what else
 * there is: `other` is a descriptor to wait for as well, or -1; ms may be -1: for ever.
 */
enum ui_event ui_term_wait(struct ui_term *t, int other, int ms, uint32_t *key);

/* The signal that asked to end; 0 for none. To be raised again after ui_term_end(). */
int ui_term_signal(void);

/* What suits the locale and the terminal. */
enum glyph_set ui_glyphs(void);

#endif
