/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Looking on while a log is read: how far it is, what is there so far, and whether to
 * go on.
 */
#ifndef DATA_CSV_WATCH_H
#define DATA_CSV_WATCH_H

#include <stdbool.h>
#include <stddef.h>

struct csv_reading;

struct csv_progress {
	size_t bytes;		/* read, as they are stored */
	size_t size;		/* of all; 0 where that is not known */
	size_t rows;
};

struct csv_watch {
	/*
	 * Called between pieces, by one thread at a time, though not always by the same one.
	 * *so_far can be copied with csv_reading_so_far(); it is NULL as long as nothing is
	 * read.  False: stop here, what was read is the log.
	 */
	bool (*step)(void *data, const struct csv_progress *p, const struct csv_reading *so_far);
	void *data;
};

#endif
