/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Newer states of logs that come bit by bit. */
#include "view/refresh.h"

#include <math.h>
#include <stdlib.h>

#include "view/findings.h"
#include "view/lanes.h"

#define PAST_S 10.0		/* behind its end a pull has been told of for long enough */

/* ---- which run ---- */

/* A log alone that is seen whole stays so. */
static bool is_whole_alone(const struct view *v, const struct run *run)
{
	return run->number == RUN_WHOLE && !view_has_b(v);
}

static size_t choose_number(struct view *v, enum side side, const struct loaded *l, bool anew)
{
	const struct source *s = view_source(v, side);
	const struct run *run = view_run(v, side);

	if (is_whole_alone(v, run))
		return RUN_WHOLE;
	if (s->coming == COMING_LIVE && (anew || v->program_chose[side]))
		return l->pulls.count;
	if (v->program_chose[side] && (v->greeting || run->number == RUN_WHOLE))
		return pull_best(&l->pulls);
	return run->number <= l->pulls.count ? run->number : RUN_WHOLE;
}

/* The runs of the sides that come from the source; all or none. */
static enum err_code make_runs(struct view *v, size_t source, const struct loaded *l, bool anew,
			       struct run runs[SIDES], struct err *e)
{
	enum err_code code = ERR_NONE;
	int side;

	for (side = 0; side < SIDES && code == ERR_NONE; side++) {
		runs[side] = (struct run){ 0 };
		if (view_run(v, (enum side)side)->log == NULL || v->source_of[side] != source)
			continue;
		code = run_init(&runs[side], l->log, &l->pulls,
				choose_number(v, (enum side)side, l, anew), e);
	}
	while (code != ERR_NONE && side-- > 0)
		run_release(&runs[side]);
	return code;
}

/* ---- where one was ---- */

struct place {
	enum axis_kind axis;
	struct instant cursor[2];
	struct instant from;
	struct instant to;
	bool same_runs;		/* instants mean the same as before */
	bool all;		/* the whole axis was on screen */
	bool at_end;		/* the only cursor stood at the end */
};

static struct place keep_place(struct view *v)
{
	struct place p = { .axis = v->overlay.axis, .same_runs = true };
	double low, high;
	int i;

	overlay_range(&v->overlay, false, &low, &high);
	for (i = 0; i < 2; i++)
		p.cursor[i] = view_instant(v, v->cursor[i]);
	p.from = view_instant(v, v->from);
	p.to = view_instant(v, v->to);
	p.all = v->from <= low && v->to >= high;
	p.at_end = !v->span_on && v->cursor[v->active] >= high;
	return p;
}

/* Positions of an engine-speed axis stay as they are; on the time axis instants do. */
static double back(struct view *v, const struct place *p, struct instant at, double before)
{
	const double position = p->axis == AXIS_TIME && p->same_runs ? view_position(v, at) : NAN;

	return isnan(position) ? before : position;
}

static void return_to(struct view *v, const struct place *p)
{
	const double from = back(v, p, p->from, v->from);
	const double to = back(v, p, p->to, v->to);
	int i;

	for (i = 0; i < 2; i++)
		v->cursor[i] = back(v, p, p->cursor[i], v->cursor[i]);
	view_fit(v);
	if (!p->all && to > from) {
		v->from = from;
		v->to = to;
	}
	view_clamp(v);
}

static bool is_live_alone(const struct view *v)
{
	return v->sources[0].coming == COMING_LIVE && is_whole_alone(v, &v->overlay.a) &&
	       v->overlay.axis == AXIS_TIME;
}

/* The end of the log at the right edge, `width` s before it, and the cursor on it. */
static void go_to_end(struct view *v, double width)
{
	view_fit(v);
	v->from = fmax(v->from, v->to - width);
	v->cursor[0] = v->cursor[1] = v->to;
	v->active = 0;
	v->span_on = false;
}

void view_go_live(struct view *v)
{
	if (is_live_alone(v))
		go_to_end(v, LIVE_WIDTH);
}

/* ---- refreshing ---- */

/* A pull that has begun, which takes the place of the one on screen unless that was chosen. */
static void say_pull(struct view *v, size_t source, size_t count)
{
	const struct pull *last = &v->sources[source].loaded.pulls.list[count - 1];
	int side;

	if (is_live_alone(v)) {
		view_say(v, "pull %zu: %.0f-%.0f rpm in %.1f s; p lists the pulls", count,
			 last->from_rpm, last->to_rpm, last->to_s - last->from_s);
		v->message_until = UNTIL_PULL_IS_PAST;
		return;
	}
	for (side = 0; side < SIDES; side++)
		if (v->source_of[side] == source && view_run(v, (enum side)side)->number == count) {
			view_say(v, "%c is now pull %zu, the newest; p lists the pulls",
				 'A' + side, count);
			return;
		}
	view_say(v, "pull %zu has come; p lists the pulls", count);
}

/* It may have gone on; what was found in it is said where it was told of. */
static void say_pull_on(struct view *v)
{
	const struct pulls *pulls = &v->sources[0].loaded.pulls;

	if (is_live_alone(v) && pulls->count > 0 &&
	    v->overlay.a.pull.to_s - pulls->list[pulls->count - 1].to_s < PAST_S)
		say_pull(v, 0, pulls->count);
	else
		view_hush(v);
}

static void say_news(struct view *v, size_t source, size_t pulls_before, bool anew)
{
	const struct source *s = &v->sources[source];
	const size_t pulls = s->loaded.pulls.count;

	if (anew)
		view_say(v, "another log has begun");
	else if (s->coming == COMING_LIVE && pulls > pulls_before)
		say_pull(v, source, pulls);
	else if (v->message_until == UNTIL_PULL_IS_PAST)
		say_pull_on(v);
}

/* All of it as at the start, with what is known now. */
static void open_afresh(struct view *v)
{
	if (!is_live_alone(v))
		view_hush(v);	/* it was about less than is known now */
	view_open_window(v, v->wanted_axis);
	view_go_live(v);
	if (!v->lanes_named && lanes_build(v, NULL, NULL) == ERR_NONE)
		findings_show_lanes(v);
}

static void stay(struct view *v, const struct place *p)
{
	const bool whole = is_whole_alone(v, &v->overlay.a) && v->overlay.axis == AXIS_TIME;
	const double width = !p->all ? v->to - v->from : is_live_alone(v) ? LIVE_WIDTH : INFINITY;

	if (!overlay_align(&v->overlay) || !view_has_axis(v, p->axis))
		view_open_window(v, v->wanted_axis);
	else if (p->at_end && whole)
		go_to_end(v, width);
	else
		return_to(v, p);
}

enum err_code view_refresh(struct view *v, size_t source, struct loaded *l, bool anew,
			   struct err *e)
{
	struct loaded old = v->sources[source].loaded;
	struct place place = keep_place(v);
	struct run runs[SIDES];
	enum err_code code = make_runs(v, source, l, anew, runs, e);
	int side;

	if (code != ERR_NONE)
		return code;
	for (side = 0; side < SIDES; side++) {
		struct run *run = view_run(v, (enum side)side);

		if (runs[side].log == NULL)
			continue;
		place.same_runs = place.same_runs && run->number == runs[side].number;
		/* what was chosen in a log that is gone is nobody's choice in this one */
		v->program_chose[side] = v->program_chose[side] ||
			(anew && v->sources[source].coming == COMING_LIVE);
		run_release(run);
		*run = runs[side];
	}
	v->sources[source].loaded = *l;
	v->judge_all = false;	/* it would be judged over and over */
	*l = (struct loaded)LOADED_INIT;
	lanes_refresh(v, place.same_runs && !anew);
	if (v->greeting || anew) {
		findings_judge(v);
		open_afresh(v);
	} else {
		stay(v, &place);
		findings_judge(v);
	}
	say_news(v, source, old.pulls.count, anew);
	loaded_release(&old);
	return ERR_NONE;
}

/* ---- what is still to come ---- */

void view_coming(struct view *v, size_t source, enum coming coming, double share)
{
	const bool waited = findings_wait(v);

	v->sources[source].coming = coming;
	v->sources[source].share = share;
	if (waited && !findings_wait(v))
		findings_judge(v);
}

void view_remark(struct view *v, size_t source, const char *words)
{
	v->sources[source].remark = words;
}

void view_silence(struct view *v, size_t source, double s)
{
	v->sources[source].silent_s = s;
}

static void put_live(double silent_s, struct buf *out)
{
	buf_puts(out, "live");
	if (silent_s >= 60.0)
		buf_printf(out, ", silent for %.0f min", silent_s / 60.0);
	else if (silent_s > 0.0)
		buf_printf(out, ", silent for %.0f s", silent_s);
}

void view_coming_text(const struct view *v, struct buf *out)
{
	double least = NAN;
	bool reads = false;
	const struct source *live = NULL;
	size_t i;

	for (i = 0; i < v->source_count; i++) {
		if (v->sources[i].remark != NULL) {
			buf_puts(out, v->sources[i].remark);
			return;
		}
		if (v->sources[i].coming == COMING_LIVE)
			live = &v->sources[i];
		if (v->sources[i].coming != COMING_REST)
			continue;
		reads = true;
		least = fmin(least, v->sources[i].share);	/* passes over NaN */
	}
	if (reads && !isnan(least))
		buf_printf(out, "reading %.0f %%", floor(100.0 * least));
	else if (reads)
		buf_puts(out, "reading");
	else if (live != NULL)
		put_live(live->silent_s, out);
}
