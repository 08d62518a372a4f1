/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Taking in the rows of a log; csv_channels.c makes the channels of them. */
#include "data/csv_table.h"

#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/text.h"
#include "data/csv_titles.h"

void csv_table_init(struct csv_table *t, struct datalog *log, const struct csv_dialect *dialect)
{
	size_t i;

	*t = (struct csv_table){ .log = log, .dialect = *dialect };
	t->columns = mem_array(dialect->columns, sizeof(*t->columns));
	t->values = mem_array(dialect->columns, sizeof(*t->values));
	t->kinds = mem_array(dialect->columns, sizeof(*t->kinds));
	for (i = 0; i < dialect->columns; i++)
		csv_column_init(&t->columns[i]);
}

static void release_titles(struct csv_title_row *titles)
{
	size_t i;

	for (i = 0; i < titles->count; i++)
		free(titles->cells[i]);
	free(titles->cells);
}

void csv_table_release(struct csv_table *t)
{
	size_t i;

	for (i = 0; i < t->dialect.columns; i++)
		csv_column_release(&t->columns[i]);
	for (i = 0; i < t->bad_row_count; i++)
		free(t->bad_rows[i].text);
	release_titles(&t->header);
	release_titles(&t->units);
	free(t->columns);
	free(t->values);
	free(t->kinds);
}

static void copy_titles(struct csv_title_row *to, const struct csv_title_row *from)
{
	size_t i;

	to->cells = mem_array(from->count, sizeof(*to->cells));
	to->count = from->count;
	for (i = 0; i < from->count; i++)
		to->cells[i] = mem_strdup(from->cells[i]);
}

bool csv_table_copy(struct csv_table *to, const struct csv_table *from, struct datalog *log)
{
	const size_t columns = from->dialect.columns;
	bool ok = true;
	size_t i;

	*to = *from;
	to->log = log;
	log->ragged_rows = from->log->ragged_rows;
	log->bad_rows = from->log->bad_rows;
	to->columns = mem_array(columns, sizeof(*to->columns));
	to->values = mem_array(columns, sizeof(*to->values));
	to->kinds = mem_array(columns, sizeof(*to->kinds));
	for (i = 0; i < columns; i++)
		ok = ok && csv_column_copy(&to->columns[i], &from->columns[i]);
	copy_titles(&to->header, &from->header);
	copy_titles(&to->units, &from->units);
	for (i = 0; i < from->bad_row_count; i++)
		to->bad_rows[i].text = mem_strdup(from->bad_rows[i].text);
	return ok;
}

void csv_tally_add(struct csv_tally *t, size_t count, size_t first)
{
	if (t->count == 0)
		t->first = first;
	t->count += count;
}

static void tally(struct csv_tally *t, size_t line)
{
	csv_tally_add(t, 1, line);
}

static void keep_titles(struct csv_title_row *titles, const struct csv_row *row)
{
	size_t i;

	titles->cells = mem_array(row->count, sizeof(*titles->cells));
	titles->count = row->count;
	for (i = 0; i < row->count; i++)
		titles->cells[i] = mem_strndup(row->cells[i].text, row->cells[i].length);
}

static bool names_time(const struct csv_title_row *titles)
{
	size_t i;

	for (i = 0; i < titles->count; i++)
		if (csv_title_quantity(titles->cells[i]) == Q_TIME)
			return true;
	return false;
}

/* Whether the row says again what the titles say, empty cells at the end aside. */
static bool is_again(const struct csv_title_row *titles, const struct csv_row *row)
{
	const size_t most = titles->count > row->count ? titles->count : row->count;
	size_t i;

	for (i = 0; i < most; i++) {
		const char *title = i < titles->count ? titles->cells[i] : "";
		const size_t length = i < row->count ? row->cells[i].length : 0;

		if (strlen(title) != length ||
		    (length > 0 && memcmp(title, row->cells[i].text, length) != 0))
			return false;
	}
	return titles->count > 0;
}

/* The first cell that is not empty, made safe and short. */
static char *place_text(const struct csv_row *row)
{
	struct buf text = BUF_INIT;
	size_t i;

	for (i = 0; i + 1 < row->count && row->cells[i].length == 0; i++)
		;
	if (i < row->count)
		text_sanitise(&text, row->cells[i].text, row->cells[i].length);
	if (text.len > 0)
		text.data[text_fit(text.data, CSV_PLACE_CELLS)] = '\0';
	return buf_take(&text);
}

static void add_bad_row(struct csv_table *t, const struct csv_row *row)
{
	t->log->bad_rows++;
	if (t->bad_row_count < DATALOG_PLACES)
		t->bad_rows[t->bad_row_count++] =
			(struct bad_place){ row->line, 0, place_text(row) };
}

/*
 * While no fraction has been seen, the first cell that is a number with the other
 * decimal mark settles it.
 */
static enum csv_cell_kind read_unsure(struct csv_table *t, size_t line,
				      const struct csv_cell *cell, struct csv_value *v)
{
	const char other = t->dialect.decimal == '.' ? ',' : '.';
	enum csv_cell_kind kind = csv_cell_settle(csv_cell_read(cell->text, cell->length,
								t->dialect.decimal, v), false);

	if (kind == CSV_CELL_NUMBER && v->decimals > 0)
		t->dialect.decimal_sure = true;
	if (kind != CSV_CELL_WORD ||
	    csv_cell_read(cell->text, cell->length, other, v) != CSV_CELL_NUMBER)
		return kind;
	t->dialect.decimal = other;
	t->dialect.decimal_sure = true;
	tally(&t->other_mark, line);
	return CSV_CELL_NUMBER;
}

/* What the cells of a row are, by kind. */
struct row_counts {
	size_t numbers;
	size_t misfits;		/* words in columns of numbers */
	bool first_misfits;	/* the first cell is one of those */
	size_t said;		/* cells that are not empty */
	size_t beyond;		/* cells that say something behind the last column */
};

static struct row_counts read_cells(struct csv_table *t, const struct csv_row *row)
{
	struct row_counts n = { 0 };
	size_t i;

	for (i = 0; i < row->count && i < t->dialect.columns; i++) {
		const struct csv_cell *cell = &row->cells[i];
		enum csv_cell_kind kind;

		if (t->dialect.decimal_sure)
			kind = csv_cell_settle(csv_cell_read(cell->text, cell->length,
							     t->dialect.decimal, &t->values[i]),
					       true);
		else
			kind = read_unsure(t, row->line, cell, &t->values[i]);
		t->kinds[i] = kind;
		n.said += kind != CSV_CELL_EMPTY;
		if (kind == CSV_CELL_WORD)
			n.misfits += csv_column_is_numeric(&t->columns[i]);
		else
			n.numbers += kind != CSV_CELL_EMPTY && kind != CSV_CELL_MISSING;
		if (i == 0)
			n.first_misfits = n.misfits > 0;
	}
	for (; i < row->count; i++)
		n.beyond += row->cells[i].length > 0;
	return n;
}

/*
 * Without a time column a row of separators only stands for a moment, too; those at
 * the end never get here.
 */
bool csv_table_before_rows(struct csv_table *t)
{
	size_t i;

	for (; t->empty_rows > 0 && !t->is_timed; t->empty_rows--) {
		for (i = 0; i < t->dialect.columns; i++)
			if (!csv_column_push_missing(&t->columns[i]))
				return false;
		t->rows++;
	}
	return true;
}

static bool push_row(struct csv_table *t, const struct csv_row *row)
{
	size_t i;

	for (i = 0; i < t->dialect.columns; i++) {
		const bool ok = i < row->count
			? csv_column_push(&t->columns[i], row->line, &row->cells[i], t->kinds[i],
					  &t->values[i])
			: csv_column_push_missing(&t->columns[i]);

		if (!ok)
			return false;
	}
	t->rows++;
	return true;
}

/* Without a number, or a short row or a first cell that is more words than numbers. */
static bool is_useless(const struct row_counts *n, bool is_short)
{
	if (n->numbers == 0)
		return n->misfits > 0 || is_short || n->said == 0;
	return (is_short && n->numbers <= n->misfits) ||
	       (n->first_misfits && n->numbers < n->misfits);
}

/* A row of data, a header again, a footer, or one without any value. */
static bool add_data(struct csv_table *t, const struct csv_row *row)
{
	const struct row_counts n = read_cells(t, row);
	const size_t header = t->header.count;
	const bool is_short = row->count < t->dialect.row_cells && row->count != header;

	if (n.said == 0 && n.beyond == 0) {
		tally(&t->empty, row->line);
		t->empty_rows++;
		return true;
	}
	if (n.numbers == 0 && (is_again(&t->header, row) || is_again(&t->units, row))) {
		tally(&t->headers_again, row->line);
		return true;
	}
	if (is_useless(&n, is_short)) {
		add_bad_row(t, row);
		return true;
	}
	if (is_short || n.beyond > 0) {
		t->log->ragged_rows++;
		tally(&t->ragged, row->line);
	}
	return csv_table_before_rows(t) && push_row(t, row);
}

bool csv_table_add(struct csv_table *t, const struct csv_row *row)
{
	if (row->line == t->dialect.header_line) {
		keep_titles(&t->header, row);
		t->is_timed = names_time(&t->header);
	} else if (row->line == t->dialect.units_line) {
		keep_titles(&t->units, row);
	} else if (row->comment) {
		tally(&t->comments, row->line);
	} else if (row->line < t->dialect.first_line) {
		tally(&t->preamble, row->line);
	} else if (!add_data(t, row)) {
		return false;
	}
	if (row->open_quote && !row->comment)
		tally(&t->open_quotes, row->line);
	return true;
}
