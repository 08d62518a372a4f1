/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is a picture mostly the one before, moved to the side? */
#include "draw/slide.h"

#include <stdlib.h>

#include "base/mem.h"

#define LEAST_CHANGED 40	/* cells; with fewer there is little to gain */
#define LEAST_SHARE 4		/* a slide explains at least one changed cell in so many */

/* About what a terminal takes, in bytes; colours come once a frame and do not count. */
#define DOWN_BYTES 3		/* from a row to the next */
#define ALONG_BYTES 6		/* to a cell not next to the last one written */
#define GLYPH_BYTES 3		/* for a character beyond ASCII */
#define SHIFT_BYTES 4		/* for cells to go out or come in in one row */
#define FRAME_BYTES 24		/* for sliding at all */

static bool same(struct cell a, struct cell b)
{
	return a.ch == b.ch && a.style == b.style && a.flags == b.flags;
}

static const struct cell blank = { ' ', STYLE_PLAIN, 0 };

/* Two pictures and their size. */
struct both {
	const struct canvas *before;
	const struct canvas *after;
	int rows;
	int cols;
};

static bool stays(const struct both *b, int row, int col)
{
	return same(canvas_row(b->before, row)[col], canvas_row(b->after, row)[col]);
}

static bool row_changed(const struct both *b, int row)
{
	int col;

	for (col = 0; col < b->cols; col++)
		if (!stays(b, row, col))
			return true;
	return false;
}

/* A wide character must not be cut in halves. */
static bool has_wide(const struct cell *cells, int n)
{
	int i;

	for (i = 0; i < n; i++)
		if (cells[i].ch == 0)
			return true;
	return false;
}

/* Nothing but blanks from `col` on: they may go where they like. */
static bool ends(const struct cell *cells, int col, int cols)
{
	while (col < cols && same(cells[col], blank))
		col++;
	return col == cols;
}

/*
 * Rows that may slide at all, and how many of their cells changed.  A row that was blank, as
 * all are before the first picture, has nothing to slide.
 */
static int mark_changed(const struct both *b, struct slide_row *rows)
{
	int changed = 0;
	int row, col;

	for (row = 0; row < b->rows; row++) {
		rows[row].out = row_changed(b, row) && !has_wide(canvas_row(b->before, row), b->cols) &&
			!has_wide(canvas_row(b->after, row), b->cols);
		for (col = 0; rows[row].out && col < b->cols; col++)
			changed += !stays(b, row, col);
		if (ends(canvas_row(b->before, row), 0, b->cols))
			rows[row].out = false;
	}
	return changed;
}

/* How many changed cells a move by so many columns explains. */
static int explained(const struct both *b, const struct slide_row *rows, int by)
{
	const int first = by < 0 ? -by : 0;
	const int last = by < 0 ? b->cols : b->cols - by;
	int count = 0;
	int row, col;

	for (row = 0; row < b->rows; row++) {
		const struct cell *before = canvas_row(b->before, row);
		const struct cell *after = canvas_row(b->after, row);

		for (col = first; rows[row].out && col < last; col++)
			count += same(after[col], before[col + by]) &&
				!same(after[col], before[col]);
	}
	return count;
}

/* The move that explains most; 0 when none explains enough. */
static int best_move(const struct both *b, const struct slide_row *rows, int changed)
{
	int most = changed / LEAST_SHARE;
	int best = 0;
	int by;

	for (by = 1; by <= SLIDE_MOST && by < b->cols; by++) {
		const int left = explained(b, rows, by);
		const int right = explained(b, rows, -by);

		if (left > most || right > most) {
			best = left >= right ? by : -by;
			most = left >= right ? left : right;
		}
	}
	return best;
}

/*
 * The columns that move together: where the cells that the move explains outweigh those
 * that stand still the most, for all rows in one.
 */
static void find_columns(struct slide *s, const struct both *b)
{
	int sum = 0, most = 0, from = 0;
	int row, col;

	for (col = s->by < 0 ? -s->by : 0; col < (s->by < 0 ? b->cols : b->cols - s->by); col++) {
		for (row = 0; row < b->rows; row++)
			if (s->rows[row].out)
				sum += (int)same(canvas_row(b->after, row)[col],
						 canvas_row(b->before, row)[col + s->by]) -
				       (int)stays(b, row, col);
		if (sum <= 0) {
			sum = 0;
			from = col + 1;
		} else if (sum > most) {
			most = sum;
			s->from = from;
			s->to = col + 1;
		}
	}
	if (s->by > 0)
		s->to += s->by;
	else
		s->from += s->by;
}

/* What stands at a place once the row has slid. */
static struct cell slid(const struct slide *s, const struct cell *before, int col)
{
	const int source = col + s->by;

	if (col < s->from || col >= s->to)
		return before[col];
	return source < s->from || source >= s->to ? blank : before[source];
}

/* About how many bytes it takes to make a row what it is to be. */
static int row_bytes(const struct slide *s, const struct both *b, int row, bool slide)
{
	const struct cell *before = canvas_row(b->before, row);
	const struct cell *after = canvas_row(b->after, row);
	int written = -2;
	int bytes = 0;
	int col;

	for (col = 0; col < b->cols; col++) {
		const struct cell now = slide ? slid(s, before, col) : before[col];

		if (same(now, after[col]))
			continue;
		if (written != col - 1)
			bytes += written < 0 ? DOWN_BYTES : ALONG_BYTES;
		else if (after[col].style != after[written].style ||
			 after[col].flags != after[written].flags)
			bytes += DOWN_BYTES;	/* each colour is written by itself */
		bytes += after[col].ch > '~' ? GLYPH_BYTES : 1;
		written = col;
	}
	return bytes;
}

/* How many bytes sliding saves in all; decides which rows are to slide. */
static int choose_rows(struct slide *s, const struct both *b)
{
	int gain = -FRAME_BYTES;
	int row;

	for (row = 0; row < b->rows; row++) {
		struct slide_row *r = &s->rows[row];
		int more;

		if (!r->out)
			continue;
		r->in = s->by < 0 || !ends(canvas_row(b->before, row), s->to, b->cols);
		more = row_bytes(s, b, row, false) - row_bytes(s, b, row, true) -
			(r->in ? 2 : 1) * SHIFT_BYTES;
		r->out = more > 0;
		gain += more > 0 ? more : 0;
	}
	return gain;
}

void slide_find(struct slide *s, const struct canvas *before, const struct canvas *after)
{
	const struct both b = { before, after, canvas_rows(after), canvas_cols(after) };
	int changed;

	*s = (struct slide)SLIDE_INIT;
	s->rows = mem_array((size_t)b.rows, sizeof *s->rows);
	changed = mark_changed(&b, s->rows);
	if (changed >= LEAST_CHANGED)
		s->by = best_move(&b, s->rows, changed);
	if (s->by == 0)
		return;
	find_columns(s, &b);
	if (choose_rows(s, &b) <= 0)
		s->by = 0;
}

struct cell slide_at(const struct slide *s, const struct canvas *before, int row, int col)
{
	if (s->by == 0 || !s->rows[row].out)
		return canvas_at(before, row, col);
	return slid(s, canvas_row(before, row), col);
}

void slide_release(struct slide *s)
{
	free(s->rows);
	*s = (struct slide)SLIDE_INIT;
}

int slide_delete_at(const struct slide *s)
{
	return s->by > 0 ? s->from : s->to + s->by;
}

int slide_insert_at(const struct slide *s)
{
	return s->by > 0 ? s->to - s->by : s->from;
}
