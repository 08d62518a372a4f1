/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which column of a log is its time, and in which unit. */
#ifndef DATA_CSV_TIME_H
#define DATA_CSV_TIME_H

#include <stddef.h>

#include "base/err.h"
#include "data/csv_sniff.h"
#include "data/csv_table.h"

/*
 * Fills time, sections and time_source of the table's log, which has its channels;
 * channel_of as csv_channels_make() left it.  A time column without a unit text
 * gets the unit that was guessed.  ERR_USAGE when options->time_name is no column, or
 * no time; ERR_MEMORY.
 */
enum err_code csv_time_find(const struct csv_table *t, const size_t *channel_of,
			    const struct csv_options *options, struct err *e);

#endif
