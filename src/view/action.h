/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Everything the viewer can do: one table.  A row is the action's name (which is
 * its `:` command), its keys, and its help; the help screen, the
 * completion and the manual's key section come from it.
 */
#ifndef VIEW_ACTION_H
#define VIEW_ACTION_H

#include <stdint.h>

#include "base/buf.h"
#include "view/state.h"

enum action_group {
	GROUP_CURSOR,
	GROUP_AXIS,
	GROUP_LANES,
	GROUP_PULLS,
	GROUP_NUMBERS,
	GROUP_FINDINGS,
	GROUP_MARKS,
	GROUP_PROGRAM,
	GROUP_COUNT
};

/* `arg` is what stands behind the command, "" for a key. */
typedef void (*action_fn)(struct view *v, const char *arg);

/* What Tab offers behind the command's name. */
enum action_arg {
	ARG_NONE,
	ARG_POSITION,		/* numbers: nothing to complete */
	ARG_CHANNEL,
	ARG_WORD,		/* one of `words` */
	ARG_TEXT,
};

struct action {
	const char *name;
	const char *keys;	/* in key script notation, blank-separated; "" for none */
	enum action_group group;
	const char *help;	/* one line, at most 52 cells */
	action_fn fn;
	enum action_arg arg;
	const char *words;	/* for ARG_WORD, blank-separated */
	const char *usage;	/* what may stand behind it: "[FROM:TO]"; "" for nothing */
};

size_t action_count(void);
const struct action *action_by_index(size_t i);
const struct action *action_by_name(const char *name);
const char *action_group_title(enum action_group g);

/* A key outside prompt and lists; unknown ones say so. */
void action_key(struct view *v, uint32_t key);

/* Runs "name argument"; an unambiguous beginning of a name is enough. */
void action_command(struct view *v, const char *line);

/* For the command prompt: see prompt_complete_fn. */
size_t action_complete(struct view *v, const char *line, struct buf *out);

/* The keys of an action as people read them: "x", "Left h". */
void action_keys(const struct action *a, struct buf *out);

/* The manual's key section, in mdoc(7) macros. */
void action_manual(struct buf *out);

/* One key press, wherever it belongs: prompt, list or action. */
void view_key(struct view *v, uint32_t key);

/* Plays a key script ("<Right>:goto 5000<Enter>"). */
enum err_code view_play(struct view *v, const char *script, struct err *e);

#endif
