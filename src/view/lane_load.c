/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which data the lanes have: loaded at once, or in the background where that takes long. */
#include <math.h>
#include <stdlib.h>

#include "view/lanes.h"

/* What was made of the data as they lay on the axis. */
static void forget_drawn(struct lane *lane)
{
	lane->stats.is_known = false;
	free(lane->columns.of[SIDE_A]);
	free(lane->columns.of[SIDE_B]);
	lane->columns = (struct lane_columns){ { NULL, NULL }, 0, 0.0, 0.0 };
}

static void stop_waiting(struct view *v, struct lane *lane)
{
	if (lane->awaited != 0)
		errands_drop(v->loader, lane->awaited);
	lane->awaited = 0;
}

void lane_release(struct view *v, struct lane *lane)
{
	stop_waiting(v, lane);
	forget_drawn(lane);
	lane_data_release(&lane->data);
	lane->loaded = lane->fitted = false;
}

void lanes_stale(struct view *v)
{
	size_t i;

	for (i = 0; i < v->lane_count; i++)
		lane_release(v, &v->lanes[i]);
}

void lanes_moved(struct view *v)
{
	size_t i;

	for (i = 0; i < v->lane_count; i++) {
		struct lane *lane = &v->lanes[i];

		if (lane->delta)
			stop_waiting(v, lane);
		forget_drawn(lane);
		lane->fitted = false;
	}
}

/*
 * The series of an earlier state of the log are right as far as they go.  A difference is not,
 * for the axis may have moved, nor are words, which are numbered by what is in the log.  Where
 * the lane was not drawn since the last time, it is not worth holding an old log for.
 */
static bool stays_meanwhile(const struct view *v, const struct lane *lane)
{
	return !lane->delta && !lane_has_words(v, lane) && (lane->loaded || lane->awaited != 0);
}

void lanes_grown(struct view *v)
{
	size_t i;

	for (i = 0; i < v->lane_count; i++) {
		struct lane *lane = &v->lanes[i];

		if (!stays_meanwhile(v, lane)) {
			lane_release(v, lane);
			continue;
		}
		stop_waiting(v, lane);
		forget_drawn(lane);
		lane->loaded = lane->fitted = false;
	}
}

void lane_hand_over(struct lane *from, struct lane *to)
{
	to->data = from->data;
	to->awaited = from->awaited;
	to->loaded = from->loaded;
	to->scale = from->scale;	/* until it is fitted */
	from->data = (struct lane_data)LANE_DATA_INIT;
	from->awaited = 0;
}

/* ---- loading ---- */

static size_t rows_of(const struct run *run)
{
	return run->log == NULL || run->pull.last < run->pull.first ? 0 :
		run->pull.last - run->pull.first + 1;
}

/* Would a person not notice that it is loaded? */
static bool is_quick(const struct view *v)
{
	return v->loader == NULL ||
	       rows_of(&v->overlay.a) + rows_of(&v->overlay.b) <= v->rows_at_once;
}

/* A series of the side whose times are the log's, without its values; or an empty one. */
static struct series any_shared(struct view *v, enum side side)
{
	const struct run *run = view_run(v, side);
	size_t i;

	if (run->rpm.shared)
		return (struct series){ .n = run->rpm.n, .t = run->rpm.t, .hole = run->rpm.hole,
					.shared = true };
	for (i = 0; i < v->lane_count; i++) {
		const struct lane *lane = &v->lanes[i];

		if (lane->loaded && lane->data.of[side].series.shared) {
			struct series s = lane->data.of[side].series;

			s.v = NULL;
			return s;
		}
	}
	return (struct series)SERIES_INIT;
}

/* Series that are there already go along. */
static struct lane_wish *wish_for(struct view *v, struct lane *lane)
{
	struct lane_wish *w = lane_wish_new(&v->pairs.list[lane->pair], lane->delta, &v->overlay);

	w->sides[SIDE_A].like = any_shared(v, SIDE_A);
	w->sides[SIDE_B].like = any_shared(v, SIDE_B);
	w->has_series = lane->loaded;
	if (lane->loaded) {
		w->data = lane->data;
		lane->data = (struct lane_data)LANE_DATA_INIT;
		lane->loaded = false;
	}
	return w;
}

static void fit(struct view *v, struct lane *lane)
{
	lane->fitted = true;
	if (!lane->scaled)
		lane_scale_to_all(v, lane);
}

/* Takes what came of the wish. */
static void install(struct view *v, struct lane *lane, struct lane_wish *w)
{
	forget_drawn(lane);
	lane_data_release(&lane->data);
	lane->data = w->data;
	w->data = (struct lane_data)LANE_DATA_INIT;
	lane->awaited = 0;
	lane->loaded = true;
	fit(v, lane);
	if (w->code != ERR_NONE)
		view_complain(v, "%s", w->error.text);
	lane_wish_free(w);
}

void lane_load(struct view *v, struct lane *lane)
{
	struct lane_wish *w;

	if (lane->loaded && lane->fitted)
		return;
	if (lane->loaded && !lane->delta) {
		fit(v, lane);
		return;
	}
	stop_waiting(v, lane);
	w = wish_for(v, lane);
	lane_wish_load(w);
	install(v, lane, w);
}

void lanes_load_shown(struct view *v)
{
	size_t i;

	for (i = 0; i < v->lane_count; i++)
		if (v->lanes[i].shown)
			lane_load(v, &v->lanes[i]);
}

bool lane_want(struct view *v, struct lane *lane)
{
	if (is_quick(v) || (lane->loaded && !lane->delta))
		lane_load(v, lane);
	else if (!(lane->loaded && lane->fitted) && lane->awaited == 0)
		lane->awaited = errands_give(v->loader, wish_for(v, lane));
	return lane->loaded || !lane_data_is_empty(&lane->data);
}

static struct lane *find_awaited(struct view *v, unsigned long ticket)
{
	size_t i;

	for (i = 0; i < v->lane_count; i++)
		if (v->lanes[i].awaited == ticket)
			return &v->lanes[i];
	return NULL;
}

void lanes_take(struct view *v)
{
	struct lane_wish *w;
	unsigned long ticket;

	while (v->loader != NULL && (w = errands_take(v->loader, &ticket)) != NULL) {
		struct lane *lane = find_awaited(v, ticket);

		if (lane != NULL)
			install(v, lane, w);
		else
			lane_wish_free(w);
	}
}

bool lanes_are_awaited(const struct view *v)
{
	size_t i;

	for (i = 0; i < v->lane_count; i++)
		if (v->lanes[i].awaited != 0)
			return true;
	return false;
}

double lane_value(struct view *v, struct lane *lane, enum side side, double position)
{
	const struct run *run = view_run(v, side);

	if (run->log == NULL || !lane_want(v, lane))
		return NAN;
	return series_at(&lane->data.of[side].series,
			 axis_map_to_time(overlay_map(&v->overlay, run), position));
}
