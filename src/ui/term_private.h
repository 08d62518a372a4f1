/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of ui/: the terminal's state. */
#ifndef UI_TERM_PRIVATE_H
#define UI_TERM_PRIVATE_H

#define NCURSES_WIDECHAR 1
#include <curses.h>
#include <term.h>
#include <stdio.h>

#include "base/buf.h"
#include "draw/canvas.h"

/*
 * With few colours flags change attributes only: one set of pairs does, for which a terminal
 * of 64 has room.
 */
#define FLAG_SETS(depth) ((depth) == THEME_256 ? CELL_FLAG_SETS : 1u)

struct spot {
	int row;
	int col;
};

struct ui_term {
	SCREEN *screen;
	FILE *tty;		/* /dev/tty where opened here, or NULL */
	FILE *in;
	int fd;			/* that keys come from */
	enum theme_depth depth;
	struct canvas *shown;	/* what is on the screen, or NULL */
	struct spot at;		/* where the terminal's cursor is */
	struct spot left;	/* where curses left it and takes it to be */
};

/* blit.c: a cell as curses has it */
cchar_t ui_cell(const struct ui_term *t, struct cell cell);

/*
 * paint.c: appends the bytes that make one canvas of another of the same size, past curses, and
 * tells it.  They lead the terminal's cursor from a place to another, and leave the attributes
 * off.
 */
bool ui_paint_can(const struct ui_term *t);
void ui_paint(const struct ui_term *t, const struct canvas *before, const struct canvas *after,
	      struct spot from, struct spot to, struct buf *out);

/* Is something that ui_paint() leaves to curses another? */
bool ui_paint_leaves(const struct canvas *before, const struct canvas *after);

#endif
