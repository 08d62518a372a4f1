/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * How far reading is, as a line on standard error: only where that is a terminal, and
 * only once it has taken half a second.
 */
#ifndef CMD_PROGRESS_H
#define CMD_PROGRESS_H

#include <stdbool.h>
#include <stddef.h>

struct progress {
	double begun;		/* monotonic, s */
	double drawn;		/* when the line was last drawn; 0: never */
	bool on;		/* standard error is a terminal */
};

void progress_init(struct progress *p);

/* Draws the line if it is time for it; size 0: nobody knows how much there is. */
void progress_show(struct progress *p, const char *name, size_t bytes, size_t size);

/* The same for a log that is followed and that has not begun; is_there: its file has. */
void progress_wait(struct progress *p, const char *name, bool is_there);

/* Takes the line away. */
void progress_clear(struct progress *p);

#endif
