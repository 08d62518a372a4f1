/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a lane draws: the samples of A and B, and the extremes of any stretch of them.  All
 * that it takes to load them is in a wish, so that any thread can.
 */
#ifndef VIEW_LANE_DATA_H
#define VIEW_LANE_DATA_H

#include <stdbool.h>

#include "base/err.h"
#include "base/errands.h"
#include "calc/overlay.h"
#include "calc/pairing.h"
#include "draw/pyramid.h"

enum side {
	SIDE_A,
	SIDE_B,
	SIDES
};

struct lane_side {
	struct datalog *log;	/* held, for the times are its own; NULL: there is nothing */
	struct series series;
	struct pyramid heights;	/* over its values */
	struct series target;	/* what it is asked to be, where that is logged */
};

struct lane_data {
	struct lane_side of[SIDES];
	struct series difference;	/* B-A of a delta lane, over axis positions */
	struct pyramid difference_heights;
};

#define LANE_DATA_INIT { { { NULL, SERIES_INIT, PYRAMID_INIT, SERIES_INIT } }, SERIES_INIT, \
			 PYRAMID_INIT }

void lane_data_release(struct lane_data *d);

/* A and B exchanged; the difference stays as it is. */
void lane_data_swap(struct lane_data *d);

/* Has nothing been loaded, or only of an empty run? */
bool lane_data_is_empty(const struct lane_data *d);

/* An errand: the series of a pair, unless they are there, and for a delta lane the difference. */
struct lane_wish {
	struct pair pair;
	bool delta;
	struct {
		struct datalog *log;	/* held; NULL: no such side */
		struct pull pull;	/* the rows of it */
		struct axis_map map;	/* a copy; for a difference */
		struct series like;	/* borrowed from the log, or empty: see series_share() */
	} sides[SIDES];

	bool has_series;
	struct lane_data data;	/* empty after an error */
	enum err_code code;
	struct err error;
};

/* Of the runs of an overlay, B perhaps empty.  Freed with lane_wish_free(). */
struct lane_wish *lane_wish_new(const struct pair *pair, bool delta, const struct overlay *o);
void lane_wish_free(struct lane_wish *w);

/* Fills in data, code and error. */
void lane_wish_load(struct lane_wish *w);

/* The same in the background. */
extern const struct errand_kind lane_errands;

#endif
