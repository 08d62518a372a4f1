/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Writing what changed of a picture with few bytes, as over a slow line: curses goes row by
 * row and changes colours and places as it comes; here a picture that moved to the side is
 * moved by the terminal, and the rest goes colour by colour.  Curses is told after each of
 * it (in curscr, what it takes to be on the screen), so that it finds nothing left to do and
 * can still draw all of it again at any moment.
 */
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <wchar.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/text.h"
#include "draw/slide.h"
#include "ui/term.h"
#include "ui/term_private.h"

#define ERASE_CELLS 12		/* from so many blanks on they are erased and not written */
#define PLACE_TEXT 64		/* room for the ways to a place */

/* Where the terminal's cursor is and how it writes. */
struct pen {
	const struct ui_term *t;
	const struct canvas *canvas;	/* what is to be on the screen in the end */
	struct buf *out;
	int row;		/* -1: not known */
	int col;
	struct look look;
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

/* A capability, without the pauses ("$<5>") that no terminal of today needs. */
static void put(struct pen *p, const char *text)
{
	while (text != NULL && *text != '\0') {
		const char *pause = strstr(text, "$<");
		const char *end = pause == NULL ? NULL : strchr(pause, '>');

		if (end == NULL) {
			buf_puts(p->out, text);
			return;
		}
		buf_add(p->out, text, (size_t)(pause - text));
		text = end + 1;
	}
}

/* Appends a number, not below 0. */
static size_t add_number(char *out, size_t used, int n)
{
	char digits[12];
	size_t count = 0;

	do {
		digits[count++] = (char)('0' + n % 10);
		n /= 10;
	} while (n > 0);
	while (count > 0)
		out[used++] = digits[--count];
	return used;
}

/*
 * What tiparm() makes of a capability and one or two numbers, not below 0.  The few forms
 * that nearly all terminals have are made here, as it takes a thousand steps for them.
 */
static const char *with_numbers(char out[PLACE_TEXT], const char *capability, int first, int second)
{
	const char *s = capability;
	size_t used = 0;
	int up = 0;

	while (*s != '\0' && used + 12 < PLACE_TEXT) {
		if (*s != '%') {
			out[used++] = *s++;
		} else if (s[1] == 'i') {
			up = 1;
			s += 2;
		} else if (strncmp(s, "%p1%d", 5) == 0 || strncmp(s, "%p2%d", 5) == 0) {
			used = add_number(out, used, (s[2] == '1' ? first : second) + up);
			s += 5;
		} else {
			break;
		}
	}
	out[used] = '\0';
	return *s == '\0' ? out : tiparm(capability, first, second);
}

/* ---- the way to a place ---- */

static void add_times(char *way, const char *step, int n)
{
	while (n-- > 0)
		strcat(way, step);
}

/* The shorter of two, where the other is not empty for want of a capability. */
static void keep_shorter(char *best, const char *other)
{
	if (other[0] != '\0' && (best[0] == '\0' || strlen(other) < strlen(best)))
		strcpy(best, other);
}

static bool fits(const char *step, int n)
{
	return step != NULL && n > 0 && strlen(step) * (size_t)n < PLACE_TEXT / 2;
}

static void set_way(char *way, const char *made)
{
	way[0] = '\0';
	if (made != NULL && strlen(made) < PLACE_TEXT / 2)
		strcpy(way, made);
}

/* To another row of the same column; "" where there is no such way. */
static void way_down(char *best, int from, int to)
{
	char other[PLACE_TEXT], made[PLACE_TEXT];

	best[0] = '\0';
	/* a newline goes straight down: the terminal is in nonl() */
	if (fits(cursor_down, to - from))
		add_times(best, cursor_down, to - from);
	set_way(other, row_address == NULL ? NULL : with_numbers(made, row_address, to, 0));
	keep_shorter(best, other);
}

static void way_along(char *best, int from, int to)
{
	char other[PLACE_TEXT], made[PLACE_TEXT];

	best[0] = '\0';
	if (fits(cursor_left, from - to))
		add_times(best, cursor_left, from - to);
	if (fits(cursor_right, to - from))
		add_times(best, cursor_right, to - from);
	set_way(other, column_address == NULL ? NULL : with_numbers(made, column_address, to, 0));
	keep_shorter(best, other);
	set_way(other, to < from || parm_right_cursor == NULL ? NULL :
		with_numbers(made, parm_right_cursor, to - from, 0));
	keep_shorter(best, other);
}

static void go_to(struct pen *p, int row, int col)
{
	char best[PLACE_TEXT];
	char made[PLACE_TEXT];
	char down[PLACE_TEXT] = "";
	char along[PLACE_TEXT] = "";

	if (p->row == row && p->col == col)
		return;
	set_way(best, with_numbers(made, cursor_address, row, col));
	if (p->row >= 0) {
		if (row != p->row)
			way_down(down, p->row, row);
		if (col != p->col)
			way_along(along, p->col, col);
		if ((row == p->row || down[0] != '\0') && (col == p->col || along[0] != '\0') &&
		    strlen(down) + strlen(along) < strlen(best)) {
			strcpy(best, down);
			strcat(best, along);
		}
	}
	put(p, best);
	p->row = row;
	p->col = col;
}

/* ---- looks ---- */

static const struct look plain = { -1, -1, false, false, false, false };

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

static void put_if(struct pen *p, bool wanted, const char *capability)
{
	if (wanted)
		put(p, capability);
}

static void set_look(struct pen *p, struct look l)
{
	struct look *is = &p->look;

	if ((is->bold && !l.bold) || (is->dim && !l.dim) || (is->underline && !l.underline) ||
	    (is->reverse && !l.reverse) || (is->fg >= 0 && l.fg < 0) || (is->bg >= 0 && l.bg < 0)) {
		put(p, exit_attribute_mode);
		*is = plain;
	}
	put_if(p, l.bold && !is->bold, enter_bold_mode);
	put_if(p, l.dim && !is->dim, enter_dim_mode);
	put_if(p, l.underline && !is->underline, enter_underline_mode);
	put_if(p, l.reverse && !is->reverse, enter_reverse_mode);
	if (l.fg != is->fg)
		put(p, tiparm(set_a_foreground, l.fg));
	if (l.bg != is->bg && set_a_background != NULL)
		put(p, tiparm(set_a_background, l.bg));
	*is = l;
}

/* ---- characters ---- */

static void put_char(struct pen *p, uint32_t ch)
{
	char bytes[MB_LEN_MAX];
	mbstate_t state;
	size_t n;

	memset(&state, 0, sizeof state);
	n = wcrtomb(bytes, (wchar_t)ch, &state);
	if (n == (size_t)-1) {		/* not of this locale */
		bytes[0] = '?';
		n = 1;
	}
	buf_add(p->out, bytes, n);
	p->col += text_char_width(ch) > 1 ? 2 : 1;
}

static int blanks_from(const struct pen *p, const struct stroke *s, int at)
{
	int n = 0;

	while (at + n < s->n && canvas_at(p->canvas, s->row, s->col + at + n).ch == ' ')
		n++;
	return n;
}

static void put_stroke(struct pen *p, const struct stroke *s)
{
	char made[PLACE_TEXT];
	int i;

	set_look(p, s->look);
	go_to(p, s->row, s->col);
	for (i = 0; i < s->n; i++) {
		const uint32_t ch = canvas_at(p->canvas, s->row, s->col + i).ch;
		const int blanks = hides_blanks(s->look) ? blanks_from(p, s, i) : 0;

		if (ch == 0)	/* the right half of a wide character */
			continue;
		if (blanks >= ERASE_CELLS && erase_chars != NULL) {
			put(p, with_numbers(made, erase_chars, blanks, 0));
			i += blanks - 1;
			if (i + 1 < s->n)
				go_to(p, s->row, s->col + i + 1);
			continue;
		}
		put_char(p, ch);
	}
	if (p->col >= canvas_cols(p->canvas))	/* it waits at the margin, or is on the next row */
		p->row = -1;
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

static void tell_cell(const struct pen *p, int row, int col, struct cell cell)
{
	const cchar_t c = ui_cell(p->t, cell);

	mvwadd_wch(curscr, row, col, &c);
}

/* Appends the cell to the stroke, or begins one with it. */
static void add_cell(struct pen *p, struct strokes *out, bool go_on, int row, int col,
		     struct cell cell)
{
	struct look look = look_of(p->t, cell);
	const bool unseen = cell.ch == ' ' && hides_blanks(look);
	struct stroke *s = out->count > 0 ? &out->list[out->count - 1] : NULL;

	if (unseen)
		look = plain;
	if (go_on && same_look(s->look, plain) && hides_blanks(look) && blanks_from(p, s, 0) == s->n)
		s->look = look;		/* so far only blanks, which go in any look */
	if (go_on && (same_look(s->look, look) || (unseen && hides_blanks(s->look)))) {
		s->n++;
		return;
	}
	mem_grow(&out->list, &out->cap, out->count + 1, sizeof *out->list);
	out->list[out->count++] = (struct stroke){ row, col, 1, look };
}

static void find_strokes(struct pen *p, const struct slide *slide, const struct canvas *before,
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
static const char *once(const char *many, char out[PLACE_TEXT])
{
	const size_t n = strlen(many);

	if (n != 4 || strncmp(many, "\033[1", 3) != 0)
		return many;
	sprintf(out, "\033[%c", many[3]);
	return out;
}

/* n cells go out of a row, or blanks come in. */
static void shift(struct pen *p, int row, int col, const char *capability, int n)
{
	char text[PLACE_TEXT];

	go_to(p, row, col);
	put(p, once(tiparm(capability, n), text));
}

static void tell_slide(const struct slide *s, int row, int n)
{
	int i;

	for (i = 0; i < n; i++)
		mvwdelch(curscr, row, slide_delete_at(s));
	for (i = 0; i < n; i++)
		mvwinsch(curscr, row, slide_insert_at(s), ' ');
}

static void slide(struct pen *p, const struct canvas *before, struct slide *s)
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
	struct pen p = { t, after, out, -1, 0, plain };
	struct strokes strokes = { NULL, 0, 0 };
	struct slide s;
	int y, x;
	size_t i;

	getyx(curscr, y, x);
	put(&p, save_cursor);
	slide(&p, before, &s);
	find_strokes(&p, &s, before, &strokes);
	if (strokes.count > 0)
		qsort(strokes.list, strokes.count, sizeof *strokes.list, in_order);
	for (i = 0; i < strokes.count; i++)
		put_stroke(&p, &strokes.list[i]);
	set_look(&p, plain);
	put(&p, restore_cursor);
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
