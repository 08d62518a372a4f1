/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A log while it is read: the input, what is known of its dialect, and the rows so far.
 *
 *     begin -> rows (again and again where the input grows) -> so_far ... -> end
 */
#ifndef DATA_CSV_READING_H
#define DATA_CSV_READING_H

#include "base/err.h"
#include "data/csv_merge.h"
#include "data/csv_source.h"
#include "data/csv_table.h"

#define CSV_HEAD ((size_t)64 << 10)	/* bytes: a shorter log that grows is begun anew */

struct csv_reading {
	struct csv_source source;
	struct csv_options options;
	bool sure;		/* the encoding is known for sure, not guessed */
	struct datalog *log;	/* of the table */
	struct csv_table table;
	struct csv_merge merge;
	bool stopped;		/* by options.watch, before the end */
};

/*
 * Looks at the first bytes of the input, which is the caller's: whether they are text,
 * their encoding and dialect.  Errors as csv_read().  To be released either way.
 */
enum err_code csv_reading_begin(struct csv_reading *r, struct csv_input *in, bool grows,
				const struct csv_options *options, struct err *e);
void csv_reading_release(struct csv_reading *r);

/*
 * Reads rows to the end of the input, for now if it grows.  All is read again, from the
 * first byte, when it turns out that the encoding was guessed wrongly.
 */
enum err_code csv_reading_rows(struct csv_reading *r, struct err *e);

/* Makes the log of all rows; *out is the caller's.  Nothing more can be read then. */
enum err_code csv_reading_end(struct csv_reading *r, struct datalog **out, struct err *e);

/*
 * Makes a log of the rows so far; *out is the caller's.  It shares the packed samples
 * and is otherwise on its own: what is read afterwards does not change it.
 */
enum err_code csv_reading_so_far(const struct csv_reading *r, struct datalog **out,
				 struct err *e);

#endif
