/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Running the checks in a thread of its own: what is wanted is said, and what came of it
 * taken, without ever waiting for a check.
 *
 * The thread holds the logs that it is asked of.  One wish is in work at a time: another
 * one, or checking_drop(), ends it at the next check.
 */
#ifndef JUDGE_CHECKING_H
#define JUDGE_CHECKING_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "calc/load.h"
#include "judge/check.h"

#define CHECKING_RUNS 2

struct checking;

/* check_run(), or in tests something that takes as long as they want. */
typedef enum err_code (*checking_fn)(struct check_report *out, const struct loaded *loaded,
				     const struct run *run, const struct check_setup *setup,
				     struct err *e);

struct checking_wish {
	struct {
		const struct loaded *of;	/* NULL where there is nothing to judge */
		size_t number;		/* of the pull, or RUN_WHOLE */
	} runs[CHECKING_RUNS];
	bool compared;			/* the first is the baseline of the second: both are pulls */
	const struct limits *limits;	/* like the car: must stay until checking_free() */
	const struct car *car;
};

/* What came of one run.  The report is empty where the code is not ERR_NONE. */
struct checking_verdict {
	struct check_report report;	/* points to the channels of the log that was wished for */
	enum err_code code;
	struct err error;
};

/* `fn` may be NULL for check_run(); for `news` see errands_new(). */
struct checking *checking_new(int news, checking_fn fn);

/* Stops, and waits for the thread: for one check at most. */
void checking_free(struct checking *c);

/* Wants these runs judged, and no others any more. */
void checking_want(struct checking *c, const struct checking_wish *wish);

/* Wants nothing any more: no verdict comes of what was wanted. */
void checking_drop(struct checking *c);

/* True with the verdicts of the last wish; the caller releases the reports. */
bool checking_take(struct checking *c, struct checking_verdict out[CHECKING_RUNS]);

#endif
