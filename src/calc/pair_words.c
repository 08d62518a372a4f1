/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pairs of channels that hold words. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "calc/pairing.h"

bool pair_has_words(const struct pair *p)
{
	return column_kind(pair_channel(p)->column) == COLUMN_STATE;
}

static size_t count_words(const struct column *c)
{
	size_t n = 0;

	while (column_word(c, (double)n)[0] != '\0')
		n++;
	return n;
}

void pair_number_words(const struct pair *p, struct series *b)
{
	size_t own, count, i, k;
	double *as_in_a;

	if (p->a == NULL || p->b == NULL || column_kind(p->b->column) != COLUMN_STATE)
		return;
	own = count_words(p->a->column);
	count = count_words(p->b->column);
	as_in_a = mem_array(count, sizeof *as_in_a);
	for (i = 0; i < count; i++) {
		const char *word = column_word(p->b->column, (double)i);

		as_in_a[i] = (double)(own + i);
		for (k = 0; k < own; k++)
			if (strcmp(word, column_word(p->a->column, (double)k)) == 0)
				as_in_a[i] = (double)k;
	}
	for (i = 0; i < b->n; i++)
		if (b->v[i] >= 0.0 && b->v[i] < (double)count)
			b->v[i] = as_in_a[(size_t)b->v[i]];
	free(as_in_a);
}

const char *pair_word(const struct pair *p, double value)
{
	const char *word;

	if (!pair_has_words(p) || isnan(value))
		return NULL;
	word = column_word(pair_channel(p)->column, value);
	if (word[0] == '\0' && p->a != NULL && p->b != NULL)
		word = column_word(p->b->column, value - (double)count_words(p->a->column));
	return word;
}
