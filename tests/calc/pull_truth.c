/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading the simulator's truth file; comparing pulls with it.  See pull_truth.h. */
#include "calc/pull_truth.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "data/column.h"

#define LINE_ROOM 1024
#define FULL_RATE 20.0		/* rows a second from which one sample is allowed */
#define LOST_SHARE 0.01
#define HOLE_ROWS 3.5
#define FORM_NO_TIME 5		/* the truth file's time_form without a time column */

static const char *const traits[TRUTH_TRAITS] = {
	"others polled", "rpm or pedal polled", "no pedal", "by load", "no speed",
	"no time column", "cells or rows lost", "holes", "wheel slip", "clutch slip",
};

static const char *const kinds[TRUTH_KINDS] = { "pull", "edge", "burst" };

/* What the lines say, gathered before it is drawn together. */
struct facts {
	double poll;
	double has_pedal;
	double has_throttle;
	double has_speed;
	double time_form;
	int every_rpm;
	int every_pedal;
	int every_throttle;
	int every_map;
};

const char *pull_truth_trait(unsigned bit)
{
	return bit < TRUTH_TRAITS ? traits[bit] : NULL;
}

/* The number behind "KEY=" in the line; NaN when it is not there. */
static double field(const char *line, const char *key)
{
	const char *at = line;
	const size_t n = strlen(key);

	while ((at = strstr(at, key)) != NULL) {
		if (at > line && at[-1] == ' ' && at[n] == '=')
			return strtod(at + n + 1, NULL);
		at += n;
	}
	return NAN;
}

static bool read_run(struct pull_truth *t, size_t *cap, const char *line, enum truth_kind kind)
{
	struct truth_run *run;
	const char *end = strstr(line, " end=");

	if (end == NULL || isnan(field(line, "from_row")) || field(line, "to_row") < 0.0)
		return false;
	mem_grow(&t->runs, cap, t->run_count + 1, sizeof *t->runs);
	run = &t->runs[t->run_count++];
	*run = (struct truth_run){
		.kind = kind,
		.first = (size_t)field(line, "from_row"),
		.last = (size_t)field(line, "to_row"),
		.from_rpm = field(line, "from_rpm"),
		.to_rpm = field(line, "to_rpm"),
		.gear = (int)field(line, "gear"),
	};
	snprintf(run->end, sizeof run->end, "%.*s", (int)strcspn(end + 5, " \n"), end + 5);
	return true;
}

/* "event slip_wheel ... pull=N": the slip happened in that pull. */
static void read_event(struct pull_truth *t, const char *line)
{
	const long number = lround(field(line, "pull"));
	long seen = 0;
	size_t i;

	for (i = 0; i < t->run_count; i++) {
		seen += t->runs[i].kind == TRUTH_PULL;
		if (t->runs[i].kind != TRUTH_PULL || seen != number)
			continue;
		if (strncmp(line, "slip_wheel ", 11) == 0)
			t->runs[i].wheel_slip = true;
		if (strncmp(line, "slip_clutch ", 12) == 0)
			t->runs[i].clutch_slip = true;
		return;
	}
}

/* "NUMBER\tID\tUNIT\tDECIMALS\tEVERY\t..." */
static void read_column(struct facts *f, const char *line)
{
	const struct {
		const char *id;
		int *every;
	} wanted[] = {
		{ "rpm", &f->every_rpm },
		{ "pedal", &f->every_pedal },
		{ "throttle", &f->every_throttle },
		{ "map", &f->every_map },
	};
	char id[32];
	int every;
	int copy;
	size_t i;

	if (sscanf(line, "%*d\t%31[^\t]\t%*[^\t]\t%*d\t%d\t%d", id, &every, &copy) != 3 || copy)
		return;
	for (i = 0; i < sizeof wanted / sizeof wanted[0]; i++)
		if (strcmp(wanted[i].id, id) == 0)
			*wanted[i].every = every;
}

static void read_value(struct pull_truth *t, struct facts *f, const char *key, const char *text)
{
	double rows = NAN;
	const struct {
		const char *key;
		double *out;
	} values[] = {
		{ "rate_hz", &t->rate },
		{ "rows", &rows },
		{ "poll", &f->poll },
		{ "has_pedal", &f->has_pedal },
		{ "has_throttle", &f->has_throttle },
		{ "has_speed", &f->has_speed },
		{ "time_form", &f->time_form },
	};
	size_t i;

	for (i = 0; i < sizeof values / sizeof values[0]; i++)
		if (strcmp(values[i].key, key) == 0)
			*values[i].out = strtod(text, NULL);
	if (!isnan(rows))
		t->rows = (size_t)rows;
}

static bool read_line(struct pull_truth *t, size_t *cap, struct facts *f, const char *line)
{
	char key[32];
	int used = 0;
	size_t i;

	if (sscanf(line, "%31s %n", key, &used) != 1)
		return true;
	for (i = 0; i < TRUTH_KINDS; i++)
		if (strcmp(kinds[i], key) == 0)
			return read_run(t, cap, line, (enum truth_kind)i);
	if (strcmp(key, "event") == 0)
		read_event(t, line + used);
	else if (strcmp(key, "column") == 0)
		read_column(f, line + used);
	else
		read_value(t, f, key, line + used);
	return true;
}

static void conclude(struct pull_truth *t, const struct facts *f)
{
	const bool pedal = f->has_pedal > 0.0;
	const bool throttle = f->has_throttle > 0.0;
	const bool polled = f->poll > 1.0;
	int slowest;
	size_t i;

	t->every_rpm = f->every_rpm > 0 ? f->every_rpm : 1;
	t->every_drive = pedal ? f->every_pedal : throttle ? f->every_throttle : f->every_map;
	t->every_drive = t->every_drive > 0 ? t->every_drive : 1;
	slowest = t->every_rpm > t->every_drive ? t->every_rpm : t->every_drive;
	t->sample_rate = t->rate / slowest;
	t->traits = (polled && slowest == 1 ? TRUTH_POLLED : 0u) |
		    (polled && slowest > 1 ? TRUTH_POLLED_ALL : 0u) |
		    (!pedal && throttle ? TRUTH_NO_PEDAL : 0u) |
		    (!pedal && !throttle ? TRUTH_BY_LOAD : 0u) |
		    (f->has_speed > 0.0 ? 0u : TRUTH_NO_SPEED) |
		    (lround(f->time_form) == FORM_NO_TIME ? TRUTH_NO_TIME : 0u);
	for (i = 0; i < t->run_count; i++)
		t->traits |= (t->runs[i].wheel_slip ? TRUTH_WHEEL_SLIP : 0u) |
			     (t->runs[i].clutch_slip ? TRUTH_CLUTCH_SLIP : 0u);
}

bool pull_truth_read(struct pull_truth *out, const char *path)
{
	static const char magic[] = "twinpull-sim-truth 1\n";
	FILE *file = fopen(path, "r");
	struct facts facts = { 0 };
	char line[LINE_ROOM];
	size_t cap = 0;
	bool ok;

	*out = (struct pull_truth){ 0 };
	if (file == NULL)
		return false;
	ok = fgets(line, sizeof line, file) != NULL && strcmp(line, magic) == 0;
	while (ok && fgets(line, sizeof line, file) != NULL && strncmp(line, "samples", 7) != 0)
		ok = read_line(out, &cap, &facts, line);
	fclose(file);
	ok = ok && out->rate > 0.0;
	if (ok)
		conclude(out, &facts);
	else
		pull_truth_release(out);
	return ok;
}

void pull_truth_release(struct pull_truth *t)
{
	free(t->runs);
	*t = (struct pull_truth){ 0 };
}

void pull_truth_look(struct pull_truth *t, const struct datalog *log)
{
	const struct channel *rpm = datalog_find(log, Q_RPM);
	const double due = (double)log->rows / t->every_rpm;
	const double hole = HOLE_ROWS / t->rate;
	size_t i;

	if (rpm == NULL || (double)column_samples(rpm->column) < (1.0 - LOST_SHARE) * due)
		t->traits |= TRUTH_LOST;
	for (i = 1; log->time_source == TIME_COLUMN && i < log->rows; i++)
		if (log->time[i] - log->time[i - 1] > hole)
			t->traits |= TRUTH_HOLES;
}

/* The slowest channel that a finder must look at; NULL when it is not recognised. */
static const struct channel *slowest_channel(const struct pull_truth *t,
					     const struct datalog *log)
{
	const enum quantity_id drive = (t->traits & TRUTH_BY_LOAD) != 0 ? Q_MAP :
		(t->traits & TRUTH_NO_PEDAL) != 0 ? Q_THROTTLE : Q_PEDAL;

	return datalog_find(log, t->every_drive >= t->every_rpm ? drive : Q_RPM);
}

/* before[row] = how many samples the channel has in the rows before. */
static size_t *count_samples(const struct pull_truth *t, const struct datalog *log)
{
	const struct channel *ch = slowest_channel(t, log);
	size_t *before = mem_array(log->rows + 1, sizeof *before);
	size_t i;

	for (i = 0; i < log->rows; i++)
		before[i + 1] = before[i] + (ch == NULL || !isnan(column_at(ch->column, i)));
	return before;
}

static size_t overlap(const struct truth_run *run, const struct pull *p)
{
	const size_t first = run->first > p->first ? run->first : p->first;
	const size_t last = run->last < p->last ? run->last : p->last;

	return last < first ? 0 : last - first + 1;
}

/* The pull found that overlaps the run most; pulls->count when none does. */
static size_t best_match(const struct truth_run *run, const struct pulls *pulls)
{
	size_t best = pulls->count;
	size_t most = 0;
	size_t i;

	for (i = 0; i < pulls->count; i++) {
		const size_t rows = overlap(run, &pulls->list[i]);

		if (rows > most) {
			most = rows;
			best = i;
		}
	}
	return best;
}

static struct pull_match measure(const size_t *before, const struct truth_run *run,
				 const struct pull *p)
{
	return (struct pull_match){
		.begin = (long)before[p->first] - (long)before[run->first],
		.end = (long)before[p->last + 1] - (long)before[run->last + 1],
	};
}

void pull_score_make(struct pull_score *out, const struct pull_truth *t,
		     const struct datalog *log, const struct pulls *pulls)
{
	size_t *before = count_samples(t, log);
	bool *taken = mem_array(pulls->count + 1, sizeof *taken);
	size_t i;

	*out = (struct pull_score){ 0 };
	out->matches = mem_array(t->run_count + 1, sizeof *out->matches);
	out->missed = mem_array(t->run_count + 1, sizeof *out->missed);
	out->falses = mem_array(pulls->count + 1, sizeof *out->falses);
	for (i = 0; i < t->run_count; i++) {
		const struct truth_run *run = &t->runs[i];
		const size_t best = best_match(run, pulls);

		if (run->kind != TRUTH_PULL) {
			taken[best] |= run->kind == TRUTH_EDGE;
			continue;
		}
		out->pulls++;
		if (best == pulls->count || taken[best] || run->last >= log->rows) {
			out->missed[out->missed_count++] = i;
			continue;
		}
		taken[best] = true;
		out->matches[out->match_count] = measure(before, run, &pulls->list[best]);
		out->matches[out->match_count].run = i;
		out->matches[out->match_count++].found = best;
	}
	for (i = 0; i < pulls->count; i++)
		if (!taken[i])
			out->falses[out->false_count++] = i;
	free(taken);
	free(before);
}

void pull_score_release(struct pull_score *s)
{
	free(s->matches);
	free(s->missed);
	free(s->falses);
	*s = (struct pull_score){ 0 };
}

long pull_match_error(const struct pull_match *m)
{
	const long begin = labs(m->begin);
	const long end = labs(m->end);

	return begin > end ? begin : end;
}

long pull_truth_allowed(const struct pull_truth *t)
{
	return t->sample_rate >= FULL_RATE ? 1 : 2;
}
