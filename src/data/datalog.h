/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A datalog: the rows of one file, a time for each, and its channels.
 *
 * time[] never falls.  It is the log's own clock in seconds as read, except
 * that after a clock that jumped back (a restarted logger) it goes on counting:
 * each such jump starts a section, and no pull crosses one.
 */
#ifndef DATA_DATALOG_H
#define DATA_DATALOG_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"
#include "base/err.h"
#include "base/pool.h"
#include "data/column.h"
#include "data/quantity.h"
#include "data/unit.h"

struct channel {
	char *raw_name;		/* the header cell as it stands, sanitised */
	char *raw_unit;		/* its unit text, "" where there is none */
	char *name;		/* without the unit, unique in the log */
	const struct unit *unit;	/* NULL: none, or not recognised (then raw_unit is shown) */
	const struct quantity *quantity;	/* never NULL */
	int index;		/* cylinder, bank or sensor; 0 for none */
	char *why;		/* in words: what made it that quantity and unit */
	bool derived;		/* computed from others, not in the file */
	struct column *column;
};

/* A stretch of rows whose clock runs on; `first` is its first row. */
struct section {
	size_t first;
	double shift;		/* time[] minus the clock as read, in s */
};

/* Where a row or cell could not be read. */
struct bad_place {
	size_t line;		/* line of the file, from 1 */
	size_t field;		/* field of the line, from 1; 0 for the whole row */
	char *text;		/* the cell, sanitised and shortened */
};

#define DATALOG_PLACES 8	/* how many places of each kind are remembered */

enum time_source {
	TIME_COLUMN,		/* a column of the log */
	TIME_RATE,		/* rows at a rate that the user gave */
	TIME_ROWS,		/* no time at all: a row counts as a second, and it is said */
};

struct datalog {
	atomic_uint holders;	/* see datalog_hold() */
	char *path;		/* as given; "-" for standard input */
	size_t rows;
	double *time;		/* [rows], in s, never falling */
	enum time_source time_source;
	size_t time_channel;	/* the channel that time came from; meaningless otherwise */
	bool time_of_day;	/* time[] counts from midnight: hh:mm:ss or dates in the file */
	struct section *sections;	/* at least one when rows > 0 */
	size_t section_count;

	struct channel *channels;
	size_t channel_count;
	struct pool *pool;	/* holds the packed samples that were read */

	size_t bad_rows;	/* dropped: no cell of them could be used */
	size_t bad_cells;	/* became missing: text in a column of numbers */
	size_t ragged_rows;	/* kept: fewer or more cells than the header */
	struct bad_place places[DATALOG_PLACES];
	size_t place_count;

	bool is_part;		/* more of the file was not read, or not read yet */

	char **notes;		/* what the reader decided or mended, one sentence each */
	size_t note_count;
};

struct datalog *datalog_new(const char *path);

/*
 * Another who needs the log, in whatever thread, while it never changes any more: it stays
 * until each has freed it.
 */
struct datalog *datalog_hold(const struct datalog *log);
void datalog_free(struct datalog *log);

/* Appends a sentence to the notes. */
void datalog_note(struct datalog *log, const char *format, ...) ERR_PRINTF(2, 3);

/* Appends a channel and takes ownership of the column; strings are copied. */
struct channel *datalog_add(struct datalog *log, const char *raw_name, const char *raw_unit,
			    struct column *column);

/* The first channel of a quantity that has samples (index 0 or any), or NULL. */
const struct channel *datalog_find(const struct datalog *log, enum quantity_id id);

/*
 * The channel that a person means by `word`: the exact name, then the name with
 * letter case aside, then a quantity's key ("boost", "knock_retard3" for an
 * index), then the only channel whose name contains the words.  NULL and *e
 * filled otherwise, with the near matches in the text.
 */
const struct channel *datalog_channel(const struct datalog *log, const char *word,
				      struct err *e);

/* Median of the time from one sample of the channel to its next, in s; NaN below 2. */
double datalog_interval(const struct datalog *log, const struct channel *ch);

/*
 * Appends time t as a person knows it from the file: 10:14:17.80 where the log has
 * the time of day, else seconds with so many decimals.
 */
void datalog_time_text(const struct datalog *log, double t, int decimals, struct buf *out);

/* The last row whose time is at most t; rows when there is none. */
size_t datalog_row_at(const struct datalog *log, double t);

/* Index of the section that holds the row. */
size_t datalog_section(const struct datalog *log, size_t row);

/* Are its values held from sample to sample, and not lines between them? */
bool channel_is_stepped(const struct channel *ch);

/* The unit's name as shown (UTF-8 or plain), the raw unit, or "". */
const char *channel_unit_text(const struct channel *ch, bool ascii);

#endif
