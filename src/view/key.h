/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Keys: a Unicode character, or one of these above all characters.  Key scripts
 * and help write them as "x", "<Right>", "<S-Left>", "<C-l>", "<lt>" for '<'.
 */
#ifndef VIEW_KEY_H
#define VIEW_KEY_H

#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"
#include "base/err.h"

enum key {
	KEY_FIRST = 0x200000,
	KEY_LEFT_ARROW = KEY_FIRST,
	KEY_RIGHT_ARROW,
	KEY_UP_ARROW,
	KEY_DOWN_ARROW,
	KEY_SHIFT_LEFT,
	KEY_SHIFT_RIGHT,
	KEY_PAGE_UP,
	KEY_PAGE_DOWN,
	KEY_HOME_KEY,
	KEY_END_KEY,
	KEY_TAB,
	KEY_SHIFT_TAB,
	KEY_RETURN,
	KEY_ESCAPE,
	KEY_RUBOUT,		/* backspace */
	KEY_DELETE,
	KEY_REDRAW,		/* Ctrl-L */
	KEY_KILL,		/* Ctrl-U: empties the prompt */
	KEY_INTERRUPT,		/* Ctrl-C */
};

/*
 * Reads one key from a script at *s and moves *s behind it.  ERR_USAGE for an
 * unknown name in angle brackets.
 */
enum err_code key_parse(const char **s, uint32_t *key, struct err *e);

/* Appends the key as people read it: "Right", "S-Left", "x", "Space". */
void key_show(struct buf *out, uint32_t key);

#endif
