/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A growing string.  `data` is always terminated (BUF_INIT points at an empty
 * string only after the first append; use buf_text() to read it at any time).
 */
#ifndef BASE_BUF_H
#define BASE_BUF_H

#include <stddef.h>

#include "base/err.h"

struct buf {
	char *data;
	size_t len;
	size_t cap;
};

#define BUF_INIT { NULL, 0, 0 }

void buf_release(struct buf *b);
void buf_clear(struct buf *b);				/* keeps the room */
void buf_add(struct buf *b, const char *s, size_t n);
void buf_puts(struct buf *b, const char *s);
void buf_putc(struct buf *b, char c);
void buf_pad(struct buf *b, char c, size_t n);		/* n times c */
void buf_printf(struct buf *b, const char *format, ...) ERR_PRINTF(2, 3);
const char *buf_text(const struct buf *b);		/* never NULL */
char *buf_take(struct buf *b);				/* the caller frees it; b is empty */

#endif
