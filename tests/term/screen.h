/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The emulator: what a program wrote, as cells. */
#ifndef TERM_SCREEN_H
#define TERM_SCREEN_H

#include <stdbool.h>
#include <stddef.h>

#include <vterm.h>

#include "base/buf.h"
#include "harness.h"

struct screen {
	VTerm *vt;
	VTermScreen *cells;
	int cols, rows;
	bool alt, cursor, mouse;
	struct buf out;		/* keys and answers for the program, not yet sent */
};

/* The emulator keeps the address of s. */
void screen_init(struct screen *s, int cols, int rows, bool utf8);
void screen_release(struct screen *s);

void screen_feed(struct screen *s, const char *bytes, size_t n);
void screen_resize(struct screen *s, int cols, int rows);

/* Appends a row without the blanks at its end; nothing if there is none. */
void screen_add_row(const struct screen *s, int row, struct buf *text);

/* False outside the screen. */
bool screen_attr(const struct screen *s, int row, int col, struct term_attr *a);

void screen_cursor(const struct screen *s, int *row, int *col);

#endif
