/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A growing string. */
#include "base/buf.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

void buf_release(struct buf *b)
{
	free(b->data);
	*b = (struct buf)BUF_INIT;
}

void buf_clear(struct buf *b)
{
	b->len = 0;
	if (b->data != NULL)
		b->data[0] = '\0';
}

void buf_add(struct buf *b, const char *s, size_t n)
{
	mem_grow(&b->data, &b->cap, b->len + n + 1, 1);
	if (n > 0)
		memcpy(b->data + b->len, s, n);
	b->len += n;
	b->data[b->len] = '\0';
}

void buf_puts(struct buf *b, const char *s)
{
	buf_add(b, s, strlen(s));
}

void buf_putc(struct buf *b, char c)
{
	buf_add(b, &c, 1);
}

void buf_pad(struct buf *b, char c, size_t n)
{
	mem_grow(&b->data, &b->cap, b->len + n + 1, 1);
	memset(b->data + b->len, c, n);
	b->len += n;
	b->data[b->len] = '\0';
}

void buf_printf(struct buf *b, const char *format, ...)
{
	va_list args;
	va_list again;
	int n;

	va_start(args, format);
	va_copy(again, args);
	n = vsnprintf(NULL, 0, format, args);
	va_end(args);
	if (n > 0) {
		mem_grow(&b->data, &b->cap, b->len + (size_t)n + 1, 1);
		vsnprintf(b->data + b->len, (size_t)n + 1, format, again);
		b->len += (size_t)n;
	}
	va_end(again);
}

const char *buf_text(const struct buf *b)
{
	return b->data == NULL ? "" : b->data;
}

char *buf_take(struct buf *b)
{
	char *out = b->data == NULL ? mem_strdup("") : b->data;

	*b = (struct buf)BUF_INIT;
	return out;
}
