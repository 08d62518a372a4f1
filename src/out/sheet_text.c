/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sheet as aligned text. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "base/text.h"
#include "out/sheet_private.h"

#define COLUMN_GAP 2
#define GROUP_GAP 3
#define NOTE_INDENT 4
#define LEAST_CUT 6		/* cells; a column is never cut below */
#define LEAST_RULE 4	/* blanks that a heading must leave to be ruled around */

/* The sheet's texts as they will be shown, and what they need. */
struct page {
	const struct sheet *s;
	char **names;		/* [columns] */
	char **cells;		/* [rows * columns] */
	char **groups;		/* [groups] */
	size_t *widths;		/* [columns] */
	const struct out_style *style;
	size_t width;
};

char *sheet_shorten(const char *text, size_t most)
{
	const size_t head = (most - 2) * 2 / 3;
	const size_t tail = most - 2 - head;
	const char *end = text;
	uint32_t cp;

	if (most < LEAST_CUT || text_width(text) <= most)
		return mem_strdup(text);
	while (text_width(end) > tail)
		end += text_decode(end, strlen(end), &cp);
	return mem_printf("%.*s..%s", (int)text_fit(text, head), text, end);
}

static char *shown(const char *text, const struct out_style *style)
{
	struct buf out = BUF_INIT;

	style_show(&out, text, style);
	buf_puts(&out, "");
	return buf_take(&out);
}

static char *cell_text(const struct sheet_cell *c, const struct out_style *style)
{
	char number[NUM_TEXT];

	switch (c->kind) {
	case CELL_TEXT:
		return shown(c->text, style);
	case CELL_NUMBER:
		return mem_strdup(num_fixed(number, c->number, c->decimals));
	case CELL_SIGNED:
		return mem_strdup(num_signed(number, c->number, c->decimals));
	case CELL_BLANK:
		break;
	}
	return mem_strdup("");
}

static size_t greater(size_t a, size_t b)
{
	return a > b ? a : b;
}

static void measure_column(struct page *p, size_t column)
{
	const struct sheet *s = p->s;
	size_t row;

	p->names[column] = shown(s->columns[column].name, p->style);
	p->widths[column] = text_width(p->names[column]);
	for (row = 0; row < s->row_count; row++) {
		const size_t i = row * s->column_count + column;

		p->cells[i] = cell_text(&s->cells[i], p->style);
		p->widths[column] = greater(p->widths[column], text_width(p->cells[i]));
	}
}

static size_t gap_before(const struct sheet *s, size_t column)
{
	return s->columns[column].group != s->columns[column - 1].group ? GROUP_GAP : COLUMN_GAP;
}

/* The first column after `from` that is not of its group. */
static size_t group_end(const struct sheet *s, size_t from)
{
	size_t end = from + 1;

	while (s->columns[from].group != 0 && end < s->column_count &&
	       s->columns[end].group == s->columns[from].group)
		end++;
	return end;
}

/* Cells that columns from .. to-1 take, gaps between them counted. */
static size_t group_width(const struct page *p, size_t from, size_t to)
{
	size_t width = p->widths[from];
	size_t i;

	for (i = from + 1; i < to; i++)
		width += COLUMN_GAP + p->widths[i];
	return width;
}

/* A heading wider than its columns makes the first of them wider. */
static void fit_headings(struct page *p)
{
	size_t from, to;

	for (from = 0; from < p->s->column_count; from = to) {
		size_t need, have;

		to = group_end(p->s, from);
		if (p->s->columns[from].group == 0)
			continue;
		need = text_width(p->groups[p->s->columns[from].group - 1]);
		have = group_width(p, from, to);
		if (need > have)
			p->widths[from] += need - have;
	}
}

static size_t page_width(const struct page *p)
{
	size_t width = p->s->column_count > 0 ? p->widths[0] : 0;
	size_t i;

	for (i = 1; i < p->s->column_count; i++)
		width += gap_before(p->s, i) + p->widths[i];
	return width;
}

/* The widest column that may still be cut; column_count when there is none. */
static size_t widest_flexible(const struct page *p)
{
	size_t found = p->s->column_count;
	size_t i;

	for (i = 0; i < p->s->column_count; i++) {
		const size_t least = p->s->columns[i].least;

		if (least > 0 && p->widths[i] > least && p->widths[i] > text_width(p->names[i]) &&
		    (found == p->s->column_count || p->widths[i] > p->widths[found]))
			found = i;
	}
	return found;
}

/* Cuts flexible columns, the widest first, until the line holds them all. */
static void cut_columns(struct page *p)
{
	const struct sheet *s = p->s;
	size_t over = page_width(p) > p->width ? page_width(p) - p->width : 0;
	size_t row, i;

	for (; over > 0 && widest_flexible(p) < s->column_count; over--)
		p->widths[widest_flexible(p)]--;
	for (i = 0; i < s->column_count; i++)
		for (row = 0; s->columns[i].least > 0 && row < s->row_count; row++) {
			char **cell = &p->cells[row * s->column_count + i];
			char *whole = *cell;

			*cell = sheet_shorten(whole, p->widths[i]);
			free(whole);
		}
}

static void page_init(struct page *p, const struct sheet *s, const struct out_style *style)
{
	size_t i;

	p->s = s;
	p->style = style;
	p->width = style_width(style);
	p->names = mem_array(s->column_count, sizeof *p->names);
	p->widths = mem_array(s->column_count, sizeof *p->widths);
	p->cells = mem_array(s->row_count * s->column_count, sizeof *p->cells);
	p->groups = mem_array(s->group_count, sizeof *p->groups);
	for (i = 0; i < s->group_count; i++)
		p->groups[i] = shown(s->groups[i], p->style);
	for (i = 0; i < s->column_count; i++)
		measure_column(p, i);
	fit_headings(p);
	cut_columns(p);
}

static void page_release(struct page *p)
{
	size_t i;

	for (i = 0; i < p->s->column_count; i++)
		free(p->names[i]);
	for (i = 0; i < p->s->row_count * p->s->column_count; i++)
		free(p->cells[i]);
	for (i = 0; i < p->s->group_count; i++)
		free(p->groups[i]);
	free(p->names);
	free(p->widths);
	free(p->cells);
	free(p->groups);
}

/* Columns of one block: the keys, then from .. to-1. */
struct block {
	size_t from;
	size_t to;
};

static bool in_block(const struct page *p, const struct block *b, size_t column)
{
	return column < p->s->keys || (column >= b->from && column < b->to);
}

static void end_line(struct buf *out, size_t start)
{
	while (out->len > start && out->data[out->len - 1] == ' ')
		out->data[--out->len] = '\0';
	buf_putc(out, '\n');
}

static void put_cell(struct buf *out, const struct page *p, size_t column, const char *text)
{
	const size_t rest = p->widths[column] - text_width(text);

	if (p->s->columns[column].side == SHEET_RIGHT)
		buf_pad(out, ' ', rest);
	buf_puts(out, text);
	if (p->s->columns[column].side == SHEET_LEFT)
		buf_pad(out, ' ', rest);
}

static void put_line(struct buf *out, const struct page *p, const struct block *b,
		     char *const *texts)
{
	const size_t start = out->len;
	size_t column;

	for (column = 0; column < p->s->column_count; column++) {
		if (!in_block(p, b, column))
			continue;
		if (column > 0)
			buf_pad(out, ' ', gap_before(p->s, column));
		put_cell(out, p, column, texts[column]);
	}
	end_line(out, start);
}

/* "---- boost kPa ----" over the columns of the group. */
static void put_heading(struct buf *out, const char *heading, size_t width)
{
	const size_t rest = width - text_width(heading);

	if (rest < LEAST_RULE) {
		buf_pad(out, ' ', rest);
		buf_puts(out, heading);
		return;
	}
	buf_pad(out, '-', rest / 2 - 1);
	buf_putc(out, ' ');
	buf_puts(out, heading);
	buf_putc(out, ' ');
	buf_pad(out, '-', rest - rest / 2 - 1);
}

static void put_headings(struct buf *out, const struct page *p, const struct block *b)
{
	const size_t start = out->len;
	size_t from, to;

	if (p->s->group_count == 0)
		return;
	for (from = 0; from < p->s->column_count; from = to) {
		const size_t group = p->s->columns[from].group;

		to = group_end(p->s, from);
		if (!in_block(p, b, from))
			continue;
		if (from > 0)
			buf_pad(out, ' ', gap_before(p->s, from));
		if (group == 0)
			buf_pad(out, ' ', group_width(p, from, to));
		else
			put_heading(out, p->groups[group - 1], group_width(p, from, to));
	}
	end_line(out, start);
}

/* Takes as many whole groups as fit from b->from on, at least one. */
static void fill_block(const struct page *p, struct block *b)
{
	size_t used = p->s->keys > 0 ? group_width(p, 0, p->s->keys) : 0;

	b->to = b->from;
	while (b->to < p->s->column_count) {
		const size_t end = group_end(p->s, b->to);
		const size_t gap = b->to > 0 ? gap_before(p->s, b->to) : 0;

		used += gap + group_width(p, b->to, end);
		if (b->to > b->from && used > p->width)
			break;
		b->to = end;
	}
}

void sheet_fold(struct buf *out, const char *text, size_t indent, size_t width)
{
	size_t used = 0;

	while (*text != '\0') {
		const size_t n = strcspn(text, " \n");
		char *word = mem_strndup(text, n);
		const size_t cells = text_width(word);

		if (used > 0 && used + 1 + cells > width) {
			buf_putc(out, '\n');
			used = 0;
		}
		if (n > 0) {
			buf_pad(out, ' ', used == 0 ? indent : 1);
			buf_puts(out, word);
			used += cells + (used == 0 ? indent : 1);
		}
		free(word);
		text += n;
		if (*text == '\n' && used > 0) {
			buf_putc(out, '\n');
			used = 0;
		}
		text += *text != '\0';
	}
	if (used > 0)
		buf_putc(out, '\n');
}

static void put_note(struct buf *out, const struct page *p, const char *note)
{
	while (*note != '\0') {
		const size_t n = strcspn(note, "\n");
		char *line = mem_strndup(note, n);
		char *safe = shown(line, p->style);

		sheet_fold(out, safe, NOTE_INDENT, p->width);
		free(safe);
		free(line);
		note += n + (note[n] == '\n');
	}
}

static bool has_names(const struct page *p)
{
	size_t i;

	for (i = 0; i < p->s->column_count; i++)
		if (p->names[i][0] != '\0')
			return true;
	return false;
}

static void put_block(struct buf *out, const struct page *p, const struct block *b)
{
	const struct sheet *s = p->s;
	size_t row;

	put_headings(out, p, b);
	if (has_names(p))
		put_line(out, p, b, p->names);
	for (row = 0; row < s->row_count; row++) {
		if (s->rows[row].gap && row > 0)
			buf_putc(out, '\n');
		put_line(out, p, b, p->cells + row * s->column_count);
		/* once, under the row's first part where the lines are broken */
		if (s->rows[row].note != NULL && b->from == s->keys)
			put_note(out, p, s->rows[row].note);
	}
}

void sheet_to_text(const struct sheet *s, const struct out_style *style, struct buf *out)
{
	struct block b = { s->keys, s->keys };
	struct page p;

	page_init(&p, s, style);
	do {
		fill_block(&p, &b);
		if (b.from > s->keys)
			buf_putc(out, '\n');
		put_block(out, &p, &b);
		b.from = b.to;
	} while (b.from < s->column_count);
	page_release(&p);
}
