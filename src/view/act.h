/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The functions behind the action table, by file.  Each takes the command's argument. */
#ifndef VIEW_ACT_H
#define VIEW_ACT_H

#include "view/state.h"

/* act_move.c: cursors, window, axis */
void act_left(struct view *v, const char *arg);
void act_right(struct view *v, const char *arg);
void act_far_left(struct view *v, const char *arg);
void act_far_right(struct view *v, const char *arg);
void act_first(struct view *v, const char *arg);
void act_last(struct view *v, const char *arg);
void act_other(struct view *v, const char *arg);
void act_begin(struct view *v, const char *arg);
void act_drop(struct view *v, const char *arg);
void act_goto(struct view *v, const char *arg);
void act_span(struct view *v, const char *arg);
void act_highest(struct view *v, const char *arg);
void act_lowest(struct view *v, const char *arg);
void act_apart(struct view *v, const char *arg);
void act_closer(struct view *v, const char *arg);
void act_wider(struct view *v, const char *arg);
void act_fit(struct view *v, const char *arg);
void act_zoom_span(struct view *v, const char *arg);
void act_scroll_left(struct view *v, const char *arg);
void act_scroll_right(struct view *v, const char *arg);
void act_axis(struct view *v, const char *arg);
void act_align(struct view *v, const char *arg);
void act_earlier(struct view *v, const char *arg);
void act_later(struct view *v, const char *arg);
void act_nudge(struct view *v, const char *arg);

/* act_lanes.c */
void act_up(struct view *v, const char *arg);
void act_down(struct view *v, const char *arg);
void act_lanes(struct view *v, const char *arg);
void act_lane(struct view *v, const char *arg);
void act_search(struct view *v, const char *arg);
void act_hide(struct view *v, const char *arg);
void act_show(struct view *v, const char *arg);
void act_only(struct view *v, const char *arg);
void act_raise(struct view *v, const char *arg);
void act_lower(struct view *v, const char *arg);
void act_taller(struct view *v, const char *arg);
void act_shorter(struct view *v, const char *arg);
void act_even(struct view *v, const char *arg);
void act_delta(struct view *v, const char *arg);
void act_scale(struct view *v, const char *arg);

/* act_panels.c: pulls, numbers, the program */
void act_pulls(struct view *v, const char *arg);
void act_enter(struct view *v, const char *arg);
void act_next_pull(struct view *v, const char *arg);
void act_swap(struct view *v, const char *arg);
void act_stats(struct view *v, const char *arg);
void act_values(struct view *v, const char *arg);
void act_spool(struct view *v, const char *arg);
void act_export(struct view *v, const char *arg);
void act_picture(struct view *v, const char *arg);
void act_command(struct view *v, const char *arg);
void act_help(struct view *v, const char *arg);
void act_quit(struct view *v, const char *arg);

/* act_marks.c */
void act_mark(struct view *v, const char *arg);
void act_side(struct view *v, const char *arg);
void act_marks(struct view *v, const char *arg);
void act_next_mark(struct view *v, const char *arg);
void act_previous_mark(struct view *v, const char *arg);
void act_undo(struct view *v, const char *arg);

/* act_findings.c */
void act_findings(struct view *v, const char *arg);
void act_next_finding(struct view *v, const char *arg);
void act_previous_finding(struct view *v, const char *arg);
void act_mark_finding(struct view *v, const char *arg);

/* Also for their list; `at` is into view.spots. */
void findings_go(struct view *v, size_t at);
void findings_mark(struct view *v, size_t at);

/* Also for the list of marks. */
void marks_jump(struct view *v, size_t source, size_t at);
void marks_edit(struct view *v, size_t source, size_t at);
void marks_delete(struct view *v, size_t source, size_t at);

#endif
