/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Finding the header, the units row and the first row of data.
 *
 * Most rows of a log are alike, so the columns that hold numbers in them are known
 * first; the first row that fits is where the data begins, and what stands right
 * above it names the columns.
 */
#include "data/csv_layout.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "data/recognise.h"
#include "data/unit.h"

#define MOST_TITLES 4		/* rows of words above the data that are looked at */
#define MOST_STRANGERS 3	/* rows of another length that may stand between */
#define MOST_SETTINGS 20	/* rows like data that may stand above the header */
#define SURE_UNITS 3
#define LONGEST_UNIT 10		/* bytes */
#define MOST_COLUMNS 65536	/* more are rows that were turned into columns */
#define NO_ROW ((size_t)-1)

struct layout {
	const struct csv_sample *sample;
	enum csv_mark mark;
	size_t usual;		/* cells of most rows */
	size_t filled;		/* of those, without columns at the end that are empty */
	bool *numeric;		/* [usual] the column holds numbers in most rows */
};

static const char *const type_words[] = {
	"float", "double", "real", "int", "integer", "number", "numeric", "string", "text",
	"bool", "boolean", "byte", "char", "short", "long", "enum", "u8", "u16", "u32", "s8",
	"s16", "s32", "int8", "int16", "int32", "uint8", "uint16", "uint32", "float32", "float64",
};

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

static const struct csv_sample_row *row_at(const struct layout *l, size_t i)
{
	return &l->sample->rows[i];
}

static void find_numeric_columns(struct layout *l)
{
	long *balance = mem_array(l->usual, sizeof(*balance));
	size_t i;
	size_t k;

	for (i = 0; i < l->sample->row_count; i++) {
		const struct csv_sample_row *row = row_at(l, i);
		const struct csv_sample_cell *cells = csv_sample_cells(l->sample, row);

		if (row->comment || row->count != l->usual ||
		    csv_sample_numbers(l->sample, row, l->mark) == 0)
			continue;
		if (row->trimmed > l->filled)
			l->filled = row->trimmed;
		for (k = 0; k < l->usual; k++) {
			if (csv_sample_is_number(&cells[k], l->mark))
				balance[k]++;
			else if (cells[k].kind[l->mark] == CSV_CELL_WORD)
				balance[k]--;
		}
	}
	for (k = 0; k < l->usual; k++)
		l->numeric[k] = balance[k] > 0;
	free(balance);
}

/* How many cells of a row are numbers where numbers belong, and how many are words there. */
static void fit_row(const struct layout *l, const struct csv_sample_row *row, size_t *fits,
		    size_t *misfits)
{
	const struct csv_sample_cell *cells = csv_sample_cells(l->sample, row);
	size_t k;

	*fits = 0;
	*misfits = 0;
	for (k = 0; k < row->count && k < l->usual; k++) {
		if (!l->numeric[k])
			continue;
		if (csv_sample_is_number(&cells[k], l->mark))
			(*fits)++;
		else if (cells[k].kind[l->mark] == CSV_CELL_WORD)
			(*misfits)++;
	}
}

static bool is_data(const struct layout *l, const struct csv_sample_row *row)
{
	size_t fits;
	size_t misfits;

	if (row->comment || row->count * 2 < l->usual)
		return false;
	fit_row(l, row, &fits, &misfits);
	return fits > misfits;
}

/* The name and unit of a header cell, for the caller to free. */
static char *cell_name(const struct layout *l, const struct csv_sample_cell *cell)
{
	char *text = mem_strndup(csv_sample_text(l->sample, cell), cell->length);
	char *name;
	char *unit;

	recognise_split(text, &name, &unit);
	free(text);
	free(unit);
	return name;
}

static bool is_quantity(const struct layout *l, const struct csv_sample_cell *cell,
			bool time_only)
{
	char *name = cell_name(l, cell);
	const enum quantity_id id = recognise_name(name).id;

	free(name);
	return time_only ? id == Q_TIME : id != Q_NONE;
}

static size_t count_quantities(const struct layout *l, size_t i)
{
	const struct csv_sample_row *row = row_at(l, i);
	const struct csv_sample_cell *cells = csv_sample_cells(l->sample, row);
	size_t count = 0;
	size_t k;

	for (k = 0; k < row->count; k++)
		if (cells[k].length > 0)
			count += is_quantity(l, &cells[k], false);
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
	size_t units;
	size_t types;
	size_t all;
};

static struct title_cells count_title_cells(const struct layout *l, size_t i)
{
	const struct csv_sample_row *row = row_at(l, i);
	const struct csv_sample_cell *cells = csv_sample_cells(l->sample, row);
	struct title_cells n = { 0, 0, 0 };
	size_t k;

	for (k = 0; k < row->count; k++) {
		const char *s = csv_sample_text(l->sample, &cells[k]);
		const unsigned char kind = cells[k].kind[l->mark];

		if (kind == CSV_CELL_EMPTY || kind == CSV_CELL_MISSING)
			continue;
		n.all++;
		if (is_type_word(s, cells[k].length))
			n.types++;
		else if (is_unit_text(s, cells[k].length))
			n.units++;
	}
	return n;
}

/* Words in most cells, and as many cells as the data has, give or take. */
static bool is_title(const struct layout *l, const struct csv_sample_row *row)
{
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

static bool is_types_row(const struct layout *l, size_t i)
{
	struct title_cells n = count_title_cells(l, i);

	return 2 * n.types > n.all;
}

static bool is_units_row(const struct layout *l, size_t i)
{
	struct title_cells n = count_title_cells(l, i);

	return 2 * n.units > n.all;
}

/* Drops comments that are no units and have no more names than a plain title has. */
static size_t drop_remarks(const struct layout *l, size_t *titles, size_t n)
{
	size_t names = 0;
	size_t plain = 0;
	size_t kept = 0;
	size_t i;

	for (i = 0; i < n; i++) {
		const size_t its = count_quantities(l, titles[i]);

		if (row_at(l, titles[i])->comment)
			continue;
		plain++;
		names = its > names ? its : names;
	}
	for (i = 0; i < n; i++)
		if (plain == 0 || !row_at(l, titles[i])->comment || is_units_row(l, titles[i]) ||
		    count_quantities(l, titles[i]) > names)
			titles[kept++] = titles[i];
	return kept;
}

/* Title rows above row `first`, the nearest first, without rows of types. */
static size_t find_titles(const struct layout *l, size_t first, size_t titles[MOST_TITLES])
{
	size_t strangers = 0;
	size_t n = 0;
	size_t i;

	for (i = first; i-- > 0 && n < MOST_TITLES && strangers <= MOST_STRANGERS;) {
		if (!is_title(l, row_at(l, i)))
			strangers += !row_at(l, i)->comment;
		else if (!is_types_row(l, i))
			titles[n++] = i;
	}
	return drop_remarks(l, titles, n);
}

/* Every cell is a unit, and there are enough of them that this is no accident. */
static bool is_all_units(const struct layout *l, size_t i)
{
	const struct title_cells n = count_title_cells(l, i);

	return n.units == n.all && n.all >= SURE_UNITS;
}

/* Cells of unknown words that are short enough to be units in some language. */
static bool is_short_row(const struct layout *l, size_t i)
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
static bool describes(const struct layout *l, size_t low, size_t high, bool *units)
{
	const size_t low_names = count_quantities(l, low);
	const size_t high_names = count_quantities(l, high);

	*units = is_units_row(l, low);
	if (*units)
		return low_names <= high_names || is_all_units(l, low);
	*units = is_short_row(l, low);
	return low_names == 0 && high_names >= 2;
}

/* Chooses header and units row among the n titles above the data. */
static void choose_titles(const struct layout *l, const size_t *titles, size_t n,
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
	    is_units_row(l, titles[i + 1]) && describes(l, titles[i + 1], titles[i], &units))
		out->units_line = row_at(l, titles[i + 1])->line;
}

/* A first row of numbers that begins with a name is a header: "Time,1,2,3,4". */
static bool is_numbered_header(const struct layout *l, size_t i)
{
	const struct csv_sample_row *row = row_at(l, i);
	const struct csv_sample_cell *cells = csv_sample_cells(l->sample, row);
	size_t k;

	for (k = 0; k < row->count && k < l->usual; k++)
		if (l->numeric[k] && cells[k].kind[l->mark] == CSV_CELL_WORD &&
		    (k == 0 || is_quantity(l, &cells[k], true)))
			return true;
	return false;
}

/* The first row of data from row `from` on; NO_ROW when there is none. */
static size_t find_first(const struct layout *l, size_t from)
{
	size_t first;
	size_t i;

	for (i = from; i < l->sample->row_count; i++)
		if (row_at(l, i)->count == l->usual && is_data(l, row_at(l, i)))
			break;
	if (i == l->sample->row_count)
		return NO_ROW;
	/* Shorter or longer rows right above belong to it. */
	for (first = i; first > from && is_data(l, row_at(l, first - 1)); first--)
		;
	return first;
}

/*
 * The first row of data below a title with more known names than the one in use, when
 * it comes soon after row `first`: what was taken for data are settings of the logger.
 */
static size_t find_better_first(const struct layout *l, size_t first, size_t names)
{
	size_t i;

	for (i = first + 1; i < l->sample->row_count && i <= first + MOST_SETTINGS; i++)
		if (is_title(l, row_at(l, i)) && !row_at(l, i)->comment &&
		    count_quantities(l, i) > (names > 1 ? names : 1))
			return find_first(l, i + 1);
	return NO_ROW;
}

static enum err_code guess_titles(const struct layout *l, struct csv_dialect *out)
{
	size_t first = find_first(l, 0);
	size_t titles[MOST_TITLES];
	size_t better;
	size_t n;

	if (first == NO_ROW)
		return ERR_FORMAT;
	n = find_titles(l, first, titles);
	better = find_better_first(l, first, n > 0 ? count_quantities(l, titles[0]) : 0);
	if (better != NO_ROW) {
		first = better;
		n = find_titles(l, first, titles);
	}
	if (n == 0 && is_numbered_header(l, first) && find_first(l, first + 1) != NO_ROW) {
		titles[n++] = first;
		first = find_first(l, first + 1);
	}
	choose_titles(l, titles, n, out);
	out->first_line = row_at(l, first)->line;
	return ERR_NONE;
}

static enum err_code no_titles(const struct layout *l, struct csv_dialect *out)
{
	const size_t first = find_first(l, 0);

	if (first == NO_ROW)
		return ERR_FORMAT;
	out->first_line = row_at(l, first)->line;
	return ERR_NONE;
}

static enum err_code force_header(const struct layout *l, size_t line, struct csv_dialect *out)
{
	size_t first;
	size_t i;

	for (i = 0; i < l->sample->row_count && row_at(l, i)->line < line; i++)
		;
	if (i == l->sample->row_count || row_at(l, i)->line != line)
		return ERR_USAGE;
	first = find_first(l, i + 1);
	if (first == NO_ROW)
		return ERR_USAGE;
	out->header_line = line;
	out->columns = row_at(l, i)->trimmed;
	out->first_line = row_at(l, first)->line;
	for (i++; i < first; i++)
		if (is_units_row(l, i))
			out->units_line = row_at(l, i)->line;
	return ERR_NONE;
}

enum err_code csv_layout(const char *path, const struct csv_sample *s, enum csv_mark mark,
			 long header_line, struct csv_dialect *out, struct err *e)
{
	struct layout l = { s, mark, csv_sample_usual_count(s, mark), 0, NULL };
	enum err_code code;

	if (l.usual > MOST_COLUMNS)
		return err_set(e, ERR_FORMAT, "%s: its rows have %zu cells; a log has a row for "
			       "each moment, not a column", path, l.usual);

	l.numeric = mem_array(l.usual, sizeof(*l.numeric));
	find_numeric_columns(&l);
	if (header_line > 0)
		code = force_header(&l, (size_t)header_line, out);
	else if (header_line < 0)
		code = no_titles(&l, out);
	else
		code = guess_titles(&l, out);
	free(l.numeric);
	out->row_cells = l.usual;
	if (out->columns < l.usual)
		out->columns = l.usual;
	if (code == ERR_USAGE)
		err_set(e, code, "%s: line %ld cannot be the header: it is blank, not there, or no "
			"row of numbers follows it; leave the header line to be guessed, or "
			"look at the first lines of the file", path, header_line);
	else if (code != ERR_NONE)
		err_set(e, code, "%s: there are numbers in it, but not in rows that are alike; "
			"is it a CSV export?", path);
	return code;
}
