/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reads CSV back with libcsv in its strict mode. */
#include "read_csv.h"

#include <check.h>
#include <csv.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

struct reading {
	struct csv_back *back;
	size_t cap;
	size_t in_row;
};

static void on_cell(void *data, size_t n, void *user)
{
	struct reading *r = user;

	mem_grow(&r->back->cells, &r->cap, r->back->cell_count + 1, sizeof *r->back->cells);
	r->back->cells[r->back->cell_count++] = mem_strndup(data, n);
	r->in_row++;
}

static void on_row(int end, void *user)
{
	struct reading *r = user;

	(void)end;
	if (r->back->row_count++ == 0)
		r->back->columns = r->in_row;
	else if (r->in_row != r->back->columns)
		r->back->ragged = 1;
	r->in_row = 0;
}

void csv_back_read(struct csv_back *c, const char *text, size_t n)
{
	struct reading r = { c, 0, 0 };
	struct csv_parser p;

	memset(c, 0, sizeof *c);
	ck_assert_int_eq(csv_init(&p, CSV_STRICT | CSV_STRICT_FINI), 0);
	ck_assert_uint_eq(csv_parse(&p, text, n, on_cell, on_row, &r), n);
	ck_assert_int_eq(csv_fini(&p, on_cell, on_row, &r), 0);
	csv_free(&p);
}

void csv_back_release(struct csv_back *c)
{
	size_t i;

	for (i = 0; i < c->cell_count; i++)
		free(c->cells[i]);
	free(c->cells);
	memset(c, 0, sizeof *c);
}

const char *csv_back_at(const struct csv_back *c, size_t row, const char *name)
{
	size_t i;

	ck_assert_int_eq(c->ragged, 0);
	ck_assert_msg(row < c->row_count, "row %zu of %zu", row, c->row_count);
	for (i = 0; i < c->columns; i++)
		if (strcmp(c->cells[i], name) == 0)
			return c->cells[row * c->columns + i];
	ck_abort_msg("no column %s", name);
	return "";
}

double csv_back_number(const struct csv_back *c, size_t row, const char *name)
{
	const char *cell = csv_back_at(c, row, name);
	char *end;
	const double v = strtod(cell, &end);

	if (*cell == '\0')
		return NAN;
	ck_assert_msg(*end == '\0', "%s: '%s' is no number", name, cell);
	return v;
}
