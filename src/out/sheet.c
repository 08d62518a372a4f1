/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A table of typed cells, and its CSV.  Aligned text is made in sheet_text.c. */
#include "out/sheet.h"

#include <csv.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "out/sheet_private.h"

struct sheet *sheet_new(void)
{
	return mem_alloc(sizeof(struct sheet));
}

void sheet_free(struct sheet *s)
{
	size_t i;

	if (s == NULL)
		return;
	for (i = 0; i < s->column_count; i++)
		free(s->columns[i].name);
	for (i = 0; i < s->group_count; i++)
		free(s->groups[i]);
	for (i = 0; i < s->row_count * s->column_count; i++)
		free(s->cells[i].text);
	for (i = 0; i < s->row_count; i++)
		free(s->rows[i].note);
	free(s->columns);
	free(s->groups);
	free(s->cells);
	free(s->rows);
	free(s);
}

void sheet_column_flex(struct sheet *s, const char *name, enum sheet_side side, size_t least)
{
	mem_grow(&s->columns, &s->column_cap, s->column_count + 1, sizeof *s->columns);
	s->columns[s->column_count++] = (struct sheet_column){
		mem_strdup(name), side, least, s->group_count,
	};
}

void sheet_column(struct sheet *s, const char *name, enum sheet_side side)
{
	sheet_column_flex(s, name, side, 0);
}

void sheet_group(struct sheet *s, const char *heading)
{
	mem_grow(&s->groups, &s->group_cap, s->group_count + 1, sizeof *s->groups);
	s->groups[s->group_count++] = mem_strdup(heading);
}

void sheet_keys_end(struct sheet *s)
{
	s->keys = s->column_count;
}

void sheet_row(struct sheet *s)
{
	const size_t used = s->row_count * s->column_count;

	mem_grow(&s->rows, &s->row_cap, s->row_count + 1, sizeof *s->rows);
	s->rows[s->row_count++] = (struct sheet_row){ 0 };
	mem_grow(&s->cells, &s->cell_cap, used + s->column_count, sizeof *s->cells);
	memset(s->cells + used, 0, s->column_count * sizeof *s->cells);
	s->next = used;
}

static struct sheet_cell *next_cell(struct sheet *s)
{
	return &s->cells[s->next++];
}

void sheet_text(struct sheet *s, const char *text)
{
	struct sheet_cell *c = next_cell(s);

	c->kind = CELL_TEXT;
	c->text = mem_strdup(text);
}

void sheet_number(struct sheet *s, double v, int decimals)
{
	*next_cell(s) = (struct sheet_cell){ CELL_NUMBER, NULL, v, decimals };
}

void sheet_signed(struct sheet *s, double v, int decimals)
{
	*next_cell(s) = (struct sheet_cell){ CELL_SIGNED, NULL, v, decimals };
}

void sheet_count(struct sheet *s, size_t n)
{
	sheet_number(s, (double)n, 0);
}

void sheet_blank(struct sheet *s)
{
	next_cell(s)->kind = CELL_BLANK;
}

void sheet_gap(struct sheet *s)
{
	s->rows[s->row_count - 1].gap = true;
}

void sheet_note(struct sheet *s, const char *text)
{
	struct sheet_row *row = &s->rows[s->row_count - 1];
	char *before = row->note;

	row->note = before == NULL ? mem_strdup(text) : mem_printf("%s\n%s", before, text);
	free(before);
}

static bool is_blank(char c)
{
	return c == ' ' || c == '\t';
}

/* RFC 4180 asks for quotes; and readers strip blanks around a cell without them. */
static bool needs_quotes(const char *text, size_t n)
{
	return strpbrk(text, ",\"\r\n") != NULL ||
		(n > 0 && (is_blank(text[0]) || is_blank(text[n - 1])));
}

static void put_text(struct buf *out, const char *text)
{
	const size_t n = strlen(text);
	char *quoted;
	size_t size;

	if (!needs_quotes(text, n)) {
		buf_puts(out, text);
		return;
	}
	size = csv_write(NULL, 0, text, n);
	quoted = mem_alloc(size);
	csv_write(quoted, size, text, n);
	buf_add(out, quoted, size);
	free(quoted);
}

static void put_cell(struct buf *out, const struct sheet_cell *c)
{
	char number[NUM_TEXT];

	switch (c->kind) {
	case CELL_TEXT:
		put_text(out, c->text);
		break;
	case CELL_NUMBER:
	case CELL_SIGNED:
		buf_puts(out, isfinite(c->number) ? num_exact(number, c->number) : "");
		break;
	case CELL_BLANK:
		break;
	}
}

void sheet_to_csv(const struct sheet *s, struct buf *out)
{
	size_t row, column;

	for (column = 0; column < s->column_count; column++) {
		buf_puts(out, column > 0 ? "," : "");
		put_text(out, s->columns[column].name);
	}
	buf_puts(out, "\r\n");
	for (row = 0; row < s->row_count; row++) {
		for (column = 0; column < s->column_count; column++) {
			buf_puts(out, column > 0 ? "," : "");
			put_cell(out, &s->cells[row * s->column_count + column]);
		}
		buf_puts(out, "\r\n");
	}
}
