/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The limits that checks hold values against: for every check (check.h) up to three
 * levels, each a number or a line over engine speed.
 *
 * The built-in ones are common practice without a source.  Those of the calibrator go
 * over them, one by one (keep/limits_file.h).
 */
#ifndef JUDGE_LIMITS_H
#define JUDGE_LIMITS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "judge/check_id.h"

enum severity {
	SEVERITY_NONE,
	SEVERITY_NOTE,		/* worth knowing */
	SEVERITY_CAUTION,	/* look closer before the next pull */
	SEVERITY_STOP,		/* do not drive on before it is explained */
	SEVERITIES
};

/* "none", "note", "caution", "stop". */
const char *severity_name(enum severity s);

#define LIMIT_POINTS 16

/* Straight lines between points of rising rpm; the end values are held outside. */
struct limit_line {
	size_t n;		/* 0: no limit; 1: the same at every engine speed */
	double rpm[LIMIT_POINTS];
	double value[LIMIT_POINTS];
};

/* NaN without a limit, and for a NaN rpm where the limit varies. */
double limit_at(const struct limit_line *line, double rpm);

/*
 * "0.86" or "2000:0.88, 4000:0.86": a number, or RPM:VALUE points of rising rpm; "off":
 * no limit.  ERR_FORMAT says what is wrong, and *out is as it was.
 */
enum err_code limit_parse(struct limit_line *out, const char *text, struct err *e);

struct limit {
	struct limit_line level[SEVERITIES];	/* in the check's unit; [SEVERITY_NONE] unused */
	bool own[SEVERITIES];			/* set by the file, not built in */
	double least_s;				/* what lasts shorter does not count */
	bool off;				/* the check is not wanted */
};

struct limits {
	struct limit of[CHECK_COUNT];
	char *path;		/* of the file; NULL: built in only */
	char *source;		/* whose the file's limits are, in its own words; NULL likewise */
};

#define LIMITS_BUILT_IN "common practice, no source"

/* The built-in limits. */
void limits_init(struct limits *l);
void limits_release(struct limits *l);

/* Whose limit it is, in words: of the file (limit.own, finding.own) or built in. */
const char *limits_source(const struct limits *l, bool own);

#endif
