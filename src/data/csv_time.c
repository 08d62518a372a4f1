/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Finding the time column. */
#include "data/csv_time.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/select.h"
#include "base/text.h"
#include "data/clock.h"
#include "data/csv_titles.h"
#include "data/recognise.h"

#define NO_COLUMN SIZE_MAX
#define MOST_STEPS 4096		/* looked at for the usual step */
#define ENOUGH_FALLS 100
#define BLOCK 1024		/* samples at once; most columns turn out to be no time in one */
#define LOOK 64			/* of a block at once, where each is like the next */
#define WHOLE_LIMIT 9007199254740992.0	/* 2^53: from here on doubles are whole */
#define LISTED_COLUMNS 12

/* How a column moves from sample to sample. */
struct motion {
	size_t samples;
	size_t rises;
	size_t falls;
	bool whole;		/* all samples are whole numbers */
	double last;		/* NaN before the first */
};

static const struct motion at_rest = { .whole = true, .last = NAN };

static bool is_whole(double v)
{
	return fabs(v) >= WHOLE_LIMIT || v == (double)(int64_t)v;
}

/* Whether all rise from `before` on; quick, and so it is for the time of nearly all logs. */
static bool all_rise(double before, const double *v, size_t n)
{
	size_t others = !(v[0] > before);
	size_t i;

	for (i = 1; i < n; i++)
		others += !(v[i] > v[i - 1]);
	return others == 0;
}

/* False from where on the rest need not be seen: it falls more than it rises. */
static bool move(struct motion *m, const double *v, size_t n)
{
	size_t i;

	if (n > 0 && !m->whole && all_rise(m->last, v, n)) {
		m->samples += n;
		m->rises += n;
		m->last = v[n - 1];
		return true;
	}
	for (i = 0; i < n; i++) {
		if (isnan(v[i]))
			continue;
		m->samples++;
		m->whole = m->whole && is_whole(v[i]);
		if (v[i] > m->last) {
			m->rises++;
		} else if (v[i] < m->last) {
			m->falls++;
			if (m->falls >= ENOUGH_FALLS && m->falls >= m->rises)
				return false;
		}
		m->last = v[i];
	}
	return true;
}

/* The rows' samples from `from` on, a block at most; returns how many. */
static size_t get_block(const struct column *c, size_t from, double v[BLOCK])
{
	const size_t left = column_rows(c) - from;
	const size_t n = left < BLOCK ? left : BLOCK;

	column_get(c, from, n, v);
	return n;
}

/*
 * Whether the first samples tell that it goes backwards as much as forwards: move()
 * would stop among them, too.  Quick, for no branch depends on a single one.
 */
static bool falls_at_once(const struct column *c)
{
	double v[BLOCK];
	const size_t n = get_block(c, 0, v);
	int64_t rises = 0;
	int64_t falls = 0;
	size_t i;
	size_t k;

	if (column_samples(c) < column_rows(c))
		return false;
	for (i = 0; i + LOOK < n; i += LOOK) {
		for (k = i; k < i + LOOK; k++) {
			rises += v[k + 1] > v[k];
			falls += v[k + 1] < v[k];
		}
		if (falls >= ENOUGH_FALLS && falls >= rises)
			return true;
	}
	return false;
}

static struct motion column_motion(const struct column *c)
{
	struct motion m = at_rest;
	double v[BLOCK];
	size_t from = 0;
	size_t n;

	while ((n = get_block(c, from, v)) > 0 && move(&m, v, n))
		from += n;
	return m;
}

/* The rises among the first samples of a column. */
struct steps {
	double usual;		/* median, NaN without any */
	double even;		/* share of those between half and twice the median */
};

static struct steps judge_steps(double *steps, size_t n)
{
	struct steps s = { NAN, 0 };
	size_t even = 0;
	size_t i;

	if (n == 0)
		return s;
	s.usual = select_nth(steps, n, n / 2, NULL);
	for (i = 0; i < n; i++)
		even += steps[i] >= 0.5 * s.usual && steps[i] <= 2 * s.usual;
	s.even = (double)even / (double)n;
	return s;
}

static struct steps column_steps(const struct column *c)
{
	double steps[MOST_STEPS];
	size_t count = 0;
	double before = NAN;
	double v[BLOCK];
	size_t from;
	size_t n;
	size_t i;

	for (from = 0; count < MOST_STEPS && (n = get_block(c, from, v)) > 0; from += n) {
		for (i = 0; i < n && count < MOST_STEPS; i++) {
			if (v[i] > before)
				steps[count++] = v[i] - before;
			before = isnan(v[i]) ? before : v[i];
		}
	}
	return judge_steps(steps, count);
}

/* Going forwards but for some restarts and strays. */
static bool is_clockwise(const struct motion *m)
{
	return m->rises > 0 && m->falls * 2 <= m->rises;
}

static bool is_steady(const struct motion *m)
{
	return m->rises > 0 && m->falls * 10 <= m->rises;
}

/* A column without a name to go by that rises evenly; a plain count of rows is no time. */
static bool looks_like_clock(const struct column *c, const struct motion *m)
{
	const size_t rows = column_rows(c);
	struct steps s;

	if (m->samples != rows || m->rises + 1 != rows || rows <= 2)
		return false;
	s = column_steps(c);
	return s.even >= 0.8 && !(m->whole && s.usual == 1 && s.even == 1);
}

static const struct channel *channel_at(const struct csv_table *t, const size_t *channel_of,
					size_t column)
{
	const size_t i = channel_of[column];

	return i == SIZE_MAX ? NULL : &t->log->channels[i];
}

static const struct unit *time_unit(const struct channel *ch)
{
	const struct unit *unit = unit_find(ch->raw_unit, NULL);

	return unit != NULL && unit->dim == DIM_TIME ? unit : NULL;
}

/* How much speaks for a column being the time. */
enum claim {
	CLAIM_NONE,
	CLAIM_LOOKS,	/* it is written like a time or rises evenly */
	CLAIM_SAYS,	/* its name, or its unit */
};

/* The column's name is that of a time, or of nothing known. */
static enum claim column_claim(const struct channel *ch, enum quantity_id id,
			       const struct motion *m, bool is_clock)
{
	if (id == Q_TIME)
		return is_clockwise(m) ? CLAIM_SAYS : CLAIM_NONE;
	if (time_unit(ch) != NULL && is_steady(m))
		return CLAIM_SAYS;
	if ((is_clock && is_clockwise(m)) || looks_like_clock(ch->column, m))
		return CLAIM_LOOKS;
	return CLAIM_NONE;
}

/*
 * Of the columns that say that they are the time, that with the most different
 * stamps; else, unless a rate is given, the first that looks like it; NO_COLUMN.
 */
static size_t guess_column(const struct csv_table *t, const size_t *channel_of, bool has_rate,
			   enum claim *claim, struct motion *motion)
{
	size_t found = NO_COLUMN;
	size_t rises = 0;
	size_t i;

	*claim = CLAIM_NONE;
	for (i = 0; i < t->dialect.columns; i++) {
		const struct channel *ch = channel_at(t, channel_of, i);
		enum quantity_id id;
		enum claim its;
		struct motion m;

		if (ch == NULL || column_kind(ch->column) != COLUMN_NUMBER ||
		    falls_at_once(ch->column))
			continue;
		id = csv_title_quantity(ch->raw_name);
		if (id != Q_TIME && id != Q_NONE)
			continue;
		m = column_motion(ch->column);
		its = column_claim(ch, id, &m, t->columns[i].is_clock);
		if (its == CLAIM_LOOKS && (has_rate || *claim != CLAIM_NONE))
			continue;
		if (its > *claim || (its == CLAIM_SAYS && m.rises > rises)) {
			*claim = its;
			rises = m.rises;
			*motion = m;
			found = i;
		}
	}
	return found;
}

static bool is_meant(const struct channel *ch, const char *word)
{
	char *name;
	char *unit;
	bool same;

	recognise_split(ch->raw_name, &name, &unit);
	same = text_casecmp(ch->raw_name, word) == 0 || text_casecmp(name, word) == 0;
	free(name);
	free(unit);
	return same;
}

static void list_columns(const struct datalog *log, struct buf *out)
{
	size_t i;

	for (i = 0; i < log->channel_count && i < LISTED_COLUMNS; i++)
		buf_printf(out, "%s\"%s\"", i > 0 ? ", " : "", log->channels[i].raw_name);
	if (log->channel_count > LISTED_COLUMNS)
		buf_printf(out, " and %zu more", log->channel_count - LISTED_COLUMNS);
}

static enum err_code forced_column(const struct csv_table *t, const size_t *channel_of,
				   const char *word, size_t *column, struct motion *motion,
				   struct err *e)
{
	const struct datalog *log = t->log;
	const struct channel *ch = NULL;
	struct buf names = BUF_INIT;
	size_t i;

	for (i = 0; i < t->dialect.columns; i++) {
		ch = channel_at(t, channel_of, i);
		if (ch != NULL && is_meant(ch, word))
			break;
	}
	*column = i;
	if (i == t->dialect.columns) {
		list_columns(log, &names);
		err_set(e, ERR_USAGE, "%s: there is no column \"%s\" to take the time from; "
			"there are %s", log->path, word, buf_text(&names));
		buf_release(&names);
		return ERR_USAGE;
	}
	*motion = column_motion(ch->column);
	if (column_kind(ch->column) != COLUMN_NUMBER || motion->rises == 0)
		return err_set(e, ERR_USAGE, "%s: column \"%s\" is no time: its values %s; name "
			       "another column, or give the rate of the rows", log->path,
			       ch->raw_name, column_kind(ch->column) == COLUMN_STATE
			       ? "are words" : "never rise");
	return ERR_NONE;
}

static void set_unit(struct channel *ch, const char *unit)
{
	free(ch->raw_unit);
	ch->raw_unit = mem_strdup(unit);
}

static void note_form(struct datalog *log, const struct channel *ch, enum clock_form form)
{
	static const char *const forms[] = {
		[CLOCK_NONE] = "a number",
		[CLOCK_MIN_SEC] = "minutes and seconds",
		[CLOCK_HOUR_MIN_SEC] = "hours, minutes and seconds",
		[CLOCK_DATE] = "date and time, counted in seconds from 0:00 of the first day",
	};

	datalog_note(log, "Time: column \"%s\" is read as %s.", ch->raw_name, forms[form]);
}

/* Seconds in the column's unit; notes what was guessed. */
static double seconds_a_unit(struct datalog *log, struct channel *ch, const struct motion *m,
			     bool is_said)
{
	const struct unit *unit = time_unit(ch);
	const char *guess = "s";
	double step = 0;

	if (unit != NULL)
		return unit->factor;
	if (m->whole || !is_said)
		step = column_steps(ch->column).usual;
	if (m->whole && step >= 5)
		guess = step <= 5000 ? "ms" : "us";
	if (strcmp(guess, "s") != 0 || !is_said)
		datalog_note(log, "Time: column \"%s\" %s; a guess from its steps of about %g.",
			     ch->raw_name, strcmp(guess, "ms") == 0 ? "is taken as milliseconds"
			     : strcmp(guess, "us") == 0 ? "is taken as microseconds"
			     : "rises steadily and is taken as seconds", step);
	/* A text that we do not know stays: it may well mean seconds. */
	if (ch->raw_unit[0] == '\0' || strcmp(guess, "s") != 0)
		set_unit(ch, guess);
	unit = unit_find(guess, NULL);
	return unit != NULL ? unit->factor : 1;
}

/* Divides by 1000 rather than multiplying with 0.001, which is not exact in binary. */
static void scale_time(struct datalog *log, double factor)
{
	const double divisor = round(1 / factor);
	const bool divides = factor < 1 && fabs(divisor * factor - 1) < 1e-12;
	size_t i;

	for (i = 0; factor != 1 && i < log->rows; i++)
		log->time[i] = divides ? log->time[i] / divisor : log->time[i] * factor;
}

static void time_from_column(const struct csv_table *t, size_t channel, size_t column,
			     const struct motion *motion, bool is_said)
{
	struct datalog *log = t->log;
	struct channel *ch = &log->channels[channel];
	const struct csv_column *c = &t->columns[column];
	double period = 0;

	log->time_source = TIME_COLUMN;
	log->time_channel = channel;
	column_get(ch->column, 0, log->rows, log->time);
	if (c->is_clock) {
		note_form(log, ch, c->form);
		log->time_of_day = c->form != CLOCK_MIN_SEC;
		if (c->form == CLOCK_HOUR_MIN_SEC && c->largest <= 86400)
			period = 86400;
		if (c->form == CLOCK_MIN_SEC && c->largest < 3600)
			period = 3600;
	} else {
		scale_time(log, seconds_a_unit(log, ch, motion, is_said));
	}
	clock_mend(log, period);
}

/* Why a column with the name of a time was not taken. */
static void note_useless_times(struct datalog *log)
{
	size_t i;

	for (i = 0; i < log->channel_count; i++)
		if (csv_title_quantity(log->channels[i].raw_name) == Q_TIME)
			datalog_note(log, "Time: column \"%s\" %s.", log->channels[i].raw_name,
				     column_kind(log->channels[i].column) == COLUMN_NUMBER
				     ? "does not run forwards" : "holds no times that can be read");
}

static void time_from_rows(struct datalog *log, double rate)
{
	size_t i;

	note_useless_times(log);
	log->time_source = rate > 0 ? TIME_RATE : TIME_ROWS;
	if (!(rate > 0)) {
		datalog_note(log, "There is no time column: each row counts as one second. Give "
			     "the rate with --rate HZ.");
		rate = 1;
	}
	for (i = 0; i < log->rows; i++)
		log->time[i] = (double)i / rate;
	log->sections = mem_array(1, sizeof(*log->sections));
	log->section_count = 1;
}

enum err_code csv_time_find(const struct csv_table *t, const size_t *channel_of,
			    const struct csv_options *options, struct err *e)
{
	struct datalog *log = t->log;
	const bool has_rate = options->rate > 0;
	size_t column = NO_COLUMN;
	enum claim claim = CLAIM_SAYS;
	struct motion motion = { 0 };
	enum err_code code;

	log->time = mem_try_large(log->rows, sizeof(*log->time));
	if (log->time == NULL)
		return err_set(e, ERR_MEMORY, "%s: out of memory", log->path);
	if (options->time_name != NULL) {
		code = forced_column(t, channel_of, options->time_name, &column, &motion,
				     e);
		if (code != ERR_NONE)
			return code;
	} else {
		column = guess_column(t, channel_of, has_rate, &claim, &motion);
	}
	if (column == NO_COLUMN) {
		time_from_rows(log, options->rate);
		return ERR_NONE;
	}
	if (has_rate)
		datalog_note(log, "The log has a time column: the rate that was given is not "
			     "used.");
	time_from_column(t, channel_of[column], column, &motion, claim == CLAIM_SAYS);
	return ERR_NONE;
}
