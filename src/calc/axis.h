/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The axis map: for one pull, the monotone map between an axis position and the
 * log's time.  Drawing, cursors, statistics, differences, marks and export ask
 * only the map, so one piece of code serves every alignment.
 *
 * On the time axis the map is a shift.  On the engine-speed axis it is the
 * inverse of a monotone least-squares fit (isotonic regression by pooling
 * adjacent violators; Barlow, Bartholomew, Bremner and Brunk, "Statistical
 * Inference under Order Restrictions", 1972, from memory) of rpm(t), because
 * logged rpm wiggles.  Outside its coverage the map says "nothing here".
 */
#ifndef CALC_AXIS_H
#define CALC_AXIS_H

#include <stddef.h>

#include "base/err.h"
#include "calc/series.h"

enum axis_kind {
	AXIS_TIME,
	AXIS_RPM,
};

struct axis_map {
	enum axis_kind kind;
	size_t n;		/* knots, at least 2 in a map that covers anything */
	double *position;	/* [n], strictly rising */
	double *time;		/* [n], strictly rising, in s of the log */
	double zero;		/* of the time axis: the time at position 0 */
};

#define AXIS_MAP_INIT { AXIS_TIME, 0, NULL, NULL, 0.0 }

/*
 * Time axis: position = time - zero, over from_s .. to_s of the log, added and not
 * interpolated, so that a span that ends at a sample has it in.
 */
void axis_map_time(struct axis_map *m, double from_s, double to_s, double zero);

/*
 * Engine-speed axis from the rpm series of a pull.  ERR_DATA when it does not
 * rise; ERR_MEMORY.
 *
 * The knots: each level of the isotonic fit (equal weights; a level is a run of
 * equal fitted values) is one, at the middle between the times of its first and its
 * last sample; but the first level stands at its first sample and the last at its
 * last, so that the pull's own ends stay ends.  A level that would not come later
 * than the knot before it (repeated times) has none.  Between knots the map is linear.
 */
enum err_code axis_map_rpm(struct axis_map *m, const struct series *rpm, struct err *e);

void axis_map_copy(struct axis_map *out, const struct axis_map *m);
void axis_map_release(struct axis_map *m);

/* NaN outside the coverage. */
double axis_map_to_time(const struct axis_map *m, double position);
double axis_map_to_position(const struct axis_map *m, double time);

/* The coverage; NaN in both for an empty map. */
double axis_map_from(const struct axis_map *m);
double axis_map_to(const struct axis_map *m);

/* "time" or "rpm", and the unit of positions "s" or "rpm". */
const char *axis_name(enum axis_kind kind);
const char *axis_unit(enum axis_kind kind);

/*
 * Isotonic least-squares fit in place: y[n] becomes the nearest (in the sum of
 * squares) never-falling sequence.  Linear time.  `weight` may be NULL.
 */
enum err_code axis_isotonic(double *y, const double *weight, size_t n, struct err *e);

#endif
