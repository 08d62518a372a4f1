/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The action table, and running what it says. */
#include "view/action.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "view/act.h"
#include "view/key.h"
#include "view/lists.h"

static const char *const group_titles[GROUP_COUNT] = {
	[GROUP_CURSOR] = "Cursors and span",
	[GROUP_AXIS] = "Axis and window",
	[GROUP_LANES] = "Lanes",
	[GROUP_PULLS] = "Pulls",
	[GROUP_NUMBERS] = "Numbers",
	[GROUP_FINDINGS] = "Findings",
	[GROUP_MARKS] = "Marks",
	[GROUP_PROGRAM] = "Program",
};

#define NO_ARG ARG_NONE, NULL, ""

static const struct action actions[] = {
	{ "left", "<Left> h", GROUP_CURSOR, "move the cursor one column left",
	  act_left, NO_ARG },
	{ "right", "<Right> l", GROUP_CURSOR, "move the cursor one column right",
	  act_right, NO_ARG },
	{ "far-left", "<S-Left> H", GROUP_CURSOR, "move the cursor a tenth of the screen left",
	  act_far_left, NO_ARG },
	{ "far-right", "<S-Right> L", GROUP_CURSOR, "move the cursor a tenth of the screen right",
	  act_far_right, NO_ARG },
	{ "first", "<Home>", GROUP_CURSOR, "move the cursor to the beginning", act_first, NO_ARG },
	{ "last", "<End>", GROUP_CURSOR, "move the cursor to the end", act_last, NO_ARG },
	{ "other", "<Tab>", GROUP_CURSOR, "take the other cursor", act_other, NO_ARG },
	{ "begin", "<Space>", GROUP_CURSOR, "begin a new span at the cursor; then move its end",
	  act_begin, NO_ARG },
	{ "drop", "<Esc>", GROUP_CURSOR, "drop the span: one cursor again; or close a panel",
	  act_drop, NO_ARG },
	{ "goto", "g", GROUP_CURSOR, "move the cursor to a position", act_goto, ARG_POSITION, NULL,
	  "POSITION" },
	{ "span", "", GROUP_CURSOR, "set both cursors", act_span, ARG_POSITION, NULL, "FROM:TO" },
	{ "highest", ">", GROUP_CURSOR, "move to the highest value of the lane, in A or B",
	  act_highest, ARG_WORD, "A B", "[A|B]" },
	{ "lowest", "<lt>", GROUP_CURSOR, "move to the lowest value of the lane, in A or B",
	  act_lowest, ARG_WORD, "A B", "[A|B]" },
	{ "apart", "=", GROUP_CURSOR, "move to where A and B of the lane differ most", act_apart,
	  NO_ARG },

	{ "axis", "x", GROUP_AXIS, "change the axis: engine speed or time", act_axis, ARG_WORD,
	  "rpm time", "[rpm|time]" },
	{ "closer", "+ i", GROUP_AXIS, "zoom in around the cursor", act_closer, NO_ARG },
	{ "wider", "- o", GROUP_AXIS, "zoom out", act_wider, NO_ARG },
	{ "fit", "f 0", GROUP_AXIS, "the whole pull on screen", act_fit, NO_ARG },
	{ "zoom-span", "z", GROUP_AXIS, "zoom to the span between the cursors", act_zoom_span,
	  NO_ARG },
	{ "scroll-left", "[", GROUP_AXIS, "half a screen to the left", act_scroll_left, NO_ARG },
	{ "scroll-right", "]", GROUP_AXIS, "half a screen to the right", act_scroll_right, NO_ARG },
	{ "align", "a", GROUP_AXIS, "set where time is 0, and go to the time axis",
	  act_align, ARG_WORD, "crossing start match clock", "[WAY|RPM]" },
	{ "earlier", ",", GROUP_AXIS, "shift B a little to the left (time axis)", act_earlier,
	  NO_ARG },
	{ "later", ".", GROUP_AXIS, "shift B a little to the right (time axis)", act_later, NO_ARG },
	{ "nudge", "", GROUP_AXIS, "shift B by seconds; 0 takes it back", act_nudge, ARG_POSITION,
	  NULL, "SECONDS" },

	{ "up", "<Up> k", GROUP_LANES, "choose the lane above", act_up, NO_ARG },
	{ "down", "<Down> j", GROUP_LANES, "choose the lane below", act_down, NO_ARG },
	{ "lanes", "c", GROUP_LANES, "list of all channels: show, hide, order, find", act_lanes,
	  NO_ARG },
	{ "search", "/", GROUP_LANES, "find a channel by name and show it", act_search,
	  ARG_CHANNEL, NULL, "[NAME]" },
	{ "lane", "", GROUP_LANES, "choose a lane by name, shown if hidden", act_lane, ARG_CHANNEL,
	  NULL, "NAME" },
	{ "hide", "<Del> X", GROUP_LANES, "hide the lane", act_hide, ARG_CHANNEL, NULL, "[NAME]" },
	{ "show", "", GROUP_LANES, "show a lane", act_show, ARG_CHANNEL, NULL, "NAME" },
	{ "only", "", GROUP_LANES, "show these lanes and no others", act_only, ARG_CHANNEL, NULL,
	  "NAME,NAME,..." },
	{ "raise", "K", GROUP_LANES, "move the lane up", act_raise, NO_ARG },
	{ "lower", "J", GROUP_LANES, "move the lane down", act_lower, NO_ARG },
	{ "taller", "t", GROUP_LANES, "make the lane taller", act_taller, NO_ARG },
	{ "shorter", "T", GROUP_LANES, "make the lane shorter", act_shorter, NO_ARG },
	{ "even", "e", GROUP_LANES, "all lanes of even height again", act_even, NO_ARG },
	{ "scale", "y", GROUP_LANES, "fit the lane's scale to the screen; again: to all",
	  act_scale, ARG_POSITION, NULL, "[LOW:HIGH]" },
	{ "delta", "d", GROUP_LANES, "a lane of B-A below the lane, on or off", act_delta, NO_ARG },

	{ "pulls", "p", GROUP_PULLS, "list of pulls: choose which is A and which is B", act_pulls,
	  NO_ARG },
	{ "enter", "<Enter>", GROUP_PULLS, "in a whole log: show the pull at the cursor",
	  act_enter, NO_ARG },
	{ "next-pull", "P", GROUP_PULLS, "the next pull of the log as B (or A if alone)",
	  act_next_pull, NO_ARG },
	{ "swap", "w", GROUP_PULLS, "exchange A and B", act_swap, NO_ARG },

	{ "stats", "s", GROUP_NUMBERS, "statistics of the span for the lane, on or off", act_stats,
	  NO_ARG },
	{ "values", "v", GROUP_NUMBERS, "all values at both cursors, on or off", act_values,
	  NO_ARG },
	{ "spool", "r", GROUP_NUMBERS, "how A and B spool: where boost gets to, on or off",
	  act_spool, NO_ARG },
	{ "export", "E", GROUP_NUMBERS, "write the shown channels of the span as CSV", act_export,
	  ARG_TEXT, NULL, "[FILE]" },
	{ "picture", "S", GROUP_NUMBERS, "write this screen as text", act_picture, ARG_TEXT, NULL,
	  "[FILE]" },

	{ "findings", "F", GROUP_FINDINGS, "list of findings, and of checks that did not run",
	  act_findings, NO_ARG },
	{ "next-finding", ")", GROUP_FINDINGS, "go to the next finding along the axis",
	  act_next_finding, NO_ARG },
	{ "previous-finding", "(", GROUP_FINDINGS, "go to the finding before", act_previous_finding,
	  NO_ARG },
	{ "mark-finding", "!", GROUP_FINDINGS, "make the finding at the cursor a mark",
	  act_mark_finding, NO_ARG },

	{ "mark", "m", GROUP_MARKS, "mark the span: a title, then a note", act_mark, ARG_TEXT,
	  NULL, "[TITLE]" },
	{ "side", "b", GROUP_MARKS, "whose marks `mark` adds to: A or B", act_side, ARG_WORD,
	  "A B", "[A|B]" },
	{ "marks", "M", GROUP_MARKS, "list of marks: go to, change, delete", act_marks, NO_ARG },
	{ "next-mark", "n", GROUP_MARKS, "go to the next mark", act_next_mark, NO_ARG },
	{ "previous-mark", "N", GROUP_MARKS, "go to the mark before", act_previous_mark, NO_ARG },
	{ "undo", "u", GROUP_MARKS, "take back the last change of marks", act_undo, NO_ARG },

	{ "help", "?", GROUP_PROGRAM, "this help", act_help, NO_ARG },
	{ "command", ":", GROUP_PROGRAM, "type a command; Tab completes, Up recalls", act_command,
	  NO_ARG },
	{ "quit", "q <C-c>", GROUP_PROGRAM, "leave; marks are already saved", act_quit, NO_ARG },
};

#define ACTIONS (sizeof actions / sizeof actions[0])

size_t action_count(void)
{
	return ACTIONS;
}

const struct action *action_by_index(size_t i)
{
	return i < ACTIONS ? &actions[i] : NULL;
}

const struct action *action_by_name(const char *name)
{
	size_t i;

	for (i = 0; i < ACTIONS; i++)
		if (strcmp(actions[i].name, name) == 0)
			return &actions[i];
	return NULL;
}

const char *action_group_title(enum action_group g)
{
	return group_titles[g];
}

/* Is this one of the keys of an action? */
static bool has_key(const struct action *a, uint32_t key)
{
	const char *p = a->keys;
	uint32_t k;

	while (*p != '\0') {
		if (*p == ' ') {
			p++;
			continue;
		}
		if (key_parse(&p, &k, NULL) != ERR_NONE)
			return false;
		if (k == key)
			return true;
	}
	return false;
}

void action_keys(const struct action *a, struct buf *out)
{
	const char *p = a->keys;
	uint32_t k;

	while (*p != '\0') {
		if (*p == ' ') {
			buf_putc(out, *p++);
			continue;
		}
		if (key_parse(&p, &k, NULL) != ERR_NONE)
			return;
		key_show(out, k);
	}
}

void action_key(struct view *v, uint32_t key)
{
	struct buf name = BUF_INIT;
	size_t i;

	if (key == KEY_ESCAPE && v->panel != PANEL_NONE) {
		v->panel = PANEL_NONE;
		return;
	}
	for (i = 0; i < ACTIONS; i++)
		if (has_key(&actions[i], key)) {
			actions[i].fn(v, "");
			return;
		}
	key_show(&name, key);
	view_say(v, "%s does nothing here; ? shows the keys", buf_text(&name));
	buf_release(&name);
}

/* The action that a word means: its name, or the only one that begins so. */
static const struct action *find_command(struct view *v, const char *word, size_t n)
{
	const struct action *found = NULL;
	size_t i;

	for (i = 0; i < ACTIONS; i++) {
		if (strncmp(actions[i].name, word, n) != 0)
			continue;
		if (actions[i].name[n] == '\0')
			return &actions[i];
		if (found != NULL) {
			view_complain(v, ":%.*s could be :%s or :%s", (int)n, word, found->name,
				      actions[i].name);
			return NULL;
		}
		found = &actions[i];
	}
	if (found == NULL)
		view_complain(v, "there is no command :%.*s; Tab lists them, ? explains them",
			      (int)n, word);
	return found;
}

void action_command(struct view *v, const char *line)
{
	const struct action *a;
	size_t n;

	line += strspn(line, " :");
	n = strcspn(line, " ");
	if (n == 0)
		return;
	a = find_command(v, line, n);
	if (a != NULL)
		a->fn(v, line + n + strspn(line + n, " "));
}

static void complete_channels(struct view *v, const char *begun, struct buf *out)
{
	size_t i;

	for (i = 0; i < v->pairs.count; i++) {
		const char *name = pair_channel(&v->pairs.list[i])->name;

		if (text_matches(name, begun))
			buf_printf(out, "%s\n", name);
	}
}

static void complete_words(const char *words, const char *begun, struct buf *out)
{
	while (*words != '\0') {
		const size_t n = strcspn(words, " ");

		if (strncmp(words, begun, strlen(begun)) == 0)
			buf_printf(out, "%.*s\n", (int)n, words);
		words += n + (words[n] == ' ');
	}
}

size_t action_complete(struct view *v, const char *line, struct buf *out)
{
	const char *blank = strchr(line, ' ');
	const struct action *a;
	char *name;
	size_t i;

	if (blank == NULL) {
		for (i = 0; i < ACTIONS; i++)
			if (strncmp(actions[i].name, line, strlen(line)) == 0)
				buf_printf(out, "%s\n", actions[i].name);
		return 0;
	}
	name = mem_strndup(line, (size_t)(blank - line));
	a = action_by_name(name);
	free(name);
	if (a != NULL && a->arg == ARG_CHANNEL)
		complete_channels(v, blank + 1, out);
	else if (a != NULL && a->arg == ARG_WORD)
		complete_words(a->words, blank + 1, out);
	return (size_t)(blank + 1 - line);
}

void view_key(struct view *v, uint32_t key)
{
	view_hush(v);
	v->greeting = false;
	if (v->prompt.open)
		prompt_key(v, &v->prompt, key);
	else if (v->panel < PANEL_LANES || !list_key(v, key))
		action_key(v, key);
}

enum err_code view_play(struct view *v, const char *script, struct err *e)
{
	uint32_t key;

	while (*script != '\0' && !v->quit) {
		const enum err_code code = key_parse(&script, &key, e);

		if (code != ERR_NONE)
			return code;
		view_key(v, key);
	}
	return ERR_NONE;
}

/*
 * One mdoc(7) line's text: a backslash, a leading point and a hyphen are escaped,
 * and short words kept from being read as macros.
 */
static void put_roff(struct buf *out, const char *s)
{
	bool word = true;	/* at the start of a word */

	for (; *s != '\0'; s++) {
		if (word && (strcspn(s, " ") <= 3 || *s == '.' || *s == '\''))
			buf_puts(out, "\\&");
		if (*s == '\\')
			buf_puts(out, "\\e");
		else if (*s == '-')
			buf_puts(out, "\\-");
		else
			buf_putc(out, *s);
		word = *s == ' ';
	}
}

static void put_entry(struct buf *out, const struct action *a)
{
	struct buf head = BUF_INIT;

	action_keys(a, &head);
	buf_printf(&head, "%s:%s%s%s", head.len > 0 ? "  " : "", a->name,
		   a->usage[0] != '\0' ? " " : "", a->usage);
	buf_puts(out, ".It ");
	put_roff(out, head.data);
	buf_putc(out, '\n');
	put_roff(out, a->help);
	buf_puts(out, ".\n");
	buf_release(&head);
}

void action_manual(struct buf *out)
{
	int g;
	size_t i;

	for (g = 0; g < GROUP_COUNT; g++) {
		buf_printf(out, ".Ss %s\n.Bl -tag -width Ds -compact\n", group_titles[g]);
		for (i = 0; i < ACTIONS; i++)
			if ((int)actions[i].group == g)
				put_entry(out, &actions[i]);
		buf_puts(out, ".El\n");
	}
}
