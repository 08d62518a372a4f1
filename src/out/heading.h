/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was compared: the runs and the span above the numbers, and as JSON. */
#ifndef OUT_HEADING_H
#define OUT_HEADING_H

#include "base/buf.h"
#include "calc/overlay.h"
#include "calc/pairing.h"
#include "out/json.h"
#include "out/style.h"

/* From the first row to the last, in s. */
double heading_duration(const struct datalog *log);

/* "before.csv@1", "drive.csv@all"; the caller frees it. */
char *heading_name(const struct run *run);

/* The key of what it measures; "" where that was not recognised. */
const char *heading_quantity(const struct channel *ch);

/* Decimals that positions on this axis read well with. */
int heading_decimals(enum axis_kind axis);

/* Of a value of the pair: what the log has, but no more than its unit reads well with. */
int heading_value_decimals(const struct pair *pair);

/* Engine speed of A at the zero of the time axis; NaN where it has none there. */
double heading_zero(const struct overlay *o);

/* A line for each run, what weakens it below, and the span from .. to. */
void heading_text(const struct overlay *o, double from, double to,
		  const struct out_style *style, struct buf *out);

/*
 * Axis positions from .. to of a run as log times; NaN both when it has nothing
 * there.  *rows: the rows of the log within.
 */
void heading_span(const struct overlay *o, const struct run *run, double from, double to,
		  double *from_s, double *to_s, size_t *rows);

/* Sets "axis", "from", "to", "unit", "a" and "b" of the object. */
void heading_axis_json(json_t *object, const struct overlay *o, double from, double to);

/* Sets "name", "quantity" and "unit" of the object. */
void heading_pair_json(json_t *object, const struct pair *pair);

#endif
