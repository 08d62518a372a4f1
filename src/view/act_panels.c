/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Actions on pulls, numbers and the program. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/path.h"
#include "view/act.h"
#include "view/action.h"
#include "view/export.h"
#include "view/findings.h"
#include "view/lanes.h"
#include "view/lists.h"

void act_pulls(struct view *v, const char *arg)
{
	(void)arg;
	list_open(v, PANEL_PULLS);
}

/* The pull of A's log that holds a time, from 1; 0 for none. */
static size_t pull_at(struct view *v, double t)
{
	const struct pulls *pulls = &view_source(v, SIDE_A)->loaded.pulls;
	size_t i;

	for (i = 0; i < pulls->count; i++)
		if (t >= pulls->list[i].from_s && t <= pulls->list[i].to_s)
			return i + 1;
	return 0;
}

void act_enter(struct view *v, const char *arg)
{
	const struct run *a = &v->overlay.a;
	struct err e = ERR_INIT;
	size_t number;

	(void)arg;
	if (a->number != RUN_WHOLE) {
		view_say(v, "this is a pull already; p lists all pulls");
		return;
	}
	number = pull_at(v, axis_map_to_time(overlay_map(&v->overlay, a), v->cursor[v->active]));
	if (number == 0)
		view_say(v, "the cursor is in no pull; p lists them");
	else if (view_choose_pull(v, SIDE_A, v->source_of[SIDE_A], number, &e) != ERR_NONE)
		view_complain(v, "%s", e.text);
	else
		view_say(v, "pull %zu; p lists all, and puts another beside it as B", number);
}

void act_next_pull(struct view *v, const char *arg)
{
	const enum side side = view_has_b(v) ? SIDE_B : SIDE_A;
	const size_t count = view_source(v, side)->loaded.pulls.count;
	struct err e = ERR_INIT;

	(void)arg;
	if (count == 0) {
		view_say(v, "this log has no pulls");
		return;
	}
	if (view_choose_pull(v, side, v->source_of[side], view_run(v, side)->number % count + 1,
			     &e) != ERR_NONE)
		view_complain(v, "%s", e.text);
	else
		view_say(v, "%s is now pull %zu of %zu", side == SIDE_A ? "A" : "B",
			 view_run(v, side)->number, count);
}

void act_swap(struct view *v, const char *arg)
{
	const struct run run = v->overlay.a;
	const size_t source = v->source_of[SIDE_A];
	const bool chose = v->program_chose[SIDE_A];

	(void)arg;
	if (!view_has_b(v)) {
		view_say(v, "there is only A");
		return;
	}
	v->overlay.a = v->overlay.b;
	v->overlay.b = run;
	v->source_of[SIDE_A] = v->source_of[SIDE_B];
	v->source_of[SIDE_B] = source;
	v->program_chose[SIDE_A] = v->program_chose[SIDE_B];
	v->program_chose[SIDE_B] = chose;
	v->overlay.nudge = -v->overlay.nudge;
	lanes_swap_sides(v);
	view_realign(v);
	findings_judge(v);
	view_say(v, "A and B are exchanged");
}

static void toggle(struct view *v, enum panel panel)
{
	v->panel = v->panel == panel ? PANEL_NONE : panel;
}

void act_stats(struct view *v, const char *arg)
{
	(void)arg;
	toggle(v, PANEL_STATS);
}

void act_values(struct view *v, const char *arg)
{
	(void)arg;
	toggle(v, PANEL_VALUES);
}

void act_spool(struct view *v, const char *arg)
{
	(void)arg;
	toggle(v, PANEL_SPOOL);
}

/* Writes a text made by `make` to a file that is not there yet. */
static void write_new(struct view *v, const char *path,
		      enum err_code (*make)(struct view *, struct buf *, struct err *))
{
	struct buf text = BUF_INIT;
	struct err e = ERR_INIT;

	if (path_exists(path))
		view_complain(v, "%s is there already: give another name", path);
	else if (make(v, &text, &e) != ERR_NONE ||
		 path_write_atomic(path, text.data, text.len, &e) != ERR_NONE)
		view_complain(v, "%s", e.text);
	else
		view_say(v, "wrote %s", path);
	buf_release(&text);
}

static void export_typed(struct view *v, const char *path)
{
	if (path[0] != '\0')
		write_new(v, path, export_span_csv);
}

static void picture_typed(struct view *v, const char *path)
{
	if (path[0] != '\0')
		write_new(v, path, export_picture);
}

void act_export(struct view *v, const char *arg)
{
	if (arg[0] != '\0')
		export_typed(v, arg);
	else
		prompt_suggest(&v->prompt, "write the span as CSV to: ", "span.csv", export_typed);
}

void act_picture(struct view *v, const char *arg)
{
	if (arg[0] != '\0')
		picture_typed(v, arg);
	else
		prompt_suggest(&v->prompt, "write this screen to: ", "screen.txt", picture_typed);
}

void act_command(struct view *v, const char *arg)
{
	(void)arg;
	prompt_open_command(&v->prompt, ":", action_command, action_complete);
}

void act_help(struct view *v, const char *arg)
{
	(void)arg;
	list_open(v, PANEL_HELP);
}

void act_quit(struct view *v, const char *arg)
{
	(void)arg;
	v->quit = true;
}
