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

bool csv_column_copy(struct csv_column *to, const struct csv_column *from)
{
	*to = *from;
	to->words = to->suffixes = (struct csv_words){ 0 };
	to->odd = (struct csv_odd){ 0 };
	to->column = column_copy(from->column);
	return to->column != NULL && csv_odd_copy(&to->odd, &from->odd) &&
	       csv_words_copy(&to->words, &from->words) &&
	       csv_words_copy(&to->suffixes, &from->suffixes);
}

void csv_column_release(struct csv_column *c)
{
	column_free(c->column);
	c->column = NULL;
	csv_words_release(&c->words);
	csv_words_release(&c->suffixes);
	csv_odd_release(&c->odd);
}

bool csv_column_is_numeric(const struct csv_column *c)
{
	return c->numbers > c->odd.count;
}

bool csv_column_push_missing(struct csv_column *c)
{
	return column_push(c->column, NAN);
}

static bool push_number(struct csv_column *c, const struct csv_value *v)
{
	c->numbers++;
	if (v->group > c->group)
		c->group = v->group;
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

bool csv_column_add_odd(struct csv_column *c, size_t row, size_t line,
			const struct csv_cell *cell, enum csv_cell_kind kind,
			const struct csv_value *v)
{
	struct csv_odd_cell odd = { .row = row, .line = line, .number = NAN };
	struct buf clean = BUF_INIT;
	bool ok;

	text_sanitise(&clean, cell->text, cell->length);
	ok = csv_words_add(&c->words, buf_text(&clean), clean.len, &odd.word);
	buf_release(&clean);
	if (ok && kind == CSV_CELL_SUFFIXED) {
		ok = csv_words_add(&c->suffixes, v->suffix, v->suffix_length, &odd.suffix);
		odd.suffix++;
		odd.number = v->number;
		if (v->decimals > c->decimals)
			c->decimals = v->decimals;
	}
	return ok && csv_odd_add(&c->odd, &odd);
}

static bool push_odd(struct csv_column *c, size_t line, const struct csv_cell *cell,
		     enum csv_cell_kind kind, const struct csv_value *v)
{
	return csv_column_add_odd(c, column_rows(c->column), line, cell, kind, v) &&
	       column_push(c->column, NAN);
}

bool csv_column_push(struct csv_column *c, size_t line, const struct csv_cell *cell,
		     enum csv_cell_kind kind, const struct csv_value *v)
{
	switch (kind) {
	case CSV_CELL_NUMBER:
		/* A bare number among times of day is not one of them. */
		return c->is_clock ? push_odd(c, line, cell, kind, v) : push_number(c, v);
	case CSV_CELL_CLOCK:
		if (c->is_clock || (c->numbers == 0 && c->odd.count == 0))
			return push_time(c, v);
		return push_odd(c, line, cell, kind, v);
	case CSV_CELL_SUFFIXED:
	case CSV_CELL_WORD:
		return push_odd(c, line, cell, kind, v);
	default:
		return csv_column_push_missing(c);
	}
}

struct csv_column_state csv_column_state(const struct csv_column *c)
{
	struct csv_column_state s = { CSV_MODE_NONE, c->first };

	if (c->is_clock)
		s.mode = CSV_MODE_CLOCK;
	else if (c->numbers > 0 || c->odd.count > 0)
		s.mode = CSV_MODE_NUMBER;
	return s;
}

static bool same_stamp(const struct clock_stamp *a, const struct clock_stamp *b)
{
	return a->day == b->day && !(a->seconds < b->seconds || a->seconds > b->seconds) &&
	       !(a->zone < b->zone || a->zone > b->zone);
}

bool csv_column_fits(const struct csv_column *c, const struct csv_batch_column *b)
{
	const struct csv_column_state s = csv_column_state(c);

	if (b->before == s.mode)
		return s.mode != CSV_MODE_CLOCK || same_stamp(&b->first, &s.first);
	/* It says nothing, or begins with what is no time. */
	return b->before == CSV_MODE_NONE &&
	       (b->after == CSV_MODE_NONE ||
		(b->after == CSV_MODE_NUMBER && s.mode == CSV_MODE_NUMBER));
}

bool csv_column_append(struct csv_column *c, const struct csv_batch_column *b)
{
	c->numbers += b->values.samples;
	if (b->decimals > c->decimals)
		c->decimals = b->decimals;
	if (b->group > c->group)
		c->group = b->group;
	if (b->after == CSV_MODE_CLOCK) {
		c->is_clock = true;
		c->first = b->first;
		if (b->form > c->form)
			c->form = b->form;
		if (b->largest > c->largest)
			c->largest = b->largest;
	}
	return column_append(c->column, &b->values);
}

/* The suffix in more than half of all cells, plus 1; 0 when there is none. */
static uint32_t usual_suffix(const struct csv_column *c)
{
	size_t *counts = mem_array(c->suffixes.count, sizeof(*counts));
	struct csv_odd_walk walk;
	struct csv_odd_cell odd;
	uint32_t found = 0;

	csv_odd_walk_init(&walk, &c->odd);
	while (c->suffixes.count > 0 && csv_odd_next(&walk, &odd))
		if (odd.suffix > 0 && ++counts[odd.suffix - 1] * 2 > c->numbers + c->odd.count)
			found = odd.suffix;
	free(counts);
	return found;
}

/* Numbers where the suffix is the usual one; the other odd cells stay missing. */
static struct column *merge_suffixed(const struct csv_column *c, uint32_t suffix)
{
	struct column *merged = column_new();
	struct column_walk values;
	struct csv_odd_walk walk;
	struct csv_odd_cell odd;
	bool more;
	size_t row;
	double v;

	column_walk_init(&values, c->column);
	csv_odd_walk_init(&walk, &c->odd);
	more = csv_odd_next(&walk, &odd);
	for (row = 0; column_walk_next(&values, &v); row++) {
		if (more && odd.row == row) {
			v = odd.suffix == suffix ? odd.number : NAN;
			more = csv_odd_next(&walk, &odd);
		}
		if (!column_push(merged, v)) {
			column_free(merged);
			return NULL;
		}
	}
	return merged;
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
	struct column_walk values;
	struct csv_odd_walk walk;
	struct csv_odd_cell odd;
	char text[NUM_TEXT];
	bool more;
	size_t row;
	double v;

	column_walk_init(&values, c->column);
	csv_odd_walk_init(&walk, &c->odd);
	more = csv_odd_next(&walk, &odd);
	for (row = 0; column_walk_next(&values, &v); row++) {
		bool ok;

		if (more && odd.row == row) {
			ok = push_state(to, words, csv_words_text(&c->words, odd.word));
			more = csv_odd_next(&walk, &odd);
		} else if (isnan(v)) {
			ok = column_push(to, v);
		} else {
			ok = push_state(to, words, num_exact(text, v));
		}
		if (!ok)
			return false;
	}
	return true;
}

static struct column *make_states(const struct csv_column *c)
{
	struct column *states = column_new();
	struct csv_words words = { 0 };

	if (push_states(c, states, &words)) {
		column_take_words(states, words.text, words.count);
		words.text = NULL;
	} else {
		column_free(states);
		states = NULL;
	}
	csv_words_release(&words);
	return states;
}

static void count_bad(const struct csv_column *c, uint32_t suffix, struct csv_finished *out)
{
	struct csv_odd_walk walk;
	struct csv_odd_cell odd;

	csv_odd_walk_init(&walk, &c->odd);
	while (csv_odd_next(&walk, &odd)) {
		if (suffix > 0 && odd.suffix == suffix)
			continue;
		if (out->bad_count < DATALOG_PLACES)
			out->bad[out->bad_count++] = odd;
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
	} else if (c->odd.count > c->numbers) {
		out->column = make_states(c);
	} else {
		out->column = take_column(c);
		count_bad(c, 0, out);
	}
	if (out->column == NULL)
		return false;
	if (!column_seal(out->column)) {
		column_free(out->column);
		free(out->suffix);
		return false;
	}
	if (column_kind(out->column) == COLUMN_NUMBER)
		column_set_decimals(out->column, c->decimals);
	return true;
}
