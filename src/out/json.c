/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small helpers over jansson. */
#include "out/json.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"

#define SIGNIFICANT_DIGITS 17	/* enough to read every double back */

static json_t *must(json_t *value)
{
	if (value == NULL)
		mem_end();
	return value;
}

json_t *js_number(double v)
{
	return must(isfinite(v) ? json_real(v) : json_null());
}

json_t *js_count(double v)
{
	return must(isfinite(v) ? json_integer((json_int_t)v) : json_null());
}

json_t *js_text(const char *text)
{
	struct buf safe = BUF_INIT;
	json_t *value;

	if (text == NULL || text[0] == '\0')
		return json_null();
	value = json_string(text);
	if (value == NULL) {
		text_sanitise(&safe, text, strlen(text));
		value = json_string(buf_text(&safe));
		buf_release(&safe);
	}
	return must(value);
}

void js_set(json_t *object, const char *key, json_t *value)
{
	if (json_object_set_new(object, key, value) != 0)
		mem_end();
}

void js_append(json_t *array, json_t *value)
{
	if (json_array_append_new(array, value) != 0)
		mem_end();
}

json_t *js_object(void)
{
	return must(json_object());
}

json_t *js_array(void)
{
	return must(json_array());
}

static int add_piece(const char *piece, size_t n, void *out)
{
	buf_add(out, piece, n);
	return 0;
}

void js_write(json_t *root, struct buf *out)
{
	if (json_dump_callback(root, add_piece, out,
			       JSON_INDENT(1) | JSON_REAL_PRECISION(SIGNIFICANT_DIGITS)) != 0)
		mem_end();
	buf_putc(out, '\n');
	json_decref(root);
}
