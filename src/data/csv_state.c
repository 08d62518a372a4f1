/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known before a row is read. */
#include "data/csv_state.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

void csv_state_release(struct csv_state *s)
{
	free(s->columns);
	*s = (struct csv_state){ 0 };
}

static void set_count(struct csv_state *s, size_t n)
{
	if (s->column_count == n)
		return;
	free(s->columns);
	s->columns = mem_array(n, sizeof(*s->columns));
	s->column_count = n;
}

void csv_state_take(struct csv_state *s, const struct csv_table *t)
{
	size_t i;

	set_count(s, t->dialect.columns);
	s->decimal = t->dialect.decimal;
	s->decimal_sure = t->dialect.decimal_sure;
	for (i = 0; i < s->column_count; i++)
		s->columns[i] = csv_column_state(&t->columns[i]);
}

void csv_state_copy(struct csv_state *to, const struct csv_state *from)
{
	set_count(to, from->column_count);
	to->decimal = from->decimal;
	to->decimal_sure = from->decimal_sure;
	memcpy(to->columns, from->columns, from->column_count * sizeof(*to->columns));
}
