/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Actions on marks. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/path.h"
#include "base/text.h"
#include "view/act.h"
#include "view/lanes.h"
#include "view/lists.h"
#include "view/undo.h"
#include "view/where.h"

/* The draft is complete: into the list, onto the disk. */
static void keep_draft(struct view *v)
{
	struct source *source = &v->sources[v->draft_source];
	const bool fresh = v->draft_at == SIZE_MAX;

	if (!undo_begin(v, v->draft_source))
		return;
	if (!fresh)
		marks_remove(&source->marks, v->draft_at);
	marks_insert(&source->marks, fresh ? source->marks.count : v->draft_at, &v->draft);
	if (undo_commit(v, v->draft_source))
		view_say(v, "%s \"%s\", kept in %s", fresh ? "marked" : "changed", v->draft.title,
			 source->marks.path);
}

static void note_typed(struct view *v, const char *text)
{
	free(v->draft.note);
	v->draft.note = mem_strdup(text);
	keep_draft(v);
}

static void title_typed(struct view *v, const char *text)
{
	free(v->draft.title);
	v->draft.title = mem_strdup(text);
	prompt_open(&v->prompt, "note (Enter for none): ", v->draft.note, note_typed, NULL);
}

static bool begin_draft(struct view *v)
{
	const struct lane *lane = lane_chosen(v);
	struct mark mark = { 0 };
	double from, to;

	if (!v->span_on) {
		view_say(v, "Space begins the span to mark; move its end, then m");
		return false;
	}
	view_span(v, &from, &to);
	if (!where_make(v, v->mark_side, from, to, &mark)) {
		view_complain(v, "%s has nothing between the cursors to mark; b changes sides",
			      v->mark_side == SIDE_A ? "A" : "B");
		return false;
	}
	if (lane != NULL) {
		const struct pair *p = &v->pairs.list[lane->pair];
		const struct channel *ch = v->mark_side == SIDE_A ? p->a : p->b;

		mark.channel = ch == NULL ? NULL : ch->name;
	}
	mark_release(&v->draft);
	v->draft = mark_copy(&mark);
	v->draft_at = SIZE_MAX;
	v->draft_source = v->source_of[v->mark_side];
	return true;
}

void act_mark(struct view *v, const char *arg)
{
	if (!begin_draft(v))
		return;
	if (arg[0] != '\0') {
		free(v->draft.title);
		v->draft.title = mem_strdup(arg);
		keep_draft(v);
		return;
	}
	prompt_open(&v->prompt, v->mark_side == SIDE_A ? "mark in A, title: " : "mark in B, title: ",
		    "", title_typed, NULL);
}

void act_side(struct view *v, const char *arg)
{
	if (!view_has_b(v)) {
		view_say(v, "there is only A");
		return;
	}
	if (text_casecmp(arg, "a") == 0)
		v->mark_side = SIDE_A;
	else if (text_casecmp(arg, "b") == 0)
		v->mark_side = SIDE_B;
	else if (arg[0] != '\0') {
		view_complain(v, "the side is A or B, not '%s'", arg);
		return;
	} else {
		v->mark_side = v->mark_side == SIDE_A ? SIDE_B : SIDE_A;
	}
	view_say(v, "new marks go to %s, %s", v->mark_side == SIDE_A ? "A" : "B",
		 path_basename(view_source(v, v->mark_side)->path));
}

void act_marks(struct view *v, const char *arg)
{
	(void)arg;
	list_open(v, PANEL_MARKS);
}

/* The side that shows the mark now; SIDES when neither does. */
static enum side showing(struct view *v, size_t source, const struct mark *mark, double *from,
			 double *to)
{
	if (where_mark(v, SIDE_A, source, mark, from, to))
		return SIDE_A;
	if (where_mark(v, SIDE_B, source, mark, from, to))
		return SIDE_B;
	return SIDES;
}

void marks_jump(struct view *v, size_t source, size_t at)
{
	const struct mark *mark = &v->sources[source].marks.list[at];
	struct err e = ERR_INIT;
	double from, to;

	if (showing(v, source, mark, &from, &to) == SIDES) {
		const enum side side = view_has_b(v) && v->source_of[SIDE_B] == source ? SIDE_B :
			SIDE_A;

		if (view_choose_pull(v, side, source, mark->pull, &e) != ERR_NONE) {
			view_complain(v, "%s", e.text);
			return;
		}
		if (mark->axis == AXIS_RPM)
			view_set_axis(v, AXIS_RPM);
		if (showing(v, source, mark, &from, &to) == SIDES) {
			view_complain(v, "\"%s\" lies outside this pull", mark->title);
			return;
		}
	}
	view_set_span(v, from, to, 0);
	if (to > v->to)
		view_fit(v);
	v->mark_source = source;
	v->mark_at = at;
	view_say(v, "%s mark %zu of %zu, %s%s%s", path_basename(v->sources[source].path), at + 1,
		 v->sources[source].marks.count, mark->title, mark->note[0] != '\0' ? ": " : "",
		 mark->note);
}

void marks_edit(struct view *v, size_t source, size_t at)
{
	mark_release(&v->draft);
	v->draft = mark_copy(&v->sources[source].marks.list[at]);
	v->draft_at = at;
	v->draft_source = source;
	prompt_open(&v->prompt, "title: ", v->draft.title, title_typed, NULL);
}

void marks_delete(struct view *v, size_t source, size_t at)
{
	if (!undo_begin(v, source))
		return;
	view_say(v, "deleted \"%s\"; u takes it back", v->sources[source].marks.list[at].title);
	marks_remove(&v->sources[source].marks, at);
	undo_commit(v, source);
}

/* The order that stepping follows: along the axis, then by log and number. */
struct place {
	double from;
	size_t source;
	size_t at;
};

static int compare_places(struct place a, struct place b)
{
	/* positions went through maps: equal ones differ in their last digits */
	if (fabs(a.from - b.from) > 1e-6)
		return a.from < b.from ? -1 : 1;
	if (a.source != b.source)
		return a.source < b.source ? -1 : 1;
	return a.at == b.at ? 0 : a.at < b.at ? -1 : 1;
}

/* Where stepping goes on from: the mark last gone to if the span still begins there. */
static struct place standing(struct view *v, int step)
{
	struct place here = { v->cursor[v->active], step > 0 ? SIZE_MAX : 0, 0 };
	double from, to;

	if (!v->span_on)
		return here;
	view_span(v, &here.from, &to);
	if (v->mark_source < v->source_count &&
	    v->mark_at < v->sources[v->mark_source].marks.count &&
	    showing(v, v->mark_source, &v->sources[v->mark_source].marks.list[v->mark_at], &from,
		    &to) != SIDES && fabs(from - here.from) <= 1e-6) {
		here.source = v->mark_source;
		here.at = v->mark_at;
	}
	return here;
}

/* Goes to the next mark on screen in the direction of step. */
static void step_mark(struct view *v, int step)
{
	const struct place here = standing(v, step);
	struct place best = { NAN, 0, 0 };
	struct place p;
	double to;

	for (p.source = 0; p.source < v->source_count; p.source++)
		for (p.at = 0; p.at < v->sources[p.source].marks.count; p.at++) {
			if (showing(v, p.source, &v->sources[p.source].marks.list[p.at], &p.from,
				    &to) == SIDES || compare_places(p, here) * step <= 0)
				continue;
			if (isnan(best.from) || compare_places(p, best) * step < 0)
				best = p;
		}
	if (isnan(best.from))
		view_say(v, "no mark %s here; M lists all marks", step > 0 ? "after" : "before");
	else
		marks_jump(v, best.source, best.at);
}

void act_next_mark(struct view *v, const char *arg)
{
	(void)arg;
	step_mark(v, 1);
}

void act_previous_mark(struct view *v, const char *arg)
{
	(void)arg;
	step_mark(v, -1);
}

void act_undo(struct view *v, const char *arg)
{
	(void)arg;
	if (!undo_last(v))
		view_say(v, "there is no change of marks to take back");
	else if (!v->message_bad)
		view_say(v, "the last change of marks is taken back");
}
