/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Actions on findings. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/path.h"
#include "out/finding_text.h"
#include "view/act.h"
#include "view/findings.h"
#include "view/lanes.h"
#include "view/lists.h"
#include "view/undo.h"
#include "view/where.h"

void act_findings(struct view *v, const char *arg)
{
	(void)arg;
	findings_judge_all(v);
	list_open(v, PANEL_FINDINGS);
}

static void say_finding(struct view *v, struct spot spot, const char *before, const char *behind)
{
	struct buf text = BUF_INIT;

	findings_words(v, spot, &text);
	view_say(v, "%s%s%s", before, text.data, behind);
	buf_release(&text);
}

void findings_go(struct view *v, size_t at)
{
	const struct spot spot = v->spots[at];
	const size_t lane = findings_lane(v, spot);
	double from, to;
	const bool here = where_finding(v, spot.side, findings_get(v, spot), &from, &to);

	if (isnan(from)) {
		view_complain(v, "there is no axis to show it on");
		return;
	}
	view_set_span(v, from, to, 0);
	if (to > v->to)
		view_fit(v);
	if (lane < v->lane_count) {
		lane_show(v, lane, true);
		v->chosen = lane;
		lanes_scroll_to_chosen(v);
	}
	v->spot_at = at;
	say_finding(v, spot, "", here ? "" : "; outside this pull: p shows the whole log");
}

/* ---- stepping ---- */

/* The order that stepping follows: along the axis, then by severity. */
struct place {
	double from;
	size_t at;		/* in view.spots */
};

static int compare_places(struct place a, struct place b)
{
	/* positions went through maps: equal ones differ in their last digits */
	if (fabs(a.from - b.from) > 1e-6)
		return a.from < b.from ? -1 : 1;
	return a.at < b.at ? -1 : a.at > b.at;
}

static struct place place_of(struct view *v, size_t at)
{
	struct place p = { NAN, at };
	double to;

	where_finding(v, v->spots[at].side, findings_get(v, v->spots[at]), &p.from, &to);
	return p;
}

/* Does the span still begin at the finding last gone to? */
static bool stands(struct view *v)
{
	double from, to;

	if (!v->span_on || v->spot_at >= v->spot_count)
		return false;
	view_span(v, &from, &to);
	return fabs(place_of(v, v->spot_at).from - from) <= 1e-6;
}

static void say_wait(struct view *v)
{
	view_say(v, "the checks still run: what they find is shown then");
	v->message_until = UNTIL_JUDGED;
}

static void step_finding(struct view *v, int step)
{
	struct place here = { v->cursor[v->active], step > 0 ? 0 : SIZE_MAX };
	struct place best = { NAN, 0 };
	size_t i;

	if (stands(v))
		here = place_of(v, v->spot_at);
	else if (step > 0)
		here.from -= 2e-6;	/* one right under the cursor is the next */
	for (i = 0; i < v->spot_count; i++) {
		const struct place p = place_of(v, i);

		if (isnan(p.from) || compare_places(p, here) * step <= 0)
			continue;
		if (isnan(best.from) || compare_places(p, best) * step < 0)
			best = p;
	}
	if (!isnan(best.from))
		findings_go(v, best.at);
	else if (findings_are_due(v))
		say_wait(v);
	else if (v->spot_count > 0)
		view_say(v, "no finding %s here; F lists all", step > 0 ? "after" : "before");
	else
		view_say(v, "no findings; F says what was checked");
}

void act_next_finding(struct view *v, const char *arg)
{
	(void)arg;
	findings_judge_all(v);
	step_finding(v, 1);
}

void act_previous_finding(struct view *v, const char *arg)
{
	(void)arg;
	step_finding(v, -1);
}

/* ---- marks ---- */

/* Where it lies, as a mark: on the present axis in its own pull, else by the log's time. */
static void place_mark(struct view *v, struct spot spot, struct mark *mark)
{
	const struct finding *f = findings_get(v, spot);
	double from, to;

	mark->pull = f->pull;
	mark->axis = AXIS_TIME;
	mark->from = f->from_s;
	mark->to = f->to_s;
	mark->channel = f->channel->name;
	if (view_run(v, spot.side)->number != RUN_WHOLE &&
	    where_finding(v, spot.side, f, &from, &to))
		where_make(v, spot.side, from, to, mark);
}

static bool is_there(const struct marks *marks, const struct mark *mark)
{
	size_t i;

	for (i = 0; i < marks->count; i++) {
		const struct mark *m = &marks->list[i];

		if (m->pull == mark->pull && m->axis == mark->axis && m->from == mark->from &&
		    m->to == mark->to && strcmp(m->title, mark->title) == 0)
			return true;
	}
	return false;
}

void findings_mark(struct view *v, size_t at)
{
	const struct spot spot = v->spots[at];
	const size_t source = v->source_of[spot.side];
	struct marks *marks = &v->sources[source].marks;
	struct buf title = BUF_INIT;
	struct buf note = BUF_INIT;
	struct mark mark = { 0 };

	place_mark(v, spot, &mark);
	finding_title(findings_get(v, spot), &title);
	finding_sentence(findings_get(v, spot), v->limits, v->units, false, &note);
	mark.title = title.data;
	mark.note = note.data;
	if (is_there(marks, &mark)) {
		view_say(v, "\"%s\" is a mark already; M lists marks", mark.title);
	} else if (undo_begin(v, source)) {
		marks_add(marks, &mark);
		if (undo_commit(v, source))
			view_say(v, "marked \"%s\", kept in %s; u takes it back", mark.title,
				 marks->path);
	}
	buf_release(&title);
	buf_release(&note);
}

/* The finding meant: the one gone to, else the severest under the cursor, in the lane first. */
static size_t finding_here(struct view *v)
{
	const double at = v->cursor[v->active];
	size_t found = SIZE_MAX;
	double from, to;
	size_t i;

	if (stands(v))
		return v->spot_at;
	for (i = 0; i < v->spot_count; i++) {
		if (!where_finding(v, v->spots[i].side, findings_get(v, v->spots[i]), &from, &to) ||
		    at < from || at > to)
			continue;
		if (findings_lane(v, v->spots[i]) == v->chosen)
			return i;
		if (found == SIZE_MAX)
			found = i;
	}
	return found;
}

void act_mark_finding(struct view *v, const char *arg)
{
	const size_t at = finding_here(v);

	(void)arg;
	if (at == SIZE_MAX && findings_are_due(v))
		say_wait(v);
	else if (at == SIZE_MAX)
		view_say(v, "no finding at the cursor; ) goes to the next, F lists all");
	else
		findings_mark(v, at);
}
