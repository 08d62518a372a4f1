/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Random logs. */
#include "data/wild_log.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/num.h"

#define COLUMNS 12
#define LATE 9000		/* rows: more than are looked at for the dialect */

/* What stands in the cells of a column. */
enum kind {
	WHOLE,
	DECIMAL,	/* with as many decimals as the column has */
	ANY_DECIMAL,	/* with any */
	SIGNED,		/* around zero, -0.0 too */
	LONG,
	EXPONENT,
	PADDED,		/* blanks around it */
	PLUS,
	MISSING,	/* empty or a word for it, mostly */
	POLLED,
	WORD,
	SUFFIX,
	MIXED,		/* numbers and words */
	TIME_OF_DAY,
	DATE,
	EMPTY,
	LATE_CLOCK,	/* nothing for long, then times */
	EPOCH,
	GROUPED,	/* marks between thousands */
	ANY_DIGITS,	/* digits, a sign and a mark in any number and place */
	FIXED,		/* as many decimals as the column has, of any width, of both signs */
	ZEROS,		/* the same, with zeros before them */
	SMALL,		/* the same, around zero: -0.0, and gaps now and then */
	FIXED_LONG,	/* the same, of 7 to 16 digits */
	LATE_FIXED,	/* nothing for long, then the same */
	KINDS
};

struct wild {
	uint64_t state;
	struct buf *out;
	char separator;
	char decimal;
	const char *line_end;
	size_t columns;
	enum kind kinds[COLUMNS];
	int decimals[COLUMNS];
	unsigned odds;		/* one row in so many is none of the usual ones */
	unsigned stray;		/* one cell in so many is any word; 0: none */
	unsigned quoted;	/* one cell in so many is quoted; 0: none */
	bool odd_quotes;	/* some hold line ends or quotes */
	bool is_tame;		/* nothing but numbers, now and then something else */
	unsigned other_ends;	/* one row in so many ends in another way; 0: none */
	size_t unused;		/* names without cells */
	bool is_closed;		/* each row ends with a separator */
	size_t late;		/* from this row on the last column has fractions; 0: never */
};

/* xorshift64* (S. Vigna, 2016). */
static uint32_t draw(struct wild *w)
{
	w->state ^= w->state >> 12;
	w->state ^= w->state << 25;
	w->state ^= w->state >> 27;
	return (uint32_t)(w->state * UINT64_C(2685821657736338717) >> 32);
}

static bool one_in(struct wild *w, unsigned n)
{
	return n > 0 && draw(w) % n == 0;
}

static const char *any(struct wild *w, const char *const *words)
{
	size_t n = 0;

	while (words[n] != NULL)
		n++;
	return words[draw(w) % n];
}

static void put_number(struct wild *w, struct buf *cell, double v, int decimals)
{
	char text[NUM_TEXT];
	char *at;

	num_fixed(text, v, decimals);
	at = strchr(text, '.');
	if (at != NULL)
		*at = w->decimal;
	buf_puts(cell, text);
}

static void put_time(struct buf *cell, size_t row, int decimals)
{
	const size_t tenth = 863900 + row;
	char text[NUM_TEXT];

	buf_printf(cell, "%02zu:%02zu:", tenth / 36000 % 24, tenth / 600 % 60);
	num_fixed(text, (double)(tenth % 600) / 10.0, decimals);
	buf_printf(cell, "%s%s", strcspn(text, ".") < 2 ? "0" : "", text);
}

static void put_digits(struct wild *w, struct buf *cell, unsigned least, unsigned more)
{
	unsigned n = least + draw(w) % (more + 1);

	while (n-- > 0)
		buf_putc(cell, (char)('0' + draw(w) % 10));
}

/* Where a cell is, and the number that may be written there. */
struct spot {
	size_t column;
	size_t row;
	enum kind kind;
	int decimals;
	double v;
};

/* Digits one by one, where what is written counts and not the number. */
static void put_written(struct wild *w, struct buf *cell, const struct spot *at)
{
	const unsigned decimals = (unsigned)at->decimals;
	const unsigned most = draw(w) % 8;
	const enum kind kind = at->kind;

	if (kind == LATE_FIXED && at->row < 100)
		return;
	if (one_in(w, kind == SMALL ? 2 : 5))
		buf_putc(cell, '-');
	if (kind == ANY_DIGITS) {
		put_digits(w, cell, 0, 9);
		if (one_in(w, 2))
			buf_putc(cell, w->decimal);
		put_digits(w, cell, 0, 8);
		return;
	}
	if (kind == ZEROS)
		buf_pad(cell, '0', draw(w) % 6);
	if (kind == SMALL)
		buf_putc(cell, '0');
	else
		put_digits(w, cell, kind == FIXED_LONG ? 7 : 1, kind == FIXED_LONG ? 9 : most);
	if (decimals > 0) {
		buf_putc(cell, w->decimal);
		if (kind == SMALL && one_in(w, 2))
			buf_pad(cell, '0', decimals);
		else
			put_digits(w, cell, decimals, 0);
	}
}

/* What stands in a tame log where a number does not. */
static void put_surprise(struct wild *w, struct buf *cell)
{
	static const char *const words[] = { "", "", ".", "-", "-.", "5.", ".5", "-.5", "-5", "5",
					     "-0", "-0.0", "00", "1e3", "+1", "1-2", "--1", "1.2.3",
					     "1/2", " 7", "7 ", "1,5", "NaN", "x", "\xc2\xb0",
					     "123456789012345", "0.123456789", "2000000001",
					     "999999999.9", "12:34:56.7", "1:02", NULL };

	buf_puts(cell, any(w, words));
}

static void put_plain(struct wild *w, struct buf *cell, const struct spot *at)
{
	switch (at->kind) {
	case WHOLE:
		put_number(w, cell, at->v, 0);
		break;
	case ANY_DECIMAL:
		put_number(w, cell, at->v, (int)(draw(w) % 6));
		break;
	case SIGNED:
		buf_puts(cell, one_in(w, 2) ? "-" : "");
		put_number(w, cell, (double)(draw(w) % 4) / 2, 1);
		break;
	case LONG:
		put_number(w, cell, at->v * 1e9, (int)(draw(w) % 12));
		break;
	case EXPONENT:
		buf_printf(cell, "%ue-%u", draw(w) % 1000, draw(w) % 30);
		break;
	case PLUS:
		buf_putc(cell, '+');
		put_number(w, cell, fabs(at->v), at->decimals);
		break;
	case POLLED:
		if ((at->row + at->column) % 5 == 0)
			put_number(w, cell, at->v, at->decimals);
		break;
	case GROUPED:
		buf_printf(cell, "%u%c%03u", 1 + draw(w) % 99, w->decimal == ',' ? '.' : ',',
			   draw(w) % 1000);
		if (one_in(w, 2))
			buf_printf(cell, "%c5", w->decimal);
		break;
	default:
		put_number(w, cell, at->v, at->decimals);
	}
}

/* Words, and numbers with something beside them. */
static void put_words(struct wild *w, struct buf *cell, const struct spot *at)
{
	static const char *const words[] = { "on", "off", "state \xc3\xa9", "closed", "1.2.3",
					     "OK", NULL };
	static const char *const gaps[] = { "", "", "", "nan", "-", "n/a", "inf", " ", NULL };
	static const char *const units[] = { "kPa", " %", "\xc2\xb0" "C", "kPa", NULL };

	switch (at->kind) {
	case PADDED:
		buf_pad(cell, ' ', draw(w) % 3);
		put_number(w, cell, at->v, at->decimals);
		buf_pad(cell, ' ', draw(w) % 3);
		break;
	case MISSING:
		buf_puts(cell, any(w, gaps));
		if (one_in(w, 3)) {
			buf_clear(cell);
			put_number(w, cell, at->v, at->decimals);
		}
		break;
	case SUFFIX:
		put_number(w, cell, at->v, at->decimals);
		buf_puts(cell, one_in(w, 20) ? any(w, units) : "kPa");
		break;
	case MIXED:
		if (one_in(w, 2))
			buf_puts(cell, any(w, words));
		else
			put_number(w, cell, at->v, at->decimals);
		break;
	default:
		buf_puts(cell, any(w, words));
	}
}

static void put_clock(struct wild *w, struct buf *cell, const struct spot *at)
{
	if (at->kind == EPOCH)
		put_number(w, cell, 1923456789.0 + (double)at->row / 10, 3);
	else if (at->kind == TIME_OF_DAY)
		put_time(cell, at->row, 2);
	else if (at->kind == DATE) {
		buf_puts(cell, "2031-05-12T");
		put_time(cell, at->row, 3);
	} else if (at->row > 150) {
		put_time(cell, at->row, 1);
	}
}

static void put_nothing(struct wild *w, struct buf *cell, const struct spot *at)
{
	(void)w;
	(void)cell;
	(void)at;
}

static void put_cell(struct wild *w, struct buf *cell, size_t column, size_t row)
{
	static void (*const writers[KINDS])(struct wild *, struct buf *, const struct spot *) = {
		[PADDED] = put_words, [MISSING] = put_words, [WORD] = put_words,
		[SUFFIX] = put_words, [MIXED] = put_words,
		[TIME_OF_DAY] = put_clock, [DATE] = put_clock, [LATE_CLOCK] = put_clock,
		[EPOCH] = put_clock, [EMPTY] = put_nothing,
		[ANY_DIGITS] = put_written, [FIXED] = put_written, [ZEROS] = put_written,
		[SMALL] = put_written, [FIXED_LONG] = put_written, [LATE_FIXED] = put_written,
	};
	const enum kind kind = w->kinds[column];
	const double v = (double)(draw(w) % 20000) / 7.0 - (one_in(w, 3) ? 900 : 0);
	const struct spot at = { column, row, kind, w->decimals[column], v };

	(writers[kind] != NULL ? writers[kind] : put_plain)(w, cell, &at);
}

static void add_cell(struct wild *w, const struct buf *cell)
{
	if (!one_in(w, w->quoted)) {
		buf_add(w->out, buf_text(cell), cell->len);
		return;
	}
	buf_putc(w->out, '"');
	buf_add(w->out, buf_text(cell), cell->len);
	if (w->odd_quotes && one_in(w, 4))
		buf_puts(w->out, one_in(w, 2) ? "\n\"\"" : "\"\"");
	buf_putc(w->out, '"');
}

static void add_row(struct wild *w, size_t row, size_t cells)
{
	static const char *const other_ends[] = { "\n", "\r\n", "\r", NULL };
	struct buf cell = BUF_INIT;
	size_t i;

	for (i = 0; i < cells; i++) {
		buf_clear(&cell);
		if (i > 0)
			buf_putc(w->out, w->separator);
		if (i == 0 && w->kinds[0] == DECIMAL)
			put_number(w, &cell, (double)row / 20, 2);
		else if (one_in(w, w->stray) && w->is_tame)
			put_surprise(w, &cell);
		else if (one_in(w, w->stray))
			buf_puts(&cell, one_in(w, 2) ? "ERR" : "0x12");
		else
			put_cell(w, &cell, i % w->columns, row);
		add_cell(w, &cell);
	}
	if (w->is_closed)
		buf_putc(w->out, w->separator);
	if (one_in(w, w->other_ends))
		buf_puts(w->out, any(w, other_ends));
	else
		buf_puts(w->out, w->line_end);
	buf_release(&cell);
}

static void add_header(struct wild *w)
{
	static const char *const names[] = { "RPM", "MAP (kPa)", "Boost", "Lambda", "IAT", "Gear",
					     "State", "Note", "", "Throttle", "Speed", NULL };
	size_t i;

	buf_puts(w->out, "Time");
	for (i = 1; i < w->columns; i++)
		buf_printf(w->out, "%c%s", w->separator, names[(i + w->columns) % 11]);
	for (i = 0; i < w->unused; i++)
		buf_printf(w->out, "%cNothing %zu", w->separator, i);
	buf_puts(w->out, w->line_end);
}

/* A row of another kind than most. */
static void add_odd_row(struct wild *w, size_t row)
{
	static const char *const lines[] = { "", "", "   ", "# a remark", "// another", "%", "end",
					     "stopped by user", "a;b,c", "\x1a", "\"open", "-",
					     "\"\"", "#,1", NULL };
	const uint32_t what = draw(w) % 7;
	size_t i;

	if (what == 0) {
		add_header(w);
	} else if (what == 1) {
		for (i = 1; i < w->columns; i++)
			buf_putc(w->out, w->separator);
		buf_puts(w->out, w->line_end);
	} else if (what == 2) {
		add_row(w, row, 1 + draw(w) % (w->columns + 2));
	} else if (what == 3 && one_in(w, 4)) {
		buf_puts(w->out, one_in(w, 2) ? "\r" : "\n\r");
	} else if (what == 4 && one_in(w, 3)) {
		buf_add(w->out, "\0\0\xb0", 3);
	} else {
		buf_puts(w->out, any(w, lines));
		buf_puts(w->out, w->line_end);
	}
}

/* As UTF-16, of text that is nearly all ASCII: bytes become characters. */
static void to_utf16(struct buf *out, size_t from, bool low_first)
{
	const size_t n = out->len - from;
	size_t i;

	buf_pad(out, '\0', n);
	for (i = n; i-- > 0;) {
		out->data[from + 2 * i + (low_first ? 0 : 1)] = out->data[from + i];
		out->data[from + 2 * i + (low_first ? 1 : 0)] = '\0';
	}
}

static void choose(struct wild *w)
{
	static const char *const ends[] = { "\n", "\n", "\r\n", "\r\n", "\r", "\r\r\n", NULL };
	static const char separators[] = ",,,;;\t| ";
	size_t i;

	w->separator = separators[draw(w) % 8];
	w->decimal = w->separator != ',' && one_in(w, 2) ? ',' : '.';
	w->line_end = any(w, ends);
	w->columns = 2 + draw(w) % (COLUMNS - 1);
	w->odds = one_in(w, 3) ? 0 : 4 + draw(w) % 60;
	w->stray = one_in(w, 2) ? 0 : 8 + draw(w) % 200;
	w->quoted = one_in(w, 2) ? 0 : 1 + (one_in(w, 2) ? 0 : draw(w) % 400);
	w->odd_quotes = one_in(w, 2);
	for (i = 0; i < w->columns; i++) {
		w->decimals[i] = (int)(draw(w) % 4);
		w->kinds[i] = (enum kind)(one_in(w, 2) ? (uint32_t)DECIMAL : draw(w) % KINDS);
	}
	w->other_ends = one_in(w, 4) ? 1 + draw(w) % 50 : 0;
	w->unused = one_in(w, 6) ? 1 + draw(w) % 3 : 0;
	w->is_closed = one_in(w, 8);
	w->is_tame = one_in(w, 3);
	for (i = 1; i < w->columns && w->is_tame; i++) {
		w->decimals[i] = (int)(draw(w) % (one_in(w, 4) ? 10 : 4));
		w->kinds[i] = one_in(w, 10) ? POLLED
					    : (enum kind)(ANY_DIGITS + draw(w) % (KINDS - ANY_DIGITS));
	}
	if (w->is_tame) {
		w->kinds[0] = DECIMAL;
		w->odds = one_in(w, 2) ? 0 : 100 + draw(w) % 900;
		w->stray = one_in(w, 2) ? 0 : 10 + draw(w) % 3000;
		w->quoted = 0;
	}
	/* All whole numbers: the decimal mark stays open, perhaps until far down. */
	if (!one_in(w, 10))
		return;
	for (i = 0; i < w->columns; i++)
		w->kinds[i] = WHOLE;
	w->late = LATE + draw(w) % 300;
}

void wild_log(uint64_t seed, struct buf *out)
{
	struct wild w = { .state = seed * UINT64_C(0x9e3779b97f4a7c15) + 1, .out = out };
	const size_t from = out->len;
	size_t rows;
	size_t row;

	draw(&w);
	choose(&w);
	rows = draw(&w) % (one_in(&w, 4) ? 3000 : 400);
	if (w.late > 0 && one_in(&w, 2))
		rows = LATE + 400;
	if (one_in(&w, 4))
		buf_printf(out, "Logger 7%s#settings%s", w.line_end, w.line_end);
	if (!one_in(&w, 8))
		add_header(&w);
	for (row = 0; row < rows; row++) {
		if (row + 1 == w.late) {
			w.kinds[w.columns - 1] = ANY_DECIMAL;
			w.stray = 20;
		}
		if (one_in(&w, w.odds))
			add_odd_row(&w, row);
		add_row(&w, row, w.columns);
	}
	if (one_in(&w, 3) && out->len > from + 2)
		out->len -= 1 + draw(&w) % 2;
	if (one_in(&w, 10))
		buf_puts(out, "\x1a\x1a");
	if (one_in(&w, 10))
		to_utf16(out, from, one_in(&w, 2));
}
