/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Writing what changed of a picture with few bytes, as over a slow line: curses goes row by
 * row and changes colours and places as it comes; here a picture that moved to the side is
 * moved by the terminal, and the rest goes colour by colour.  Curses is told after each of
 * it (in curscr, what it takes to be on the screen), so that it finds nothing left to do and
 * can still draw all of it again at any moment.
 */
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "draw/route.h"
#include "draw/slide.h"
#include "ui/pen.h"
#include "ui/term.h"
#include "ui/term_private.h"

#define BYTES_ALONG 4		/* past some cells that stay, by a sequence */
#define MOST_SOUGHT 200		/* strokes of a frame that a short way is sought for: more is much new */

/* What is to be painted. */
struct paint {
	struct pen pen;
	const struct canvas *canvas;	/* what is to be on the screen in the end */
};

/* Cells beside each other that go in one look. */
struct stroke {
	struct stop at;
	struct look look;
	bool unseen;		/* only blanks, which go in any look that hides them */
};

struct strokes {
	struct stroke *list;
	size_t count;
	size_t cap;
};

bool ui_paint_can(const struct ui_term *t)
{
	return cursor_address != NULL && exit_attribute_mode != NULL && magic_cookie_glitch <= 0 &&
		(t->depth == THEME_MONO || set_a_foreground != NULL);
}

static struct cell cell_of(const struct paint *p, const struct stop *s, int i)
{
	return canvas_at(p->canvas, s->row, s->col + i);
}

static int blanks_from(const struct paint *p, const struct stop *s, int at)
{
	int n = 0;

	while (at + n < s->n && cell_of(p, s, at + n).ch == ' ')
		n++;
	return n;
}

/* Erases blanks where that is shorter than to write them; false: it is not. */
static bool erase_blanks(struct pen *p, const struct stop *s, int i, int blanks)
{
	/* a sequence is hardly shorter than BYTES_ALONG, and tiparm() takes its time */
	const char *text = erase_chars == NULL || blanks <= BYTES_ALONG ? NULL :
		tiparm(erase_chars, blanks);
	const int past = i + blanks < s->n ? BYTES_ALONG : 0;

	if (text == NULL || (int)strlen(text) + past >= blanks)
		return false;
	pen_put(p, text);
	if (past > 0)
		pen_go(p, s->row, s->col + i + blanks);
	return true;
}

static void put_stroke(struct paint *p, const struct stroke *stroke)
{
	const struct stop *s = &stroke->at;
	int i;

	pen_look(&p->pen, stroke->look);
	pen_go(&p->pen, s->row, s->col);
	for (i = 0; i < s->n; i++) {
		const struct cell cell = cell_of(p, s, i);
		const int blanks = pen_hides_blanks(stroke->look) ? blanks_from(p, s, i) : 0;

		if (erase_blanks(&p->pen, s, i, blanks))
			i += blanks - 1;
		else if (cell.ch != 0)	/* else the right half of a wide character */
			pen_char(&p->pen, cell.ch);
	}
	/* it waits at the margin, or is on the next row */
	if (p->pen.col >= canvas_cols(p->canvas))
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

static void tell_cell(const struct paint *p, int row, int col, struct cell cell)
{
	const cchar_t c = ui_cell(p->pen.t, cell);

	mvwadd_wch(curscr, row, col, &c);
}

/* A blank that any look without a ground or line of its own may write. */
static bool is_unseen(const struct paint *p, struct cell cell)
{
	return cell.ch == ' ' && pen_hides_blanks(pen_look_of(p->pen.t, cell));
}

/* Can a cell be written in a look that others have? */
static bool goes_in(const struct paint *p, struct cell cell, struct look look)
{
	return is_unseen(p, cell) ? pen_hides_blanks(look) :
		pen_same_look(pen_look_of(p->pen.t, cell), look);
}

/*
 * Cells that stay, between the stroke and a cell of the same row that goes in this look: are
 * they shorter to write again than to go past?
 */
static bool spans(const struct paint *p, const struct stroke *s, int col, struct look look)
{
	const int gap = col - s->at.col - s->at.n;
	int i;

	if (gap >= BYTES_ALONG)
		return false;
	for (i = 0; i < gap; i++) {
		const struct cell cell = cell_of(p, &s->at, s->at.n + i);

		if (cell.ch == 0 || cell.ch > '~' || !goes_in(p, cell, look))
			return false;
	}
	return gap < (gap == 1 ? 3 : BYTES_ALONG);
}

/* Appends the cell to the last stroke, or begins one with it. */
static void add_cell(struct paint *p, struct strokes *out, int row, int col, struct cell cell)
{
	struct stroke *s = out->count > 0 ? &out->list[out->count - 1] : NULL;
	const bool unseen = is_unseen(p, cell);
	const struct look look = pen_look_of(p->pen.t, cell);

	if (s != NULL && s->at.row == row) {
		const struct look joined = unseen ? s->look : look;

		if (((s->unseen && pen_hides_blanks(joined)) || goes_in(p, cell, s->look)) &&
		    spans(p, s, col, joined)) {
			s->look = joined;
			s->unseen = s->unseen && unseen && s->at.col + s->at.n == col;
			s->at.n = col + 1 - s->at.col;
			return;
		}
	}
	mem_grow(&out->list, &out->cap, out->count + 1, sizeof *out->list);
	out->list[out->count++] = (struct stroke){
		{ row, col, 1 }, unseen ? pen_plain : look, unseen
	};
}

static void find_strokes(struct paint *p, const struct slide *slide, const struct canvas *before,
			 struct strokes *out)
{
	int row, col;

	for (row = 0; row < canvas_rows(p->canvas); row++) {
		bool wide = false;

		for (col = 0; col < canvas_cols(p->canvas); col++) {
			const struct cell cell = canvas_at(p->canvas, row, col);
			const bool half = cell.ch == 0;

			if (half && wide)
				out->list[out->count - 1].at.n++;
			wide = !half && !is_corner(p->canvas, row, col) &&
				!same(cell, slide_at(slide, before, row, col));
			if (!wide)
				continue;
			add_cell(p, out, row, col, cell);
			tell_cell(p, row, col, cell);
		}
	}
}

/* By looks, then as one reads. */
static int by_rank(const struct stroke *a, const struct stroke *b, bool grounds_early)
{
	const unsigned x = pen_rank(a->look, grounds_early);
	const unsigned y = pen_rank(b->look, grounds_early);

	if (x != y)
		return x < y ? -1 : 1;
	if (a->at.row != b->at.row)
		return a->at.row < b->at.row ? -1 : 1;
	return a->at.col - b->at.col;
}

static int grounds_late(const void *a, const void *b)
{
	return by_rank(a, b, false);
}

static int grounds_early(const void *a, const void *b)
{
	return by_rank(a, b, true);
}

/* Strokes of one look, on a short way that ends near to where it goes on. */
static void put_strokes(struct paint *p, const struct stroke *strokes, size_t n,
			const struct stop *to)
{
	const struct route_means means = {
		row_address != NULL, column_address != NULL,
		parm_down_cursor != NULL && parm_right_cursor != NULL,
	};
	const struct stop from = { p->pen.row, p->pen.col, 0 };
	struct stop *stops = mem_array(n, sizeof *stops);
	size_t *order = mem_array(n, sizeof *order);
	size_t i;

	for (i = 0; i < n; i++)
		stops[i] = strokes[i].at;
	route_find(&means, &from, to, stops, n, order);
	for (i = 0; i < n; i++)
		put_stroke(p, &strokes[order[i]]);
	free(order);
	free(stops);
}

static void put_as_they_are(struct paint *p, const struct stroke *strokes, size_t n)
{
	size_t i;

	for (i = 0; i < n; i++)
		put_stroke(p, &strokes[i]);
}

/* In an order of looks; the pen ends where it is to. */
static void put_in_order(struct paint *p, struct strokes *s,
			 int (*order)(const void *, const void *), struct stop end)
{
	size_t i, n;

	if (s->count > 0)
		qsort(s->list, s->count, sizeof *s->list, order);
	for (i = 0; i < s->count; i += n) {
		n = 1;
		while (i + n < s->count && pen_same_look(s->list[i].look, s->list[i + n].look))
			n++;
		if (s->count > MOST_SOUGHT)
			put_as_they_are(p, &s->list[i], n);
		else
			put_strokes(p, &s->list[i], n, i + n < s->count ? &s->list[i + n].at : &end);
	}
	pen_look(&p->pen, pen_plain);
	pen_go(&p->pen, end.row, end.col);
}

static bool any_ground(const struct strokes *s)
{
	size_t i;

	for (i = 0; i < s->count; i++)
		if (s->list[i].look.bg >= 0)
			return true;
	return false;
}

/* In whichever order of looks is shorter. */
static void put_all(struct paint *p, struct strokes *s, struct stop end)
{
	struct buf other = BUF_INIT;
	const size_t before = p->pen.out->len;
	struct paint again = *p;

	put_in_order(p, s, grounds_late, end);
	if (!any_ground(s) || s->count > MOST_SOUGHT)
		return;
	again.pen.out = &other;
	again.pen.sgr_end = 0;
	put_in_order(&again, s, grounds_early, end);
	if (other.len < p->pen.out->len - before) {
		p->pen.out->len = before;
		buf_add(p->pen.out, buf_text(&other), other.len);
	}
	buf_release(&other);
}

/* ---- sliding ---- */

/* In what curses takes to be on the screen. */
static void tell_slide(const struct slide *s, int row)
{
	const int n = s->by < 0 ? -s->by : s->by;
	int i;

	for (i = 0; i < n && slide_delete_at(s, row) >= 0; i++)
		mvwdelch(curscr, row, slide_delete_at(s, row));
	for (i = 0; i < n && slide_insert_at(s, row) >= 0; i++)
		mvwinsch(curscr, row, slide_insert_at(s, row), ' ');
}

static void slide(struct paint *p, const struct canvas *before, struct slide *s)
{
	const int rows = canvas_rows(p->canvas);
	int row, n;

	slide_find(s, before, p->canvas);
	if (parm_dch == NULL || parm_ich == NULL)
		s->by = 0;
	n = s->by < 0 ? -s->by : s->by;
	for (row = 0; row < rows; row++) {
		if (slide_delete_at(s, row) >= 0)
			pen_shift(&p->pen, row, slide_delete_at(s, row), parm_dch, n);
		tell_slide(s, row);
	}
	for (row = 0; row < rows; row++)
		if (slide_insert_at(s, row) >= 0)
			pen_shift(&p->pen, row, slide_insert_at(s, row), parm_ich, n);
}

bool ui_paint_leaves(const struct canvas *before, const struct canvas *after)
{
	const int row = canvas_rows(after) - 1;
	const int col = canvas_cols(after) - 2;

	return !same(canvas_at(before, row, col), canvas_at(after, row, col)) ||
		!same(canvas_at(before, row, col + 1), canvas_at(after, row, col + 1));
}

void ui_paint(const struct ui_term *t, const struct canvas *before, const struct canvas *after,
	      struct spot from, struct spot to, struct buf *out)
{
	struct paint p = { { t, out, from.row, from.col, pen_plain, 0 }, after };
	struct strokes strokes = { NULL, 0, 0 };
	struct slide s;
	int y, x;

	getyx(curscr, y, x);
	slide(&p, before, &s);
	find_strokes(&p, &s, before, &strokes);
	put_all(&p, &strokes, (struct stop){ to.row, to.col, 0 });
	wmove(curscr, y, x);
	/*
	 * Nothing is left to curses, and it is not to look: it would take lines for moved by
	 * what it remembers of the last ones that it wrote itself, and scroll.
	 */
	untouchwin(newscr);
	if (canvas_rows(after) > 0 && canvas_cols(after) > 1)
		wtouchln(newscr, canvas_rows(after) - 1, 1, ui_paint_leaves(before, after));
	slide_release(&s);
	free(strokes.list);
}
