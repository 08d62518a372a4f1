/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the questions of `ready` share: the pull, what is asked, and how a line is said.
 * Internal to judge/ready.
 */
#ifndef JUDGE_READY_CASE_H
#define JUDGE_READY_CASE_H

#include "judge/measure.h"
#include "judge/ready.h"

/* A channel that must be there: a word of the request, and the channels that it means. */
struct ready_wanted {
	const char *word;
	const struct channel **channels;	/* owned array; with samples in the pull */
	size_t count;
};

/* A channel whose samples must come fast, and how they come in the rows judged. */
struct ready_fast {
	const struct channel *channel;
	struct series s;
	double interval_s;	/* median, from one value to the next new one */
	bool held;		/* the logger repeats a value until the next one comes */
};

/* How a pull begins or ends. */
enum ready_end {
	END_UNKNOWN,
	END_FOOT,		/* the foot comes down; is lifted */
	END_GEAR,		/* a change of gear */
	END_LIMITER,
	END_LOG,		/* the log begins or ends there */
};

struct ready_row;

struct ready_case {
	const struct loaded *loaded;
	const struct datalog *log;
	const struct run *run;		/* of one pull; NULL: there is none */
	const struct ready_setup *setup;
	const struct ready_row *row;	/* the question now asked */
	struct ready_report *out;
	struct scene scene;		/* only where there is a run */
	size_t first;			/* rows judged: of the pull, else all */
	size_t last;
	double step_s;			/* median time from row to row */
	double second;			/* in units of the log's time: 1, but for a log without time */
	const char *time_unit;		/* "s", or "rows" for such a log */
	double rise;			/* rpm a unit of time over the pull; NaN without */
	struct ready_wanted *wanted;
	size_t wanted_count;
	struct ready_fast *fast;	/* engine speed first, where logged */
	size_t fast_count;

	enum ready_end begin;
	enum ready_end end;
	const struct pull *before;	/* that this one goes on from, within seconds; or NULL */
	const struct pull *after;
	enum ready_result from_result;	/* of the lines "from_rpm" and "to_rpm" */
	enum ready_result to_result;
};

/* Adds its line, or lines. */
typedef enum err_code (*ready_fn)(struct ready_case *c, struct err *e);

struct ready_row {
	const char *id;
	bool needs_pull;
	ready_fn ask;
	const char *advice;	/* where it does not pass, unless the line has its own */
};

extern const struct ready_row ready_table[];
extern const size_t ready_table_count;

/* What a line says beside its text; .asked and .advice are owned by the line, or NULL. */
struct ready_words {
	double value;
	const char *unit;
	char *asked;
	char *advice;
	bool owed;
};

/* Adds a line to the report for the question now asked. */
void ready_say(struct ready_case *c, enum ready_result result, struct ready_words words,
	       const char *format, ...) ERR_PRINTF(4, 5);

/* A value without a unit, nothing asked. */
struct ready_words ready_words(double value, const char *unit);

/* "at 4133 rpm (10.20 s)", "at row 204"; the caller frees it. */
char *ready_place(const struct ready_case *c, double t);

/* The worse of two. */
enum ready_result ready_worse(enum ready_result a, enum ready_result b);

/* Missing or useless: weak, or a failure where the request's own file asks for it. */
enum ready_result ready_lacking(const struct ready_case *c);

/* The channel's samples in the rows judged, in `unit` (NULL: its own). */
enum err_code ready_load(const struct ready_case *c, const struct channel *ch, const char *unit,
			 struct series *out, struct err *e);

/* The unit in which the channel's values are shown; NULL where it has none. */
const struct unit *ready_unit(const struct ready_case *c, const struct channel *ch);

/* Has the channel at least `least` samples in the rows judged? */
bool ready_has(const struct ready_case *c, const struct channel *ch, size_t least);

/* The first channel of the quantity with samples in the rows judged, or NULL. */
const struct channel *ready_find(const struct ready_case *c, enum quantity_id id);

/* Median of v[n], which is left as it was; NaN for none.  Ends the program without memory. */
double ready_median(const double *v, size_t n);

/* Median time from sample to sample; NaN below two. */
double ready_interval(const struct series *s);

/*
 * How the pull begins and ends, for scene and pulls as they are.  foot: pedal or throttle
 * around the pull, in per cent of its own highest.
 */
enum err_code ready_ends(struct ready_case *c, struct err *e);

/* The pedal, else the throttle, in shares of its own highest; NULL without either. */
const struct channel *ready_foot(const struct ready_case *c);
enum err_code ready_foot_load(const struct ready_case *c, double from_s, double to_s,
			      struct series *out, struct err *e);

/* Fills wanted and fast. */
enum err_code ready_want(struct ready_case *c, struct err *e);
void ready_want_release(struct ready_case *c);

#define READY_FN(name) enum err_code name(struct ready_case *c, struct err *e)

/* ready_pull.c */
READY_FN(ready_pull);
READY_FN(ready_from);
READY_FN(ready_to);
READY_FN(ready_gear_change);
READY_FN(ready_limiter);

/* ready_drive.c */
READY_FN(ready_gear);
READY_FN(ready_pedal);
READY_FN(ready_slip);

/* ready_rows.c */
READY_FN(ready_rate);
READY_FN(ready_regular);
READY_FN(ready_skew);
READY_FN(ready_gaps);
READY_FN(ready_repeats);
READY_FN(ready_clock);

/* ready_sensors.c */
READY_FN(ready_channels);
READY_FN(ready_saturated);
READY_FN(ready_stuck);

/* ready_state.c */
READY_FN(ready_coolant);
READY_FN(ready_oil);
READY_FN(ready_intake);
READY_FN(ready_heat_soak);
READY_FN(ready_battery);
READY_FN(ready_ethanol);

#endif
