/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A grid of cells, and the grid as text with or without colours. */
#include "draw/canvas.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"

struct canvas {
	int rows;
	int cols;
	struct cell *cells;	/* [rows * cols], row by row */
};

static const struct cell blank = { ' ', STYLE_PLAIN, 0 };

/* NULL outside the grid. */
static struct cell *cell_ref(const struct canvas *c, int row, int col)
{
	if (row < 0 || col < 0 || row >= c->rows || col >= c->cols)
		return NULL;
	return &c->cells[(size_t)row * (size_t)c->cols + (size_t)col];
}

struct canvas *canvas_new(int rows, int cols)
{
	struct canvas *c = mem_alloc(sizeof *c);

	c->rows = rows > 0 ? rows : 0;
	c->cols = cols > 0 ? cols : 0;
	c->cells = mem_array((size_t)c->rows * (size_t)c->cols, sizeof *c->cells);
	canvas_clear(c);
	return c;
}

void canvas_free(struct canvas *c)
{
	if (c == NULL)
		return;
	free(c->cells);
	free(c);
}

void canvas_clear(struct canvas *c)
{
	const size_t n = (size_t)c->rows * (size_t)c->cols;
	size_t i;

	for (i = 0; i < n; i++)
		c->cells[i] = blank;
}

int canvas_rows(const struct canvas *c)
{
	return c->rows;
}

int canvas_cols(const struct canvas *c)
{
	return c->cols;
}

struct cell canvas_at(const struct canvas *c, int row, int col)
{
	const struct cell *cell = cell_ref(c, row, col);

	return cell == NULL ? blank : *cell;
}

const struct cell *canvas_row(const struct canvas *c, int row)
{
	return &c->cells[(size_t)row * (size_t)c->cols];
}

/*
 * Sets one half or the whole of a character.  What is left of a wide character
 * that loses a half becomes a blank, so that no line is ever a cell too long.
 */
static void set_cell(struct canvas *c, int row, int col, uint32_t ch, enum style style)
{
	struct cell *cell = cell_ref(c, row, col);
	struct cell *right = cell_ref(c, row, col + 1);

	if (cell == NULL)
		return;
	if (cell->ch == 0 && ch != 0)
		cell_ref(c, row, col - 1)->ch = ' ';
	if (right != NULL && right->ch == 0)
		right->ch = ' ';
	cell->ch = ch;
	cell->style = (uint8_t)style;
}

/* A wide character of which the grid has room for one half only shows a blank. */
static void set_char(struct canvas *c, int row, int col, uint32_t ch, int width,
		     enum style style)
{
	const bool whole = width < 2 || (col >= 0 && col + 1 < c->cols);

	set_cell(c, row, col, whole ? ch : ' ', style);
	if (width < 2)
		return;
	set_cell(c, row, col + 1, ' ', style);
	if (whole)
		set_cell(c, row, col + 1, 0, style);
}

void canvas_put(struct canvas *c, int row, int col, uint32_t ch, enum style style)
{
	const int width = text_char_width(ch);

	set_char(c, row, col, width > 0 ? ch : ' ', width, style);
}

int canvas_text(struct canvas *c, int row, int col, int cells, enum style style,
		const char *text)
{
	const size_t n = strlen(text);
	size_t i = 0;
	int used = 0;

	while (i < n) {
		uint32_t cp;
		int width;

		i += text_decode(text + i, n - i, &cp);
		width = text_char_width(cp);
		if (width == 0)
			continue;
		if (used + width > cells)
			break;
		set_char(c, row, col + used, cp, width, style);
		used += width;
	}
	return used;
}

int canvas_text_right(struct canvas *c, int row, int col, int cells, enum style style,
		      const char *text)
{
	const size_t width = text_width(text);
	const int skip = cells > 0 && width < (size_t)cells ? cells - (int)width : 0;

	return canvas_text(c, row, col + skip, cells - skip, style, text);
}

/* The part of r that lies on the grid. */
static struct rect clip(const struct canvas *c, struct rect r)
{
	const int top = r.row > 0 ? r.row : 0;
	const int left = r.col > 0 ? r.col : 0;
	const int bottom = r.rows < c->rows - r.row ? r.row + r.rows : c->rows;
	const int right = r.cols < c->cols - r.col ? r.col + r.cols : c->cols;

	return (struct rect){ top, left, bottom > top ? bottom - top : 0,
			      right > left ? right - left : 0 };
}

void canvas_fill(struct canvas *c, struct rect r, uint32_t ch, enum style style)
{
	int row;
	int col;

	r = clip(c, r);
	for (row = r.row; row < r.row + r.rows; row++)
		for (col = r.col; col < r.col + r.cols; col++) {
			set_cell(c, row, col, ch, style);
			cell_ref(c, row, col)->flags = 0;
		}
}

void canvas_flag(struct canvas *c, struct rect r, unsigned flags)
{
	int row;
	int col;

	r = clip(c, r);
	for (row = r.row; row < r.row + r.rows; row++)
		for (col = r.col; col < r.col + r.cols; col++)
			cell_ref(c, row, col)->flags |= (uint8_t)flags;
}

void canvas_style(struct canvas *c, struct rect r, enum style style)
{
	int row;
	int col;

	r = clip(c, r);
	for (row = r.row; row < r.row + r.rows; row++)
		for (col = r.col; col < r.col + r.cols; col++)
			cell_ref(c, row, col)->style = (uint8_t)style;
}

static void add_char(struct buf *out, uint32_t ch)
{
	char utf8[4];

	if (ch != 0)
		buf_add(out, utf8, text_encode(ch, utf8));
}

void canvas_write_text(const struct canvas *c, struct buf *out)
{
	int row;
	int col;

	for (row = 0; row < c->rows; row++) {
		int end = c->cols;

		while (end > 0 && canvas_at(c, row, end - 1).ch == ' ')
			end--;
		for (col = 0; col < end; col++)
			add_char(out, canvas_at(c, row, col).ch);
		buf_putc(out, '\n');
	}
}

static bool same_look(struct look a, struct look b)
{
	return a.fg == b.fg && a.bg == b.bg && a.bold == b.bold && a.dim == b.dim &&
	       a.underline == b.underline && a.reverse == b.reverse;
}

/* Would a blank in this look be seen? */
static bool shows_blank(struct look l)
{
	return l.bg >= 0 || l.reverse || l.underline;
}

/* The indexed colours above 7 are the usual extension, ISO/IEC 8613-6. */
static void add_colour(struct buf *out, int colour, int base)
{
	if (colour >= 8)
		buf_printf(out, ";%d;5;%d", base + 8, colour);
	else if (colour >= 0)
		buf_printf(out, ";%d", base + colour);
}

static void add_sgr(struct buf *out, struct look l)
{
	buf_puts(out, "\033[0");
	buf_puts(out, l.bold ? ";1" : "");
	buf_puts(out, l.dim ? ";2" : "");
	buf_puts(out, l.underline ? ";4" : "");
	buf_puts(out, l.reverse ? ";7" : "");
	add_colour(out, l.fg, 30);
	add_colour(out, l.bg, 40);
	buf_putc(out, 'm');
}

static struct look look_at(const struct canvas *c, enum theme_depth depth, int row, int col)
{
	const struct cell cell = canvas_at(c, row, col);

	return theme_look(depth, (enum style)cell.style, cell.flags);
}

void canvas_write_ansi(const struct canvas *c, enum theme_depth depth, struct buf *out)
{
	static const struct look none = { -1, -1, false, false, false, false };
	int row;
	int col;

	for (row = 0; row < c->rows; row++) {
		struct look now = none;
		int end = c->cols;

		while (end > 0 && canvas_at(c, row, end - 1).ch == ' ' &&
		       !shows_blank(look_at(c, depth, row, end - 1)))
			end--;
		for (col = 0; col < end; col++) {
			const struct cell cell = canvas_at(c, row, col);
			const struct look next = look_at(c, depth, row, col);

			/* An unseen blank takes whatever look is on. */
			if (!same_look(now, next) && cell.ch != 0 &&
			    (cell.ch != ' ' || shows_blank(next) || shows_blank(now))) {
				add_sgr(out, next);
				now = next;
			}
			add_char(out, cell.ch);
		}
		if (!same_look(now, none))
			add_sgr(out, none);
		buf_putc(out, '\n');
	}
}

bool canvas_equal(const struct canvas *a, const struct canvas *b)
{
	const size_t n = (size_t)a->rows * (size_t)a->cols;
	size_t i;

	if (a->rows != b->rows || a->cols != b->cols)
		return false;
	for (i = 0; i < n; i++)
		if (a->cells[i].ch != b->cells[i].ch ||
		    a->cells[i].style != b->cells[i].style ||
		    a->cells[i].flags != b->cells[i].flags)
			return false;
	return true;
}
