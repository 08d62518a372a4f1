/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The characters that pictures are made of: one const table a set.
 *
 *   ascii    everywhere; A is '*', B is 'o', both in one cell '@'
 *   blocks   half cells; A is dots (. : '), B solid (U+2580, U+2584, U+2588),
 *            both in one cell a double line (U+2550); all in code page 437,
 *            which text consoles have
 *   braille  two by four dots a cell (U+2800 and on, ISO/IEC 10646); A is thin
 *            and dotted, B solid and two dots thick, both solid and thin;
 *            level lines are whole cells at three heights, which every font has
 *
 * A and B always differ by shape, colours or not.
 */
#ifndef DRAW_GLYPH_H
#define DRAW_GLYPH_H

#include <stdint.h>

#define GLYPH_HEIGHTS 4		/* the most point rows of a cell */

enum glyph_set {
	GLYPH_ASCII,
	GLYPH_BLOCKS,
	GLYPH_BRAILLE,
};

struct glyphs {
	enum glyph_set set;
	const char *name;	/* for --glyphs and the settings */
	int sub_cols;		/* points across a cell */
	int sub_rows;		/* points down a cell */
	uint32_t a;		/* whole-cell traces of the ASCII set; 0 elsewhere */
	uint32_t b;
	uint32_t both;
	uint32_t other;		/* a trace that is neither: B-A */
	uint32_t horizontal;	/* ruler line */
	uint32_t vertical;	/* lane's left edge */
	uint32_t foot;		/* the same where the lane ends */
	uint32_t tick;		/* on the ruler, with a label */
	uint32_t minor;		/* without one */
	uint32_t cursor;	/* a cursor's line through the lanes */
	uint32_t span_open;	/* the ends of the span on the ruler */
	uint32_t span_close;
	uint32_t span_line;	/* the ruler within the span */
	uint32_t mark;		/* a mark on the ruler */
	uint32_t zero;		/* the zero line of a delta lane */
	uint32_t hatch[3];	/* the ground of a finding: in A, in B, in both */
	uint32_t limit[GLYPH_HEIGHTS];	/* a level line at each point row of a cell, from the */
	uint32_t target[GLYPH_HEIGHTS];	/* top down: sub_rows of them */
	uint32_t more_up;	/* more lanes above, below */
	uint32_t more_down;
	uint32_t more_left;	/* more to see beside */
	uint32_t more_right;
	const char *delta;	/* "B-A" */
	const char *ellipsis;
};

const struct glyphs *glyph_get(enum glyph_set set);

/* By name, case aside; NULL when there is none. */
const struct glyphs *glyph_by_name(const char *name);

/* The points of one cell: a set of 1 << (row * sub_cols + column). */
#define GLYPH_POINT(g, row, col) (1u << ((row) * (g)->sub_cols + (col)))

/*
 * The character for a cell that shows the points `light` of dotted traces and
 * the points `solid` of others; ' ' for none.  In the ASCII set trace.c picks
 * among a, b, both and other instead.
 */
uint32_t glyph_points(const struct glyphs *g, unsigned light, unsigned solid);

#endif
