/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A datalog: making one, and finding channels, rows and sections in it. */
#include "data/datalog.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/num.h"
#include "base/search.h"
#include "base/select.h"
#include "base/text.h"

#define NEAR_MATCHES 8		/* names that an error message lists at most */

struct datalog *datalog_new(const char *path)
{
	struct datalog *log = mem_alloc(sizeof(*log));

	atomic_init(&log->holders, 1);
	log->path = mem_strdup(path);
	log->pool = pool_new();
	return log;
}

static void release_channel(struct channel *ch)
{
	free(ch->raw_name);
	free(ch->raw_unit);
	free(ch->name);
	free(ch->why);
	column_free(ch->column);
}

struct datalog *datalog_hold(const struct datalog *log)
{
	struct datalog *held = (struct datalog *)log;

	atomic_fetch_add(&held->holders, 1);
	return held;
}

void datalog_free(struct datalog *log)
{
	size_t i;

	if (log == NULL || atomic_fetch_sub(&log->holders, 1) > 1)
		return;
	for (i = 0; i < log->channel_count; i++)
		release_channel(&log->channels[i]);
	for (i = 0; i < log->place_count; i++)
		free(log->places[i].text);
	for (i = 0; i < log->note_count; i++)
		free(log->notes[i]);
	pool_free(log->pool);
	free(log->channels);
	free(log->notes);
	free(log->sections);
	free(log->time);
	free(log->path);
	free(log);
}

/*
 * Makes room for one more than count elements.  The arrays keep no capacity: they
 * double whenever the count reaches a power of two.
 */
static void one_more(void *array, size_t count, size_t size)
{
	size_t room = count;

	if ((count & (count - 1)) == 0)
		mem_grow(array, &room, count == 0 ? 1 : 2 * count, size);
}

void datalog_note(struct datalog *log, const char *format, ...)
{
	char text[1024];
	va_list args;

	va_start(args, format);
	vsnprintf(text, sizeof(text), format, args);
	va_end(args);
	one_more(&log->notes, log->note_count, sizeof(*log->notes));
	log->notes[log->note_count++] = mem_strdup(text);
}

struct channel *datalog_add(struct datalog *log, const char *raw_name, const char *raw_unit,
			    struct column *column)
{
	struct channel *ch;

	one_more(&log->channels, log->channel_count, sizeof(*log->channels));
	ch = &log->channels[log->channel_count++];
	*ch = (struct channel){
		.raw_name = mem_strdup(raw_name),
		.raw_unit = mem_strdup(raw_unit),
		.name = mem_strdup(raw_name),
		.quantity = quantity_get(Q_NONE),
		.why = mem_strdup(""),
		.column = column,
	};
	return ch;
}

const struct channel *datalog_find(const struct datalog *log, enum quantity_id id)
{
	const struct channel *found = NULL;
	size_t i;

	for (i = 0; i < log->channel_count; i++) {
		const struct channel *ch = &log->channels[i];

		if (ch->quantity->id != id || column_samples(ch->column) == 0)
			continue;
		if (ch->index == 0)
			return ch;
		if (found == NULL)
			found = ch;
	}
	return found;
}

static const struct channel *find_named(const struct datalog *log, const char *word,
					int (*compare)(const char *, const char *))
{
	size_t i;

	for (i = 0; i < log->channel_count; i++)
		if (compare(log->channels[i].name, word) == 0)
			return &log->channels[i];
	return NULL;
}

/* "boost", or "knock_retard3": a quantity's key and an index. */
static const struct channel *find_key(const struct datalog *log, const char *word)
{
	size_t n = strlen(word);
	const struct quantity *q = quantity_by_key(word);
	const struct channel *found = NULL;
	int index = 0;
	char *key;
	size_t i;

	if (q != NULL)
		return datalog_find(log, q->id);
	while (n > 0 && word[n - 1] >= '0' && word[n - 1] <= '9')
		n--;
	if (n == strlen(word) || strlen(word) - n > 4)
		return NULL;
	index = atoi(word + n);
	key = mem_strndup(word, n);
	q = quantity_by_key(key);
	free(key);
	for (i = 0; q != NULL && found == NULL && i < log->channel_count; i++)
		if (log->channels[i].quantity->id == q->id && log->channels[i].index == index)
			found = &log->channels[i];
	return found;
}

/* True when any blank-separated word of `needle` occurs in `hay`. */
static bool matches_some(const char *hay, const char *needle)
{
	bool found = false;

	while (!found && *needle != '\0') {
		const size_t skip = strspn(needle, " ");
		const size_t n = strcspn(needle + skip, " ");
		char *word = mem_strndup(needle + skip, n);

		found = n > 0 && text_matches(hay, word);
		free(word);
		needle += skip + n;
	}
	return found;
}

/* Appends up to NEAR_MATCHES names that match; returns how many match at all. */
static size_t list_names(const struct datalog *log, const char *word,
			 bool (*match)(const char *, const char *), struct buf *out)
{
	size_t count = 0;
	size_t i;

	for (i = 0; i < log->channel_count; i++) {
		if (!match(log->channels[i].name, word))
			continue;
		if (count < NEAR_MATCHES) {
			buf_puts(out, count > 0 ? ", \"" : "\"");
			buf_puts(out, log->channels[i].name);
			buf_putc(out, '"');
		}
		count++;
	}
	if (count > NEAR_MATCHES)
		buf_printf(out, " and %zu more", count - NEAR_MATCHES);
	return count;
}

static void explain_no_channel(const struct datalog *log, const char *word, struct err *e)
{
	struct buf names = BUF_INIT;
	const char *path = log->path;

	if (word[0] != '\0' && list_names(log, word, text_matches, &names) > 0)
		err_set(e, ERR_USAGE, "%s: \"%s\" may be any of %s; write the name in full",
			path, word, buf_text(&names));
	else if (list_names(log, word, matches_some, &names) > 0)
		err_set(e, ERR_USAGE, "%s: no channel \"%s\"; near it: %s",
			path, word, buf_text(&names));
	else if (list_names(log, "", text_matches, &names) > 0)
		err_set(e, ERR_USAGE, "%s: no channel \"%s\"; there are %s",
			path, word, buf_text(&names));
	else
		err_set(e, ERR_USAGE, "%s: no channel \"%s\"; the log has none at all",
			path, word);
	buf_release(&names);
}

const struct channel *datalog_channel(const struct datalog *log, const char *word,
				      struct err *e)
{
	const struct channel *found = find_named(log, word, strcmp);
	size_t matches = 0;
	size_t i;

	if (found == NULL)
		found = find_named(log, word, text_casecmp);
	if (found == NULL)
		found = find_key(log, word);
	if (found != NULL)
		return found;
	for (i = 0; word[0] != '\0' && i < log->channel_count; i++) {
		if (text_matches(log->channels[i].name, word)) {
			found = &log->channels[i];
			matches++;
		}
	}
	if (matches == 1)
		return found;
	explain_no_channel(log, word, e);
	return NULL;
}

double datalog_interval(const struct datalog *log, const struct channel *ch)
{
	const size_t samples = column_samples(ch->column);
	struct column_walk walk;
	double *steps;
	double before = NAN;
	double median;
	size_t n = 0;
	size_t i;
	double v;

	if (samples < 2)
		return NAN;
	steps = mem_array(samples, sizeof(*steps));
	column_walk_init(&walk, ch->column);
	for (i = 0; column_walk_next(&walk, &v); i++) {
		if (isnan(v))
			continue;
		if (!isnan(before))
			steps[n++] = log->time[i] - before;
		before = log->time[i];
	}
	median = select_median(steps, n);
	free(steps);
	return median;
}

void datalog_time_text(const struct datalog *log, double t, int decimals, struct buf *out)
{
	const double part = pow(10.0, decimals);
	const double rounded = round(t * part) / part;	/* 59.999 must not become 60.00 */
	char number[NUM_TEXT];
	long minutes;

	if (!log->time_of_day || isnan(t) || t < 0.0) {
		buf_puts(out, num_fixed(number, t, decimals));
		return;
	}
	minutes = (long)floor(rounded / 60.0);
	num_fixed(number, fmax(rounded - 60.0 * (double)minutes, 0.0), decimals);
	buf_printf(out, "%02ld:%02ld:%s%s", minutes / 60 % 24, minutes % 60,
		   strcspn(number, ".") < 2 ? "0" : "", number);
}

size_t datalog_row_at(const struct datalog *log, double t)
{
	const size_t later = search_upper(log->time, log->rows, t);

	return later == 0 ? log->rows : later - 1;
}

size_t datalog_section(const struct datalog *log, size_t row)
{
	size_t i = log->section_count;

	while (i > 1 && log->sections[i - 1].first > row)
		i--;
	return i > 0 ? i - 1 : 0;
}

bool channel_is_stepped(const struct channel *ch)
{
	return ch->quantity->stepped || column_kind(ch->column) == COLUMN_STATE;
}

const char *channel_unit_text(const struct channel *ch, bool ascii)
{
	if (ch->unit == NULL)
		return ch->raw_unit;
	return ascii ? ch->unit->ascii : ch->unit->name;
}
