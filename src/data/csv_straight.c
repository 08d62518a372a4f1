/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Splitting lines of numbers.  Rows whose cells are all short decimals are read many at
 * once (csv_grid.h), or one in one go; any other row is looked at cell by cell, and it
 * counts at once if the rows before it cannot change that.
 *
 * A pair of quotes around a whole cell, on one line and without a quote between them,
 * is read here; a row of such cells ends with its line whatever follows.  All other
 * quotes are for libcsv.
 */
#include "data/csv_straight.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "data/csv_cells.h"
#include "data/csv_grid.h"
#include "data/csv_line.h"

/* What a cell says, before it is known whether the row counts. */
struct reading {
	const char *text;
	size_t length;
	enum csv_cell_kind kind;
	bool is_plain;
	struct csv_plain plain;
	struct csv_value value;
};

struct csv_straight {
	struct csv_batcher batcher;
	struct csv_grid *grid;
	struct csv_dialect dialect;	/* the decimal mark is the piece's */
	size_t header_cells;
	struct reading *cells;		/* [columns] */
	struct csv_piece *piece;
	size_t line;			/* of the piece, from 0 */
	bool stopped;			/* at a quote that only libcsv can read */
};

bool csv_straight_can(const struct csv_dialect *d)
{
	return strchr(",;\t| ", d->separator) != NULL && d->separator != d->decimal;
}

struct csv_straight *csv_straight_new(const struct csv_table *t, struct pool *pool,
				      size_t piece, enum wide wide)
{
	struct csv_straight *s = mem_alloc(sizeof(*s));

	s->dialect = t->dialect;
	s->header_cells = t->header.count;
	s->cells = mem_array(t->dialect.columns, sizeof(*s->cells));
	s->grid = csv_grid_new(&t->dialect, wide);
	if (csv_batcher_init(&s->batcher, t->dialect.columns, pool, piece / 4) && s->grid != NULL)
		return s;
	csv_straight_free(s);
	return NULL;
}

void csv_straight_free(struct csv_straight *s)
{
	if (s == NULL)
		return;
	csv_batcher_release(&s->batcher);
	csv_grid_free(s->grid);
	free(s->cells);
	free(s);
}

static inline bool is_line_end(char c)
{
	return c == '\n' || c == '\r';
}

/*
 * Reads a row of row_cells short decimals or empty cells, all in quotes or none; returns
 * where its line end is, NULL when it is any other row.  Inline, for the two loops are
 * quick only with `quoted` known.
 */
static inline const char *quick_cells(struct csv_straight *s, const char *p, const bool quoted)
{
	struct csv_batcher *b = &s->batcher;
	const size_t count = s->dialect.row_cells;
	const size_t row = b->item.batch.rows;
	const char separator = s->dialect.separator;
	const char mark = s->dialect.decimal;
	size_t numbers = 0;
	size_t i;

	for (i = 0; i < count; i++) {
		struct csv_plain n;
		const char *from;

		if (quoted && *p++ != '"')
			return NULL;
		from = p;
		p = csv_plain_scan(p, mark, &n);
		if (n.count > 0) {
			if (!csv_lane_put(&b->lanes[i], row, &n))
				return NULL;
			numbers++;
		} else if (p == from) {
			csv_batcher_missing(b, i);
		} else {
			return NULL;
		}
		if ((quoted && *p++ != '"') || (i + 1 < count && *p++ != separator))
			return NULL;
	}
	if (!is_line_end(*p) || numbers == 0)
		return NULL;
	for (; i < s->dialect.columns; i++)
		csv_batcher_missing(b, i);
	return p;
}

static const char *quick_row(struct csv_straight *s, const char *p)
{
	return *p == '"' ? quick_cells(s, p, true) : quick_cells(s, p, false);
}

static inline bool is_blank(char c, char separator)
{
	return (c == ' ' || c == '\t') && c != separator;
}

/*
 * Finds the text of the cell at p, without the blanks or quotes around it; returns
 * behind it, NULL for any quotes but a pair around the whole cell.
 */
static const char *find_cell(const struct csv_straight *s, const char *p, struct reading *r)
{
	const char separator = s->dialect.separator;
	const bool quoted = *p == '"';
	const char *end;

	r->text = p += quoted;
	while (*p != '"' && !is_line_end(*p) && (quoted || *p != separator))
		p++;
	end = p + quoted;
	if ((*p == '"') != quoted || (quoted && *end != separator && !is_line_end(*end)))
		return NULL;
	while (!quoted && p > r->text && is_blank(p[-1], separator))
		p--;
	r->length = (size_t)(p - r->text);
	return end;
}

/* Reads one cell; returns behind it, NULL when it is for libcsv. */
static const char *read_cell(const struct csv_straight *s, const char *p, struct reading *r)
{
	const char *end;

	while (is_blank(*p, s->dialect.separator))
		p++;
	end = find_cell(s, p, r);
	if (end == NULL)
		return NULL;
	r->is_plain = csv_plain_scan(r->text, s->dialect.decimal, &r->plain) == r->text + r->length &&
		      r->plain.count > 0 && r->plain.count <= CSV_LONG_DIGITS;
	if (r->is_plain)
		r->kind = CSV_CELL_NUMBER;
	else if (r->length == 0)
		r->kind = CSV_CELL_EMPTY;
	else
		r->kind = csv_cell_settle(csv_cell_read(r->text, r->length, s->dialect.decimal,
							&r->value), s->dialect.decimal_sure);
	return end;
}

/* The cells of a row, by kind; see csv_table.c. */
struct counts {
	size_t cells;
	size_t numbers;
	size_t words;
	size_t beyond;		/* cells that say something behind the last column */
};

static const char *read_cells(struct csv_straight *s, const char *p, struct counts *n)
{
	struct reading extra = { .text = NULL };	/* of a cell behind the last column */

	*n = (struct counts){ 0 };
	for (;; p++) {
		struct reading *r = n->cells < s->dialect.columns ? &s->cells[n->cells] : &extra;

		p = read_cell(s, p, r);
		if (p == NULL)
			return NULL;
		if (r == &extra)
			n->beyond += r->length > 0;
		else if (r->kind == CSV_CELL_WORD)
			n->words++;
		else
			n->numbers += r->kind != CSV_CELL_EMPTY && r->kind != CSV_CELL_MISSING;
		n->cells++;
		if (is_line_end(*p))
			return p;
	}
}

/*
 * Whether the row counts whatever the rows before it say.  How many of its words are
 * misfits depends on them, and so does a word that may have the other decimal mark.
 */
static bool counts_anyway(const struct csv_straight *s, const struct counts *n, bool is_short)
{
	if (n->numbers == 0 || (n->words > 0 && !s->dialect.decimal_sure))
		return false;
	return is_short ? n->words < n->numbers : n->words <= n->numbers;
}

static bool put_odd(struct csv_straight *s, size_t column, const struct reading *r)
{
	const struct csv_odd_ref odd = {
		.column = (uint32_t)column,
		.row = (uint32_t)s->batcher.item.batch.rows,
		.line = (uint32_t)s->line,
		.at = (uint32_t)(r->text - s->piece->text),
		.length = (uint32_t)r->length,
		.kind = (unsigned char)r->kind,
	};

	return csv_batcher_odd(&s->batcher, &odd);
}

/* As csv_column_push() takes a time. */
static bool put_time(struct csv_straight *s, size_t column, const struct reading *r)
{
	struct csv_lane *lane = &s->batcher.lanes[column];
	double t;

	if (lane->mode == CSV_MODE_NUMBER)
		return put_odd(s, column, r);
	if (lane->mode == CSV_MODE_NONE) {
		lane->mode = CSV_MODE_CLOCK;
		lane->first = r->value.stamp;
	}
	if (r->value.form > lane->form)
		lane->form = r->value.form;
	t = clock_since(&lane->first, &r->value.stamp);
	if (t > lane->largest)
		lane->largest = t;
	return csv_batcher_double(&s->batcher, column, t, r->value.stamp.decimals);
}

static bool put_cell(struct csv_straight *s, size_t column, const struct reading *r)
{
	struct csv_lane *lane = &s->batcher.lanes[column];

	switch (r->kind) {
	case CSV_CELL_NUMBER:
		if (lane->mode == CSV_MODE_CLOCK)
			return put_odd(s, column, r);
		if (r->is_plain)
			return csv_batcher_plain(&s->batcher, column, &r->plain);
		lane->mode = CSV_MODE_NUMBER;
		if (r->value.group > lane->group)
			lane->group = r->value.group;
		return csv_batcher_double(&s->batcher, column, r->value.number,
					  r->value.decimals);
	case CSV_CELL_CLOCK:
		return put_time(s, column, r);
	case CSV_CELL_SUFFIXED:
	case CSV_CELL_WORD:
		return put_odd(s, column, r);
	default:
		csv_batcher_missing(&s->batcher, column);
		return true;
	}
}

static bool put_row(struct csv_straight *s, const struct counts *n, bool is_short)
{
	size_t i;

	if (is_short || n->beyond > 0)
		csv_tally_add(&s->batcher.item.batch.ragged, 1, s->line);
	for (i = 0; i < s->dialect.columns; i++) {
		if (i >= n->cells)
			csv_batcher_missing(&s->batcher, i);
		else if (!put_cell(s, i, &s->cells[i]))
			return false;
	}
	return true;
}

/* Ends the batch, and leaves the text from..end, `item` of it, for the merge. */
static bool leave(struct csv_straight *s, enum csv_item_kind kind, const char *from,
		  const char *end)
{
	struct csv_piece *p = s->piece;

	if (!csv_batcher_end(&s->batcher) ||
	    !mem_try_grow(&p->items, &p->item_room, p->item_count + 1, sizeof(*p->items)))
		return false;
	p->items[p->item_count++] = (struct csv_item){ .kind = kind,
						       .at = (size_t)(from - p->text),
						       .length = (size_t)(end - from),
						       .line = s->line };
	return true;
}

/* Behind the line end at p: LF, CRLF or CR. */
static inline const char *behind_line(const char *p, const char *end)
{
	return p + 1 < end && p[0] == '\r' && p[1] == '\n' ? p + 2 : p + 1;
}

/*
 * Any row but a quick one; returns behind it, NULL when memory is out.  From the first
 * row on that is for libcsv, all is.
 */
static const char *careful_row(struct csv_straight *s, const char *line, const char *p,
			       const char *end)
{
	struct counts n;
	bool is_short;

	p = read_cells(s, p, &n);
	if (p == NULL) {
		s->stopped = true;
		return leave(s, CSV_ITEM_REST, line, end) ? end : NULL;
	}
	p = behind_line(p, end);
	is_short = n.cells < s->dialect.row_cells && n.cells != s->header_cells;
	if (counts_anyway(s, &n, is_short)) {
		if (!put_row(s, &n, is_short))
			return NULL;
		s->batcher.item.batch.rows++;
		return p;
	}
	if (!leave(s, CSV_ITEM_ROW, line, p < end ? p : end))
		return NULL;
	csv_batcher_begin(&s->batcher, (size_t)(p - s->piece->text), s->line + 1);
	return p;
}

/* One line from p on; returns behind it, NULL when memory is out. */
static const char *split_line(struct csv_straight *s, const char *p, const char *end)
{
	size_t skip;

	switch (csv_line_begin(p, (size_t)(end - p), s->dialect.separator, s->dialect.comments,
			       &skip)) {
	case CSV_LINE_ROW:
		return careful_row(s, p, p + skip, end);
	case CSV_LINE_COMMENT:
		csv_tally_add(&s->batcher.item.batch.comments, 1, s->line);
		break;
	default:
		break;
	}
	return p + csv_line_length(p, (size_t)(end - p));
}

/* A line that begins so is a row; most do. */
static inline bool begins_row(char c, char separator)
{
	return (c >= '0' && c <= '9') || c == '-' || c == '"' || c == separator;
}

/* The line at p; returns behind it, NULL when memory is out. */
static const char *one_line(struct csv_straight *s, const char *p, const char *end)
{
	const bool is_row = begins_row(*p, s->dialect.separator);
	const char *quick = is_row ? quick_row(s, p) : NULL;

	if (quick != NULL) {
		s->batcher.item.batch.rows++;
		p = behind_line(quick, end);
	} else {
		p = is_row ? careful_row(s, p, p, end) : split_line(s, p, end);
	}
	s->line++;
	return p;
}

/* Whole lines up to `end`; false when memory is out. */
static bool split_lines(struct csv_straight *s, const char *p, const char *end)
{
	struct csv_batcher *b = &s->batcher;

	while (p < end && !s->stopped) {
		const size_t rows = csv_grid_read(s->grid, b, p, end, &p);

		b->item.batch.rows += rows;
		s->line += rows;
		if (rows == 0)
			p = one_line(s, p, end);
		if (p == NULL)
			return false;
		if (b->item.batch.rows == b->most && !s->stopped) {
			if (!csv_batcher_end(b))
				return false;
			csv_batcher_begin(b, (size_t)(p - s->piece->text), s->line);
		}
	}
	return true;
}

bool csv_straight_split(struct csv_straight *s, const struct csv_state *state,
			struct csv_piece *p)
{
	csv_piece_clear(p);
	s->piece = p;
	s->line = 0;
	s->stopped = false;
	s->dialect.decimal = p->decimal = state->decimal;
	s->dialect.decimal_sure = p->decimal_sure = state->decimal_sure;
	csv_grid_begin_piece(s->grid, p->decimal);
	csv_batcher_begin_piece(&s->batcher, p, state);
	csv_batcher_begin(&s->batcher, 0, 0);
	if (!split_lines(s, p->text, p->text + p->length))
		return false;
	p->lines = s->line;
	return s->stopped || csv_batcher_end(&s->batcher);
}
