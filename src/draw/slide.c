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

static bool is_blank(const struct cell *cells, int n)
{
	int i;

	for (i = 0; i < n; i++)
		if (!same(cells[i], blank))
			return false;
	return true;
}

/*
 * Rows that may slide at all, and how many of their cells changed.  A row that was blank, as
 * all are before the first picture, has nothing to slide.
 */
static int mark_changed(const struct both *b, struct slide_row *rows)
{
	int changed = 0;
	int row, col;

	for (row = 0; row + 1 < b->rows; row++) {
		rows[row].slides = row_changed(b, row) &&
			!has_wide(canvas_row(b->before, row), b->cols) &&
			!has_wide(canvas_row(b->after, row), b->cols);
		for (col = 0; rows[row].slides && col < b->cols; col++)
			changed += !stays(b, row, col);
		if (is_blank(canvas_row(b->before, row), b->cols))
			rows[row].slides = false;
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

		for (col = first; rows[row].slides && col < last; col++)
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

/* By how many cells that the move explains a column of a row outweighs one that stands still. */
static int for_the_move(const struct slide *s, const struct both *b, int row, int col)
{
	return (int)same(canvas_row(b->after, row)[col], canvas_row(b->before, row)[col + s->by]) -
		(int)stays(b, row, col);
}

/*
 * The columns that move together: where the cells that the move explains outweigh those
 * that stand still the most, for all rows in one.  False when there are none.
 */
static bool find_columns(struct slide *s, const struct both *b)
{
	const int first = s->by < 0 ? -s->by : 0;
	const int last = s->by < 0 ? b->cols : b->cols - s->by;
	int sum = 0, most = 0, from = first;
	int row, col;

	for (col = first; col < last; col++) {
		for (row = 0; row < b->rows; row++)
			if (s->rows[row].slides)
				sum += for_the_move(s, b, row, col);
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
	return most > 0;
}

/* What stands at a place once the row has slid. */
static struct cell slid(const struct slide *s, const struct cell *before, int cols, bool whole,
			int col)
{
	const int to = whole ? cols : s->to;
	const int source = col + s->by;

	if (col < s->from || col >= to)
		return before[col];
	return source < s->from || source >= to ? blank : before[source];
}

/* What becomes of a row. */
enum row_way { ROW_STANDS, ROW_SLIDES, ROW_SLIDES_WHOLE };

/* About how many bytes it takes to make a row what it is to be. */
static int row_bytes(const struct slide *s, const struct both *b, int row, enum row_way way)
{
	const struct cell *before = canvas_row(b->before, row);
	const struct cell *after = canvas_row(b->after, row);
	int bytes = way == ROW_STANDS ? 0 : way == ROW_SLIDES ? 2 * SHIFT_BYTES : SHIFT_BYTES;
	int written = -2;
	int col;

	for (col = 0; col < b->cols; col++) {
		const struct cell now = way == ROW_STANDS ? before[col] :
			slid(s, before, b->cols, way == ROW_SLIDES_WHOLE, col);

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

/* How many bytes sliding saves in all; decides which of the rows are to slide. */
static int choose_rows(struct slide *s, const struct both *b, const bool *may)
{
	int gain = -FRAME_BYTES;
	int row;

	for (row = 0; row < b->rows; row++) {
		struct slide_row *r = &s->rows[row];
		int part, whole, more;

		r->slides = false;
		if (!may[row])
			continue;
		part = row_bytes(s, b, row, ROW_SLIDES);
		whole = row_bytes(s, b, row, ROW_SLIDES_WHOLE);
		r->whole = whole <= part;
		more = row_bytes(s, b, row, ROW_STANDS) - (r->whole ? whole : part);
		r->slides = more > 0;
		gain += more > 0 ? more : 0;
	}
	return gain;
}

/*
 * Rows that stand still have a say in which columns move until it is known that they do not
 * slide: both are found twice.
 */
static int find_columns_and_rows(struct slide *s, const struct both *b)
{
	bool *may = mem_array((size_t)b->rows, sizeof *may);
	int gain = 0;
	int row, i;

	for (row = 0; row < b->rows; row++)
		may[row] = s->rows[row].slides;
	for (i = 0; i < 2; i++)
		gain = find_columns(s, b) ? choose_rows(s, b, may) : 0;
	free(may);
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
	if (s->by != 0 && find_columns_and_rows(s, &b) <= 0)
		s->by = 0;
}

struct cell slide_at(const struct slide *s, const struct canvas *before, int row, int col)
{
	if (s->by == 0 || !s->rows[row].slides)
		return canvas_at(before, row, col);
	return slid(s, canvas_row(before, row), canvas_cols(before), s->rows[row].whole, col);
}

void slide_release(struct slide *s)
{
	free(s->rows);
	*s = (struct slide)SLIDE_INIT;
}

int slide_delete_at(const struct slide *s, int row)
{
	if (s->by == 0 || !s->rows[row].slides || (s->by < 0 && s->rows[row].whole))
		return -1;
	return s->by > 0 ? s->from : s->to + s->by;
}

int slide_insert_at(const struct slide *s, int row)
{
	if (s->by == 0 || !s->rows[row].slides || (s->by > 0 && s->rows[row].whole))
		return -1;
	return s->by > 0 ? s->to - s->by : s->from;
}
