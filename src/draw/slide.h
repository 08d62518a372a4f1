/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Is a picture mostly the one before, moved to the side?  Found by comparing the two and
 * nothing else, so that any panning profits, whatever brought it about.
 */
#ifndef DRAW_SLIDE_H
#define DRAW_SLIDE_H

#include <stdbool.h>

#include "draw/canvas.h"

#define SLIDE_MOST 40		/* columns that a picture may have moved */

/*
 * Within columns from .. to-1 of some rows the picture has moved by `by` columns (to the
 * left when above 0); to both sides of them it stands still, but for rows in which it is
 * shorter to let all from `from` on move along.
 */
struct slide {
	int by;			/* 0: it has not moved */
	int from;
	int to;
	struct slide_row {
		bool slides;	/* worth it */
		bool whole;	/* what is right of `to` moves along */
	} *rows;		/* [of the canvas] */
};

#define SLIDE_INIT { 0, 0, 0, NULL }

/*
 * Compares two canvases of one size.  A row is worth sliding where that takes a terminal
 * fewer bytes, as far as can be told, than to write its cells anew.  The last row never
 * slides: its last cell cannot be written everywhere.
 */
void slide_find(struct slide *s, const struct canvas *before, const struct canvas *after);
void slide_release(struct slide *s);

/* What stands at a place of the picture before once it has slid. */
struct cell slide_at(const struct slide *s, const struct canvas *before, int row, int col);

/*
 * To slide a row, |by| cells go out of it at the one column, and then as many blanks come in
 * at the other; -1: none do.
 */
int slide_delete_at(const struct slide *s, int row);
int slide_insert_at(const struct slide *s, int row);

#endif
