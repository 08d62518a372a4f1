/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Putting a canvas on the terminal: through curses where all is to be drawn, else only the
 * cells that changed.
 */
#include <errno.h>
#include <signal.h>
#include <unistd.h>
#include <wchar.h>

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
static void write_all(const char *bytes, size_t n)
{
	while (n > 0) {
		const ssize_t put = write(STDOUT_FILENO, bytes, n);

		if (put < 0 && errno != EINTR && errno != EAGAIN)
			return;
		if (put > 0) {
			bytes += put;
			n -= (size_t)put;
		}
	}
}

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

/* By ourselves, on a screen that curses has cleared: it takes a write a colour. */
static void draw_first(const struct ui_term *t, const struct canvas *after, struct buf *out)
{
	struct canvas *blank = canvas_new(canvas_rows(after), canvas_cols(after));

	erase();
	clearok(curscr, TRUE);
	wnoutrefresh(stdscr);
	doupdate();
	draw_by_curses(t, blank, after);
	ui_paint(t, blank, after, out);
	canvas_free(blank);
}

/*
 * curses ignores Ctrl-Z while it writes, and the key would be lost: blocked, it waits
 * until the frame is out.  No other signal may cut a frame in two, either.  `before` is NULL
 * where all is drawn.
 */
static void draw_undisturbed(const struct ui_term *t, const struct canvas *before,
			     const struct canvas *after, int row, int col)
{
	struct buf out = BUF_INIT;
	sigset_t all, old;

	sigfillset(&all);
	sigprocmask(SIG_BLOCK, &all, &old);
	if (before == NULL && ui_paint_can(t)) {
		draw_first(t, after, &out);
	} else {
		draw_by_curses(t, before, after);
		if (before != NULL && !canvas_equal(before, after) && ui_paint_can(t))
			ui_paint(t, before, after, &out);
	}
	move(row, col);
	wnoutrefresh(stdscr);
	doupdate();		/* the cursor first, for who reads along with it */
	write_all(buf_text(&out), out.len);
	sigprocmask(SIG_SETMASK, &old, NULL);
	buf_release(&out);
}

void ui_term_show(struct ui_term *t, struct canvas *c, int row, int col)
{
	const bool all = t->shown == NULL || canvas_rows(t->shown) != canvas_rows(c) ||
		canvas_cols(t->shown) != canvas_cols(c);

	draw_undisturbed(t, all ? NULL : t->shown, c, row, col);
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
