/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lanes of the viewer: which there are, their order, data and scales. */
#ifndef VIEW_LANES_H
#define VIEW_LANES_H

#include "view/state.h"

#define LANE_LEAST_ROWS 3	/* room for A, B and B-A beside it */
#define ROWS_AT_ONCE 500000	/* of A and B, that nobody notices being loaded */

/*
 * Makes a lane for every pair, the first choice shown; `list` (may be NULL) chooses by
 * name.  On failure the lanes are as they were.
 */
enum err_code lanes_build(struct view *v, const char *list, struct err *e);
void lanes_release(struct view *v);

/*
 * After the runs' logs were replaced by newer ones, the old ones still being there: the same
 * lanes of the new channels.  Where the log has only grown, they show what they have until
 * there is more.
 */
void lanes_refresh(struct view *v, bool only_grown);

/* Exchanges A and B in all of them: what is shown, and how, stays. */
void lanes_swap_sides(struct view *v);

/* Forgets the loaded data: the runs have changed. */
void lanes_stale(struct view *v);

/* Forgets only what depends on the axis: it, or the alignment, has changed. */
void lanes_moved(struct view *v);

/* The data are of an earlier state of the same runs; see lanes_refresh(). */
void lanes_grown(struct view *v);
void lane_release(struct view *v, struct lane *lane);

/* What is loaded, and being loaded, goes to another lane of the same pair, which has nothing. */
void lane_hand_over(struct lane *from, struct lane *to);

/* Loads what the lane needs to be drawn, however long that takes. */
void lane_load(struct view *v, struct lane *lane);
void lanes_load_shown(struct view *v);

/*
 * The same for who must not wait: what takes long is loaded in the background.  True when
 * there is something to draw; it may be of an earlier state of the log.
 */
bool lane_want(struct view *v, struct lane *lane);

/* Takes what has been loaded meanwhile. */
void lanes_take(struct view *v);
bool lanes_are_awaited(const struct view *v);

/*
 * How many samples lie at positions from .. to, ends included, from *first on.  `map`
 * is NULL for a series over positions.
 */
size_t lane_samples(const struct series *s, const struct axis_map *map, double from, double to,
		    size_t *first);

/*
 * Fits the scale to what is on screen, or, where it is set already, back to all of
 * the data.
 */
void lane_scale_to_screen(struct view *v, struct lane *lane);

/* Fits it to the data that are loaded. */
void lane_scale_to_all(const struct view *v, struct lane *lane);

/* "Boost" or "B-A Boost"; the unit with it. */
void lane_title(const struct view *v, const struct lane *lane, struct buf *out);
const struct quantity *lane_quantity(const struct view *v, const struct lane *lane);
const char *lane_unit(const struct view *v, const struct lane *lane);
int lane_decimals(const struct view *v, const struct lane *lane);

/* Value of a side at an axis position; NaN where there is none, or none yet: see lane_want(). */
double lane_value(struct view *v, struct lane *lane, enum side side, double position);

/* See pair_has_words() and pair_word(). */
bool lane_has_words(const struct view *v, const struct lane *lane);
const char *lane_word(const struct view *v, const struct lane *lane, double value);

struct lane *lane_chosen(struct view *v);		/* NULL when none is shown */
size_t lanes_shown(const struct view *v);
size_t lane_next_shown(const struct view *v, size_t from, int step);	/* `from` if none */
size_t lane_by_name(struct view *v, const char *word, struct err *e);	/* SIZE_MAX on failure */

void lane_show(struct view *v, size_t lane, bool shown);
void lane_put(struct view *v, size_t from, size_t to);	/* the others keep their order */
void lane_move(struct view *v, size_t lane, int step);	/* over the next shown one */
void lane_toggle_delta(struct view *v, size_t lane);

/* Rows that a lane takes on screen, in the laid-out height. */
int lane_height(const struct view *v, const struct lane *lane);

/* Scrolls so that the chosen lane is on screen. */
void lanes_scroll_to_chosen(struct view *v);

#endif
