/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Putting a canvas on the terminal: only the cells that changed. */
#include <signal.h>
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

static void put_cell(const struct ui_term *t, int row, int col, struct cell cell)
{
	const struct look look = theme_look(t->depth, (enum style)cell.style, cell.flags);
	const short pair = t->depth == THEME_MONO ? 0 :
		(short)(1 + cell.style + STYLE_COUNT * (int)(cell.flags % FLAG_SETS(t->depth)));
	const wchar_t text[2] = { (wchar_t)cell.ch, L'\0' };
	cchar_t c;

	if (cell.ch == 0)	/* the right half of a wide character */
		return;
	setcchar(&c, text, attributes(look), pair, NULL);
	mvadd_wch(row, col, &c);
}

static bool same(struct cell a, struct cell b)
{
	return a.ch == b.ch && a.style == b.style && a.flags == b.flags;
}

/*
 * curses ignores Ctrl-Z while it writes, and the key would be lost: blocked, it waits
 * until the frame is out.
 */
static void refresh_undisturbed(void)
{
	sigset_t stop, before;

	sigemptyset(&stop);
	sigaddset(&stop, SIGTSTP);
	sigprocmask(SIG_BLOCK, &stop, &before);
	refresh();
	sigprocmask(SIG_SETMASK, &before, NULL);
}

void ui_term_show(struct ui_term *t, struct canvas *c, int row, int col)
{
	const bool all = t->shown == NULL || canvas_rows(t->shown) != canvas_rows(c) ||
		canvas_cols(t->shown) != canvas_cols(c);
	int i, k;

	if (all)
		erase();
	for (i = 0; i < canvas_rows(c); i++)
		for (k = 0; k < canvas_cols(c); k++)
			if (all || !same(canvas_at(c, i, k), canvas_at(t->shown, i, k)))
				put_cell(t, i, k, canvas_at(c, i, k));
	canvas_free(t->shown);
	t->shown = c;	/* the next frame is drawn as a difference to this one */
	move(row, col);
	refresh_undisturbed();
}

void ui_term_redraw(struct ui_term *t)
{
	reset_prog_mode();	/* a stop without a word (SIGSTOP) left the modes to the shell */
	canvas_free(t->shown);
	t->shown = NULL;
	clearok(curscr, TRUE);
}
