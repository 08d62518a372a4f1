/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The state of the viewer: making it, its runs, axis, window and cursors. */
#include "view/state.h"

#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/path.h"
#include "view/findings.h"
#include "view/lanes.h"
#include "view/refresh.h"
#include "view/undo.h"

struct run *view_run(struct view *v, enum side side)
{
	return side == SIDE_A ? &v->overlay.a : &v->overlay.b;
}

struct source *view_source(struct view *v, enum side side)
{
	return &v->sources[v->source_of[side]];
}

bool view_has_b(const struct view *v)
{
	return overlay_has_b(&v->overlay);
}

static void set_message(struct view *v, bool bad, const char *format, va_list args)
{
	char text[1024];

	vsnprintf(text, sizeof text, format, args);
	free(v->message);
	v->message = mem_strdup(text);
	v->message_bad = bad;
	v->message_until = UNTIL_KEY;
}

void view_hush(struct view *v)
{
	free(v->message);
	v->message = NULL;
	v->message_bad = false;
	v->message_until = UNTIL_KEY;
}

void view_say(struct view *v, const char *format, ...)
{
	va_list args;

	va_start(args, format);
	set_message(v, false, format, args);
	va_end(args);
}

void view_complain(struct view *v, const char *format, ...)
{
	va_list args;

	va_start(args, format);
	set_message(v, true, format, args);
	va_end(args);
}

/* ---- window and cursors ---- */

void view_fit(struct view *v)
{
	overlay_range(&v->overlay, false, &v->from, &v->to);
	if (isnan(v->from) || !(v->to > v->from)) {
		v->from = isnan(v->from) ? 0.0 : v->from;
		v->to = v->from + 1.0;
	}
}

bool view_window(struct view *v, double from, double to)
{
	view_fit(v);
	if (from >= v->to || to <= v->from || from >= to)
		return false;
	v->from = fmax(v->from, from);	/* both pass over NaN */
	v->to = fmin(v->to, to);
	return true;
}

/* Over a whole log that has pulls: from where to where the widest is. */
static bool find_widest(struct view *v, double *low, double *high)
{
	const struct run *run = &v->overlay.a;
	const struct pulls *pulls = &view_source(v, SIDE_A)->loaded.pulls;
	const size_t widest = pull_best(pulls);

	if (widest == 0 || run->number != RUN_WHOLE || view_has_b(v))
		return false;
	*low = axis_map_to_position(&run->by_time, pulls->list[widest - 1].from_s);
	*high = axis_map_to_position(&run->by_time, pulls->list[widest - 1].to_s);
	return true;
}

/* On a fresh axis there is no span; the cursor stands in the middle of what it is about. */
static void place_cursors(struct view *v)
{
	double low, high;

	if (!find_widest(v, &low, &high))
		overlay_range(&v->overlay, true, &low, &high);
	if (isnan(low)) {
		low = v->from;
		high = v->to;
	}
	v->cursor[0] = v->cursor[1] = low + (high - low) / 2.0;
	v->active = 0;
	v->span_on = false;
}

void view_span(const struct view *v, double *from, double *to)
{
	double low, high;

	if (v->span_on) {
		*from = fmin(v->cursor[0], v->cursor[1]);
		*to = fmax(v->cursor[0], v->cursor[1]);
		return;
	}
	overlay_range(&v->overlay, true, &low, &high);
	*from = fmax(v->from, low);	/* fmax and fmin pass over NaN */
	*to = fmin(v->to, high);
	if (*from > *to) {		/* nothing of it is on screen */
		*from = v->from;
		*to = v->to;
	}
}

void view_set_span(struct view *v, double from, double to, int active)
{
	v->cursor[0] = from;
	v->cursor[1] = to;
	v->active = active;
	v->span_on = true;
	view_clamp(v);
}

void view_clamp(struct view *v)
{
	const double width = v->to - v->from;
	double low, high;
	int i;

	overlay_range(&v->overlay, false, &low, &high);
	if (isnan(low))
		return;
	for (i = 0; i < 2; i++)
		v->cursor[i] = fmin(fmax(v->cursor[i], low), high);
	if (width >= high - low) {
		v->from = low;
		v->to = high;
		return;
	}
	if (v->cursor[v->active] < v->from)
		v->from = v->cursor[v->active];
	if (v->cursor[v->active] > v->from + width)
		v->from = v->cursor[v->active] - width;
	v->from = fmin(fmax(v->from, low), high - width);
	v->to = v->from + width;
}

struct instant view_instant(struct view *v, double position)
{
	struct instant i = { SIDE_A, NAN };

	i.time = axis_map_to_time(overlay_map(&v->overlay, &v->overlay.a), position);
	if (isnan(i.time) && view_has_b(v)) {
		i.side = SIDE_B;
		i.time = axis_map_to_time(overlay_map(&v->overlay, &v->overlay.b), position);
	}
	return i;
}

double view_position(struct view *v, struct instant at)
{
	return axis_map_to_position(overlay_map(&v->overlay, view_run(v, at.side)), at.time);
}

static void return_cursors(struct view *v, const struct instant at[2])
{
	const bool span_on = v->span_on;
	const int active = v->active;
	int i;

	place_cursors(v);
	for (i = 0; i < 2; i++) {
		const double position = view_position(v, at[i]);

		if (!isnan(position))
			v->cursor[i] = position;
	}
	v->span_on = span_on;
	v->active = active;
	view_clamp(v);
}

bool view_has_axis(const struct view *v, enum axis_kind axis)
{
	return axis == AXIS_TIME || (v->overlay.a.by_rpm.n > 0 &&
				     (!view_has_b(v) || v->overlay.b.by_rpm.n > 0));
}

bool view_set_axis(struct view *v, enum axis_kind axis)
{
	const struct instant at[2] = { view_instant(v, v->cursor[0]), view_instant(v, v->cursor[1]) };

	if (!view_has_axis(v, axis))
		return false;
	v->overlay.axis = axis;
	lanes_moved(v);
	view_fit(v);
	return_cursors(v, at);
	return true;
}

void view_realign(struct view *v)
{
	const struct instant at[2] = { view_instant(v, v->cursor[0]), view_instant(v, v->cursor[1]) };

	if (!overlay_align(&v->overlay))
		view_say(v, "that alignment is not to be had here: both start at 0 s instead");
	lanes_moved(v);
	view_fit(v);
	return_cursors(v, at);
}

/* What a person should know before comparing these runs. */
static void say_what_is_odd(struct view *v)
{
	const struct run *const runs[SIDES] = { &v->overlay.a, &v->overlay.b };
	int side;

	if (!overlay_same_gear(&v->overlay))
		view_say(v, "A and B are in different gears: do not compare their times");
	for (side = 0; side < SIDES; side++)
		if (runs[side]->log != NULL && runs[side]->by_rpm.n == 0 &&
		    (view_has_b(v) || runs[side]->rpm.n == 0))
			view_say(v, "%s is %s, so only time can be the axis",
				 side == SIDE_A ? "A" : "B", runs[side]->rpm.n == 0 ?
				 "without engine speed" : "a whole log");
}

void view_open_window(struct view *v, int axis)
{
	if (axis >= 0 && view_has_axis(v, (enum axis_kind)axis))
		v->overlay.axis = (enum axis_kind)axis;
	else
		v->overlay.axis = view_has_axis(v, AXIS_RPM) ? AXIS_RPM : AXIS_TIME;
	overlay_align(&v->overlay);
	say_what_is_odd(v);
	view_fit(v);
	place_cursors(v);
}

enum err_code view_choose_pull(struct view *v, enum side side, size_t source, size_t number,
			       struct err *e)
{
	/* from a whole log to a pull the axis is chosen afresh */
	const bool was_whole = v->overlay.a.number == RUN_WHOLE && !view_has_b(v);
	const int axis = was_whole ? -1 : (int)v->overlay.axis;
	const bool other_log = side == SIDE_B && (!view_has_b(v) || v->source_of[side] != source);
	const bool moved = side == SIDE_A && v->source_of[side] != source;
	const struct loaded *l = &v->sources[source].loaded;
	struct run fresh;
	enum err_code code = run_init(&fresh, l->log, &l->pulls, number, e);

	if (code != ERR_NONE)
		return code;
	run_release(view_run(v, side));
	*view_run(v, side) = fresh;
	/* of a log that is written the newest pull is whichever is the newest */
	v->program_chose[side] = v->sources[source].coming == COMING_LIVE &&
		number == v->sources[source].loaded.pulls.count;
	v->source_of[side] = source;
	lanes_stale(v);
	if (other_log || moved)
		code = lanes_build(v, NULL, e);
	if (axis == AXIS_RPM && view_has_axis(v, AXIS_RPM)) {	/* a place on this axis stays one */
		overlay_align(&v->overlay);
		view_fit(v);
		view_clamp(v);
		say_what_is_odd(v);
	} else {
		view_open_window(v, axis);
	}
	findings_judge(v);
	return code;
}

void view_resize(struct view *v, int rows, int cols)
{
	v->rows = rows;
	v->cols = cols;
}

/* ---- making ---- */

static void open_source(struct view *v, struct loaded *l, enum coming coming)
{
	struct source *s = &v->sources[v->source_count++];
	struct err e = ERR_INIT;

	s->path = mem_strdup(l->log->path);
	s->coming = coming;
	s->share = NAN;
	s->loaded = *l;
	*l = (struct loaded)LOADED_INIT;
	if (marks_load(&s->marks, s->path, &e) != ERR_NONE) {
		s->marks_locked = true;
		view_complain(v, "%s", e.text);
	} else if (s->marks.elsewhere) {
		view_say(v, "%s cannot be written beside: marks are kept in %s", s->path,
			 s->marks.path);
	} else if (s->loaded.log->time_source == TIME_ROWS) {
		view_say(v, "%s has no time: each row counts as one second (--rate HZ)",
			 path_basename(s->path));
	}
}

/* Runs first: they may fail, and until they stand the logs are the caller's. */
static enum err_code start_runs(struct view *v, const struct view_start *start, struct err *e)
{
	const struct loaded *of_b = start->b != NULL ? start->b : start->a;
	enum err_code code;
	struct log_ref whole = { NULL, REF_WHOLE, 0 };
	const bool alone = start->whole_alone && start->ref_b == NULL &&
		start->ref_a->what == REF_BEST;

	code = load_run(start->a, alone ? &whole : start->ref_a, &v->overlay.a, e);
	if (code == ERR_NONE && start->ref_b != NULL)
		code = load_run(of_b, start->ref_b, &v->overlay.b, e);
	return code;
}

enum err_code view_new(struct view **out, const struct view_start *start, struct err *e)
{
	struct view *v = mem_alloc(sizeof *v);
	enum err_code code;

	v->units = start->units;
	v->overlay.align = start->align;
	v->overlay.crossing = start->crossing;
	v->overlay.nudge = start->nudge;
	v->glyphs = glyph_get(start->glyphs);
	v->ascii = start->glyphs == GLYPH_ASCII;
	v->limits = start->limits;
	v->car = start->car;
	v->checking = start->checking;
	v->loader = start->loader;
	v->rows_at_once = start->rows_at_once > 0 ? start->rows_at_once : ROWS_AT_ONCE;
	v->not_judged = mem_strdup(start->not_judged);
	v->wanted_axis = start->axis;
	v->lanes_named = start->channels != NULL;
	v->program_chose[SIDE_A] = start->ref_a->what == REF_BEST;
	v->program_chose[SIDE_B] = start->ref_b != NULL && start->ref_b->what == REF_BEST;
	v->list.filter = mem_strdup("");
	view_resize(v, start->rows, start->cols);
	v->lane_rows = start->rows > 8 ? start->rows - 8 : 1;
	v->plot_cols = start->cols > 40 ? start->cols - 32 : 8;
	code = start_runs(v, start, e);
	if (code == ERR_NONE) {
		view_open_window(v, start->axis);
		code = lanes_build(v, start->channels, e);
	}
	if (code != ERR_NONE) {
		view_free(v);
		return code;
	}
	open_source(v, start->a, start->coming[SIDE_A]);
	if (start->b != NULL)
		open_source(v, start->b, start->coming[SIDE_B]);
	v->source_of[SIDE_B] = v->source_count - 1;
	place_cursors(v);	/* only now are the pulls known */
	findings_judge(v);
	v->greeting = true;
	if (start->channels == NULL)
		findings_show_lanes(v);
	if (v->not_judged != NULL)
		view_complain(v, "not judged: %s", v->not_judged);
	v->mark_side = view_has_b(v) ? SIDE_B : SIDE_A;
	view_go_live(v);
	*out = v;
	return ERR_NONE;
}

void view_free(struct view *v)
{
	size_t i;

	if (v == NULL)
		return;
	lanes_release(v);
	overlay_release(&v->overlay);
	for (i = 0; i < v->source_count; i++) {
		free(v->sources[i].path);
		loaded_release(&v->sources[i].loaded);
		marks_release(&v->sources[i].marks);
	}
	findings_release(v);
	undo_release(v);
	mark_release(&v->draft);
	prompt_release(&v->prompt);
	free(v->not_judged);
	free(v->list.filter);
	free(v->message);
	free(v);
}
