/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cheapest bytes for a place, a look, a character. */
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <wchar.h>

#include "base/text.h"
#include "ui/term.h"
#include "ui/term_private.h"
#include "ui/pen.h"

const struct look pen_plain = { -1, -1, false, false, false, false };

struct pen pen_new(struct buf *out)
{
	return (struct pen){ .out = out, .row = -1, .look = pen_plain };
}

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
const char *pen_numbers(char out[PEN_TEXT], const char *capability, int first, int second)
{
	const char *s = capability;
	size_t used = 0;
	int up = 0;

	while (*s != '\0' && used + 12 < PEN_TEXT) {
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
	return step != NULL && n > 0 && strlen(step) * (size_t)n < PEN_TEXT / 2;
}

static void set_way(char *way, const char *made)
{
	way[0] = '\0';
	if (made != NULL && strlen(made) < PEN_TEXT / 2)
		strcpy(way, made);
}

/* To another row of the same column; "" where there is no such way. */
static void way_down(char *best, int from, int to)
{
	char other[PEN_TEXT], made[PEN_TEXT];

	best[0] = '\0';
	/* a newline goes straight down: the terminal is in nonl() */
	if (fits(cursor_down, to - from))
		add_times(best, cursor_down, to - from);
	set_way(other, row_address == NULL ? NULL : pen_numbers(made, row_address, to, 0));
	keep_shorter(best, other);
}

static void way_along(char *best, int from, int to)
{
	char other[PEN_TEXT], made[PEN_TEXT];

	best[0] = '\0';
	if (fits(cursor_left, from - to))
		add_times(best, cursor_left, from - to);
	if (fits(cursor_right, to - from))
		add_times(best, cursor_right, to - from);
	set_way(other, column_address == NULL ? NULL : pen_numbers(made, column_address, to, 0));
	keep_shorter(best, other);
	set_way(other, to < from || parm_right_cursor == NULL ? NULL :
		pen_numbers(made, parm_right_cursor, to - from, 0));
	keep_shorter(best, other);
}

void pen_go(struct pen *p, int row, int col)
{
	char best[PEN_TEXT];
	char made[PEN_TEXT];
	char down[PEN_TEXT] = "";
	char along[PEN_TEXT] = "";

	if (p->row == row && p->col == col)
		return;
	set_way(best, pen_numbers(made, cursor_address, row, col));
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
	pen_put(p, best);
	p->row = row;
	p->col = col;
}

/* ---- looks ---- */

/* The numbers of "\033[1;2m" and where they end; NULL where it is something else. */
static const char *rendition(const char *text, size_t *n)
{
	if (strncmp(text, "\033[", 2) != 0)
		return NULL;
	*n = strspn(text + 2, "0123456789;:");
	return strcmp(text + 2 + *n, "m") == 0 ? text + 2 : NULL;
}

/*
 * A capability that changes the look.  Renditions one behind another go as one (ECMA-48,
 * SGR), and the one that ends all need not choose a set of characters, which is never left.
 */
static void put_look(struct pen *p, const char *text)
{
	const char *numbers;
	size_t n;

	if (text == NULL)
		return;
	if (strncmp(text, "\033(B\033[", 5) == 0)
		text += 3;
	numbers = rendition(text, &n);
	if (numbers == NULL) {
		pen_put(p, text);
		p->look_end = 0;
		return;
	}
	if (p->look_end > 0 && p->look_end == p->out->len) {
		p->out->len--;		/* the m */
		buf_putc(p->out, ';');
		text = numbers;
	}
	buf_puts(p->out, text);
	p->look_end = p->out->len;
}

static void put_if(struct pen *p, bool wanted, const char *capability)
{
	if (wanted)
		put_look(p, capability);
}

void pen_look(struct pen *p, struct look l)
{
	struct look *is = &p->look;

	if ((is->bold && !l.bold) || (is->dim && !l.dim) || (is->underline && !l.underline) ||
	    (is->reverse && !l.reverse) || (is->fg >= 0 && l.fg < 0) || (is->bg >= 0 && l.bg < 0)) {
		put_look(p, exit_attribute_mode);
		*is = pen_plain;
	}
	put_if(p, l.bold && !is->bold, enter_bold_mode);
	put_if(p, l.dim && !is->dim, enter_dim_mode);
	put_if(p, l.underline && !is->underline, enter_underline_mode);
	put_if(p, l.reverse && !is->reverse, enter_reverse_mode);
	if (l.fg != is->fg)
		put_look(p, tiparm(set_a_foreground, l.fg));
	if (l.bg != is->bg && set_a_background != NULL)
		put_look(p, tiparm(set_a_background, l.bg));
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
