/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Comparing datalogs. */
#include "data/log_compare.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

struct report {
	char *text;
	size_t n;
};

static bool same_size(const struct report *r, const char *what, size_t a, size_t b)
{
	if (a != b)
		snprintf(r->text, r->n, "%s: %zu and %zu", what, a, b);
	return a == b;
}

static bool same_text(const struct report *r, const char *what, const char *a, const char *b)
{
	if (strcmp(a, b) == 0)
		return true;
	snprintf(r->text, r->n, "%s: \"%.200s\" and \"%.200s\"", what, a, b);
	return false;
}

static bool same_double(const struct report *r, const char *what, size_t row, double a, double b)
{
	if ((isnan(a) && isnan(b)) || memcmp(&a, &b, sizeof(a)) == 0)
		return true;
	snprintf(r->text, r->n, "%s, row %zu: %.17g and %.17g", what, row, a, b);
	return false;
}

static bool same_column(const struct report *r, const char *name, const struct column *a,
			const struct column *b)
{
	struct column_walk walk_a;
	struct column_walk walk_b;
	double v;
	double w;
	size_t row;

	if (!same_size(r, "rows", column_rows(a), column_rows(b)) ||
	    !same_size(r, "kind", column_kind(a), column_kind(b)) ||
	    !same_size(r, "samples", column_samples(a), column_samples(b)) ||
	    !same_size(r, "decimals", (size_t)column_decimals(a), (size_t)column_decimals(b)))
		return false;
	column_walk_init(&walk_a, a);
	column_walk_init(&walk_b, b);
	for (row = 0; column_walk_next(&walk_a, &v) && column_walk_next(&walk_b, &w); row++)
		if (!same_double(r, name, row, v, w) ||
		    !same_text(r, name, column_word(a, v), column_word(b, w)))
			return false;
	return true;
}

static bool same_channel(const struct report *r, const struct channel *a,
			 const struct channel *b)
{
	return same_text(r, "name", a->raw_name, b->raw_name) &&
	       same_text(r, "unit", a->raw_unit, b->raw_unit) &&
	       same_column(r, a->raw_name, a->column, b->column);
}

static bool same_place(const struct report *r, const struct bad_place *a,
		       const struct bad_place *b)
{
	return same_size(r, "line of a place", a->line, b->line) &&
	       same_size(r, "field of a place", a->field, b->field) &&
	       same_text(r, "place", a->text, b->text);
}

static bool same_counts(const struct report *r, const struct datalog *a, const struct datalog *b)
{
	return same_size(r, "rows", a->rows, b->rows) &&
	       same_size(r, "time source", a->time_source, b->time_source) &&
	       same_size(r, "time channel", a->time_channel, b->time_channel) &&
	       same_size(r, "time of day", a->time_of_day, b->time_of_day) &&
	       same_size(r, "sections", a->section_count, b->section_count) &&
	       same_size(r, "channels", a->channel_count, b->channel_count) &&
	       same_size(r, "bad rows", a->bad_rows, b->bad_rows) &&
	       same_size(r, "bad cells", a->bad_cells, b->bad_cells) &&
	       same_size(r, "ragged rows", a->ragged_rows, b->ragged_rows) &&
	       same_size(r, "places", a->place_count, b->place_count) &&
	       same_size(r, "notes", a->note_count, b->note_count);
}

bool log_same(const struct datalog *a, const struct datalog *b, char *text, size_t n)
{
	const struct report r = { text, n };
	bool same = same_counts(&r, a, b);
	size_t i;

	for (i = 0; same && i < a->note_count; i++)
		same = same_text(&r, "note", a->notes[i], b->notes[i]);
	for (i = 0; same && i < a->place_count; i++)
		same = same_place(&r, &a->places[i], &b->places[i]);
	for (i = 0; same && i < a->section_count; i++)
		same = same_size(&r, "section", a->sections[i].first, b->sections[i].first) &&
		       same_double(&r, "shift", i, a->sections[i].shift, b->sections[i].shift);
	for (i = 0; same && i < a->rows; i++)
		same = same_double(&r, "time", i, a->time[i], b->time[i]);
	for (i = 0; same && i < a->channel_count; i++)
		same = same_channel(&r, &a->channels[i], &b->channels[i]);
	return same;
}
