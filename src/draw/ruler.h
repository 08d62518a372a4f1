/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rulers: where ticks and their labels go along an axis. */
#ifndef DRAW_RULER_H
#define DRAW_RULER_H

#include <stddef.h>

#include "draw/canvas.h"
#include "draw/glyph.h"

/*
 * The step between labelled ticks (1, 2 or 5 times a power of ten) so that at
 * most `labels` multiples lie in low .. high; *decimals: digits behind the decimal
 * mark that its labels need.  1 and 0 unless low < high.
 */
double ruler_step(double low, double high, int labels, int *decimals);

/*
 * Draws the ruler line in row r.row and the labels in row r.row + 1 over the
 * columns of r, for positions from .. to.  Minor ticks where there is room.  Labels
 * never touch each other and are never cut: at the ends they move inwards.
 */
void ruler_draw(struct canvas *c, struct rect r, const struct glyphs *g, double from,
		double to);

/* The column of r (0 at the left) that a position falls into; -1 outside. */
int ruler_column(int cols, double from, double to, double position);

/* The position in the middle of a column. */
double ruler_position(int cols, double from, double to, int column);

#endif
