/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One line of typing. */
#include "view/prompt.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "view/key.h"
#include "view/state.h"

void prompt_release(struct prompt *p)
{
	size_t i;

	for (i = 0; i < p->history_count; i++)
		free(p->history[i]);
	free(p->history);
	buf_release(&p->text);
	memset(p, 0, sizeof *p);
}

static void set_text(struct prompt *p, const char *text)
{
	buf_clear(&p->text);
	buf_puts(&p->text, text);
	p->at = p->text.len;
}

void prompt_open(struct prompt *p, const char *label, const char *text, prompt_fn accept,
		 prompt_complete_fn complete)
{
	p->open = true;
	p->suggested = p->recalls = false;
	p->label = label;
	p->accept = accept;
	p->complete = complete;
	p->history_at = p->history_count;
	set_text(p, text);
}

void prompt_suggest(struct prompt *p, const char *label, const char *text, prompt_fn accept)
{
	prompt_open(p, label, text, accept, NULL);
	p->suggested = true;
}

void prompt_open_command(struct prompt *p, const char *label, prompt_fn accept,
			 prompt_complete_fn complete)
{
	prompt_open(p, label, "", accept, complete);
	p->recalls = true;
}

void prompt_close(struct prompt *p)
{
	p->open = false;
}

static size_t before(const struct prompt *p)
{
	size_t i = p->at;

	while (i > 0 && ((unsigned char)p->text.data[--i] & 0xc0) == 0x80)
		;
	return i;
}

static size_t after(const struct prompt *p)
{
	uint32_t cp;

	if (p->at == p->text.len)
		return p->at;
	return p->at + text_decode(p->text.data + p->at, p->text.len - p->at, &cp);
}

static void cut(struct prompt *p, size_t from, size_t to)
{
	memmove(p->text.data + from, p->text.data + to, p->text.len - to + 1);
	p->text.len -= to - from;
	p->at = from;
}

static void insert(struct prompt *p, const char *s, size_t n)
{
	char *tail = mem_strdup(p->text.data + p->at);

	p->text.len = p->at;
	buf_add(&p->text, s, n);
	p->at = p->text.len;
	buf_puts(&p->text, tail);
	free(tail);
}

/* Commands only: what else is typed is no command to recall. */
static void remember(struct prompt *p)
{
	if (!p->recalls || p->text.len == 0)
		return;
	mem_grow(&p->history, &p->history_cap, p->history_count + 1, sizeof *p->history);
	p->history[p->history_count++] = mem_strdup(p->text.data);
}

static void recall(struct prompt *p, size_t at)
{
	if (!p->recalls || at > p->history_count)
		return;
	p->history_at = at;
	set_text(p, at == p->history_count ? "" : p->history[at]);
}

/* How many bytes all lines of the list begin with in common. */
static size_t common_prefix(const char *lines)
{
	const size_t first = strcspn(lines, "\n");
	size_t common = first;
	const char *p = lines;

	while (*p != '\0') {
		size_t i = 0;

		while (i < common && p[i] == lines[i])
			i++;
		common = i;
		p += strcspn(p, "\n");
		p += *p == '\n';
	}
	return common;
}

/* Types on as far as all completions agree, and lists them when there are several. */
static void complete(struct view *v, struct prompt *p)
{
	struct buf found = BUF_INIT;
	size_t from, common;
	char *s;

	if (p->complete == NULL)
		return;
	from = p->complete(v, p->text.data, &found);
	if (found.len > 0) {
		common = common_prefix(found.data);
		if (common >= p->text.len - from) {
			cut(p, from, p->text.len);
			insert(p, found.data, common);
		}
		if (strchr(found.data, '\n') == found.data + found.len - 1) {
			insert(p, " ", 1);
		} else {
			for (s = found.data; *s != '\0'; s++)
				if (*s == '\n')
					*s = ' ';
			view_say(v, "%s", found.data);
		}
	}
	buf_release(&found);
}

static void accept_text(struct view *v, struct prompt *p)
{
	const prompt_fn accept = p->accept;
	size_t n = p->text.len;
	char *text;

	while (n > 0 && p->text.data[n - 1] == ' ')	/* as completion leaves one */
		n--;
	text = mem_strndup(p->text.data, n);
	remember(p);
	prompt_close(p);	/* before accept, which may open another */
	accept(v, text);
	free(text);
}

/* No control characters, nor what has no width of its own or turns text round. */
static bool can_be_typed(uint32_t key)
{
	return text_char_width(key) > 0 || (key >= 0x300 && key < 0x370);
}

void prompt_key(struct view *v, struct prompt *p, uint32_t key)
{
	const bool suggested = p->suggested;
	char utf8[4];

	p->suggested = false;
	switch (key) {
	case KEY_RETURN:
		accept_text(v, p);
		break;
	case KEY_ESCAPE:
	case KEY_INTERRUPT:
		prompt_close(p);
		break;
	case KEY_TAB:
		complete(v, p);
		break;
	case KEY_LEFT_ARROW:
		p->at = before(p);
		break;
	case KEY_RIGHT_ARROW:
		p->at = after(p);
		break;
	case KEY_HOME_KEY:
		p->at = 0;
		break;
	case KEY_END_KEY:
		p->at = p->text.len;
		break;
	case KEY_RUBOUT:
		cut(p, before(p), p->at);
		break;
	case KEY_DELETE:
		cut(p, p->at, after(p));
		break;
	case KEY_KILL:
		cut(p, 0, p->text.len);
		break;
	case KEY_UP_ARROW:
		recall(p, p->history_at - (p->history_at > 0));
		break;
	case KEY_DOWN_ARROW:
		recall(p, p->history_at + 1);
		break;
	default:
		if (key >= KEY_FIRST || !can_be_typed(key))
			break;
		if (suggested)
			cut(p, 0, p->text.len);
		insert(p, utf8, text_encode(key, utf8));
	}
}
