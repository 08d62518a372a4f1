/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Drawing the traces of a lane: from the lowest and highest value under each
 * point column to cells.  Every point from low to high is set, and neighbouring
 * columns are joined, so that no spike is lost and the line does not break but
 * where the data does.
 *
 * Two traces are told apart by shape alone (see glyph.h).  Braille: the dotted
 * one has one point column a cell, which holds the extents of both, and of a
 * tall run its ends and every other point; the solid one is two points thick,
 * away from the dotted one, and thin where the two coincide.
 */
#ifndef DRAW_TRACE_H
#define DRAW_TRACE_H

#include <stdbool.h>
#include <stddef.h>

#include "draw/canvas.h"
#include "draw/glyph.h"
#include "draw/scale.h"

/*
 * Under one point column, low <= high.  NaN in either: nothing here (the line
 * breaks).  Infinite ones are drawn at the scale's edge.
 */
struct extent {
	double low;
	double high;
};

struct trace {
	const struct extent *columns;	/* [rect.cols * glyphs->sub_cols] */
	enum style style;		/* STYLE_A, STYLE_B or STYLE_DELTA */
	bool dotted;			/* the lighter shape, for A; ASCII goes by style */
};

/*
 * Draws the traces over the rect, in order; where two share a cell its points
 * merge and its style is STYLE_BOTH.  Values beyond the scale are drawn at its
 * edge.  Cells without points stay as they are, and so do the flags of all.
 * Nothing is drawn unless scale.low < scale.high.
 */
void trace_draw(struct canvas *c, struct rect r, const struct glyphs *g, struct scale s,
		const struct trace *traces, size_t n);

#endif
