/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A log that is still being written: read again and again, each time what has come.
 *
 * What comes out is what csv_read() makes of the whole lines that are there.  Rows are
 * read once; only as long as the log is shorter than what its dialect is told by is it
 * read anew.  A log that was cut, written over or replaced by another file begins anew.
 */
#ifndef DATA_CSV_FOLLOW_H
#define DATA_CSV_FOLLOW_H

#include <stdbool.h>

#include "base/err.h"
#include "data/csv_sniff.h"
#include "data/datalog.h"

struct csv_follow;

/*
 * Opens the log at path ("-": standard input, as it comes); *options, and what it points
 * to, must stay.  A file that is not there yet may be, where its folder is.  Else errors
 * as csv_read() for what is no readable file, and ERR_USAGE for a compressed one.
 */
enum err_code csv_follow_open(const char *path, const struct csv_options *options,
			      struct csv_follow **out, struct err *e);
void csv_follow_close(struct csv_follow *f);

/*
 * Reads what has come since the last call, without waiting.  *out is a log of all so
 * far, the caller's, or NULL when there is nothing new.  ERR_FORMAT and ERR_DATA while
 * what is there is no log yet (no rows, or one), ERR_IO while a file cannot be opened that
 * has taken its place: the next call may do better, unless csv_follow_is_hopeless().
 */
enum err_code csv_follow_read(struct csv_follow *f, struct datalog **out, struct err *e);

/* The error of a read is final: no more of that file will mend it. */
bool csv_follow_is_hopeless(const struct csv_follow *f, enum err_code code);

/* Which log it is: rises whenever another has taken the place of the one before. */
unsigned csv_follow_generation(const struct csv_follow *f);

/* There is no file of that name any more; what was read of it stays, and another may come. */
bool csv_follow_is_gone(const struct csv_follow *f);

/* Standard input, or a pipe, has ended: nothing more will come. */
bool csv_follow_is_over(const struct csv_follow *f);

/*
 * Waits until something may have come, the other descriptor is readable, or `ms` are over;
 * other may be -1.
 */
void csv_follow_wait(struct csv_follow *f, int other, int ms);

#endif
