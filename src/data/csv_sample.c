/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sampling the first rows of a log. */
#include "data/csv_sample.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

#define NEARLY 3		/* rows at least, with a third of the most numbers, are as usual */

#define LONGEST_PLAIN 40	/* bytes; none of those is beyond a double */

void csv_sample_release(struct csv_sample *s)
{
	buf_release(&s->text);
	free(s->rows);
	free(s->cells);
}

/* Whether the cell has but digits, a point among them perhaps and a minus before. */
static bool is_plain(const struct csv_cell *cell, const char **point)
{
	const size_t sign = cell->length > 0 && cell->text[0] == '-';
	size_t i;

	*point = NULL;
	for (i = sign; i < cell->length; i++) {
		const char *at = cell->text + i;

		if (*at == '.' && *point == NULL)
			*point = at;
		else if (*at < '0' || *at > '9')
			return false;
	}
	return cell->length <= LONGEST_PLAIN && cell->length - sign > (*point != NULL);
}

static unsigned char kind_of(const struct csv_cell *cell, enum csv_mark mark)
{
	static const char mark_chars[CSV_MARKS] = { '.', ',' };
	struct csv_value value;

	return (unsigned char)csv_cell_read(cell->text, cell->length, mark_chars[mark], &value);
}

/* Whether the point of a plain decimal may as well mark thousands: "12.345". */
static bool may_group(const struct csv_cell *cell, const char *point)
{
	const char *digits = cell->text + (cell->text[0] == '-');

	return cell->text + cell->length - point == 1 + 3 && point > digits &&
	       point - digits <= 3 && *digits != '0';
}

/*
 * What a cell is with each mark.  Most cells of most logs are plain decimals, which need
 * no reading: with a decimal comma their point marks thousands or makes a word.
 */
static void read_kinds(const struct csv_cell *cell, unsigned char kind[CSV_MARKS])
{
	const char *point;

	if (!is_plain(cell, &point)) {
		kind[CSV_POINT] = kind_of(cell, CSV_POINT);
		kind[CSV_COMMA_MARK] = kind_of(cell, CSV_COMMA_MARK);
		return;
	}
	kind[CSV_POINT] = CSV_CELL_NUMBER;
	if (point == NULL)
		kind[CSV_COMMA_MARK] = CSV_CELL_NUMBER;
	else
		kind[CSV_COMMA_MARK] = may_group(cell, point) ? CSV_CELL_GROUPED : CSV_CELL_WORD;
}

/* Room for what a row takes; false when memory is out. */
static bool make_room(struct csv_sample *s, const struct csv_row *row)
{
	size_t bytes = 1;
	size_t i;

	for (i = 0; i < row->count; i++)
		bytes += row->cells[i].length;
	return bytes < UINT32_MAX - s->text.len &&
	       mem_try_grow(&s->rows, &s->row_room, s->row_count + 1, sizeof(*s->rows)) &&
	       mem_try_grow(&s->cells, &s->cell_room, s->cell_count + row->count,
			    sizeof(*s->cells)) &&
	       mem_try_grow(&s->text.data, &s->text.cap, s->text.len + bytes, 1);
}

static void add_cell(struct csv_sample *s, const struct csv_cell *cell)
{
	struct csv_sample_cell *to = &s->cells[s->cell_count++];

	to->from = (uint32_t)s->text.len;
	to->length = (uint32_t)cell->length;
	read_kinds(cell, to->kind);
	if (cell->length > 0)
		memcpy(s->text.data + s->text.len, cell->text, cell->length);
	s->text.len += cell->length;
	s->text.data[s->text.len] = '\0';
}

static bool add_row(struct csv_sample *s, const struct csv_row *row)
{
	struct csv_sample_row *to;
	size_t i;

	if (!make_room(s, row))
		return false;
	to = &s->rows[s->row_count++];
	*to = (struct csv_sample_row){ row->line, s->cell_count, row->count, 0, row->comment };
	s->has_comments |= row->comment;
	for (i = 0; i < row->count; i++) {
		add_cell(s, &row->cells[i]);
		if (row->cells[i].length > 0)
			to->trimmed = i + 1;
	}
	return true;
}

bool csv_sample_read(struct csv_sample *s, const char *text, size_t n, bool more,
		     size_t bytes, size_t lines)
{
	struct csv_rows *rows = csv_rows_new(s->separator, s->comments, s->libcsv);
	enum csv_step step = CSV_STEP_MEMORY;
	struct csv_row row;

	if (rows == NULL)
		return false;
	csv_rows_over(rows, text, n, 1, more);
	while ((step = csv_rows_next(rows, &row)) == CSV_STEP_ROW) {
		if (!add_row(s, &row)) {
			step = CSV_STEP_MEMORY;
			break;
		}
		if (csv_rows_offset(rows) >= bytes && row.line >= lines)
			break;
	}
	csv_rows_free(rows);
	s->complete = step == CSV_STEP_END && !more;
	s->cut = step == CSV_STEP_MORE || (step == CSV_STEP_END && more);
	return step != CSV_STEP_MEMORY;
}

const struct csv_sample_cell *csv_sample_cells(const struct csv_sample *s,
					       const struct csv_sample_row *row)
{
	return s->cells + row->first;
}

const char *csv_sample_text(const struct csv_sample *s, const struct csv_sample_cell *cell)
{
	return buf_text(&s->text) + cell->from;
}

bool csv_sample_is_number(const struct csv_sample_cell *cell, enum csv_mark mark)
{
	const unsigned char kind = cell->kind[mark];

	return kind == CSV_CELL_NUMBER || kind == CSV_CELL_CLOCK || kind == CSV_CELL_SUFFIXED ||
	       kind == CSV_CELL_GROUPED;
}

size_t csv_sample_numbers(const struct csv_sample *s, const struct csv_sample_row *row,
			  enum csv_mark mark)
{
	const struct csv_sample_cell *cells = csv_sample_cells(s, row);
	size_t numbers = 0;
	size_t i;

	for (i = 0; i < row->count; i++)
		numbers += csv_sample_is_number(&cells[i], mark);
	return numbers;
}

/* Rows of one length, and how many numbers they hold together. */
struct length_weight {
	size_t count;
	size_t numbers;
	size_t rows;
};

size_t csv_sample_usual_count(const struct csv_sample *s, enum csv_mark mark)
{
	struct length_weight *lengths = NULL;
	size_t most = 0;
	size_t usual = 0;
	size_t room = 0;
	size_t n = 0;
	size_t i;
	size_t k;

	for (i = 0; i < s->row_count; i++) {
		const struct csv_sample_row *row = &s->rows[i];

		if (row->comment)
			continue;
		for (k = 0; k < n && lengths[k].count != row->count; k++)
			;
		if (k == n) {
			mem_grow(&lengths, &room, ++n, sizeof(*lengths));
			lengths[k] = (struct length_weight){ row->count, 0, 0 };
		}
		lengths[k].numbers += csv_sample_numbers(s, row, mark);
		lengths[k].rows++;
	}
	for (k = 0; k < n; k++)
		most = lengths[k].numbers > most ? lengths[k].numbers : most;
	for (k = 0; k < n; k++)
		if (lengths[k].numbers == most && usual == 0 && most > 0)
			usual = lengths[k].count;
	for (k = 0; k < n; k++)
		if (lengths[k].numbers * NEARLY >= most && lengths[k].count > usual &&
		    lengths[k].rows >= NEARLY)
			usual = lengths[k].count;
	free(lengths);
	return usual;
}
