/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One line of typing: what the prompt at the foot of the screen edits. */
#ifndef VIEW_PROMPT_H
#define VIEW_PROMPT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"

struct view;

/* Called with what was typed when Enter is pressed. */
typedef void (*prompt_fn)(struct view *v, const char *text);

/*
 * Appends to `out` what could stand in the text from some byte on, one a line, and
 * returns that byte's offset.
 */
typedef size_t (*prompt_complete_fn)(struct view *v, const char *text, struct buf *out);

struct prompt {
	bool open;
	bool suggested;		/* the text is a proposal: the first character typed replaces it */
	bool recalls;		/* commands: Up and Down go through the history */
	const char *label;
	struct buf text;
	size_t at;		/* byte offset of the cursor, at a character's start */
	prompt_fn accept;
	prompt_complete_fn complete;	/* NULL: Tab does nothing */
	char **history;		/* of commands */
	size_t history_count;
	size_t history_cap;
	size_t history_at;	/* history_count: not in the history */
};

void prompt_release(struct prompt *p);
void prompt_open(struct prompt *p, const char *label, const char *text, prompt_fn accept,
		 prompt_complete_fn complete);
/* The same, with a proposal that the first character typed replaces. */
void prompt_suggest(struct prompt *p, const char *label, const char *text, prompt_fn accept);
/* The same for commands, which are remembered, and recalled by Up and Down. */
void prompt_open_command(struct prompt *p, const char *label, prompt_fn accept,
			 prompt_complete_fn complete);
void prompt_close(struct prompt *p);

/* Takes a key (see key.h).  May call accept. */
void prompt_key(struct view *v, struct prompt *p, uint32_t key);

#endif
