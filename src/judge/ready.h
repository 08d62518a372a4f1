/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Is a log fit to be judged, and to be sent to a calibrator?  One table row a question
 * (ready_table.c); each gives one line, or one a channel.
 */
#ifndef JUDGE_READY_H
#define JUDGE_READY_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "calc/load.h"
#include "calc/overlay.h"
#include "judge/car.h"

/* What is asked of a log.  NaN: not asked. */
struct request {
	char *path;		/* of the file; NULL: built in */
	char *source;		/* who asks, in the file's words; NULL likewise */
	int gear;		/* 0: any single one */
	double from_rpm;	/* at or below it the foot must be down */
	double to_rpm;		/* at least; NaN: the car's redline, else what the log shows */
	double rate_hz;		/* of each channel that the judgement needs */
	char **channels;	/* [channel_count] quantity keys or names that must be there */
	size_t channel_count;
	double coolant_c[2];	/* windows: from, to; NaN open */
	double oil_c[2];
	double intake_c[2];	/* at the start of the pull */
	double battery_v[2];
	double ethanol_percent;	/* that the calibration expects */
	double ethanol_within;	/* per cent points */
};

/* The usual one: common practice, no source. */
void request_init(struct request *r);
void request_release(struct request *r);

enum ready_result {
	READY_PASS,
	READY_UNCHECKED,	/* the log cannot say: never a pass */
	READY_WEAK,		/* can be judged, with care */
	READY_FAIL,		/* cannot be judged */
};

const char *ready_result_name(enum ready_result r);	/* "pass", "not checked", "weak", "fail" */

struct ready_line {
	const char *id;		/* "pedal", "rate", ...: contract of JSON */
	enum ready_result result;
	double value;		/* NaN: none */
	const char *unit;	/* of value, "" for none */
	char *asked;		/* what was asked, in words: "at least 20 Hz" */
	char *text;		/* what is so, and where: one sentence or two */
	char *advice;		/* what to do about it, one sentence; NULL where it passes */
	bool owed;		/* not checked, though the request's file asks for just that */
};

struct ready_report {
	size_t pull;		/* the one judged, from 1; 0: there is none */
	struct ready_line *lines;	/* in the order of the table */
	size_t count;
	size_t cap;
	enum ready_result verdict;	/* READY_PASS, READY_WEAK or READY_FAIL; see ready_run() */
};

#define READY_REPORT_INIT { 0, NULL, 0, 0, READY_PASS }

struct ready_setup {
	const struct request *request;	/* never NULL */
	const struct car *car;		/* never NULL */
	enum unit_system units;		/* of values and of numbers in the texts */
};

/*
 * The pull that suits the request best, from 1; 0 without any: in the asked gear before
 * others, then the most of the asked engine speeds, then the widest.
 */
size_t ready_choose(const struct loaded *loaded, const struct request *request);

/*
 * Judges one pull of the log.  A log without any pull gets the line "pull" with
 * READY_FAIL and those that need none.  For a whole log the pull that suits the request
 * best is judged, and the line "pull" says so.
 *
 * The verdict is the worst of what was checked.  What could not be checked has not passed,
 * and is a line of its own; it weakens the verdict only where the request's file asks for
 * it (owed).  Fails only for memory.
 */
enum err_code ready_run(struct ready_report *out, const struct loaded *loaded,
			const struct run *run, const struct ready_setup *setup, struct err *e);
void ready_report_release(struct ready_report *r);

/* "fit", "fit with care", "not fit". */
const char *ready_verdict_name(enum ready_result verdict);

/* The verdict and what it rests on, in a sentence or two; the caller frees it. */
char *ready_sentence(const struct ready_report *r);

#endif
