/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Checks: is the engine safe?  One table row a check (check_table.c); a row's function
 * says what is looked at (a measure: a value for each sample to be judged), and
 * check_judge.c holds every measure against its limits in the same way.
 *
 * A finding is a screening aid, not a verdict: short events fall between samples, and
 * sensors can be wrong.  A check that lacks a channel has not run; it has not passed.
 */
#ifndef JUDGE_CHECK_H
#define JUDGE_CHECK_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "calc/load.h"
#include "calc/overlay.h"
#include "calc/series.h"
#include "data/datalog.h"
#include "judge/car.h"
#include "judge/check_id.h"
#include "judge/limits.h"

#define CHECK_NEEDS 4
#define CHECK_ANY 3

/* Which samples of a pull are judged, a set of these.  All need the foot down. */
enum check_gate {
	GATE_SETTLED = 1 << 0,	/* behind the sensors' lag after the foot went down: check.settle_s */
	GATE_BOOSTED = 1 << 1,	/* gauge boost over CHECK_BOOSTED_KPA; without boost: 1 s after the foot */
	GATE_SPOOLED = 1 << 2,	/* behind the end of the spool (scene.spooled_s) */
	GATE_FIRED = 1 << 3,	/* before fuel is cut at the end of the pull (scene.cut_s) */
};

#define CHECK_BOOSTED_KPA 30.0

/* How a limit is drawn in the lane of the measure's channel. */
enum check_relation {
	RELATION_NONE,		/* not at all */
	RELATION_VALUE,		/* limit */
	RELATION_NEGATED,	/* -limit */
	RELATION_ABOVE,		/* reference + limit */
	RELATION_BELOW,		/* reference - limit */
	RELATION_SHARE_BELOW,	/* reference x (1 - limit / 100) */
};

/* What only the whole log tells, found once however many pulls it has. */
struct log_facts {
	bool knock_negative;		/* knock retard is below zero in it */
};

/* One pull, as a check sees it. */
struct scene {
	const struct run *run;		/* of one pull, never of the whole log */
	const struct run *baseline;	/* NULL: none was given */
	const struct car *car;		/* never NULL */
	struct log_facts facts;
	double from_s;			/* of the pull */
	double to_s;
	double spooled_s;		/* the spool is over: see scene_init(); NaN: there is no boost */
	double cut_s;			/* fuel is cut from then on, as at the limiter; INFINITY: it is not */
	struct series boost;		/* gauge, kPa, in the pull; empty without */
	struct series rpm;		/* from 10 s before the pull to 10 s behind it, in its section */
	bool direct_injection;
};

struct measure {
	const struct channel *channel;	/* where a finding is seen; never NULL */
	struct series value;		/* in the check's unit */
	enum check_relation relation;
	struct series reference;	/* in the check's unit; empty where the relation needs none */
	char *detail;			/* words for the finding ("2.4 Hz"), or NULL */
	bool guess;			/* likely only: its findings are notes, and thin */
};

struct measures {
	struct measure *list;
	size_t count;
	size_t cap;
	char *why_not;			/* why there is none, a sentence without a full stop; owned */
};

struct check;

/*
 * Adds a measure for each channel that can be judged, or sets why_not (measures_refuse).
 * The channels of check.needs are there when it is called.  Gates and limits are not its
 * business.  Fails only for memory.
 */
typedef enum err_code (*check_fn)(const struct check *c, const struct scene *s,
				  struct measures *out, struct err *e);

enum check_side {
	CHECK_OVER,		/* trouble is above the limit */
	CHECK_UNDER,
};

struct check {
	enum check_id id;
	const char *name;	/* "boost_over": for limits.ini, JSON, the manual */
	const char *title;	/* "boost over its target": what a finding is called */
	struct {
		enum quantity_id any[CHECK_ANY];	/* one of these, the first that is logged */
	} needs[CHECK_NEEDS];	/* all of them; Q_NONE behind the last */
	check_fn measure;
	enum check_side side;
	const char *unit;	/* of values and limits, for unit_find(); "" for a bare number */
	bool difference;	/* of two values: converts without an offset */
	int decimals;		/* that read well in `unit` */
	const char *limit[SEVERITIES];	/* built-in levels as in limits.ini; NULL: none */
	double least_s;
	unsigned gates;
	double settle_s;	/* for GATE_SETTLED */
	const char *why;	/* why it matters, one sentence */
	const char *next;	/* what to look at next, one sentence */
};

/* Never NULL for an id below CHECK_COUNT. */
const struct check *check_get(enum check_id id);
const struct check *check_by_name(const char *name);	/* case aside; NULL: none */

/* How far a finding can be trusted. */
enum sureness {
	SURE_THIN,		/* under three samples, or on average within the noise of the limit */
	SURE_FAIR,
	SURE_CLEAR,		/* five samples or more, on average over the limit by twice the noise */
};

const char *sureness_name(enum sureness s);	/* "thin", "fair", "clear" */

struct finding {
	const struct check *check;
	enum severity severity;
	const struct channel *channel;
	size_t pull;		/* number, from 1 */
	double from_s;		/* first and last sample over the limit, log time */
	double to_s;
	double from_rpm;	/* NaN where engine speed is not known */
	double to_rpm;
	double worst;		/* in the check's unit */
	double worst_s;
	double worst_rpm;
	double limit;		/* of this severity, where it is worst */
	bool own;		/* the limit is of the calibrator's file */
	double over_s;		/* from sample to sample that both are over the limit, in all */
	size_t samples;		/* over the limit; one that the logger repeats counts once */
	double interval_s;	/* median time between samples: shorter events are not excluded */
	enum sureness sure;
	char *detail;		/* words of the measure, or NULL */
	const struct finding *cause;	/* of the same report, that this may follow from, or NULL */
};

enum not_run_kind {
	NOT_RUN_CHANNEL,	/* a channel is missing */
	NOT_RUN_LIMIT,		/* there is no limit, built in or given */
	NOT_RUN_OFF,		/* the limits file does not want it */
	NOT_RUN_OTHER,		/* it does not apply, or lacks something else */
	NOT_RUN_KINDS
};

/* A check that could not run: on any pull. */
struct not_run {
	const struct check *check;
	enum not_run_kind kind;
	char *why;		/* "not logged: lambda"; a sentence without a full stop */
};

/* A limit as it lies in a channel's lane. */
struct guide {
	const struct check *check;
	enum severity severity;
	const struct channel *channel;
	struct series line;	/* over log time, in `unit`; a hole ends it */
	const struct unit *unit;
};

struct check_report {
	struct finding *findings;	/* the severest first, then by pull and time */
	size_t count;
	size_t cap;
	struct not_run *not_run;	/* in the order of the table; switched off ones are in it */
	size_t not_run_count;
	struct guide *guides;
	size_t guide_count;
	size_t guide_cap;
	size_t ran;			/* checks that ran on at least one pull */
	size_t pulls;			/* looked at */
	double slowest_s;		/* interval of the slowest channel of what may be short */
	enum severity worst;
};

#define CHECK_REPORT_INIT { NULL, 0, 0, NULL, 0, NULL, 0, 0, 0, 0, 0.0, SEVERITY_NONE }

struct check_setup {
	const struct limits *limits;	/* never NULL */
	const struct car *car;		/* never NULL */
	const struct run *baseline;	/* a pull, or NULL */
	bool (*go_on)(void *data);	/* asked before each check; NULL: to the end */
	void *data;
};

/*
 * Runs every check over the run: one pull, or, for a whole log, each of its pulls.
 * ERR_DATA when there is no pull to judge, when the log has no time, and when
 * setup->go_on said no; ERR_MEMORY.
 */
enum err_code check_run(struct check_report *out, const struct loaded *loaded,
			const struct run *run, const struct check_setup *setup, struct err *e);
void check_report_release(struct check_report *r);

#endif
