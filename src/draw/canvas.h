/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A grid of cells: what every picture is drawn on before it goes to a
 * terminal or into a text.  Rows and columns count from 0 at the top left.
 * Drawing outside the grid is cut off, never an error.
 */
#ifndef DRAW_CANVAS_H
#define DRAW_CANVAS_H

#include <stdbool.h>
#include <stdint.h>

#include "base/buf.h"
#include "draw/theme.h"

struct cell {
	uint32_t ch;		/* Unicode; 0: the right half of a wide character */
	uint8_t style;		/* enum style */
	uint8_t flags;		/* set of enum cell_flag */
};

struct canvas;

struct rect {
	int row;
	int col;
	int rows;
	int cols;
};

/* Blank: every cell ' ', STYLE_PLAIN, no flags. */
struct canvas *canvas_new(int rows, int cols);
void canvas_free(struct canvas *c);
void canvas_clear(struct canvas *c);
int canvas_rows(const struct canvas *c);
int canvas_cols(const struct canvas *c);

/* The cell at a place; a blank one outside. */
struct cell canvas_at(const struct canvas *c, int row, int col);

/* All cells of a row that the canvas has, for whoever looks at many of them. */
const struct cell *canvas_row(const struct canvas *c, int row);

/*
 * Writing leaves the flags of a cell alone.  A wide character takes two cells;
 * whoever overwrites one of them blanks the other, and where the grid ends
 * between the two a blank stands for it.
 */
void canvas_put(struct canvas *c, int row, int col, uint32_t ch, enum style style);

/*
 * Writes UTF-8 text over at most `cells` cells; returns the cells written, which
 * is one less when a wide character does not fit.  Characters of no width
 * (combining and control characters) are left out: a cell holds one.
 */
int canvas_text(struct canvas *c, int row, int col, int cells, enum style style,
		const char *text);

/*
 * As canvas_text, ending (not beginning) at column col + cells; text that is too
 * long keeps its beginning.
 */
int canvas_text_right(struct canvas *c, int row, int col, int cells, enum style style,
		      const char *text);

/* A fresh ground: fills with a character of one cell and clears the flags. */
void canvas_fill(struct canvas *c, struct rect r, uint32_t ch, enum style style);

/* Lays flags over what is there, or another style under its characters. */
void canvas_flag(struct canvas *c, struct rect r, unsigned flags);
void canvas_style(struct canvas *c, struct rect r, enum style style);

/* Appends the grid as UTF-8 lines without trailing blanks. */
void canvas_write_text(const struct canvas *c, struct buf *out);

/*
 * Appends the grid with SGR escape sequences (ISO/IEC 6429), for a terminal that
 * nobody drives through curses.  A sequence only where the look changes; every
 * line ends in the terminal's own look.
 */
void canvas_write_ansi(const struct canvas *c, enum theme_depth depth, struct buf *out);

/* The same cells everywhere? */
bool canvas_equal(const struct canvas *a, const struct canvas *b);

#endif
