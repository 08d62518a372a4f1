/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See text.h. */
#include "text.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

void text_add(struct text *t, const char *s, size_t length)
{
	if (t->failed)
		return;
	if (t->length + length > t->room) {
		const size_t room = 2 * (t->length + length) + 4096;
		char *const data = realloc(t->data, room);
		if (data == NULL) {
			t->failed = true;
			return;
		}
		t->data = data;
		t->room = room;
	}
	memcpy(t->data + t->length, s, length);
	t->length += length;
}

void text_string(struct text *t, const char *s)
{
	text_add(t, s, strlen(s));
}

void text_format(struct text *t, const char *format, ...)
{
	char buffer[512];
	va_list args;

	va_start(args, format);
	const int length = vsnprintf(buffer, sizeof buffer, format, args);
	va_end(args);
	if (length > 0)
		text_add(t, buffer,
			 (size_t)length < sizeof buffer ? (size_t)length : sizeof buffer - 1);
}

void text_release(struct text *t)
{
	free(t->data);
}

/* One code point of at most U+07FF, which is all that the simulator writes. */
static unsigned take_point(const char **at)
{
	const unsigned char first = (unsigned char)*(*at)++;

	if (first < 0x80)
		return first;
	return ((first & 0x1fU) << 6) | ((unsigned char)*(*at)++ & 0x3fU);
}

bool text_encode(FILE *out, const struct text *t, enum encoding encoding)
{
	const char *at = t->data;
	const char *const end = t->data + t->length;

	if (encoding == ENC_UTF8_BOM)
		fputs("\xef\xbb\xbf", out);
	if (encoding == ENC_UTF8 || encoding == ENC_UTF8_BOM) {
		if (t->length > 0)
			fwrite(t->data, 1, t->length, out);
		return ferror(out) == 0;
	}
	if (encoding == ENC_UTF16LE)
		fputs("\xff\xfe", out);
	if (encoding == ENC_UTF16BE)
		fputs("\xfe\xff", out);
	while (at < end) {
		const unsigned point = take_point(&at);
		if (encoding == ENC_UTF16BE)
			putc((int)(point >> 8), out);
		putc((int)(point & 0xff), out);
		if (encoding == ENC_UTF16LE)
			putc((int)(point >> 8), out);
	}
	return ferror(out) == 0;
}
