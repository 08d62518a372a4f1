/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Telling names, units, types and remarks above the data. */
#include "data/csv_titles.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "data/recognise.h"
#include "data/unit.h"

#define MOST_STRANGERS 3	/* rows of another length that may stand between */
#define SURE_UNITS 3
#define LONGEST_UNIT 10		/* bytes */

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

static const char *const type_words[] = {
	"float", "double", "real", "int", "integer", "number", "numeric", "string", "text",
	"bool", "boolean", "byte", "char", "short", "long", "enum", "u8", "u16", "u32", "s8",
	"s16", "s32", "int8", "int16", "int32", "uint8", "uint16", "uint32", "float32", "float64",
};

static const struct csv_sample_row *row_at(const struct csv_view *l, size_t i)
{
	return &l->sample->rows[i];
}

enum quantity_id csv_title_quantity(const char *title)
{
	enum quantity_id id;
	char *name;
	char *unit;

	recognise_split(title, &name, &unit);
	id = recognise_name(name).id;
	free(name);
	free(unit);
	return id;
}

static enum quantity_id cell_quantity(const struct csv_view *l, const struct csv_sample_cell *cell)
{
	char *text = mem_strndup(csv_sample_text(l->sample, cell), cell->length);
	const enum quantity_id id = csv_title_quantity(text);

	free(text);
	return id;
}

bool csv_is_time_name(const struct csv_view *l, const struct csv_sample_cell *cell)
{
	return cell_quantity(l, cell) == Q_TIME;
}

size_t csv_count_names(const struct csv_view *l, size_t i)
{
	const struct csv_sample_row *row = row_at(l, i);
	const struct csv_sample_cell *cells = csv_sample_cells(l->sample, row);
	size_t count = 0;
	size_t k;

	for (k = 0; k < row->count; k++)
		if (cells[k].length > 0)
			count += cell_quantity(l, &cells[k]) != Q_NONE;
	return count;
}

static bool is_type_word(const char *s, size_t n)
{
	size_t i;

	for (i = 0; i < LENGTH(type_words); i++)
		if (csv_cell_is(s, n, type_words[i]))
			return true;
	return false;
}

/* "kPa", "[kPa]", "(kPa)". */
static bool is_unit_text(const char *s, size_t n)
{
	char *text;
	bool found;

	if (n > 2 && strchr("([{", s[0]) != NULL && strchr(")]}", s[n - 1]) != NULL) {
		s++;
		n -= 2;
	}
	text = mem_strndup(s, n);
	found = unit_find(text, NULL) != NULL;
	free(text);
	return found;
}

/* Cells of a title row, "-" and empty ones aside. */
struct title_cells {
	size_t such;		/* those looked for */
	size_t all;
};

typedef bool title_cell_is(const char *s, size_t n);

static struct title_cells count_title_cells(const struct csv_view *l, size_t i,
					    title_cell_is *is_such)
{
	const struct csv_sample_row *row = row_at(l, i);
	const struct csv_sample_cell *cells = csv_sample_cells(l->sample, row);
	struct title_cells n = { 0, 0 };
	size_t k;

	for (k = 0; k < row->count; k++) {
		const char *s = csv_sample_text(l->sample, &cells[k]);
		const unsigned char kind = cells[k].kind[l->mark];

		if (kind == CSV_CELL_EMPTY || kind == CSV_CELL_MISSING)
			continue;
		n.all++;
		n.such += is_such(s, cells[k].length);
	}
	return n;
}

/* Words in most cells, and as many cells as the data has, give or take. */
bool csv_is_title(const struct csv_view *l, size_t i)
{
	const struct csv_sample_row *row = row_at(l, i);
	const size_t numbers = csv_sample_numbers(l->sample, row, l->mark);
	const struct csv_sample_cell *cells = csv_sample_cells(l->sample, row);
	size_t words = 0;
	size_t k;

	if (row->trimmed > 2 * l->usual || (l->filled > 1 && row->trimmed * 2 <= l->filled))
		return false;
	for (k = 0; k < row->count; k++)
		words += cells[k].kind[l->mark] == CSV_CELL_WORD;
	return words > 0 && words >= numbers;
}

static bool is_types_row(const struct csv_view *l, size_t i)
{
	const struct title_cells n = count_title_cells(l, i, is_type_word);

	return 2 * n.such > n.all;
}

bool csv_is_units_row(const struct csv_view *l, size_t i)
{
	const struct title_cells n = count_title_cells(l, i, is_unit_text);

	return 2 * n.such > n.all;
}

/* Drops comments that are no units and have no more names than a plain title has. */
static size_t drop_remarks(const struct csv_view *l, size_t *titles, size_t n)
{
	size_t names = 0;
	size_t plain = 0;
	size_t kept = 0;
	size_t i;

	for (i = 0; i < n; i++)
		plain += !row_at(l, titles[i])->comment;
	if (plain == 0 || plain == n)
		return n;
	for (i = 0; i < n; i++)
		if (!row_at(l, titles[i])->comment && csv_count_names(l, titles[i]) > names)
			names = csv_count_names(l, titles[i]);
	for (i = 0; i < n; i++)
		if (!row_at(l, titles[i])->comment || csv_is_units_row(l, titles[i]) ||
		    csv_count_names(l, titles[i]) > names)
			titles[kept++] = titles[i];
	return kept;
}

/* Title rows above row `first`, the nearest first, without rows of types. */
size_t csv_find_titles(const struct csv_view *l, size_t first, size_t titles[CSV_MOST_TITLES])
{
	size_t strangers = 0;
	size_t n = 0;
	size_t i;

	for (i = first; i-- > 0 && n < CSV_MOST_TITLES && strangers <= MOST_STRANGERS;) {
		if (!csv_is_title(l, i))
			strangers += !row_at(l, i)->comment;
		else if (!is_types_row(l, i))
			titles[n++] = i;
	}
	return drop_remarks(l, titles, n);
}

/* Every cell is a unit, and there are enough of them that this is no accident. */
static bool is_all_units(const struct csv_view *l, size_t i)
{
	const struct title_cells n = count_title_cells(l, i, is_unit_text);

	return n.such == n.all && n.all >= SURE_UNITS;
}

/* Cells of unknown words that are short enough to be units in some language. */
static bool is_short_row(const struct csv_view *l, size_t i)
{
	const struct csv_sample_row *row = row_at(l, i);
	const struct csv_sample_cell *cells = csv_sample_cells(l->sample, row);
	size_t k;

	for (k = 0; k < row->count; k++)
		if (cells[k].length > LONGEST_UNIT)
			return false;
	return true;
}

/*
 * Whether title row `low` only describes the columns that title row `high` beside it
 * names; *units is set when it does so by units.  "rpm" is a name as well as a unit, so
 * a row of units must not have more names than the other.
 */
static bool describes(const struct csv_view *l, size_t low, size_t high, bool *units)
{
	const size_t low_names = csv_count_names(l, low);
	const size_t high_names = csv_count_names(l, high);

	*units = csv_is_units_row(l, low);
	if (*units)
		return low_names <= high_names || is_all_units(l, low);
	*units = is_short_row(l, low);
	return low_names == 0 && high_names >= 2;
}

/* Chooses header and units row among the n titles above the data. */
void csv_choose_titles(const struct csv_view *l, const size_t *titles, size_t n,
			  struct csv_dialect *out)
{
	size_t i = 0;
	bool units;

	if (n == 0)
		return;
	for (; i + 1 < n && describes(l, titles[i], titles[i + 1], &units); i++)
		if (units)
			out->units_line = row_at(l, titles[i])->line;
	out->header_line = row_at(l, titles[i])->line;
	out->columns = row_at(l, titles[i])->trimmed;
	/* Or the units stand above the names. */
	if (out->units_line == 0 && i + 1 < n && titles[i + 1] + 1 == titles[i] &&
	    csv_is_units_row(l, titles[i + 1]) && describes(l, titles[i + 1], titles[i], &units))
		out->units_line = row_at(l, titles[i + 1])->line;
}

