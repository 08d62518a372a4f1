/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Time stamps: what a cell of a time column says, and making a clock that
 * repeats or jumps fit to be an axis without ever reordering rows.
 */
#ifndef DATA_CLOCK_H
#define DATA_CLOCK_H

#include <stddef.h>

#include "data/datalog.h"

enum clock_form {
	CLOCK_NONE,		/* not a time; a plain number is none either */
	CLOCK_MIN_SEC,		/* mm:ss.fff */
	CLOCK_HOUR_MIN_SEC,	/* hh:mm:ss.fff, with AM or PM behind it perhaps */
	CLOCK_DATE,		/* ISO 8601 date and time, 'T' or a blank between;
				 * also yyyy/mm/dd and dd.mm.yyyy */
};

/* A day and the seconds of it as the clock shows them; together exact enough for us. */
struct clock_stamp {
	long day;		/* since 1970-01-01; 0 without a date */
	double seconds;		/* of the day; of the clock shown without a date */
	double zone;		/* the clock is so many seconds ahead of UTC; 0 if not said */
	int decimals;		/* digits of the fraction of a second */
};

/*
 * Parses all n bytes of a cell.  The fraction may follow a point or a comma,
 * whatever the decimal mark of the file (ISO 8601 allows both).
 */
enum clock_form clock_parse(const char *cell, size_t n, struct clock_stamp *out);

/* Seconds from 0:00 of the day of `first`, on its clock, to `stamp`. */
double clock_since(const struct clock_stamp *first, const struct clock_stamp *stamp);

/*
 * Turns log->time as read (seconds, possibly repeated, missing or falling) into
 * the never-falling time of struct datalog, and fills the sections.
 *
 * A single stamp that is out of order counts as missing; missing ones are
 * interpolated.  Repeated stamps are spread evenly within the step of the clock
 * that repeats, below the next different stamp.  `period` is when the clock starts
 * again from 0 (86400 for the time of day, 3600 for minutes and seconds, 0 never):
 * such a rollover goes on counting.  Any other jump back starts a section, one step
 * behind the row before.  Each kind of mend adds one note with the count and the
 * first row (from 1).
 */
void clock_mend(struct datalog *log, double period);

#endif
