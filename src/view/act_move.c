/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Actions on cursors, span, window and axis. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/num.h"
#include "base/text.h"
#include "view/act.h"
#include "view/lanes.h"
#include "view/prompt.h"

#define NUDGE_STEP 0.05		/* s */
#define MOST_NUDGE 1e10		/* s; further off doubles do not tell samples apart */
#define ZOOM 0.5		/* of the window that stays when zooming in */
#define SLACK 1e-6		/* of a column: rounding is not a column more */
#define LEAST_WINDOW 1e-3	/* of the whole axis */

/*
 * By whole columns, and where that leaves the window this, too, goes by whole ones: what stays
 * on screen then looks the same and only moves, which is little to write.
 */
static void move_by(struct view *v, double columns)
{
	const double column = (v->to - v->from) / v->plot_cols;
	double *cursor = &v->cursor[v->active];
	double by = 0.0;

	*cursor += round(columns) * column;
	if (*cursor > v->to)
		by = ceil((*cursor - v->to) / column - SLACK) * column;
	else if (*cursor < v->from)
		by = -ceil((v->from - *cursor) / column - SLACK) * column;
	v->from += by;
	v->to += by;
	view_clamp(v);
}

void act_left(struct view *v, const char *arg)
{
	(void)arg;
	move_by(v, -1.0);
}

void act_right(struct view *v, const char *arg)
{
	(void)arg;
	move_by(v, 1.0);
}

void act_far_left(struct view *v, const char *arg)
{
	(void)arg;
	move_by(v, -0.1 * v->plot_cols);
}

void act_far_right(struct view *v, const char *arg)
{
	(void)arg;
	move_by(v, 0.1 * v->plot_cols);
}

static void move_to(struct view *v, double position)
{
	v->cursor[v->active] = position;
	view_clamp(v);
}

void act_first(struct view *v, const char *arg)
{
	(void)arg;
	move_to(v, -INFINITY);
}

void act_last(struct view *v, const char *arg)
{
	(void)arg;
	move_to(v, INFINITY);
}

void act_other(struct view *v, const char *arg)
{
	(void)arg;
	if (!v->span_on) {
		view_say(v, "there is one cursor so far: Space begins a span with two");
		return;
	}
	v->active = !v->active;
	view_clamp(v);
}

void act_begin(struct view *v, const char *arg)
{
	const double at = v->cursor[v->active];

	(void)arg;
	view_set_span(v, at, at, 1);
	view_say(v, "the span begins here: move its end with the arrows; Esc drops it");
}

void act_drop(struct view *v, const char *arg)
{
	(void)arg;
	v->cursor[0] = v->cursor[v->active];
	v->active = 0;
	v->span_on = false;
}

static bool parse_position(struct view *v, const char *text, size_t n, double *out)
{
	if (num_parse(text, n, '.', out, NULL))
		return true;
	view_complain(v, "'%.*s' is not a position on the %s axis, in %s", (int)n, text,
		      axis_name(v->overlay.axis), axis_unit(v->overlay.axis));
	return false;
}

static void goto_typed(struct view *v, const char *text)
{
	double position;

	if (text[0] != '\0' && parse_position(v, text, strlen(text), &position))
		move_to(v, position);
}

void act_goto(struct view *v, const char *arg)
{
	if (arg[0] == '\0')
		prompt_open(&v->prompt, v->overlay.axis == AXIS_RPM ? "go to rpm: " : "go to s: ",
			    "", goto_typed, NULL);
	else
		goto_typed(v, arg);
}

void act_span(struct view *v, const char *arg)
{
	const char *colon = strchr(arg, ':');
	double from, to;

	if (colon == NULL) {
		view_complain(v, "say :span FROM:TO, such as :span %s",
			      v->overlay.axis == AXIS_RPM ? "3000:4500" : "1.5:3");
		return;
	}
	if (!parse_position(v, arg, (size_t)(colon - arg), &from) ||
	    !parse_position(v, colon + 1, strlen(colon + 1), &to))
		return;
	view_set_span(v, from, to, 0);
}

/* Which side an extreme is looked for in: as typed, else B where there is one. */
static enum side wanted_side(const struct view *v, const char *arg)
{
	if (text_casecmp(arg, "a") == 0 || !view_has_b(v))
		return SIDE_A;
	return SIDE_B;
}

/* "highest Lambda: B 0.933 at 6694 rpm" */
static void say_found(struct view *v, const struct lane *lane, const char *what,
		      const char *whose, double value)
{
	struct buf title = BUF_INIT;
	char number[NUM_TEXT], position[NUM_TEXT];

	lane_title(v, lane, &title);
	view_say(v, "%s %s: %s %s at %s %s", what, title.data, whose,
		 num_fixed(number, value, lane_decimals(v, lane)),
		 num_fixed(position, v->cursor[v->active], v->overlay.axis == AXIS_RPM ? 0 : 2),
		 axis_unit(v->overlay.axis));
	buf_release(&title);
}

/* The greatest sign * value of the lane on screen. */
static void find_extreme(struct view *v, const char *arg, double sign)
{
	const enum side side = wanted_side(v, arg);
	const struct axis_map *map = overlay_map(&v->overlay, view_run(v, side));
	struct lane *lane = lane_chosen(v);
	double best = NAN;
	double at = NAN;
	const struct series *s;
	size_t first, n, i;

	if (lane == NULL)
		return;
	lane_load(v, lane);
	s = lane->delta ? &lane->data.difference : &lane->data.of[side].series;
	n = lane_samples(s, lane->delta ? NULL : map, v->from, v->to, &first);
	for (i = first; i < first + n; i++)
		if (sign * s->v[i] > best || (isnan(best) && !isnan(s->v[i]))) {
			best = sign * s->v[i];
			at = s->t[i];
		}
	if (!lane->delta)
		at = axis_map_to_position(map, at);
	if (isnan(at)) {
		view_say(v, "%s has no values of this lane on screen",
			 side == SIDE_A ? "A" : "B");
		return;
	}
	move_to(v, at);
	if (lane_has_words(v, lane))
		return;
	say_found(v, lane, sign > 0.0 ? "highest" : "lowest",
		  lane->delta ? v->glyphs->delta : side == SIDE_A ? "A" : "B", sign * best);
}

void act_highest(struct view *v, const char *arg)
{
	find_extreme(v, arg, 1.0);
}

void act_lowest(struct view *v, const char *arg)
{
	find_extreme(v, arg, -1.0);
}

void act_apart(struct view *v, const char *arg)
{
	struct lane *lane = lane_chosen(v);
	double most = -1.0;
	double at = NAN;
	int i;

	(void)arg;
	if (lane == NULL || !view_has_b(v)) {
		view_say(v, "this needs a B to compare with");
		return;
	}
	lane_load(v, lane);
	/* at the screen's own resolution: where the eye looks */
	for (i = 0; i <= v->plot_cols * 2; i++) {
		const double x = v->from + (v->to - v->from) * i / (v->plot_cols * 2);
		const double d = fabs(lane_value(v, lane, SIDE_B, x) -
				      lane_value(v, lane, SIDE_A, x));

		if (d > most) {
			most = d;
			at = x;
		}
	}
	if (isnan(at)) {
		view_say(v, "A and B have nothing in common on screen");
		return;
	}
	move_to(v, at);
	say_found(v, lane, "most apart in", v->glyphs->delta,
		  lane_value(v, lane, SIDE_B, at) - lane_value(v, lane, SIDE_A, at));
}

/* Zooms by `share` about the active cursor, which keeps its column. */
static void zoom(struct view *v, double share)
{
	const double at = v->cursor[v->active];
	const double width = (v->to - v->from) * share;
	const double part = fmin(fmax((at - v->from) / (v->to - v->from), 0.0), 1.0);
	double low, high;

	overlay_range(&v->overlay, false, &low, &high);
	if (share < 1.0 && width < (high - low) * LEAST_WINDOW) {
		view_say(v, "this is as close as it goes");
		return;
	}
	v->from = at - part * width;
	v->to = v->from + width;
	view_clamp(v);
}

void act_closer(struct view *v, const char *arg)
{
	(void)arg;
	zoom(v, ZOOM);
}

void act_wider(struct view *v, const char *arg)
{
	(void)arg;
	zoom(v, 1.0 / ZOOM);
}

void act_fit(struct view *v, const char *arg)
{
	(void)arg;
	view_fit(v);
}

void act_zoom_span(struct view *v, const char *arg)
{
	double from, to, margin;

	(void)arg;
	view_span(v, &from, &to);
	margin = 0.02 * (to - from);
	if (!v->span_on || !(to > from)) {
		view_say(v, "there is no span to zoom to: Space begins one");
		return;
	}
	v->from = from - margin;
	v->to = to + margin;
	view_clamp(v);
}

static void scroll(struct view *v, double share)
{
	const double width = v->to - v->from;
	const double by = round(share * v->plot_cols) / v->plot_cols * width;
	double low, high;

	overlay_range(&v->overlay, false, &low, &high);
	v->from = fmin(fmax(v->from + by, low), high - width);
	v->to = v->from + width;
	/* the cursor comes along rather than pull the window back */
	v->cursor[v->active] = fmin(fmax(v->cursor[v->active], v->from), v->to);
}

void act_scroll_left(struct view *v, const char *arg)
{
	(void)arg;
	scroll(v, -0.5);
}

void act_scroll_right(struct view *v, const char *arg)
{
	(void)arg;
	scroll(v, 0.5);
}

void act_axis(struct view *v, const char *arg)
{
	enum axis_kind axis = v->overlay.axis == AXIS_RPM ? AXIS_TIME : AXIS_RPM;

	if (strcmp(arg, "rpm") == 0)
		axis = AXIS_RPM;
	else if (strcmp(arg, "time") == 0)
		axis = AXIS_TIME;
	else if (arg[0] != '\0') {
		view_complain(v, "the axis is rpm or time, not '%s'", arg);
		return;
	}
	if (!view_set_axis(v, axis))
		view_complain(v, "%s", view_run(v, SIDE_A)->number == RUN_WHOLE ?
			      "over a whole log engine speed is no axis: choose a pull with p" :
			      "engine speed does not rise here, so it cannot be the axis");
}

static const char *const align_words[] = {
	[ALIGN_CROSSING] = "A and B pass one engine speed (crossing)",
	[ALIGN_START] = "each pull starts (start)",
	[ALIGN_MATCH] = "A starts, B placed so that their engine speeds agree best (match)",
	[ALIGN_CLOCK] = "each log's own clock has it (clock)",
};

/* ":align 3000" is short for ":align crossing 3000". */
static bool is_number(const char *word)
{
	double v;

	return num_parse(word, strlen(word), '.', &v, NULL);
}

void act_align(struct view *v, const char *arg)
{
	const size_t n = strcspn(arg, " ");
	enum align align = (enum align)((v->overlay.align + 1) % (ALIGN_CLOCK + 1));
	char word[16] = "";
	double crossing = NAN;

	if (is_number(arg)) {
		align = ALIGN_CROSSING;
	} else if (n > 0 && n < sizeof word) {
		memcpy(word, arg, n);
		arg += n + strspn(arg + n, " ");
	}
	if (word[0] != '\0' && !align_by_name(word, &align)) {
		view_complain(v, "align is crossing, start, match or clock, not '%s'", word);
		return;
	}
	if (arg[0] != '\0' && !num_parse(arg, strlen(arg), '.', &crossing, NULL)) {
		view_complain(v, "'%s' is not an engine speed", arg);
		return;
	}
	view_set_axis(v, AXIS_TIME);
	v->overlay.align = align;
	v->overlay.crossing = crossing;
	view_say(v, "time is 0 where %s", align_words[align]);
	view_realign(v);
}

static void nudge_to(struct view *v, double seconds)
{
	if (!view_has_b(v) || v->overlay.axis != AXIS_TIME) {
		view_say(v, "shifting by hand works on the time axis with A and B: x, then , and .");
		return;
	}
	if (fabs(seconds) > MOST_NUDGE) {
		view_complain(v, "B is shifted by %.0e s at most", MOST_NUDGE);
		return;
	}
	v->overlay.nudge = fabs(seconds) < 1e-9 ? 0.0 : seconds;
	if (v->overlay.nudge == 0.0)
		view_say(v, "B is not shifted");
	else
		view_say(v, "B is shifted by %+.2f s", v->overlay.nudge);
	view_realign(v);
}

void act_earlier(struct view *v, const char *arg)
{
	(void)arg;
	nudge_to(v, v->overlay.nudge - NUDGE_STEP);
}

void act_later(struct view *v, const char *arg)
{
	(void)arg;
	nudge_to(v, v->overlay.nudge + NUDGE_STEP);
}

void act_nudge(struct view *v, const char *arg)
{
	double seconds;

	if (num_parse(arg, strlen(arg), '.', &seconds, NULL))
		nudge_to(v, seconds);
	else
		view_complain(v, "say :nudge SECONDS, such as :nudge -0.2");
}
