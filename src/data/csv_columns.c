/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Building columns. */
#include "data/csv_columns.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/num.h"
#include "base/text.h"

void csv_column_init(struct csv_column *c)
{
	*c = (struct csv_column){ .column = column_new() };
}

void csv_column_release(struct csv_column *c)
{
	column_free(c->column);
	csv_words_release(&c->words);
	csv_words_release(&c->suffixes);
	free(c->odd);
}

bool csv_column_is_numeric(const struct csv_column *c)
{
	return c->numbers > c->odd_count;
}

bool csv_column_push_missing(struct csv_column *c)
{
	return column_push(c->column, NAN);
}

static bool push_number(struct csv_column *c, const struct csv_value *v)
{
	c->numbers++;
	if (v->decimals > c->decimals)
		c->decimals = v->decimals;
	return column_push(c->column, v->number);
}

static bool push_time(struct csv_column *c, const struct csv_value *v)
{
	double t;

	if (!c->is_clock) {
		c->is_clock = true;
		c->first = v->stamp;
	}
	if (v->form > c->form)
		c->form = v->form;
	if (v->stamp.decimals > c->decimals)
		c->decimals = v->stamp.decimals;
	t = clock_since(&c->first, &v->stamp);
	if (t > c->largest)
		c->largest = t;
	c->numbers++;
	return column_push(c->column, t);
}

static bool push_odd(struct csv_column *c, size_t line, const struct csv_cell *cell,
		     enum csv_cell_kind kind, const struct csv_value *v)
{
	struct csv_odd_cell *odd;
	struct buf clean = BUF_INIT;
	bool ok;

	if (!mem_try_grow(&c->odd, &c->odd_room, c->odd_count + 1, sizeof(*c->odd)))
		return false;
	odd = &c->odd[c->odd_count++];
	*odd = (struct csv_odd_cell){ .row = column_rows(c->column), .line = line, .number = NAN };
	text_sanitise(&clean, cell->text, cell->length);
	ok = csv_words_add(&c->words, buf_text(&clean), clean.len, &odd->word);
	buf_release(&clean);
	if (ok && kind == CSV_CELL_SUFFIXED) {
		ok = csv_words_add(&c->suffixes, v->suffix, v->suffix_length, &odd->suffix);
		odd->suffix++;
		odd->number = v->number;
		if (v->decimals > c->decimals)
			c->decimals = v->decimals;
	}
	return ok && column_push(c->column, NAN);
}

bool csv_column_push(struct csv_column *c, size_t line, const struct csv_cell *cell,
		     enum csv_cell_kind kind, const struct csv_value *v)
{
	switch (kind) {
	case CSV_CELL_NUMBER:
		/* A bare number among times of day is not one of them. */
		return c->is_clock ? push_odd(c, line, cell, kind, v) : push_number(c, v);
	case CSV_CELL_CLOCK:
		if (c->is_clock || (c->numbers == 0 && c->odd_count == 0))
			return push_time(c, v);
		return push_odd(c, line, cell, kind, v);
	case CSV_CELL_SUFFIXED:
	case CSV_CELL_WORD:
		return push_odd(c, line, cell, kind, v);
	default:
		return csv_column_push_missing(c);
	}
}

/* The suffix in more than half of all cells, plus 1; 0 when there is none. */
static uint32_t usual_suffix(const struct csv_column *c)
{
	size_t *counts = mem_array(c->suffixes.count, sizeof(*counts));
	uint32_t found = 0;
	size_t i;

	for (i = 0; i < c->odd_count; i++)
		if (c->odd[i].suffix > 0 &&
		    ++counts[c->odd[i].suffix - 1] * 2 > c->numbers + c->odd_count)
			found = c->odd[i].suffix;
	free(counts);
	return found;
}

/* Appends number rows [*row, to) of the old column to the new one. */
static bool copy_rows(struct column *to, const struct column *from, size_t *row, size_t end)
{
	for (; *row < end; (*row)++)
		if (!column_push(to, column_at(from, *row)))
			return false;
	return true;
}

/* Numbers where the suffix is the usual one; the other odd cells stay missing. */
static struct column *merge_suffixed(const struct csv_column *c, uint32_t suffix)
{
	struct column *merged = column_new();
	size_t row = 0;
	size_t i;
	bool ok = true;

	for (i = 0; ok && i < c->odd_count; i++) {
		const struct csv_odd_cell *odd = &c->odd[i];

		ok = copy_rows(merged, c->column, &row, odd->row) &&
		     column_push(merged, odd->suffix == suffix ? odd->number : NAN);
		row++;
	}
	if (ok && copy_rows(merged, c->column, &row, column_rows(c->column)))
		return merged;
	column_free(merged);
	return NULL;
}

static bool push_state(struct column *to, struct csv_words *words, const char *word)
{
	uint32_t number;

	return csv_words_add(words, word, strlen(word), &number) &&
	       column_push(to, (double)number);
}

/* Every cell becomes a state, numbers by their text; words are numbered as they come. */
static bool push_states(const struct csv_column *c, struct column *to, struct csv_words *words)
{
	const size_t rows = column_rows(c->column);
	char text[NUM_TEXT];
	size_t next = 0;
	size_t row;

	for (row = 0; row < rows; row++) {
		const double v = column_at(c->column, row);
		bool ok;

		if (next < c->odd_count && c->odd[next].row == row)
			ok = push_state(to, words, csv_words_text(&c->words, c->odd[next++].word));
		else if (isnan(v))
			ok = column_push(to, v);
		else
			ok = push_state(to, words, num_exact(text, v));
		if (!ok)
			return false;
	}
	return true;
}

static struct column *make_states(const struct csv_column *c)
{
	struct column *states = column_new();
	struct csv_words words = { 0 };
	char **list = NULL;
	uint32_t i;

	if (push_states(c, states, &words))
		list = mem_try_array(words.count, sizeof(*list));
	if (list == NULL) {
		column_free(states);
		states = NULL;
	} else {
		for (i = 0; i < words.count; i++)
			list[i] = mem_strdup(csv_words_text(&words, i));
		column_set_words(states, list, words.count);
	}
	csv_words_release(&words);
	return states;
}

static void count_bad(const struct csv_column *c, uint32_t suffix, struct csv_finished *out)
{
	size_t i;

	for (i = 0; i < c->odd_count; i++) {
		if (suffix > 0 && c->odd[i].suffix == suffix)
			continue;
		if (out->bad_count < DATALOG_PLACES)
			out->bad[out->bad_count++] = i;
		out->bad_cells++;
	}
}

static struct column *take_column(struct csv_column *c)
{
	struct column *taken = c->column;

	c->column = NULL;
	return taken;
}

bool csv_column_finish(struct csv_column *c, struct csv_finished *out)
{
	const uint32_t suffix = usual_suffix(c);

	*out = (struct csv_finished){ 0 };
	if (suffix > 0) {
		struct buf clean = BUF_INIT;
		const char *text = csv_words_text(&c->suffixes, suffix - 1);

		out->column = merge_suffixed(c, suffix);
		if (out->column == NULL)
			return false;
		text_sanitise(&clean, text, strlen(text));
		out->suffix = buf_take(&clean);
		count_bad(c, suffix, out);
	} else if (c->odd_count > c->numbers) {
		out->column = make_states(c);
	} else {
		out->column = take_column(c);
		count_bad(c, 0, out);
	}
	if (out->column == NULL)
		return false;
	if (column_kind(out->column) == COLUMN_NUMBER)
		column_set_decimals(out->column, c->decimals);
	return true;
}
