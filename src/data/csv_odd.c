/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cells that are not plain numbers. */
#include "data/csv_odd.h"

void csv_odd_release(struct csv_odd *o)
{
	int i;

	for (i = 0; i < CSV_ODD_PARTS; i++)
		column_free(o->parts[i]);
	*o = (struct csv_odd){ 0 };
}

bool csv_odd_copy(struct csv_odd *to, const struct csv_odd *from)
{
	int i;

	*to = (struct csv_odd){ .count = from->count };
	for (i = 0; i < CSV_ODD_PARTS && from->count > 0; i++) {
		to->parts[i] = column_copy(from->parts[i]);
		if (to->parts[i] == NULL)
			return false;
	}
	return true;
}

bool csv_odd_add(struct csv_odd *o, const struct csv_odd_cell *cell)
{
	const double values[CSV_ODD_PARTS] = {
		[CSV_ODD_ROW] = (double)(cell->row - o->count),
		[CSV_ODD_LINE] = (double)(cell->line - cell->row),
		[CSV_ODD_NUMBER] = cell->number,
		[CSV_ODD_WORD] = cell->word,
		[CSV_ODD_SUFFIX] = cell->suffix,
	};
	int i;

	for (i = 0; i < CSV_ODD_PARTS; i++) {
		if (o->parts[i] == NULL)
			o->parts[i] = column_new();
		if (!column_push(o->parts[i], values[i]))
			return false;
	}
	o->count++;
	return true;
}

void csv_odd_walk_init(struct csv_odd_walk *w, const struct csv_odd *o)
{
	int i;

	w->next = 0;
	w->count = o->count;
	for (i = 0; o->count > 0 && i < CSV_ODD_PARTS; i++)
		column_walk_init(&w->parts[i], o->parts[i]);
}

bool csv_odd_next(struct csv_odd_walk *w, struct csv_odd_cell *cell)
{
	double values[CSV_ODD_PARTS];
	int i;

	if (w->next == w->count)
		return false;
	for (i = 0; i < CSV_ODD_PARTS; i++)
		column_walk_next(&w->parts[i], &values[i]);
	cell->row = (size_t)values[CSV_ODD_ROW] + w->next++;
	cell->line = (size_t)values[CSV_ODD_LINE] + cell->row;
	cell->number = values[CSV_ODD_NUMBER];
	cell->word = (uint32_t)values[CSV_ODD_WORD];
	cell->suffix = (uint32_t)values[CSV_ODD_SUFFIX];
	return true;
}
