/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Marks: named, noted regions of a pull, kept beside the log in LOG.marks.csv
 * (RFC 4180, UTF-8, a header line `pull,axis,from,to,channel,title,note`).
 *
 * `pull` is a number from 1 or `all`; `axis` is `rpm` or `time`; from and to are
 * rpm, or seconds of the log's own clock, so that a mark means the same whatever
 * it is overlaid with.  When the log's folder cannot be written the file goes to
 * the state directory, under marks/ and the log's full path; until it is there, the
 * marks beside the log, if any, are read.
 */
#ifndef KEEP_MARKS_H
#define KEEP_MARKS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "calc/axis.h"

struct mark {
	size_t pull;		/* from 1; 0: the whole log */
	enum axis_kind axis;
	double from;
	double to;
	char *channel;		/* a channel's name, or "" */
	char *title;
	char *note;
};

struct marks {
	struct mark *list;
	size_t count;
	size_t cap;
	char *path;		/* where they are kept */
	bool elsewhere;		/* not beside the log: its folder cannot be written */
	char *seen;		/* the file's bytes as last read or written; NULL: no file */
};

#define MARKS_INIT { NULL, 0, 0, NULL, false, NULL }

/*
 * The marks of the log at log_path; none when there is no file yet.  ERR_FORMAT
 * names the file and the record (the header is the first); then *m holds no list and
 * must not be saved over the file.
 * Strings are as they stand in the file, control characters and all: whoever shows them
 * makes them safe (text_sanitise).  For "-" (standard input) nothing is kept: path is NULL.
 */
enum err_code marks_load(struct marks *m, const char *log_path, struct err *e);

/*
 * Writes them all, atomically; an empty list removes nothing but leaves the header.
 * ERR_DATA, and nothing written, when a mark's from or to is not finite, or when the
 * file was changed by somebody else since it was read.
 */
enum err_code marks_save(struct marks *m, struct err *e);

void marks_release(struct marks *m);

/* Copies the mark's strings. */
void marks_add(struct marks *m, const struct mark *mark);
void marks_insert(struct marks *m, size_t at, const struct mark *mark);
void marks_remove(struct marks *m, size_t at);
void mark_release(struct mark *mark);
struct mark mark_copy(const struct mark *mark);

#endif
