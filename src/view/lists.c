/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The panels that are lists: one table of what their rows are and what keys do there. */
#include "view/lists.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/path.h"
#include "base/text.h"
#include "view/act.h"
#include "view/action.h"
#include "view/key.h"
#include "view/lanes.h"
#include "view/list_findings.h"
#include "view/list_help.h"
#include "view/prompt.h"

/* ---- rows ---- */

static size_t lane_rows(const struct view *v)
{
	return v->lane_count;
}

static enum style lane_row(struct view *v, size_t i, struct buf *out)
{
	const struct lane *lane = &v->lanes[i];
	const struct pair *p = &v->pairs.list[lane->pair];
	const struct channel *ch = pair_channel(p);
	struct buf title = BUF_INIT;

	lane_title(v, lane, &title);
	buf_printf(out, "%s ", lane->shown ? "[x]" : "[ ]");
	text_pad(out, title.data, 28);
	buf_putc(out, ' ');
	text_pad(out, lane_unit(v, lane), 8);
	buf_printf(out, " %s ", p->a == NULL ? "B only" : p->b == NULL ? "A only" : "A B   ");
	buf_puts(out, ch->quantity->id == Q_NONE ? "not recognised" : ch->quantity->title);
	if (ch->derived)
		buf_puts(out, " (derived)");
	buf_release(&title);
	return lane->shown ? STYLE_PLAIN : STYLE_DIM;
}

/* Row i of the pulls: the whole log first, then its pulls, for each source. */
struct pull_row {
	size_t source;
	size_t number;
};

static size_t pull_rows(const struct view *v)
{
	size_t n = 0;
	size_t s;

	for (s = 0; s < v->source_count; s++)
		n += 1 + v->sources[s].loaded.pulls.count;
	return n;
}

static struct pull_row pull_row_at(const struct view *v, size_t i)
{
	struct pull_row row = { 0, i };

	while (row.number > v->sources[row.source].loaded.pulls.count) {
		row.number -= 1 + v->sources[row.source].loaded.pulls.count;
		row.source++;
	}
	return row;
}

static bool is_side(const struct view *v, enum side side, struct pull_row row)
{
	const struct run *run = side == SIDE_A ? &v->overlay.a : &v->overlay.b;

	return run->log != NULL && v->source_of[side] == row.source && run->number == row.number;
}

static void put_weakness(struct buf *out, unsigned weak)
{
	const char *separator = "   ";
	const char *words;
	unsigned bit;

	for (bit = 0; (words = pull_weakness(bit, NULL)) != NULL; bit++)
		if (weak & (1u << bit)) {
			buf_printf(out, "%s%.*s", separator, (int)strcspn(words, ":"), words);
			separator = ", ";
		}
}

static enum style pull_row(struct view *v, size_t i, struct buf *out)
{
	const struct pull_row row = pull_row_at(v, i);
	const struct source *s = &v->sources[row.source];
	const bool a = is_side(v, SIDE_A, row);
	const bool b = is_side(v, SIDE_B, row);
	const struct pull *p;

	buf_printf(out, "%s%s  ", a ? "A" : " ", b ? "B" : " ");
	text_pad(out, path_basename(s->path), 20);
	if (row.number == RUN_WHOLE) {
		buf_printf(out, " whole log, %zu pull%s", s->loaded.pulls.count,
			   s->loaded.pulls.count == 1 ? "" : "s");
	} else {
		p = &s->loaded.pulls.list[row.number - 1];
		buf_printf(out, " @%-3zu", row.number);
		if (p->gear > 0)
			buf_printf(out, " gear %d", p->gear);
		buf_printf(out, " %5.0f to %5.0f rpm %6.2f s at ", p->from_rpm, p->to_rpm,
			   p->to_s - p->from_s);
		datalog_time_text(s->loaded.log, p->from_s, 1, out);
		put_weakness(out, p->weak);
	}
	return a ? STYLE_A : b ? STYLE_B : STYLE_PLAIN;
}

/* Row i of the marks of all sources. */
static size_t mark_rows(const struct view *v)
{
	size_t n = 0;
	size_t s;

	for (s = 0; s < v->source_count; s++)
		n += v->sources[s].marks.count;
	return n;
}

static size_t mark_source(const struct view *v, size_t *i)
{
	size_t s = 0;

	while (*i >= v->sources[s].marks.count)
		*i -= v->sources[s++].marks.count;
	return s;
}

static void put_times(const struct datalog *log, const struct mark *m, struct buf *out)
{
	datalog_time_text(log, m->from, 1, out);
	buf_puts(out, " to ");
	datalog_time_text(log, m->to, 1, out);
	buf_puts(out, log->time_of_day ? "  " : " s  ");
}

static enum style mark_row(struct view *v, size_t i, struct buf *out)
{
	const size_t s = mark_source(v, &i);
	const struct mark *m = &v->sources[s].marks.list[i];

	buf_printf(out, "%2zu  ", i + 1);
	text_pad(out, path_basename(v->sources[s].path), 18);
	if (m->pull == 0)
		buf_puts(out, "       ");
	else
		buf_printf(out, " @%-5zu", m->pull);
	if (m->axis == AXIS_RPM)
		buf_printf(out, "%6.0f to %6.0f rpm  ", m->from, m->to);
	else
		put_times(v->sources[s].loaded.log, m, out);
	buf_puts(out, m->title);
	if (m->note[0] != '\0')
		buf_printf(out, ": %s", m->note);
	return STYLE_MARK;
}

/* ---- keys ---- */

static void lane_toggle(struct view *v, size_t i)
{
	if (v->lanes[i].delta)
		lane_toggle_delta(v, i);
	else
		lane_show(v, i, !v->lanes[i].shown);
}

static void lane_go(struct view *v, size_t i)
{
	lane_show(v, i, true);
	v->chosen = i;
	lanes_scroll_to_chosen(v);
	v->panel = PANEL_NONE;
}

static size_t underlying(struct view *v, size_t n);

/* Before or behind the next row that is let through, which others may lie between. */
static void lane_to_row(struct view *v, size_t lane, size_t row)
{
	const size_t to = underlying(v, row);

	if (to >= v->lane_count)
		return;
	lane_put(v, lane, to);
	v->list.selected = row;
}

static void lane_before(struct view *v, size_t i)
{
	if (v->list.selected > 0)
		lane_to_row(v, i, v->list.selected - 1);
}

static void lane_after(struct view *v, size_t i)
{
	lane_to_row(v, i, v->list.selected + 1);
}

static void pull_choose(struct view *v, enum side side, size_t i)
{
	const struct pull_row row = pull_row_at(v, i);
	struct err e = ERR_INIT;

	if (view_choose_pull(v, side, row.source, row.number, &e) != ERR_NONE)
		view_complain(v, "%s", e.text);
}

static void pull_as_a(struct view *v, size_t i)
{
	pull_choose(v, SIDE_A, i);
}

static void pull_as_b(struct view *v, size_t i)
{
	pull_choose(v, SIDE_B, i);
	v->mark_side = SIDE_B;
}

/* Enter: the pull alone where there is no B yet, as B where there is one. */
static void pull_go(struct view *v, size_t i)
{
	pull_choose(v, view_has_b(v) ? SIDE_B : SIDE_A, i);
	v->panel = PANEL_NONE;
}

static void mark_go(struct view *v, size_t i)
{
	const size_t s = mark_source(v, &i);

	v->panel = PANEL_NONE;
	marks_jump(v, s, i);
}

static void mark_edit(struct view *v, size_t i)
{
	const size_t s = mark_source(v, &i);

	marks_edit(v, s, i);
}

static void mark_delete(struct view *v, size_t i)
{
	const size_t s = mark_source(v, &i);

	marks_delete(v, s, i);
}

static void mark_undo(struct view *v, size_t i)
{
	(void)i;
	act_undo(v, "");
}

typedef void (*row_fn)(struct view *v, size_t i);

struct row_key {
	uint32_t key;
	row_fn fn;
	bool without_row;	/* also where the list is empty */
};

#define MOST_KEYS 6

static const struct kind {
	const char *title;
	const char *keys;
	const char *empty;	/* said where there are no rows */
	size_t (*rows)(const struct view *v);
	enum style (*row)(struct view *v, size_t i, struct buf *out);
	struct row_key on[MOST_KEYS];
	void (*more)(struct view *v, size_t i, struct buf *out);	/* with a caution only */
	const char *(*caution)(const struct view *v);
} kinds[] = {
	[PANEL_LANES] = { "Channels", "Space show or hide  Enter go to  K J order  / find  Esc back",
			  "no channel has these words; Esc shows all",
			  lane_rows, lane_row,
			  { { ' ', lane_toggle, false }, { KEY_RETURN, lane_go, false },
			    { 'K', lane_before, false }, { 'J', lane_after, false } } },
	[PANEL_PULLS] = { "Pulls", "a as A  b as B  Enter choose and go back  Esc back", "no pulls",
			  pull_rows, pull_row,
			  { { 'a', pull_as_a, false }, { 'b', pull_as_b, false },
			    { KEY_RETURN, pull_go, false } } },
	[PANEL_MARKS] = { "Marks", "Enter go to  e change  d delete  u undo  / find  Esc back",
			  "no marks: Esc, then Space begins a span and m marks it",
			  mark_rows, mark_row,
			  { { KEY_RETURN, mark_go, false }, { 'e', mark_edit, false },
			    { 'd', mark_delete, false }, { KEY_DELETE, mark_delete, false },
			    { 'u', mark_undo, true } } },
	[PANEL_FINDINGS] = { "Findings", "Enter go to  ! make it a mark  / find  Esc back",
			     "nothing has these words; Esc shows all",
			     list_finding_rows, list_finding_row,
			     { { KEY_RETURN, list_finding_go, false },
			       { '!', list_finding_mark, false }, { 'u', mark_undo, true } },
			     list_finding_more, list_finding_caution },
	[PANEL_HELP] = { "Help", "Up Down PgUp PgDn read  / find  Enter do it  Esc back",
			 "nothing has these words; Esc shows all",
			 list_help_rows, list_help_row, { { KEY_RETURN, list_help_run, false } } },
};

void list_find(struct view *v, const char *words)
{
	free(v->list.filter);
	v->list.filter = mem_strdup(words);
	v->list.selected = v->list.top = 0;
}

void list_open(struct view *v, enum panel panel)
{
	v->panel = v->panel == panel ? PANEL_NONE : panel;
	v->list.selected = v->list.top = 0;
	v->list.filter[0] = '\0';
	if (panel == PANEL_LANES && v->chosen < v->lane_count)
		v->list.selected = v->chosen;
	if (panel == PANEL_FINDINGS)
		v->list.selected = list_finding_first(v);
}

const char *list_title(const struct view *v)
{
	return kinds[v->panel].title;
}

const char *list_empty(const struct view *v)
{
	return kinds[v->panel].empty;
}

const char *list_keys(const struct view *v)
{
	return kinds[v->panel].keys;
}

static bool passes(struct view *v, size_t i)
{
	struct buf text = BUF_INIT;
	bool ok;

	if (v->list.filter[0] == '\0')
		return true;
	kinds[v->panel].row(v, i, &text);
	ok = text_matches(buf_text(&text), v->list.filter);
	buf_release(&text);
	return ok;
}

size_t list_count(struct view *v)
{
	const size_t rows = kinds[v->panel].rows(v);
	size_t n = 0;
	size_t i;

	for (i = 0; i < rows; i++)
		n += passes(v, i);
	return n;
}

/* The underlying row of the n-th that the filter lets through. */
static size_t underlying(struct view *v, size_t n)
{
	const size_t rows = kinds[v->panel].rows(v);
	size_t i;

	for (i = 0; i < rows; i++)
		if (passes(v, i) && n-- == 0)
			return i;
	return rows;
}

enum style list_row(struct view *v, size_t i, struct buf *out)
{
	return kinds[v->panel].row(v, underlying(v, i), out);
}

void list_more(struct view *v, struct buf *out)
{
	const struct kind *kind = &kinds[v->panel];

	if (kind->more != NULL && v->list.selected < list_count(v))
		kind->more(v, underlying(v, v->list.selected), out);
}

const char *list_caution(const struct view *v)
{
	return kinds[v->panel].caution == NULL ? NULL : kinds[v->panel].caution(v);
}

static void select_row(struct view *v, long step)
{
	const long count = (long)list_count(v);
	long to = (long)v->list.selected + step;

	to = to >= count ? count - 1 : to;
	v->list.selected = (size_t)(to < 0 ? 0 : to);
}

/* Moving about, the same in every list. */
static bool moves(struct view *v, uint32_t key)
{
	const long page = v->rows - 8;
	static const struct {
		uint32_t key;
		int lines;	/* 0: a page, by the sign of pages */
		int pages;
	} steps[] = {
		{ KEY_UP_ARROW, -1, 0 }, { 'k', -1, 0 }, { KEY_DOWN_ARROW, 1, 0 }, { 'j', 1, 0 },
		{ KEY_PAGE_UP, 0, -1 }, { KEY_PAGE_DOWN, 0, 1 },
		{ KEY_HOME_KEY, 0, -1000 }, { KEY_END_KEY, 0, 1000 },
	};
	size_t i;

	for (i = 0; i < sizeof steps / sizeof steps[0]; i++)
		if (steps[i].key == key) {
			select_row(v, steps[i].lines + steps[i].pages * page);
			return true;
		}
	return false;
}

bool list_key(struct view *v, uint32_t key)
{
	const struct kind *kind = &kinds[v->panel];
	size_t i;

	if (moves(v, key))
		return true;
	if (key == '/') {
		prompt_open(&v->prompt, "show only rows with: ", v->list.filter, list_find, NULL);
		return true;
	}
	if (key == KEY_ESCAPE || key == 'q') {
		if (v->list.filter[0] != '\0')
			list_find(v, "");
		else
			v->panel = PANEL_NONE;
		return true;
	}
	for (i = 0; i < MOST_KEYS && kind->on[i].fn != NULL; i++)
		if (kind->on[i].key == key) {
			if (kind->on[i].without_row || v->list.selected < list_count(v))
				kind->on[i].fn(v, underlying(v, v->list.selected));
			return true;
		}
	/* another list, a command, help: the way there stays open */
	if (key == '?' || key == ':' || key == 'c' || key == 'p' || key == 'M' ||
	    key == 'F')
		return false;
	return key != KEY_INTERRUPT;
}
