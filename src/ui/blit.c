/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Putting a canvas on the terminal: through curses where all is to be drawn, else only the
 * cells that changed.
 */
#include <unistd.h>
#include <wchar.h>

#include "base/path.h"
#include "ui/pen.h"
#include "ui/term.h"
#include "ui/term_private.h"

static attr_t attributes(struct look look)
{
	attr_t a = A_NORMAL;

	if (look.bold)
		a |= A_BOLD;
	if (look.dim)
		a |= A_DIM;
	if (look.underline)
		a |= A_UNDERLINE;
	if (look.reverse)
		a |= A_REVERSE;
	return a;
}

static short pair_of(const struct ui_term *t, struct cell cell)
{
	return t->depth == THEME_MONO ? 0 :
		(short)(1 + cell.style + STYLE_COUNT * (int)(cell.flags % FLAG_SETS(t->depth)));
}

cchar_t ui_cell(const struct ui_term *t, struct cell cell)
{
	const struct look look = theme_look(t->depth, (enum style)cell.style, cell.flags);
	const wchar_t text[2] = { (wchar_t)cell.ch, L'\0' };
	cchar_t c;

	setcchar(&c, text, attributes(look), pair_of(t, cell), NULL);
	return c;
}

static void put_cell(const struct ui_term *t, int row, int col, struct cell cell)
{
	const cchar_t c = ui_cell(t, cell);

	if (cell.ch != 0)	/* the right half of a wide character */
		mvadd_wch(row, col, &c);
}

static bool same(struct cell a, struct cell b)
{
	return a.ch == b.ch && a.style == b.style && a.flags == b.flags;
}

/* As curses does: where the terminal is gone, the loop will hear of it. */
/* Curses draws what it was told of. */
static void draw_by_curses(const struct ui_term *t, const struct canvas *before,
			   const struct canvas *after)
{
	int i, k;

	if (before == NULL)
		erase();
	for (i = 0; i < canvas_rows(after); i++)
		for (k = 0; k < canvas_cols(after); k++)
			if (before == NULL || !same(canvas_at(after, i, k), canvas_at(before, i, k)))
				put_cell(t, i, k, canvas_at(after, i, k));
	wnoutrefresh(stdscr);
}

/* The cursor where curses left it, before it writes: it goes from there. */
static void hand_over(struct ui_term *t)
{
	struct buf out = BUF_INIT;
	struct pen p = { t, &out, t->at.row, t->at.col, pen_plain, 0 };

	pen_go(&p, t->left.row, t->left.col);
	(void)path_write_to(STDOUT_FILENO, buf_text(&out), out.len);
	buf_release(&out);
}

static void show_by_curses(struct ui_term *t, struct spot cursor)
{
	hand_over(t);
	move(cursor.row, cursor.col);
	wnoutrefresh(stdscr);
	doupdate();
	t->at = t->left = cursor;
}

/* By ourselves, on a screen that curses has cleared: it takes a write a colour. */
static void draw_first(struct ui_term *t, const struct canvas *after, struct spot from,
		       struct spot to, struct buf *out)
{
	struct canvas *blank = canvas_new(canvas_rows(after), canvas_cols(after));

	erase();
	clearok(curscr, TRUE);
	show_by_curses(t, (struct spot){ 0, 0 });
	draw_by_curses(t, blank, after);
	ui_paint(t, blank, after, from, to, out);
	canvas_free(blank);
}

/*
 * Curses writes first: who sees the frame may act on it, and all of it is there.  `before` is
 * NULL where all is drawn.
 */
static void draw(struct ui_term *t, const struct canvas *before, const struct canvas *after,
		 struct spot cursor)
{
	const bool paints = ui_paint_can(t);
	const bool by_curses = !paints || before == NULL || ui_paint_leaves(before, after);
	const struct spot from = by_curses ? cursor : t->at;
	struct buf out = BUF_INIT;

	if (before == NULL && paints) {
		draw_first(t, after, from, cursor, &out);
	} else {
		draw_by_curses(t, before, after);
		if (paints)
			ui_paint(t, before, after, from, cursor, &out);
	}
	if (by_curses)
		show_by_curses(t, cursor);
	(void)path_write_to(STDOUT_FILENO, buf_text(&out), out.len);
	t->at = cursor;
	buf_release(&out);
}

void ui_term_show(struct ui_term *t, struct canvas *c, int row, int col)
{
	const bool all = t->shown == NULL || canvas_rows(t->shown) != canvas_rows(c) ||
		canvas_cols(t->shown) != canvas_cols(c);

	draw(t, all ? NULL : t->shown, c, (struct spot){ row, col });
	canvas_free(t->shown);
	t->shown = c;	/* the next frame is drawn as a difference to this one */
}

void ui_term_redraw(struct ui_term *t)
{
	reset_prog_mode();	/* a stop without a word (SIGSTOP) left the modes to the shell */
	canvas_free(t->shown);
	t->shown = NULL;
	clearok(curscr, TRUE);
}
