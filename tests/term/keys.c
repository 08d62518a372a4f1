/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The notation of keys, "<C-Right>:stats<Enter>", to the bytes a terminal sends. */
#include "keys.h"

#include <string.h>

#include "base/buf.h"

struct named_key {
	const char *name;
	VTermKey key;		/* VTERM_KEY_NONE: the character below */
	char c;
};

static const struct named_key named_keys[] = {
	{ "Up", VTERM_KEY_UP, 0 },		{ "Down", VTERM_KEY_DOWN, 0 },
	{ "Left", VTERM_KEY_LEFT, 0 },		{ "Right", VTERM_KEY_RIGHT, 0 },
	{ "Home", VTERM_KEY_HOME, 0 },		{ "End", VTERM_KEY_END, 0 },
	{ "PageUp", VTERM_KEY_PAGEUP, 0 },	{ "PageDown", VTERM_KEY_PAGEDOWN, 0 },
	{ "Insert", VTERM_KEY_INS, 0 },		{ "Delete", VTERM_KEY_DEL, 0 },
	{ "Backspace", VTERM_KEY_BACKSPACE, 0 }, { "Enter", VTERM_KEY_ENTER, 0 },
	{ "Tab", VTERM_KEY_TAB, 0 },		{ "Esc", VTERM_KEY_ESCAPE, 0 },
	{ "Space", VTERM_KEY_NONE, ' ' },	{ "lt", VTERM_KEY_NONE, '<' },
	{ "F1", VTERM_KEY_FUNCTION(1), 0 },	{ "F2", VTERM_KEY_FUNCTION(2), 0 },
	{ "F3", VTERM_KEY_FUNCTION(3), 0 },	{ "F4", VTERM_KEY_FUNCTION(4), 0 },
	{ "F5", VTERM_KEY_FUNCTION(5), 0 },	{ "F6", VTERM_KEY_FUNCTION(6), 0 },
	{ "F7", VTERM_KEY_FUNCTION(7), 0 },	{ "F8", VTERM_KEY_FUNCTION(8), 0 },
	{ "F9", VTERM_KEY_FUNCTION(9), 0 },	{ "F10", VTERM_KEY_FUNCTION(10), 0 },
	{ "F11", VTERM_KEY_FUNCTION(11), 0 },	{ "F12", VTERM_KEY_FUNCTION(12), 0 },
};

static const struct named_key *key_find(const char *name, size_t len)
{
	for (size_t i = 0; i < sizeof(named_keys) / sizeof(*named_keys); i++)
		if (strlen(named_keys[i].name) == len
		    && strncmp(named_keys[i].name, name, len) == 0)
			return &named_keys[i];
	return NULL;
}

static unsigned modifier(char c)
{
	switch (c) {
	case 'S': return VTERM_MOD_SHIFT;
	case 'C': return VTERM_MOD_CTRL;
	case 'M': return VTERM_MOD_ALT;
	default: return VTERM_MOD_NONE;
	}
}

/* A character with Ctrl and Meta as the plainest terminals send it. */
static bool press_char(struct screen *s, char c, unsigned mods)
{
	if (mods & VTERM_MOD_SHIFT)
		return false;	/* write the capital itself */
	if (mods & VTERM_MOD_CTRL) {
		if (c == '?')
			c = 0x7f;
		else if (c == ' ' || (c >= '@' && c <= 'z' && c != '`'))
			c &= 0x1f;
		else
			return false;
	}
	if (mods & VTERM_MOD_ALT)
		buf_putc(&s->out, '\033');
	buf_putc(&s->out, c);
	return true;
}

/* The key between the brackets of <C-Right>; true in *lone_esc for <Esc>. */
static bool press(struct screen *s, const char *name, size_t len, bool *lone_esc)
{
	const struct named_key *k;
	unsigned mods = VTERM_MOD_NONE;

	for (; len > 2 && name[1] == '-' && modifier(name[0]) != 0; name += 2, len -= 2)
		mods |= modifier(name[0]);
	if (len == 1 && mods != 0)
		return press_char(s, *name, mods);
	k = key_find(name, len);
	if (k == NULL)
		return false;
	if (k->key == VTERM_KEY_NONE)
		return press_char(s, k->c, mods);
	*lone_esc = k->key == VTERM_KEY_ESCAPE && mods == 0;
	vterm_keyboard_key(s->vt, k->key, mods);
	return true;
}

const char *keys_encode(struct screen *s, const char *keys, struct err *e)
{
	const size_t start = s->out.len;

	while (*keys != '\0') {
		bool lone_esc = false;
		size_t len;

		if (*keys != '<') {
			buf_putc(&s->out, *keys++);
			continue;
		}
		len = strcspn(keys, ">");
		if (keys[len] == '\0' || !press(s, keys + 1, len - 1, &lone_esc)) {
			err_set(e, ERR_USAGE, "no key is called \"%.*s\" (a plain < is <lt>)",
				(int)len + 1, keys);
			s->out.len = start;
			return NULL;
		}
		keys += len + 1;
		if (lone_esc)
			break;
	}
	return keys;
}

bool keys_check(struct screen *s, const char *keys, struct err *e)
{
	const size_t start = s->out.len;

	while (keys != NULL && *keys != '\0')
		keys = keys_encode(s, keys, e);
	s->out.len = start;
	return keys != NULL;
}
