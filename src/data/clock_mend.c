/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Mending a clock that repeats, jumps or has holes. */
#include "data/clock.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/num.h"
#include "base/select.h"

#define MOST_STEPS 4096		/* steps that the median is taken from */
#define NEAR_STEPS 5		/* a single stamp is astray when its neighbours are so near */

/* How often something was mended, and where first (row from 1). */
struct tally {
	size_t count;
	size_t first;
};

static void tally(struct tally *t, size_t row)
{
	if (t->count++ == 0)
		t->first = row + 1;
}

/* "12 rows (first: row 5)" needs one word less for a single row. */
static void note_rows(struct datalog *log, const struct tally *t, const char *what)
{
	if (t->count == 1)
		datalog_note(log, "Time: row %zu %s.", t->first, what);
	else if (t->count > 1)
		datalog_note(log, "Time: %zu rows, the first of them row %zu, %s.", t->count,
			     t->first, what);
}

/* The next row from i on that has a stamp; rows when there is none. */
static size_t next_stamp(const struct datalog *log, size_t i)
{
	while (i < log->rows && isnan(log->time[i]))
		i++;
	return i;
}

/*
 * Median of the rising steps from stamp to stamp, taken from up to MOST_STEPS
 * places all over the log; 1 when the clock never rises.
 */
static double median_step(const struct datalog *log)
{
	double *steps = mem_array(MOST_STEPS, sizeof(*steps));
	const size_t stride = log->rows / MOST_STEPS + 1;
	double median = 1;
	size_t n = 0;
	size_t i;

	for (i = 0; i < log->rows && n < MOST_STEPS; i += stride) {
		const size_t from = next_stamp(log, i);
		size_t to = from;

		while (to < log->rows && !(log->time[to] > log->time[from]) &&
		       !(log->time[to] < log->time[from]))
			to++;
		if (to < log->rows && log->time[to] > log->time[from])
			steps[n++] = log->time[to] - log->time[from];
		if (to > i + stride)
			i = to - stride;
	}
	if (n > 0)
		median = select_nth(steps, n, n / 2, NULL);
	free(steps);
	return median;
}

static void note_missing(struct datalog *log)
{
	struct tally missing = { 0, 0 };
	size_t i;

	for (i = 0; i < log->rows; i++)
		if (isnan(log->time[i]))
			tally(&missing, i);
	note_rows(log, &missing, "had no time stamp; it was interpolated");
}

/*
 * The row of the one stamp to blame when the clock falls from row b to row c while
 * a and d are the stamps around them; rows when it is a real jump.
 */
static size_t stray_stamp(const struct datalog *log, size_t a, size_t b, size_t c, double step)
{
	const double *t = log->time;
	const size_t d = next_stamp(log, c + 1);

	if (d < log->rows && t[d] > t[b] && t[d] - t[b] <= NEAR_STEPS * step)
		return c;
	if (a < log->rows && t[c] > t[a] && t[c] - t[a] <= NEAR_STEPS * step)
		return b;
	return log->rows;
}

/* Makes single stamps that are out of order missing. */
static void drop_strays(struct datalog *log, double step)
{
	struct tally strays = { 0, 0 };
	size_t a = log->rows;
	size_t b = next_stamp(log, 0);
	size_t c;

	for (c = next_stamp(log, b + 1); c < log->rows; c = next_stamp(log, c + 1)) {
		size_t stray = log->rows;

		if (log->time[c] < log->time[b])
			stray = stray_stamp(log, a, b, c, step);
		if (stray < log->rows) {
			tally(&strays, stray);
			log->time[stray] = NAN;
		}
		if (stray == c)
			continue;
		if (stray != b)
			a = b;
		b = c;
	}
	note_rows(log, &strays, "had a stamp out of order; it was taken from the rows around");
}

static void add_section(struct datalog *log, size_t *room, size_t first, double shift)
{
	mem_grow(&log->sections, room, log->section_count + 1, sizeof(*log->sections));
	log->sections[log->section_count++] = (struct section){ first, shift };
}

/* Shifts what follows a rollover or a jump back, so that the stamps never fall. */
static void join_sections(struct datalog *log, double period, double step)
{
	struct tally rollovers = { 0, 0 };
	struct tally jumps = { 0, 0 };
	size_t room = log->section_count;
	size_t before = log->rows;
	double shift = 0;
	double raw_before = 0;
	size_t i;

	add_section(log, &room, 0, 0);
	for (i = next_stamp(log, 0); i < log->rows; i = next_stamp(log, i + 1)) {
		const double raw = log->time[i];

		if (before < log->rows && raw < raw_before) {
			if (raw_before - raw > period / 2 && raw_before - raw <= period) {
				shift += period;
				tally(&rollovers, i);
			} else {
				shift = log->time[before] + step * (double)(i - before) - raw;
				add_section(log, &room, i, shift);
				tally(&jumps, i);
			}
		}
		log->time[i] = raw + shift;
		raw_before = raw;
		before = i;
	}
	note_rows(log, &rollovers, period < 86400 ? "began a new hour of the clock"
						  : "began a new day at midnight");
	note_rows(log, &jumps, "jumped back (the logger was started again?); "
			       "each jump begins a section, which no pull crosses");
}

/* Straight lines over rows without a stamp; one step a row before and behind all. */
static void fill_missing(struct datalog *log, double step)
{
	double *t = log->time;
	size_t before = log->rows;
	size_t next = next_stamp(log, 0);
	size_t i;

	for (i = 0; i < log->rows; i++) {
		if (i == next) {
			before = i;
			next = next_stamp(log, i + 1);
			continue;
		}
		if (before < log->rows && next < log->rows)
			t[i] = t[before] + (t[next] - t[before]) * (double)(i - before) /
						   (double)(next - before);
		else if (before < log->rows)
			t[i] = t[before] + step * (double)(i - before);
		else if (next < log->rows)
			t[i] = t[next] - step * (double)(next - i);
		else
			t[i] = step * (double)i;
	}
}

/* Runs of one stamp become even steps, below the next stamp and within `step`. */
static void spread_repeats(struct datalog *log, double step)
{
	struct tally repeats = { 0, 0 };
	double *t = log->time;
	double spacing = step;
	char number[NUM_TEXT];
	char *what;
	size_t from = 0;

	while (from < log->rows) {
		size_t to = from + 1;
		double room = step;
		size_t i;

		while (to < log->rows && t[to] == t[from])
			to++;
		if (to < log->rows && t[to] - t[from] < room)
			room = t[to] - t[from];
		if (to < log->rows || room / (double)(to - from) < spacing)
			spacing = room / (double)(to - from);
		for (i = from + 1; i < to; i++) {
			tally(&repeats, i);
			t[i] = t[from] + spacing * (double)(i - from);
		}
		from = to;
	}
	what = mem_printf("repeated the stamp of the row before; they were spread evenly "
			  "within the clock's step of %s s", num_fixed(number, step, 3));
	note_rows(log, &repeats, what);
	free(what);
}

/* Whether each row has a later stamp than that before: nothing is to be mended. */
static bool runs_forwards(const struct datalog *log)
{
	const double *t = log->time;
	size_t falls = isnan(t[0]);
	size_t i;

	for (i = 1; i < log->rows; i++)
		falls += !(t[i] > t[i - 1]);
	return falls == 0;
}

void clock_mend(struct datalog *log, double period)
{
	size_t room = 0;
	double step;

	if (log->rows == 0)
		return;
	if (runs_forwards(log)) {
		add_section(log, &room, 0, 0);
		return;
	}
	step = median_step(log);
	note_missing(log);
	drop_strays(log, step);
	join_sections(log, period, step);
	fill_missing(log, step);
	spread_repeats(log, step);
}
