/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Keys and their names. */
#include "view/key.h"

#include <string.h>

#include "base/text.h"

static const struct {
	uint32_t key;
	const char *script;
	const char *shown;
} names[] = {
	{ KEY_LEFT_ARROW, "Left", "Left" },
	{ KEY_RIGHT_ARROW, "Right", "Right" },
	{ KEY_UP_ARROW, "Up", "Up" },
	{ KEY_DOWN_ARROW, "Down", "Down" },
	{ KEY_SHIFT_LEFT, "S-Left", "Shift-Left" },
	{ KEY_SHIFT_RIGHT, "S-Right", "Shift-Right" },
	{ KEY_PAGE_UP, "PageUp", "PgUp" },
	{ KEY_PAGE_DOWN, "PageDown", "PgDn" },
	{ KEY_HOME_KEY, "Home", "Home" },
	{ KEY_END_KEY, "End", "End" },
	{ KEY_TAB, "Tab", "Tab" },
	{ KEY_SHIFT_TAB, "S-Tab", "Shift-Tab" },
	{ KEY_RETURN, "Enter", "Enter" },
	{ KEY_ESCAPE, "Esc", "Esc" },
	{ KEY_RUBOUT, "BSpace", "Backspace" },
	{ KEY_DELETE, "Del", "Del" },
	{ KEY_REDRAW, "C-l", "Ctrl-L" },
	{ KEY_KILL, "C-u", "Ctrl-U" },
	{ KEY_INTERRUPT, "C-c", "Ctrl-C" },
	{ ' ', "Space", "Space" },
	{ '<', "lt", "<" },
};

#define NAMES (sizeof names / sizeof names[0])

enum err_code key_parse(const char **s, uint32_t *key, struct err *e)
{
	const char *close = **s == '<' ? strchr(*s, '>') : NULL;
	size_t i;

	if (close == NULL) {
		*s += text_decode(*s, strlen(*s), key);
		return ERR_NONE;
	}
	for (i = 0; i < NAMES; i++) {
		const size_t n = strlen(names[i].script);

		if ((size_t)(close - *s) == n + 1 && strncmp(*s + 1, names[i].script, n) == 0) {
			*key = names[i].key;
			*s = close + 1;
			return ERR_NONE;
		}
	}
	return err_set(e, ERR_USAGE, "key script: there is no key %.*s; write <lt> for a plain <",
		       (int)(close - *s + 1), *s);
}

void key_show(struct buf *out, uint32_t key)
{
	char utf8[4];
	size_t i;

	for (i = 0; i < NAMES; i++)
		if (names[i].key == key) {
			buf_puts(out, names[i].shown);
			return;
		}
	buf_add(out, utf8, text_encode(key, utf8));
}
