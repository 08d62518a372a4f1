/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lanes of the viewer: which there are, their order, data and scales. */
#ifndef VIEW_LANES_H
#define VIEW_LANES_H

#include "view/state.h"

#define LANE_LEAST_ROWS 3	/* room for A, B and B-A beside it */

/* Makes a lane for every pair, the first choice shown; `list` (may be NULL) chooses by name. */
enum err_code lanes_build(struct view *v, const char *list, struct err *e);
void lanes_release(struct view *v);

/* Forgets the loaded data: runs, axis or alignment have changed. */
void lanes_stale(struct view *v);

/* Loads what the lane needs to be drawn. */
void lane_load(struct view *v, struct lane *lane);

/*
 * Fits the scale to what is on screen, or, where it is set already, back to all of
 * the data.
 */
void lane_scale_to_screen(struct view *v, struct lane *lane);

/* "Boost" or "B-A Boost"; the unit with it. */
void lane_title(const struct view *v, const struct lane *lane, struct buf *out);
const struct quantity *lane_quantity(const struct view *v, const struct lane *lane);
const char *lane_unit(const struct view *v, const struct lane *lane);
int lane_decimals(const struct view *v, const struct lane *lane);

/* Value of a side at an axis position; NaN where there is none. */
double lane_value(struct view *v, struct lane *lane, enum side side, double position);

/* The word where the channel has states; NULL otherwise. */
const char *lane_word(const struct view *v, const struct lane *lane, enum side side, double value);

struct lane *lane_chosen(struct view *v);		/* NULL when none is shown */
size_t lanes_shown(const struct view *v);
size_t lane_next_shown(const struct view *v, size_t from, int step);	/* `from` if none */
size_t lane_by_name(struct view *v, const char *word, struct err *e);	/* SIZE_MAX on failure */

void lane_show(struct view *v, size_t lane, bool shown);
void lane_move(struct view *v, size_t lane, int step);
void lane_toggle_delta(struct view *v, size_t lane);

/* Rows that a lane takes on screen, in the laid-out height. */
int lane_height(const struct view *v, const struct lane *lane);

/* Scrolls so that the chosen lane is on screen. */
void lanes_scroll_to_chosen(struct view *v);

#endif
