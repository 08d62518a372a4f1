/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How an output is to be written: the format, and what the reader's terminal can show. */
#ifndef OUT_STYLE_H
#define OUT_STYLE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"

enum out_format {
	OUT_TEXT,	/* aligned, for people */
	OUT_CSV,	/* RFC 4180, UTF-8, all columns */
	OUT_JSON,	/* RFC 8259, all fields */
	OUT_FORMATS
};

#define OUT_WIDTH 80	/* cells, where nothing better is known */

struct out_style {
	enum out_format format;
	bool ascii;	/* text only: no character beyond ASCII */
	size_t width;	/* text only: cells of a line; 0: OUT_WIDTH */
};

#define OUT_STYLE_INIT { OUT_TEXT, false, OUT_WIDTH }

/* Appends a file's text as a terminal may show it: no control characters, plain for ascii. */
void style_show(struct buf *out, const char *text, const struct out_style *style);

/* The cells of a line. */
size_t style_width(const struct out_style *style);

/* "text", "csv" or "json"; false for another word. */
bool style_format_by_name(const char *name, enum out_format *out);

#endif
