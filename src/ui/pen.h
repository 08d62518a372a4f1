/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A pen writes on the terminal, past curses: it knows where the terminal's cursor is and how
 * it writes, and goes from there to the next place and look with few bytes.
 */
#ifndef UI_PEN_H
#define UI_PEN_H

#include <stdbool.h>
#include <stdint.h>

#include "base/buf.h"
#include "draw/canvas.h"
#include "draw/theme.h"

struct ui_term;

struct pen {
	const struct ui_term *t;
	struct buf *out;	/* what is to be written is appended */
	int row;		/* -1: not known */
	int col;
	struct look look;
	size_t sgr_end;		/* length of `out` when its last bytes were a look; or 0 */
};

extern const struct look pen_plain;

/* A capability as it is. */
void pen_put(struct pen *p, const char *text);

void pen_go(struct pen *p, int row, int col);
void pen_look(struct pen *p, struct look look);

/* Writes a character where the pen is. */
void pen_char(struct pen *p, uint32_t ch);

/* n cells go out of a row at a place, or blanks come in, by a capability that takes n. */
void pen_shift(struct pen *p, int row, int col, const char *capability, int n);

/* How a cell looks on this terminal. */
struct look pen_look_of(const struct ui_term *t, struct cell cell);
bool pen_same_look(struct look a, struct look b);

/* Is a blank of this look as one of any other such look? */
bool pen_hides_blanks(struct look look);

/*
 * Looks one after another in the order of this take few bytes.  Grounds come late or early:
 * which is shorter depends on where it goes on.
 */
unsigned pen_rank(struct look look, bool grounds_early);

#endif
