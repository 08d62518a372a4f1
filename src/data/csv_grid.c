/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows of short decimals, column by column. */
#include "data/csv_grid.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "data/csv_digits.h"
#include "data/csv_marks.h"

#define REACH ((size_t)24 << 10)	/* bytes at once: with their marks they fit the cache */
#define LEAST_REACH ((size_t)2 << 10)
#define LEAST_ROWS 4
#define MOST_WAIT 64		/* rows */
#define SOME_MISSES 8		/* a column may have those, and one for so many rows */

struct csv_grid {
	size_t columns;
	size_t row_cells;
	char separator;
	char decimal;
	bool is_crlf;		/* the line ends of the text in hand */
	size_t reach;		/* bytes to look at next; less after a row of another kind */
	size_t row_bytes;	/* on average, of the last that were found; 0: unknown */
	size_t wait;		/* rows that are left to others before the next try */
	size_t last_wait;
	struct csv_marks finder;
	uint16_t *marks;	/* [1 + REACH + CSV_MARKS_SPARE] */
	struct csv_digits_shape shapes[CSV_DIGITS_ENDS][CSV_DIGITS_DECIMALS + 1];

	/* The rows in hand. */
	struct csv_batcher *batcher;
	const char *text;	/* the byte before them */
	bool has_full;		/* some column has a number in each of them */
};

struct csv_grid *csv_grid_new(const struct csv_dialect *d, enum wide wide)
{
	struct csv_grid *g = mem_alloc(sizeof(*g));

	g->columns = d->columns;
	g->row_cells = d->row_cells;
	g->separator = d->separator;
	g->reach = REACH;
	csv_marks_init(&g->finder, d->separator, wide);
	g->marks = mem_try_array(1 + REACH + CSV_MARKS_SPARE, sizeof(*g->marks));
	if (g->marks != NULL)
		return g;
	free(g);
	return NULL;
}

void csv_grid_free(struct csv_grid *g)
{
	if (g == NULL)
		return;
	free(g->marks);
	free(g);
}

void csv_grid_begin_piece(struct csv_grid *g, char decimal)
{
	size_t end;
	int k;

	if (g->decimal == decimal)
		return;
	g->decimal = decimal;
	for (end = 0; end < CSV_DIGITS_ENDS; end++)
		for (k = 0; k <= CSV_DIGITS_DECIMALS; k++)
			csv_digits_shape_init(&g->shapes[end][k], (enum csv_digits_end)end,
					      g->separator, decimal, k);
}

/* Whether a line ends at the mark as those in hand do. */
static bool ends_line(const struct csv_grid *g, const char *mark)
{
	return *mark == '\n' && (mark[-1] == '\r') == g->is_crlf;
}

/* Reads a cell by itself; false when it is no short decimal and not empty. */
static bool read_cell(struct csv_grid *g, size_t column, size_t row, const uint16_t *mark,
		      bool *is_full)
{
	struct csv_lane *lane = &g->batcher->lanes[column];
	const bool is_last = column + 1 == g->row_cells;
	const char *from = g->text + mark[-1] + 1;
	const char *end = g->text + mark[0];
	struct csv_plain n;

	if (is_last ? !ends_line(g, end) : *end != g->separator)
		return false;
	end -= is_last && g->is_crlf;
	if (from == end) {
		csv_lane_put_missing(lane, row);
		*is_full = false;
		return true;
	}
	if (csv_plain_scan(from, g->decimal, &n) != end || n.count == 0)
		return false;
	lane->is_signed = lane->is_signed || n.negative;
	lane->is_long = lane->is_long || mark[0] - mark[-1] > CSV_DIGITS_SHORT;
	return csv_lane_put(lane, row, &n);
}

static const struct csv_digits_shape *shape_of(const struct csv_grid *g, size_t column)
{
	enum csv_digits_end end = CSV_DIGITS_SEPARATOR;

	if (column + 1 == g->row_cells)
		end = g->is_crlf ? CSV_DIGITS_CRLF : CSV_DIGITS_LF;
	return &g->shapes[end][g->batcher->lanes[column].decimals];
}

/* Reads the column's cells in so many rows; returns how many it could read. */
static size_t read_column(struct csv_grid *g, size_t column, size_t rows)
{
	struct csv_lane *lane = &g->batcher->lanes[column];
	const size_t first = g->batcher->item.batch.rows;
	struct csv_digits_column cells = { g->text, g->marks + 1 + column, g->row_cells,
					   lane->is_signed, lane->is_long,
					   g->finder.wide };
	bool can = lane->mode == CSV_MODE_NUMBER && !lane->is_wide &&
		   lane->decimals <= CSV_DIGITS_DECIMALS;
	bool is_full = true;
	size_t misses = 0;
	size_t row = 0;

	while (row < rows) {
		size_t until = rows;

		if (can) {
			row = csv_digits_read(shape_of(g, column), &cells, row, rows,
					      lane->ints + first);
			until = row + 4 < rows ? row + 4 : rows;
		}
		for (; row < until; row++)
			if (!read_cell(g, column, first + row,
				       cells.marks + row * cells.step, &is_full))
				return row;
		cells.is_signed = lane->is_signed;
		cells.is_long = lane->is_long;
		can = can && ++misses <= SOME_MISSES + row / SOME_MISSES;
	}
	g->has_full = g->has_full || is_full;
	return rows;
}

/* How many of the rows read have a number in any column before one that has none. */
static size_t count_said(const struct csv_grid *g, size_t rows)
{
	const size_t first = g->batcher->item.batch.rows;
	size_t row;
	size_t i;

	for (row = 0; row < rows && !g->has_full; row++) {
		for (i = 0; i < g->row_cells; i++)
			if (!csv_lane_is_missing(&g->batcher->lanes[i], first + row))
				break;
		if (i == g->row_cells)
			return row;
	}
	return rows;
}

/* Bytes that are worth a look for that many rows, as long as those before. */
static size_t bytes_for(const struct csv_grid *g, size_t left, size_t rows)
{
	const size_t enough = (rows + LEAST_ROWS) * g->row_bytes;

	left = left < g->reach ? left : g->reach;
	return enough > 0 && enough < left ? enough : left;
}

/* Finds the cells of up to `most` rows; returns how many rows there are. */
static size_t find_rows(struct csv_grid *g, const char *from, const char *end, size_t most)
{
	const size_t n = bytes_for(g, (size_t)(end - from), most);
	size_t rows = csv_marks_find(&g->finder, from, n, g->marks + 1) / g->row_cells;
	const char *line_end;

	g->text = from - 1;
	g->marks[0] = 0;
	if (rows < LEAST_ROWS || most < LEAST_ROWS)
		return 0;
	line_end = g->text + g->marks[g->row_cells];
	g->is_crlf = line_end[-1] == '\r';
	g->has_full = false;
	g->row_bytes = 1 + g->marks[rows * g->row_cells] / rows;
	rows = rows < most ? rows : most;
	return rows - rows % LEAST_ROWS;
}

/* Looks at less after a row that stopped it, and waits when nothing could be read. */
static void learn(struct csv_grid *g, size_t rows, size_t read)
{
	if (read == rows && rows > 0)
		g->reach = 2 * g->reach < REACH ? 2 * g->reach : REACH;
	else if (read < rows / 2)
		g->reach = g->reach / 2 > LEAST_REACH ? g->reach / 2 : LEAST_REACH;
	g->last_wait = read > 0 ? 0 : g->last_wait == 0 ? 1 : 2 * g->last_wait;
	g->last_wait = g->last_wait < MOST_WAIT ? g->last_wait : MOST_WAIT;
	g->wait = g->last_wait;
}

size_t csv_grid_read(struct csv_grid *g, struct csv_batcher *b, const char *from,
		     const char *end, const char **behind)
{
	const size_t most = b->most - b->item.batch.rows;
	size_t found;
	size_t rows;
	size_t row;
	size_t i;

	if (g->wait > 0) {
		g->wait--;
		return 0;
	}
	if (!csv_digits_can() || from - b->piece->text < CSV_DIGITS_WINDOW)
		return 0;
	g->batcher = b;
	rows = found = find_rows(g, from, end, most);
	for (i = 0; i < g->row_cells && rows > 0; i++)
		rows = read_column(g, i, rows);
	rows = count_said(g, rows);
	for (; i < g->columns; i++)
		for (row = 0; row < rows; row++)
			csv_lane_put_missing(&b->lanes[i], b->item.batch.rows + row);
	learn(g, found, rows);
	if (rows == 0)
		return 0;
	*behind = g->text + g->marks[rows * g->row_cells] + 1;
	return rows;
}
