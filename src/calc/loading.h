/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Loading a log in a thread of its own: what is there so far can be taken at any time,
 * whole and ready to work on, while the rest still comes.  A log can also be followed as
 * it is written.
 */
#ifndef CALC_LOADING_H
#define CALC_LOADING_H

#include <stdbool.h>

#include "base/err.h"
#include "calc/load.h"

struct loading;

struct loading_state {
	size_t bytes;		/* read, as they are stored */
	size_t size;		/* of all; 0 where that is not known */
	bool is_done;		/* nothing more will come; code tells why, if something is wrong */
	bool is_gone;		/* what is followed has no file any more; another may come */
	double silent_s;	/* nothing has come for so long: see loading_silence() */
	bool is_anew;		/* another log has taken the place of the one before */
	enum err_code code;	/* what is wrong with the log, or ERR_NONE */
	struct err error;
};

/*
 * Starts to load the log at path.  With `follow` it goes on when it is at the end, until
 * loading_stop(); options->csv.watch is not used.  Whenever there is something new, a
 * byte is written to the descriptor `news`.  *options, and what it points to, must stay.
 * ERR_MEMORY when no thread can be started.
 */
enum err_code loading_start(const char *path, const struct load_options *options, bool follow,
			    int news, struct loading **out, struct err *e);

/*
 * How long nothing has come, as it is told of: in steps, 0 while it is no matter, so that
 * there is news only now and then.
 */
double loading_silence(double s);

/*
 * True with a log that is newer than what was taken before; *out is the caller's then.
 * *state is filled in any case.
 */
bool loading_take(struct loading *l, struct loaded *out, struct loading_state *state);

/* Reads no further: what was read is the log, which can still be taken. */
void loading_stop(struct loading *l);

/* Stops, and waits for the thread. */
void loading_free(struct loading *l);

#endif
