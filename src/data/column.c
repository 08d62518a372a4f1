/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One column of a log, stored as plain doubles for now. */
#include "data/column.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

struct column {
	double *values;		/* [rows]; NaN is missing */
	size_t rows;
	size_t room;
	size_t samples;
	char **words;		/* [word_count], or NULL for a column of numbers */
	size_t word_count;
	int decimals;
};

struct column *column_new(void)
{
	return mem_alloc(sizeof(struct column));
}

static void free_words(struct column *c)
{
	size_t i;

	for (i = 0; i < c->word_count; i++)
		free(c->words[i]);
	free(c->words);
	c->words = NULL;
	c->word_count = 0;
}

void column_free(struct column *c)
{
	if (c == NULL)
		return;
	free_words(c);
	free(c->values);
	free(c);
}

bool column_push(struct column *c, double v)
{
	if (c->rows == c->room &&
	    !mem_try_grow(&c->values, &c->room, c->rows + 1, sizeof(*c->values)))
		return false;
	c->values[c->rows++] = v;
	c->samples += !isnan(v);
	return true;
}

void column_set_words(struct column *c, char **words, size_t n)
{
	free_words(c);
	c->words = words;
	c->word_count = n;
}

void column_set_decimals(struct column *c, int decimals)
{
	c->decimals = decimals;
}

int column_decimals(const struct column *c)
{
	return c->decimals;
}

enum column_kind column_kind(const struct column *c)
{
	if (c->samples == 0)
		return COLUMN_EMPTY;
	return c->words != NULL ? COLUMN_STATE : COLUMN_NUMBER;
}

size_t column_rows(const struct column *c)
{
	return c->rows;
}

size_t column_samples(const struct column *c)
{
	return c->samples;
}

void column_get(const struct column *c, size_t from, size_t n, double *out)
{
	if (n > 0)
		memcpy(out, c->values + from, n * sizeof(*out));
}

double column_at(const struct column *c, size_t row)
{
	return c->values[row];
}

const char *column_word(const struct column *c, double state)
{
	if (!(state >= 0) || state >= (double)c->word_count || state != floor(state))
		return "";
	return c->words[(size_t)state];
}
