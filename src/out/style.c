/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The names of the formats, and text that a terminal may show. */
#include "out/style.h"

#include <string.h>

#include "base/text.h"

static const char *const names[OUT_FORMATS] = {
	[OUT_TEXT] = "text",
	[OUT_CSV] = "csv",
	[OUT_JSON] = "json",
};

bool style_format_by_name(const char *name, enum out_format *out)
{
	size_t i;

	for (i = 0; i < OUT_FORMATS; i++)
		if (strcmp(name, names[i]) == 0) {
			*out = (enum out_format)i;
			return true;
		}
	return false;
}

size_t style_width(const struct out_style *style)
{
	return style->width == 0 ? OUT_WIDTH : style->width;
}

void style_show(struct buf *out, const char *text, const struct out_style *style)
{
	struct buf safe = BUF_INIT;

	text_sanitise(&safe, text, strlen(text));
	if (style->ascii)
		text_to_ascii(out, buf_text(&safe));
	else
		buf_puts(out, buf_text(&safe));
	buf_release(&safe);
}
