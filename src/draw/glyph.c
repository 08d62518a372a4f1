/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The characters that pictures are made of. */
#include "draw/glyph.h"

#include <stddef.h>

#include "base/text.h"

#define BRAILLE 0x2800u
#define DOUBLE_LINE 0x2550u

static const struct glyphs sets[] = {
	[GLYPH_ASCII] = {
		.set = GLYPH_ASCII, .name = "ascii",
		.sub_cols = 1, .sub_rows = 1,
		.a = '*', .b = 'o', .both = '@', .other = '#',
		.horizontal = '-', .vertical = '|', .foot = '+', .tick = '|', .minor = '+',
		.cursor = ':', .span_open = '[', .span_close = ']', .span_line = '=',
		.mark = '!', .zero = '-',
		.hatch = { '/', '\\', 'X' }, .limit = { '-' }, .target = { '.' },
		.more_up = '^', .more_down = 'v', .more_left = '<', .more_right = '>',
		.delta = "B-A", .ellipsis = "..",
	},
	[GLYPH_BLOCKS] = {
		.set = GLYPH_BLOCKS, .name = "blocks",
		.sub_cols = 1, .sub_rows = 2,
		.horizontal = 0x2500, .vertical = 0x2502, .foot = 0x2514,
		.tick = 0x252c, .minor = 0x2534,
		.cursor = 0x2502, .span_open = 0x255e, .span_close = 0x2561,
		.span_line = 0x2550, .mark = 0x2666, .zero = 0x2500,
		.hatch = { '/', '\\', 'X' }, .limit = { 0x2500, '_' }, .target = { '-', '_' },
		.more_up = 0x25b2, .more_down = 0x25bc,
		.more_left = 0x25c4, .more_right = 0x25ba,
		.delta = "B-A", .ellipsis = "..",
	},
	[GLYPH_BRAILLE] = {
		.set = GLYPH_BRAILLE, .name = "braille",
		.sub_cols = 2, .sub_rows = 4,
		.horizontal = 0x2500, .vertical = 0x2502, .foot = 0x2514,
		.tick = 0x252c, .minor = 0x2534,
		.cursor = 0x2502, .span_open = 0x255e, .span_close = 0x2561,
		.span_line = 0x2550, .mark = 0x25c6, .zero = 0x254c,
		.hatch = { '/', '\\', 'X' }, .limit = { 0xaf, 0x2500, 0x2500, '_' },
		.target = { 0xaf, 0x2500, 0x2500, '_' },
		.more_up = 0x25b2, .more_down = 0x25bc,
		.more_left = 0x25c4, .more_right = 0x25ba,
		.delta = "B-A", .ellipsis = "\xe2\x80\xa6",
	},
};

#define SETS (sizeof(sets) / sizeof(sets[0]))

const struct glyphs *glyph_get(enum glyph_set set)
{
	return &sets[set];
}

const struct glyphs *glyph_by_name(const char *name)
{
	size_t i;

	for (i = 0; i < SETS; i++)
		if (text_casecmp(sets[i].name, name) == 0)
			return &sets[i];
	return NULL;
}

/* Upper half is bit 0, lower half bit 1. */
static uint32_t block_points(unsigned light, unsigned solid)
{
	static const uint32_t dots[4] = { ' ', '\'', '.', ':' };
	static const uint32_t blocks[4] = { ' ', 0x2580, 0x2584, 0x2588 };

	if (light != 0 && solid != 0)
		return DOUBLE_LINE;
	return solid != 0 ? blocks[solid & 3] : dots[light & 3];
}

/* The bit of U+2800 for each point; the standard numbers the last row apart. */
static uint32_t braille_points(unsigned points)
{
	static const uint8_t dot[8] = { 0x01, 0x08, 0x02, 0x10, 0x04, 0x20, 0x40, 0x80 };
	uint32_t ch = 0;
	unsigned i;

	for (i = 0; i < 8; i++)
		if (points & 1u << i)
			ch |= dot[i];
	return ch == 0 ? ' ' : BRAILLE + ch;
}

uint32_t glyph_points(const struct glyphs *g, unsigned light, unsigned solid)
{
	switch (g->set) {
	case GLYPH_BLOCKS:
		return block_points(light, solid);
	case GLYPH_BRAILLE:
		return braille_points(light | solid);
	default:
		break;
	}
	if (light != 0 && solid != 0)
		return g->both;
	return solid != 0 ? g->b : light != 0 ? g->a : ' ';
}
