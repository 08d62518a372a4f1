/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers and words in the little room that a place on the screen has. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/num.h"
#include "base/text.h"
#include "view/frame.h"
#include "view/lanes.h"

#define EXPONENT_TEXT (NUM_TEXT + 8)

static bool print(char out[NUM_TEXT], double value, int decimals, bool sign, int cells)
{
	if (sign)
		num_signed(out, value, decimals);
	else
		num_fixed(out, value, decimals);
	return (int)strlen(out) <= cells;
}

/* "1.23e9", with as many decimals as fit. */
static bool print_exponent(char out[EXPONENT_TEXT], double value, bool sign, int cells)
{
	const int exponent = (int)floor(log10(fabs(value)));
	char mantissa[NUM_TEXT];
	int decimals;

	for (decimals = cells; decimals >= 0; decimals--) {
		print(mantissa, value / pow(10.0, exponent), decimals, sign, cells);
		if (snprintf(out, EXPONENT_TEXT, "%se%d", mantissa, exponent) <= cells)
			return true;
	}
	return false;
}

void frame_number(struct canvas *c, struct rect r, enum style style, double value, int decimals,
		  bool sign)
{
	char text[EXPONENT_TEXT];

	while (!print(text, value, decimals, sign, r.cols) && decimals > 0)
		decimals--;
	if ((int)strlen(text) > r.cols &&
	    (!isfinite(value) || !print_exponent(text, value, sign, r.cols)))
		strcpy(text, "#");
	canvas_text_right(c, r.row, r.col, r.cols, style, text);
}

void frame_value(const struct view *v, struct canvas *c, struct rect r, enum style style,
		 const struct lane *lane, double value)
{
	const char *word = lane_word(v, lane, value);

	if (word == NULL)
		frame_number(c, r, style, value, lane_decimals(v, lane), false);
	else
		canvas_text_right(c, r.row, r.col, r.cols, style, word);
}
