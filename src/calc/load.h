/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * From a file to something to work on: read, recognise, apply the user's names,
 * derive, find the pulls.
 */
#ifndef CALC_LOAD_H
#define CALC_LOAD_H

#include "base/err.h"
#include "calc/overlay.h"
#include "calc/pull.h"
#include "data/csv_sniff.h"
#include "data/datalog.h"

struct load_options {
	struct csv_options csv;
	struct pull_options pull;
	const char *names;	/* path of a names file, or NULL */
};

struct loaded {
	struct datalog *log;
	struct pulls pulls;	/* empty without engine speed: see has_rpm */
	bool has_rpm;
};

#define LOADED_INIT { NULL, PULLS_INIT, false }

enum err_code load_log(const char *path, const struct load_options *options,
		       struct loaded *out, struct err *e);

/* The same with a log that was read; it is taken over, and freed when this fails. */
enum err_code load_finish(struct datalog *log, const struct load_options *options,
			  struct loaded *out, struct err *e);
void loaded_release(struct loaded *l);

/* Another one of the same log, to be released as well: see datalog_hold(). */
struct loaded loaded_hold(const struct loaded *l);

/* What stands behind the path in LOG, LOG@N and LOG@all. */
struct log_ref {
	char *path;		/* the caller frees it */
	enum { REF_BEST, REF_PULL, REF_WHOLE } what;
	size_t number;		/* for REF_PULL, from 1 */
};

/*
 * "before.csv@2": an ending "@" and a number or "all" is taken off, unless a file
 * of the whole name exists.  ERR_USAGE for @0 and @word.
 */
enum err_code log_ref_parse(const char *text, struct log_ref *out, struct err *e);

/*
 * The run that a reference means: its pull, the whole log, or for REF_BEST the pull
 * that covers the most engine speed (the whole log when there is no pull).
 */
enum err_code load_run(const struct loaded *l, const struct log_ref *ref, struct run *out,
		       struct err *e);

#endif
