/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a cell means (its style), and how each meaning looks with many colours,
 * with eight, and with none.  Colours follow Okabe and Ito's set, which people
 * with any colour vision can tell apart ("Color Universal Design", 2008; the
 * RGB values from memory); colour is never the only difference.
 */
#ifndef DRAW_THEME_H
#define DRAW_THEME_H

#include <stdbool.h>

enum style {
	STYLE_PLAIN,
	STYLE_DIM,		/* frames, scales, what is not there */
	STYLE_TITLE,		/* names of lanes, headings */
	STYLE_A,		/* the baseline: trace and numbers */
	STYLE_B,		/* the candidate */
	STYLE_BOTH,		/* both traces in one cell */
	STYLE_DELTA,		/* B-A */
	STYLE_CURSOR,		/* the cursor lines and their labels */
	STYLE_MARK,
	STYLE_FINDING,
	STYLE_LIMIT,
	STYLE_ERROR,		/* a message that something failed */
	STYLE_KEY,		/* a key in the help and the key line */
	STYLE_COUNT
};

/* What is laid over a style; combine with |. */
enum cell_flag {
	CELL_SPAN = 1,		/* between the two cursors: a band with its own ground */
	CELL_CHOSEN = 2,	/* the active item: reversed */
	CELL_FINDING = 4,	/* the region of a finding: another band */
};

#define CELL_FLAG_SETS 8u	/* sets of them: 0 .. 7 */

enum theme_depth {
	THEME_MONO,		/* bold, underline, reverse only */
	THEME_8,
	THEME_256,
};

struct look {
	short fg;		/* colour number, -1: the terminal's own */
	short bg;
	bool bold;
	bool dim;
	bool underline;
	bool reverse;
};

/* The look of a style under flags (a set of enum cell_flag). */
struct look theme_look(enum theme_depth depth, enum style style, unsigned flags);

/* "#rrggbb" of a style for pictures on a light ground. */
const char *theme_rgb(enum style style);

#endif
