/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Places, looks and characters as bytes for the terminal, few of them. */
#include "ui/pen.h"

#include <limits.h>
#include <string.h>
#include <wchar.h>

#include "base/text.h"
#include "ui/term_private.h"

#define PLACE_TEXT 64		/* room for the ways to a place */

/* A capability, without the pauses ("$<5>") that no terminal of today needs. */
void pen_put(struct pen *p, const char *text)
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

static void try_many(char *best, const char *capability, int n)
{
	char other[PLACE_TEXT], made[PLACE_TEXT];

	set_way(other, n <= 0 || capability == NULL ? NULL : with_numbers(made, capability, n, 0));
	keep_shorter(best, other);
}

/* What moves the cursor along one direction; NULL for what the terminal lacks. */
struct means {
	const char *back, *forth;		/* by one */
	const char *many_back, *many_forth;
	const char *straight;			/* to a row or a column by number */
};

/* The shortest way from a row, or column, to another; "" where there is none. */
static void find_way(char *best, const struct means *m, int from, int to)
{
	char other[PLACE_TEXT], made[PLACE_TEXT];

	best[0] = '\0';
	if (fits(m->forth, to - from))
		add_times(best, m->forth, to - from);
	if (fits(m->back, from - to))
		add_times(best, m->back, from - to);
	try_many(best, m->many_forth, to - from);
	try_many(best, m->many_back, from - to);
	set_way(other, m->straight == NULL ? NULL : with_numbers(made, m->straight, to, 0));
	keep_shorter(best, other);
}

void pen_go(struct pen *p, int row, int col)
{
	/* a newline goes straight down: the terminal is in nonl() */
	const struct means rows = { cursor_up, cursor_down, parm_up_cursor, parm_down_cursor,
				    row_address };
	const struct means cols = { cursor_left, cursor_right, parm_left_cursor,
				    parm_right_cursor, column_address };
	char best[PLACE_TEXT], made[PLACE_TEXT];
	char down[PLACE_TEXT] = "";
	char along[PLACE_TEXT] = "";

	if (p->row == row && p->col == col)
		return;
	set_way(best, with_numbers(made, cursor_address, row, col));
	if (p->row >= 0) {
		if (row != p->row)
			find_way(down, &rows, p->row, row);
		if (col != p->col)
			find_way(along, &cols, p->col, col);
		if ((row == p->row || down[0] != '\0') && (col == p->col || along[0] != '\0') &&
		    strlen(down) + strlen(along) < strlen(best)) {
			strcpy(best, down);
			strcat(best, along);
		}
	}
	pen_put(p, best);
	p->row = row;
	p->col = col;
}

/* ---- looks ---- */

const struct look pen_plain = { -1, -1, false, false, false, false };

/* Can the terminal have the attribute (by its bit in terminfo) beside colours? */
static bool has_with_colours(const struct ui_term *t, int bit)
{
	return t->depth == THEME_MONO || no_color_video < 0 || (no_color_video & bit) == 0;
}

struct look pen_look_of(const struct ui_term *t, struct cell cell)
{
	struct look l = theme_look(t->depth, (enum style)cell.style, cell.flags);

	l.underline = l.underline && has_with_colours(t, 2);
	l.reverse = l.reverse && has_with_colours(t, 4);
	l.dim = l.dim && has_with_colours(t, 16);
	l.bold = l.bold && has_with_colours(t, 32);
	return l;
}

/* Looks one after another in this order take the fewest bytes: what is on stays on. */
unsigned pen_rank(struct look l, bool grounds_early)
{
	const bool is_plain = l.bg < 0 && l.fg < 0;
	const unsigned ground = !grounds_early ? (unsigned)(l.bg + 1) :
		is_plain ? 0 : 4095 - (unsigned)(l.bg + 1);

	return (unsigned)l.reverse << 27 | (unsigned)l.underline << 26 | (unsigned)l.bold << 25 |
		(unsigned)l.dim << 24 | ground << 12 | (unsigned)(l.fg + 1);
}

bool pen_same_look(struct look a, struct look b)
{
	return pen_rank(a, false) == pen_rank(b, false);
}

/* Is a blank of this look as one of any other such look? */
bool pen_hides_blanks(struct look l)
{
	return l.bg < 0 && !l.reverse && !l.underline;
}

/* Is it "ESC [ numbers m", and nothing more? */
static bool is_sgr(const char *text)
{
	return strncmp(text, "\033[", 2) == 0 &&
		strcmp(text + 2 + strspn(text + 2, "0123456789;"), "m") == 0;
}

/*
 * Of what ends all attributes only that: it may choose a character set too, which nothing
 * here ever leaves.
 */
static const char *without_charset(const char *text)
{
	return strstr(text, "\033[m") != NULL ? "\033[m" :
		strstr(text, "\033[0m") != NULL ? "\033[0m" : text;
}

/* One sequence after another; SGR sequences (ECMA-48) become one. */
static void put_look(struct pen *p, const char *capability, bool wanted)
{
	if (!wanted || capability == NULL)
		return;
	if (!is_sgr(capability)) {
		pen_put(p, capability);
	} else if (p->sgr_end == 0 || p->sgr_end != p->out->len) {
		buf_puts(p->out, capability);
		p->sgr_end = p->out->len;
	} else {
		p->out->len--;
		if (p->out->data[p->out->len - 1] == '[')
			buf_putc(p->out, '0');
		buf_putc(p->out, ';');
		buf_puts(p->out, capability + 2);
		p->sgr_end = p->out->len;
	}
}

void pen_look(struct pen *p, struct look l)
{
	struct look *is = &p->look;

	if ((is->bold && !l.bold) || (is->dim && !l.dim) || (is->underline && !l.underline) ||
	    (is->reverse && !l.reverse) || (is->fg >= 0 && l.fg < 0) || (is->bg >= 0 && l.bg < 0)) {
		put_look(p, without_charset(exit_attribute_mode), true);
		*is = pen_plain;
	}
	put_look(p, enter_bold_mode, l.bold && !is->bold);
	put_look(p, enter_dim_mode, l.dim && !is->dim);
	put_look(p, enter_underline_mode, l.underline && !is->underline);
	put_look(p, enter_reverse_mode, l.reverse && !is->reverse);
	if (l.fg != is->fg)
		put_look(p, tiparm(set_a_foreground, l.fg), true);
	if (l.bg != is->bg && set_a_background != NULL)
		put_look(p, tiparm(set_a_background, l.bg), true);
	*is = l;
}

/* ---- characters ---- */

void pen_char(struct pen *p, uint32_t ch)
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

/* ---- shifting ---- */

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
void pen_shift(struct pen *p, int row, int col, const char *capability, int n)
{
	char text[PLACE_TEXT];

	pen_go(p, row, col);
	pen_put(p, once(tiparm(capability, n), text));
}
