/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the tests of the drawing floor share: random numbers, reading a canvas. */
#ifndef TESTS_DRAW_UTIL_H
#define TESTS_DRAW_UTIL_H

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "draw/canvas.h"
#include "draw/glyph.h"

/* SplitMix64 (Steele, Lea and Flood 2014; constants from memory). */
static inline uint64_t rnd_next(uint64_t *state)
{
	uint64_t z = *state += 0x9e3779b97f4a7c15u;

	z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
	z = (z ^ z >> 27) * 0x94d049bb133111ebu;
	return z ^ z >> 31;
}

/* 0 <= x < n */
static inline int rnd_below(uint64_t *state, int n)
{
	return (int)(rnd_next(state) % (uint64_t)n);
}

static inline double rnd_range(uint64_t *state, double low, double high)
{
	return low + (high - low) * (double)(rnd_next(state) >> 11) / 9007199254740992.0;
}

/* The whole canvas as text, for the caller to free. */
static inline char *canvas_string(const struct canvas *c)
{
	struct buf b = BUF_INIT;

	canvas_write_text(c, &b);
	return buf_take(&b);
}

/* Is the point set, going by the character alone?  Both halves of a double line are. */
static inline bool point_is_set(const struct canvas *c, const struct glyphs *g,
				int x, int y)
{
	static const unsigned dot[4][2] = { { 1, 8 }, { 2, 16 }, { 4, 32 }, { 64, 128 } };
	const uint32_t ch = canvas_at(c, y / g->sub_rows, x / g->sub_cols).ch;
	const bool upper = y % 2 == 0;

	if (ch == ' ')
		return false;
	switch (g->set) {
	case GLYPH_BRAILLE:
		return ch > 0x2800 && ch <= 0x28ff && ((ch - 0x2800) & dot[y % 4][x % 2]) != 0;
	case GLYPH_BLOCKS:
		return ch == 0x2588 || ch == ':' || ch == 0x2550 ||
		       (upper ? ch == 0x2580 || ch == '\'' : ch == 0x2584 || ch == '.');
	default:
		return true;
	}
}

#endif
