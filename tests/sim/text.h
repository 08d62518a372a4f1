/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A growing string, and its way into a file in another encoding. */
#ifndef SIM_TEXT_H
#define SIM_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "config.h"

struct text {
	char *data;
	size_t length, room;
	bool failed; /* out of memory at some point */
};

void text_add(struct text *t, const char *s, size_t length);
void text_string(struct text *t, const char *s);
void text_format(struct text *t, const char *format, ...)
#ifdef __GNUC__
	__attribute__((format(printf, 2, 3)))
#endif
	;
void text_release(struct text *t);

/* UTF-8 to the asked encoding, with its byte order mark where it has one. */
bool text_encode(FILE *out, const struct text *t, enum encoding encoding);

#endif
