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

#include "base/mem.h"
#include "data/csv_titles.h"

#define MOST_SETTINGS 20	/* rows like data that may stand above the header */
#define MOST_COLUMNS 65536	/* more are rows that were turned into columns */
#define NO_ROW ((size_t)-1)

static const struct csv_sample_row *row_at(const struct csv_view *l, size_t i)
{
	return &l->sample->rows[i];
}

/* Whether most rows of numbers are shorter than the usual ones. */
static bool is_mixed(const struct csv_view *l)
{
	size_t shorter = 0;
	size_t all = 0;
	size_t i;

	for (i = 0; i < l->sample->row_count; i++) {
		const struct csv_sample_row *row = row_at(l, i);

		if (row->comment || csv_sample_numbers(l->sample, row, l->mark) == 0)
			continue;
		shorter += row->count < l->usual;
		all++;
	}
	return 2 * shorter > all;
}

static void find_numeric_columns(struct csv_view *l)
{
	long *balance = mem_array(l->usual, sizeof(*balance));
	size_t i;
	size_t k;

	for (i = 0; i < l->sample->row_count; i++) {
		const struct csv_sample_row *row = row_at(l, i);
		const struct csv_sample_cell *cells = csv_sample_cells(l->sample, row);

		if (row->comment || row->count > l->usual ||
		    (row->count < l->usual && !l->mixed) ||
		    csv_sample_numbers(l->sample, row, l->mark) == 0)
			continue;
		if (row->trimmed > l->filled)
			l->filled = row->trimmed;
		for (k = 0; k < row->count; k++) {
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
static void fit_row(const struct csv_view *l, const struct csv_sample_row *row, size_t *fits,
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

static bool is_data(const struct csv_view *l, const struct csv_sample_row *row)
{
	size_t fits;
	size_t misfits;

	if (row->comment || (row->count * 2 < l->usual && !l->mixed))
		return false;
	fit_row(l, row, &fits, &misfits);
	return fits > misfits;
}

/* A first row of numbers that begins with a name is a header: "Time,1,2,3,4". */
static bool is_numbered_header(const struct csv_view *l, size_t i)
{
	const struct csv_sample_row *row = row_at(l, i);
	const struct csv_sample_cell *cells = csv_sample_cells(l->sample, row);
	size_t k;

	for (k = 0; k < row->count && k < l->usual; k++)
		if (l->numeric[k] && cells[k].kind[l->mark] == CSV_CELL_WORD &&
		    (k == 0 || csv_is_time_name(l, &cells[k])))
			return true;
	return false;
}

/* The first row of data from row `from` on; NO_ROW when there is none. */
static size_t find_first(const struct csv_view *l, size_t from)
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

static size_t most_names(const struct csv_view *l, const size_t *titles, size_t n)
{
	size_t most = 0;
	size_t i;

	for (i = 0; i < n; i++) {
		const size_t names = csv_count_names(l, titles[i]);

		most = names > most ? names : most;
	}
	return most;
}

/*
 * The first row of data below a title with more known names than the n titles have,
 * when it comes soon after row `first`: what was taken for data are settings then.
 */
static size_t find_better_first(const struct csv_view *l, size_t first, const size_t *titles,
				size_t n)
{
	size_t i;

	for (i = first + 1; i < l->sample->row_count && i <= first + MOST_SETTINGS; i++)
		if (csv_is_title(l, i) && !row_at(l, i)->comment &&
		    csv_sample_numbers(l->sample, row_at(l, i), l->mark) == 0 &&
		    csv_count_names(l, i) > most_names(l, titles, n))
			return find_first(l, i + 1);
	return NO_ROW;
}

static enum err_code guess_titles(const struct csv_view *l, struct csv_dialect *out)
{
	size_t first = find_first(l, 0);
	size_t titles[CSV_MOST_TITLES];
	size_t better;
	size_t n;

	if (first == NO_ROW)
		return ERR_FORMAT;
	n = csv_find_titles(l, first, titles);
	better = find_better_first(l, first, titles, n);
	if (better != NO_ROW) {
		first = better;
		n = csv_find_titles(l, first, titles);
	}
	if (n == 0 && is_numbered_header(l, first) && find_first(l, first + 1) != NO_ROW) {
		titles[n++] = first;
		first = find_first(l, first + 1);
	}
	csv_choose_titles(l, titles, n, out);
	out->first_line = row_at(l, first)->line;
	return ERR_NONE;
}

static enum err_code no_titles(const struct csv_view *l, struct csv_dialect *out)
{
	const size_t first = find_first(l, 0);

	if (first == NO_ROW)
		return ERR_FORMAT;
	out->first_line = row_at(l, first)->line;
	return ERR_NONE;
}

static enum err_code force_header(const struct csv_view *l, size_t line, struct csv_dialect *out)
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
		if (csv_is_units_row(l, i))
			out->units_line = row_at(l, i)->line;
	return ERR_NONE;
}

enum err_code csv_layout(const char *path, const struct csv_sample *s, enum csv_mark mark,
			 long header_line, struct csv_dialect *out, struct err *e)
{
	struct csv_view l = { .sample = s, .mark = mark,
			      .usual = csv_sample_usual_count(s, mark) };
	enum err_code code;

	if (l.usual > MOST_COLUMNS)
		return err_set(e, ERR_FORMAT, "%s: its rows have %zu cells; a log has a row for "
			       "each moment, not a column", path, l.usual);

	l.numeric = mem_array(l.usual, sizeof(*l.numeric));
	l.mixed = is_mixed(&l);
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
