/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Small helpers over jansson.  Where there is no value there is null: NaN, an
 * infinity, an empty text.  Fields keep the order in which they were set.
 */
#ifndef OUT_JSON_H
#define OUT_JSON_H

#include <jansson.h>
#include <stddef.h>

#include "base/buf.h"

json_t *js_number(double v);		/* 17 significant digits when written */
json_t *js_count(double v);		/* a whole number, as an integer */
json_t *js_text(const char *text);	/* bytes that are not UTF-8 become U+FFFD */

/* Both take the value over, NULL ends the program: memory is out. */
void js_set(json_t *object, const char *key, json_t *value);
void js_append(json_t *array, json_t *value);

json_t *js_object(void);
json_t *js_array(void);

/* Appends the whole value and a line end; takes the value over. */
void js_write(json_t *root, struct buf *out);

#endif
