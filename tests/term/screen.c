/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The emulator: what a program wrote, as cells. */
#include "screen.h"

#include <stdint.h>
#include <stdlib.h>

#include "base/text.h"

static int on_prop(VTermProp prop, VTermValue *value, void *user)
{
	struct screen *s = user;

	if (prop == VTERM_PROP_ALTSCREEN)
		s->alt = value->boolean;
	else if (prop == VTERM_PROP_CURSORVISIBLE)
		s->cursor = value->boolean;
	else if (prop == VTERM_PROP_MOUSE)
		s->mouse = value->number != VTERM_PROP_MOUSE_NONE;
	return 1;
}

/* Keys as the emulator encodes them, and its answers to the program's queries. */
static void on_output(const char *bytes, size_t n, void *user)
{
	struct screen *s = user;

	buf_add(&s->out, bytes, n);
}

void screen_init(struct screen *s, int cols, int rows, bool utf8)
{
	static const VTermScreenCallbacks callbacks = { .settermprop = on_prop };

	*s = (struct screen){ .cols = cols, .rows = rows, .vt = vterm_new(rows, cols) };
	if (s->vt == NULL)
		abort();	/* as all small allocations do */
	vterm_set_utf8(s->vt, utf8);
	vterm_output_set_callback(s->vt, on_output, s);
	s->cells = vterm_obtain_screen(s->vt);
	vterm_screen_set_callbacks(s->cells, &callbacks, s);
	vterm_screen_enable_altscreen(s->cells, 1);
	vterm_screen_reset(s->cells, 1);
}

void screen_release(struct screen *s)
{
	if (s->vt != NULL)
		vterm_free(s->vt);
	buf_release(&s->out);
	*s = (struct screen){ .vt = NULL };
}

void screen_feed(struct screen *s, const char *bytes, size_t n)
{
	vterm_input_write(s->vt, bytes, n);
}

void screen_resize(struct screen *s, int cols, int rows)
{
	vterm_set_size(s->vt, rows, cols);
	s->cols = cols;
	s->rows = rows;
}

/* An empty cell is a blank, the second half of a wide character nothing. */
static void add_cell(const VTermScreenCell *cell, struct buf *text)
{
	char utf8[4];

	if (cell->chars[0] == (uint32_t)-1)
		return;
	if (cell->chars[0] == 0)
		buf_putc(text, ' ');
	for (int i = 0; i < VTERM_MAX_CHARS_PER_CELL && cell->chars[i] != 0; i++)
		buf_add(text, utf8, text_encode(cell->chars[i], utf8));
}

void screen_add_row(const struct screen *s, int row, struct buf *text)
{
	const size_t start = text->len;
	VTermScreenCell cell;

	for (int col = 0; col < s->cols; col++)
		if (vterm_screen_get_cell(s->cells, (VTermPos){ row, col }, &cell))
			add_cell(&cell, text);
	while (text->len > start && text->data[text->len - 1] == ' ')
		text->data[--text->len] = '\0';
}

static int colour(const VTermColor *c)
{
	if (VTERM_COLOR_IS_DEFAULT_FG(c) || VTERM_COLOR_IS_DEFAULT_BG(c))
		return TERM_DEFAULT_COLOUR;
	if (VTERM_COLOR_IS_INDEXED(c))
		return c->indexed.idx;
	return TERM_RGB + c->rgb.red * 0x10000 + c->rgb.green * 0x100 + c->rgb.blue;
}

bool screen_attr(const struct screen *s, int row, int col, struct term_attr *a)
{
	VTermScreenCell cell;

	if (!vterm_screen_get_cell(s->cells, (VTermPos){ row, col }, &cell))
		return false;
	/* the second half of a wide character keeps the look of what was there before */
	if (cell.chars[0] == (uint32_t)-1 && col > 0)
		return screen_attr(s, row, col - 1, a);
	*a = (struct term_attr){
		.blank = cell.chars[0] == 0 || cell.chars[0] == ' ',
		.bold = cell.attrs.bold,
		.underline = cell.attrs.underline != VTERM_UNDERLINE_OFF,
		.blink = cell.attrs.blink,
		.reverse = cell.attrs.reverse,
		.fg = colour(&cell.fg),
		.bg = colour(&cell.bg),
	};
	return true;
}

void screen_cursor(const struct screen *s, int *row, int *col)
{
	VTermPos pos;

	vterm_state_get_cursorpos(vterm_obtain_state(s->vt), &pos);
	*row = pos.row;
	*col = pos.col;
}
