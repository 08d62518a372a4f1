/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Writing what changed of a picture with few bytes, as over a slow line: curses goes row by
 * row and changes colours and places as it comes; here a picture that moved to the side is
 * moved by the terminal, and the rest goes colour by colour.  Curses is told after each of
 * it (in curscr, what it takes to be on the screen), so that it finds nothing left to do and
 * can still draw all of it again at any moment.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "draw/slide.h"
#include "ui/term.h"
#include "ui/term_private.h"
#include "ui/pen.h"

#define ERASE_CELLS 12		/* from so many blanks on they are erased and not written */

struct painter {
	const struct ui_term *t;
	const struct canvas *canvas;	/* what is to be on the screen in the end */
	struct pen pen;
};

/* Changed cells beside each other that go in one look. */
struct stroke {
	int row;
	int col;
	int n;
	struct look look;
};

struct strokes {
	struct stroke *list;
	size_t count;
	size_t cap;
};

bool ui_paint_can(const struct ui_term *t)
{
	return cursor_address != NULL && save_cursor != NULL && restore_cursor != NULL &&
		exit_attribute_mode != NULL && magic_cookie_glitch <= 0 &&
		(t->depth == THEME_MONO || set_a_foreground != NULL);
}

/* ---- looks ---- */

/* Can the terminal have the attribute (by its bit in terminfo) beside colours? */
static bool has_with_colours(const struct ui_term *t, int bit)
{
	return t->depth == THEME_MONO || no_color_video < 0 || (no_color_video & bit) == 0;
}

static struct look look_of(const struct ui_term *t, struct cell cell)
{
	struct look l = theme_look(t->depth, (enum style)cell.style, cell.flags);

	l.underline = l.underline && has_with_colours(t, 2);
	l.reverse = l.reverse && has_with_colours(t, 4);
	l.dim = l.dim && has_with_colours(t, 16);
	l.bold = l.bold && has_with_colours(t, 32);
	return l;
}

/* Looks one after another in this order take the fewest bytes: what is on stays on. */
static unsigned rank(struct look l)
{
	return (unsigned)l.reverse << 27 | (unsigned)l.underline << 26 | (unsigned)l.bold << 25 |
		(unsigned)l.dim << 24 | (unsigned)(l.bg + 1) << 12 | (unsigned)(l.fg + 1);
}

static bool same_look(struct look a, struct look b)
{
	return rank(a) == rank(b);
}

/* Is a blank of this look as one of any other such look? */
static bool hides_blanks(struct look l)
{
	return l.bg < 0 && !l.reverse && !l.underline;
}

/* ---- characters ---- */

static int blanks_from(const struct painter *p, const struct stroke *s, int at)
{
	int n = 0;

	while (at + n < s->n && canvas_at(p->canvas, s->row, s->col + at + n).ch == ' ')
		n++;
	return n;
}

static void put_stroke(struct painter *p, const struct stroke *s)
{
	char made[PEN_TEXT];
	int i;

	pen_look(&p->pen, s->look);
	pen_go(&p->pen, s->row, s->col);
	for (i = 0; i < s->n; i++) {
		const uint32_t ch = canvas_at(p->canvas, s->row, s->col + i).ch;
		const int blanks = hides_blanks(s->look) ? blanks_from(p, s, i) : 0;

		if (ch == 0)	/* the right half of a wide character */
			continue;
		if (blanks >= ERASE_CELLS && erase_chars != NULL) {
			pen_put(&p->pen, pen_numbers(made, erase_chars, blanks, 0));
			i += blanks - 1;
			if (i + 1 < s->n)
				pen_go(&p->pen, s->row, s->col + i + 1);
			continue;
		}
		pen_char(&p->pen, ch);
	}
	if (p->pen.col >= canvas_cols(p->canvas))	/* it waits at the margin, or is on the next row */
		p->pen.row = -1;
}

/* ---- what changed ---- */

static bool same(struct cell a, struct cell b)
{
	return a.ch == b.ch && a.style == b.style && a.flags == b.flags;
}

/* The last cell of the screen: written, it may scroll. It is left to curses. */
static bool is_corner(const struct canvas *c, int row, int col)
{
	return row + 1 == canvas_rows(c) && col + 2 >= canvas_cols(c);
}

static void tell_cell(const struct painter *p, int row, int col, struct cell cell)
{
	const cchar_t c = ui_cell(p->t, cell);

	mvwadd_wch(curscr, row, col, &c);
}

/* Appends the cell to the stroke, or begins one with it. */
static void add_cell(struct painter *p, struct strokes *out, bool go_on, int row, int col,
		     struct cell cell)
{
	struct look look = look_of(p->t, cell);
	const bool unseen = cell.ch == ' ' && hides_blanks(look);
	struct stroke *s = out->count > 0 ? &out->list[out->count - 1] : NULL;

	if (unseen)
		look = pen_plain;
	if (go_on && same_look(s->look, pen_plain) && hides_blanks(look) && blanks_from(p, s, 0) == s->n)
		s->look = look;		/* so far only blanks, which go in any look */
	if (go_on && (same_look(s->look, look) || (unseen && hides_blanks(s->look)))) {
		s->n++;
		return;
	}
	mem_grow(&out->list, &out->cap, out->count + 1, sizeof *out->list);
	out->list[out->count++] = (struct stroke){ row, col, 1, look };
}

static void find_strokes(struct painter *p, const struct slide *slide, const struct canvas *before,
			 struct strokes *out)
{
	int row, col;

	for (row = 0; row < canvas_rows(p->canvas); row++) {
		bool go_on = false;

		for (col = 0; col < canvas_cols(p->canvas); col++) {
			const struct cell cell = canvas_at(p->canvas, row, col);
			const bool half = cell.ch == 0;

			if (half && go_on) {
				out->list[out->count - 1].n++;
			} else if (half || is_corner(p->canvas, row, col) ||
				   same(cell, slide_at(slide, before, row, col))) {
				go_on = false;
			} else {
				add_cell(p, out, go_on, row, col, cell);
				tell_cell(p, row, col, cell);
				go_on = true;
			}
		}
	}
}

/* By looks, then as one reads. */
static int in_order(const void *x, const void *y)
{
	const struct stroke *a = x;
	const struct stroke *b = y;

	if (!same_look(a->look, b->look))
		return rank(a->look) < rank(b->look) ? -1 : 1;
	if (a->row != b->row)
		return a->row < b->row ? -1 : 1;
	return a->col - b->col;
}

/* ---- sliding ---- */

/* Once, where "many" would do it n times: ECMA-48 takes a parameter left out for 1. */
static const char *once(const char *many, char out[PEN_TEXT])
{
	const size_t n = strlen(many);

	if (n != 4 || strncmp(many, "\033[1", 3) != 0)
		return many;
	sprintf(out, "\033[%c", many[3]);
	return out;
}

/* n cells go out of a row, or blanks come in. */
static void shift(struct painter *p, int row, int col, const char *capability, int n)
{
	char text[PEN_TEXT];

	pen_go(&p->pen, row, col);
	pen_put(&p->pen, once(tiparm(capability, n), text));
}

static void tell_slide(const struct slide *s, int row, int n)
{
	int i;

	for (i = 0; i < n; i++)
		mvwdelch(curscr, row, slide_delete_at(s));
	for (i = 0; i < n; i++)
		mvwinsch(curscr, row, slide_insert_at(s), ' ');
}

static void slide(struct painter *p, const struct canvas *before, struct slide *s)
{
	const int rows = canvas_rows(p->canvas);
	int row, n;

	slide_find(s, before, p->canvas);
	if (parm_dch == NULL || parm_ich == NULL)
		s->by = 0;
	n = s->by < 0 ? -s->by : s->by;
	for (row = 0; n > 0 && row < rows; row++)
		if (s->rows[row].out) {
			shift(p, row, slide_delete_at(s), parm_dch, n);
			tell_slide(s, row, n);
		}
	for (row = 0; n > 0 && row < rows; row++)
		if (s->rows[row].out && s->rows[row].in)
			shift(p, row, slide_insert_at(s), parm_ich, n);
}

static bool corner_changed(const struct canvas *before, const struct canvas *after)
{
	const int row = canvas_rows(after) - 1;
	const int col = canvas_cols(after) - 2;

	return !same(canvas_at(before, row, col), canvas_at(after, row, col)) ||
		!same(canvas_at(before, row, col + 1), canvas_at(after, row, col + 1));
}

void ui_paint(const struct ui_term *t, const struct canvas *before, const struct canvas *after,
	      struct buf *out)
{
	struct painter p = { t, after, pen_new(out) };
	struct strokes strokes = { NULL, 0, 0 };
	struct slide s;
	int y, x;
	size_t i;

	getyx(curscr, y, x);
	pen_put(&p.pen, save_cursor);
	slide(&p, before, &s);
	find_strokes(&p, &s, before, &strokes);
	if (strokes.count > 0)
		qsort(strokes.list, strokes.count, sizeof *strokes.list, in_order);
	for (i = 0; i < strokes.count; i++)
		put_stroke(&p, &strokes.list[i]);
	pen_look(&p.pen, pen_plain);
	pen_put(&p.pen, restore_cursor);
	wmove(curscr, y, x);
	/*
	 * Nothing is left to curses, and it is not to look: it would take lines for moved by
	 * what it remembers of the last ones that it wrote itself, and scroll.
	 */
	untouchwin(newscr);
	if (canvas_rows(after) > 0 && canvas_cols(after) > 1)
		wtouchln(newscr, canvas_rows(after) - 1, 1, corner_changed(before, after));
	slide_release(&s);
	free(strokes.list);
}
