/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows of the help: how to read the screen, then the action table. */
#include "view/list_help.h"

#include "base/text.h"
#include "view/action.h"

#define COMMAND_CELLS 16u

/* How to read the screen: the head of the help. */
static const struct {
	enum style style;
	const char *text;
} reading[] = {
	{ STYLE_TITLE, "Reading the screen" },
	{ STYLE_A, "A  the pull before: thin and dotted; * in plain ASCII" },
	{ STYLE_B, "B  the pull after: thick; o in plain ASCII" },
	{ STYLE_BOTH, "   where both are at one place: white; @ in plain ASCII" },
	{ STYLE_DELTA, "B-A  what B has more than A, at the same place of the axis" },
	{ STYLE_LIMIT, "-  a limit, where there is one; hatched: a finding, \\ in B, / in A, X in both" },
	{ STYLE_FINDING, "B:S  B has a finding in this lane: S stop, C caution, n note" },
	{ STYLE_DIM, ". .  what the channel is asked to be, its target" },
	{ STYLE_PLAIN, "On the right stand the values at the cursor; Space begins a span with" },
	{ STYLE_PLAIN, "two cursors, and stats, marks and export are about that span." },
	{ STYLE_PLAIN, "Ctrl-C ends reading, or the program; Ctrl-Z stops it, Ctrl-L draws it again." },
	{ STYLE_PLAIN, "" },
};

#define READING (sizeof reading / sizeof reading[0])

/* Then for each group in order its title, its actions, a blank. */
size_t list_help_rows(const struct view *v)
{
	(void)v;
	return READING + action_count() + 2 * GROUP_COUNT;
}

/* The action of a help row; NULL for a title (*group set) or a blank (GROUP_COUNT). */
static const struct action *help_action(size_t row, enum action_group *group)
{
	size_t at = READING;
	size_t i;
	int g;

	*group = GROUP_COUNT;
	for (g = 0; g < GROUP_COUNT; g++) {
		*group = (enum action_group)g;
		if (at++ == row)
			return NULL;
		for (i = 0; i < action_count(); i++)
			if ((int)action_by_index(i)->group == g && at++ == row)
				return action_by_index(i);
		*group = GROUP_COUNT;
		if (at++ == row)
			return NULL;
	}
	return NULL;
}

enum style list_help_row(struct view *v, size_t i, struct buf *out)
{
	enum action_group group;
	const struct action *a = help_action(i, &group);
	struct buf keys = BUF_INIT;
	struct buf command = BUF_INIT;

	(void)v;
	if (i < READING) {
		buf_puts(out, reading[i].text);
		return reading[i].style;
	}
	if (a == NULL) {
		buf_puts(out, group < GROUP_COUNT ? action_group_title(group) : "");
		return STYLE_TITLE;
	}
	action_keys(a, &keys);
	buf_printf(&command, ":%s", a->name);
	text_pad(out, buf_text(&keys), 14);
	text_pad(out, command.data, command.len < COMMAND_CELLS ? COMMAND_CELLS : command.len);
	buf_printf(out, "%s%s", command.len < COMMAND_CELLS ? "" : " ", a->help);
	if (a->usage[0] != '\0')
		buf_printf(out, " %s", a->usage);
	buf_release(&keys);
	buf_release(&command);
	return STYLE_PLAIN;
}

void list_help_run(struct view *v, size_t i)
{
	enum action_group group;
	const struct action *a = help_action(i, &group);

	if (a == NULL)
		return;
	v->panel = PANEL_NONE;
	a->fn(v, "");
}
