/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the comparing subcommands begin with: one or two logs loaded and laid on
 * an axis, their channels paired, the span settled.  Warnings go to standard
 * error on the way.
 */
#ifndef CMD_SESSION_H
#define CMD_SESSION_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "calc/load.h"
#include "calc/overlay.h"
#include "calc/pairing.h"
#include "cmd/options.h"

enum session_channels {
	SESSION_ALL,		/* every channel of numbers */
	SESSION_LANES,		/* of many, without --channel: what a screen shows first */
};

struct session {
	struct loaded loaded[2];	/* the second empty where A and B are of one file */
	struct overlay o;
	struct pairing pairs;
	size_t hidden;		/* channels left out of pairs by SESSION_LANES */
	double from;		/* the span, within what the runs cover */
	double to;
};

/*
 * From o->logs, one or two.  On success the caller ends with session_release(),
 * and nothing in it may be moved: the runs point into the logs.
 */
enum err_code session_open(struct session *s, const struct options *o,
			   enum session_channels channels, struct err *e);
void session_release(struct session *s);

/*
 * What the word means (LOG, LOG@N, LOG@all).  ref->path is the caller's to free, even on
 * failure.
 */
enum err_code session_ref(const char *word, struct log_ref *ref, struct err *e);

/* Loads the log at path; the rest as session_load(). */
enum err_code session_read(const char *path, const struct options *o, struct loaded *out,
			   struct err *e);

/*
 * Loads the log behind the word (LOG, LOG@N, LOG@all), and warns of what could not
 * be read.  Shows how far it is; Ctrl-C ends reading.  *ref is filled and its path is the caller's to free, even on failure.
 */
enum err_code session_load(const char *word, const struct options *o, struct loaded *out,
			   struct log_ref *ref, struct err *e);

/* Warns of what could not be read of a log, or not be understood. */
void session_warn(const struct datalog *log);

/*
 * A whole subcommand but its work: parses the options, lets `work` do it, and
 * returns the exit code.  `own` is for the setters of its own options.
 */
int session_command(const struct syntax *syntax, int argc, char **argv, void *own,
		    int (*work)(const struct options *o));

/* Sets what depends on where the text goes: characters and the width of a line. */
void session_style(struct options *o);

#endif
