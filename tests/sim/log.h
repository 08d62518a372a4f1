/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The logger: sensors read at the rows' times into a table of shown values. */
#ifndef SIM_LOG_H
#define SIM_LOG_H

#include "config.h"
#include "rng.h"
#include "world.h"

enum column_kind { COLUMN_CHANNEL, COLUMN_COPY, COLUMN_EMPTY };

struct column {
	enum column_kind kind;
	const struct channel *channel; /* NULL for an empty column */
	const struct unit *unit;
	int every, phase; /* read in rows with row % every == phase */
	int decimals;
	double last; /* for held values */
};

#define LOG_COLUMNS_MAX 80

/* What is true at a row's time, whatever the sensors say. */
struct row_truth {
	double t, engine_kw, wheel_kw, tyre_kw, road_kw, accel, v, rpm, slip, grade;
};

struct log {
	const struct config *config;
	struct column columns[LOG_COLUMNS_MAX];
	int column_count;
	double *cells; /* rows x column_count; NaN is missing */
	double *values; /* likewise, true and in base units; NULL when not asked for */
	struct row_truth *rows;
	long row_count, row_room;
	long turn; /* rows due so far, dropped ones too */
	double due_s, gap_until_s;
	struct rng clock, sensor;
};

/* False when the channel list is wrong (said on stderr). */
bool log_init(struct log *log, const struct config *config);
void log_release(struct log *log);

/* Called at every step; takes a row when one is due. False: out of memory. */
bool log_step(struct log *log, struct world *w);

#endif
