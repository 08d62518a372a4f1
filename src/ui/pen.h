/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Writing cells of any look at any place with few bytes, past curses: pen.c.  Private to ui/,
 * to be included behind curses.h and term.h.
 */
#ifndef UI_PEN_H
#define UI_PEN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"
#include "draw/theme.h"

#define PEN_TEXT 64		/* room for what one capability makes */

/* Where the terminal's cursor is and how it writes. */
struct pen {
	struct buf *out;
	int row;		/* -1: not known */
	int col;
	struct look look;
	size_t look_end;	/* of the last change of look in out; 0: none */
};

/* A pen at an unknown place, with the look that a terminal has at first. */
struct pen pen_new(struct buf *out);

extern const struct look pen_plain;

/* A capability, without its pauses; NULL is nothing. */
void pen_put(struct pen *p, const char *capability);

/* What tiparm() makes of a capability and one or two numbers, not below 0. */
const char *pen_numbers(char out[PEN_TEXT], const char *capability, int first, int second);

void pen_go(struct pen *p, int row, int col);
void pen_look(struct pen *p, struct look l);

/* A character where the pen is; it goes on by one cell or two. */
void pen_char(struct pen *p, uint32_t ch);

#endif
