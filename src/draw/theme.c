/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How each meaning of a cell looks. */
#include "draw/theme.h"

#include <stddef.h>

#define OWN (-1)		/* the terminal's own colour */

enum { BOLD = 1, DIM = 2, UNDERLINE = 4, REVERSE = 8 };

/*
 * On the terminal's own ground, which may be black or white, each c256 is a
 * colour of the 6x6x6 cube close in hue to its Okabe-Ito one that keeps a contrast
 * of 3:1 or more on both (WCAG 2.1, success criterion 1.4.11).  The span and the region
 * of a finding are dark bands with colours of their own, so that they too read the same
 * on both.  With fewer colours there is no quiet shade, and a reversed band shouts over
 * the traces: the span is then what lies between the two cursor lines, and the region of
 * a finding is underlined.
 */
static const struct {
	short c256;
	short band256;
	short c8;
	unsigned attributes;	/* with colours */
	unsigned mono;		/* without */
	const char *rgb;	/* on a light ground */
} looks[STYLE_COUNT] = {
	[STYLE_PLAIN] =   { OWN, 253, OWN, 0, 0, "#000000" },
	[STYLE_DIM] =     { 244, 248, OWN, 0, DIM, "#767676" },
	[STYLE_TITLE] =   { OWN, 255, OWN, BOLD, BOLD, "#000000" },
	[STYLE_A] =       { 32, 74, 6, 0, 0, "#0072b2" },
	[STYLE_B] =       { 166, 214, 1, BOLD, BOLD, "#d55e00" },
	[STYLE_BOTH] =    { OWN, 255, OWN, BOLD, BOLD, "#000000" },
	[STYLE_DELTA] =   { 29, 79, 2, 0, 0, "#009e73" },
	[STYLE_CURSOR] =  { OWN, 255, OWN, BOLD, BOLD, "#000000" },
	[STYLE_MARK] =    { 136, 221, OWN, BOLD, BOLD, "#e69f00" },
	[STYLE_FINDING] = { 132, 175, 5, BOLD, BOLD | UNDERLINE, "#cc79a7" },
	[STYLE_LIMIT] =   { 132, 175, 5, 0, DIM, "#cc79a7" },
	[STYLE_ERROR] =   { 166, 214, 1, BOLD, BOLD | REVERSE, "#d55e00" },
	[STYLE_KEY] =     { OWN, 255, OWN, BOLD, BOLD, "#000000" },
};

#define SPAN_256 238
#define FINDING_256 89

static struct look look_of(short fg, short bg, unsigned attributes)
{
	return (struct look){ fg, bg, (attributes & BOLD) != 0, (attributes & DIM) != 0,
			      (attributes & UNDERLINE) != 0, (attributes & REVERSE) != 0 };
}

struct look theme_look(enum theme_depth depth, enum style style, unsigned flags)
{
	const bool finding = (flags & CELL_FINDING) != 0;
	const bool band = finding || (flags & CELL_SPAN) != 0;
	unsigned attributes = looks[style].attributes;
	short fg = OWN;
	short bg = OWN;

	switch (depth) {
	case THEME_256:
		fg = band ? looks[style].band256 : looks[style].c256;
		bg = finding ? FINDING_256 : band ? SPAN_256 : OWN;
		break;
	case THEME_8:
		fg = looks[style].c8;
		attributes |= finding ? UNDERLINE : 0;
		break;
	case THEME_MONO:
		attributes = looks[style].mono | (finding ? UNDERLINE : 0);
		break;
	}
	if (flags & CELL_CHOSEN)
		attributes ^= REVERSE;
	return look_of(fg, bg, attributes);
}

const char *theme_rgb(enum style style)
{
	return looks[style].rgb;
}
