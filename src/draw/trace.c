/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Drawing traces.  All traces are first set as points on a patch, a grid of
 * point sets a cell each; then every cell with points becomes one character.
 */
#include "draw/trace.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

/* What one cell is to show. */
struct dots {
	uint8_t light;		/* points of dotted traces */
	uint8_t solid;		/* points of the others */
	uint8_t weight;		/* points that only make the others thicker */
	uint8_t style;
	bool used;		/* some trace runs through it: style is valid */
	bool shared;		/* more than one does */
};

struct patch {
	int rows;		/* cells */
	int cols;
	const struct glyphs *glyphs;
	struct dots *dots;	/* [rows * cols] */
	int row_shift;		/* points of a cell as powers of two: dividing takes long */
	int col_shift;
};

/* Point rows from top to bottom, counted downwards; nothing when top > bottom. */
struct run {
	int top;
	int bottom;
};

static const struct run no_run = { 0, -1 };

/* From so many points' fall or rise within one point column a run is steep. */
#define STEEP 2

static bool is_run(struct run r)
{
	return r.top <= r.bottom;
}

static struct run run_union(struct run a, struct run b)
{
	if (!is_run(a))
		return b;
	if (!is_run(b))
		return a;
	return (struct run){ a.top < b.top ? a.top : b.top,
			     a.bottom > b.bottom ? a.bottom : b.bottom };
}

static struct run run_of(struct scale s, int points, struct extent x)
{
	if (isnan(x.low) || isnan(x.high))
		return no_run;
	return (struct run){ scale_row_clamped(s, points, x.high),
			     scale_row_clamped(s, points, x.low) };
}

/* Lengthens both runs so that they meet half way. */
static void join(struct run *a, struct run *b)
{
	int middle;

	if (!is_run(*a) || !is_run(*b))
		return;
	if (a->bottom + 1 < b->top) {
		middle = a->bottom + (b->top - a->bottom) / 2;
		a->bottom = middle;
		b->top = middle + 1;
	} else if (b->bottom + 1 < a->top) {
		middle = b->bottom + (a->top - b->bottom) / 2;
		b->bottom = middle;
		a->top = middle + 1;
	}
}

static struct run *runs_new(const struct patch *p, struct scale s, const struct trace *t)
{
	const int n = p->cols * p->glyphs->sub_cols;
	const int points = p->rows * p->glyphs->sub_rows;
	struct run *runs = mem_array((size_t)n, sizeof *runs);
	int i;

	for (i = 0; i < n; i++) {
		runs[i] = run_of(s, points, t->columns[i]);
		if (i > 0)
			join(&runs[i - 1], &runs[i]);
	}
	return runs;
}

/* ---- cells of a run ---- */

/* Those cells of a point column that a run goes through, from the top down. */
struct cells {
	int first;		/* rows of cells; none when first > last */
	int last;
};

static struct cells cells_of(const struct patch *p, struct run r)
{
	if (!is_run(r))
		return (struct cells){ 0, -1 };
	return (struct cells){ r.top >> p->row_shift, r.bottom >> p->row_shift };
}

static bool is_among(struct cells c, int row)
{
	return row >= c.first && row <= c.last;
}

static struct dots *dots_of(const struct patch *p, int x, int row)
{
	return &p->dots[row * p->cols + (x >> p->col_shift)];
}

static uint8_t point_bit(const struct patch *p, int x, int y)
{
	return (uint8_t)GLYPH_POINT(p->glyphs, y & (p->glyphs->sub_rows - 1),
				    x & (p->glyphs->sub_cols - 1));
}

/* The points of a run in point column x, as far as they are in this row of cells. */
static uint8_t run_bits(const struct patch *p, struct run r, int x, int row)
{
	const int step = p->glyphs->sub_cols;
	const int top = row << p->row_shift;
	const int bottom = top + p->glyphs->sub_rows - 1;
	const int from = r.top > top ? r.top : top;
	const int to = r.bottom < bottom ? r.bottom : bottom;
	unsigned bits = 0;
	int y;

	for (y = from; y <= to; y++)
		bits |= 1u << ((y - top) * step);
	return (uint8_t)(bits << (x & (step - 1)));
}

/* All points of every row of a cell that has one of these. */
static uint8_t whole_rows(const struct patch *p, uint8_t bits)
{
	const unsigned left = p->glyphs->sub_cols == 2 ? (bits | bits >> 1) & 0x55u : bits;

	return (uint8_t)(p->glyphs->sub_cols == 2 ? left | left << 1 : left);
}

/* ---- drawing runs ---- */

static void draw_solid(const struct patch *p, const struct run *runs)
{
	const int n = p->cols * p->glyphs->sub_cols;
	int x, row;

	for (x = 0; x < n; x++) {
		const struct cells c = cells_of(p, runs[x]);

		for (row = c.first; row <= c.last; row++)
			dots_of(p, x, row)->solid |= run_bits(p, runs[x], x, row);
	}
}

/*
 * One point column a cell, which holds what all of them hold, so that no spike
 * is lost between; of a long run the ends and every other point.
 */
static void draw_light(const struct patch *p, const struct run *runs)
{
	const int sub = p->glyphs->sub_cols;
	const unsigned others = sub == 1 ? 0xffu : 0x33u;	/* every other row of a cell */
	int x, k, row;

	for (x = 0; x < p->cols * sub; x += sub) {
		struct run r = runs[x];
		struct cells c;

		for (k = 1; k < sub; k++)
			r = run_union(r, runs[x + k]);
		c = cells_of(p, r);
		for (row = c.first; row <= c.last; row++)
			dots_of(p, x, row)->light |= (uint8_t)(run_bits(p, r, x, row) & others);
		if (is_run(r)) {
			dots_of(p, x, c.first)->light |= point_bit(p, x, r.top);
			dots_of(p, x, c.last)->light |= point_bit(p, x, r.bottom);
		}
	}
}

/* Notes for every cell that a trace runs through whose cell it is. */
static void claim(const struct patch *p, const struct run *runs, enum style style)
{
	const int sub = p->glyphs->sub_cols;
	int x, row;

	for (x = 0; x < p->cols * sub; x++) {
		const struct cells c = cells_of(p, runs[x]);
		/* the cells of the point column before, where that is of the same cells */
		const struct cells before = (x & (sub - 1)) == 0 ? (struct cells){ 0, -1 } :
			cells_of(p, runs[x - 1]);

		for (row = c.first; row <= c.last; row++) {
			struct dots *d = dots_of(p, x, row);

			if (is_among(before, row))
				continue;
			d->shared = d->used;
			d->used = true;
			d->style = (uint8_t)style;
		}
	}
}

/* Points of a cell that a trace may thicken into: not over or into the cell of another. */
static uint8_t free_bits(const struct patch *p, const struct dots *d, enum style style)
{
	if (d->used && !d->shared && d->style != style)
		return 0;
	return (uint8_t)~whole_rows(p, d->light);
}

static bool is_free(const struct patch *p, int x, int y, enum style style)
{
	if (y < 0 || y >= p->rows * p->glyphs->sub_rows)
		return false;
	return (free_bits(p, dots_of(p, x, y >> p->row_shift), style) & point_bit(p, x, y)) != 0;
}

/* Does a dotted trace lie on the run, in the cells of point column x? */
static bool coincides(const struct patch *p, struct run r, int x)
{
	const struct cells c = cells_of(p, r);
	int row;

	for (row = c.first; row <= c.last; row++)
		if (whole_rows(p, dots_of(p, x, row)->light) & run_bits(p, r, x, row))
			return true;
	return false;
}

static void add_weight(const struct patch *p, struct run r, int x, enum style style)
{
	const struct cells c = cells_of(p, r);
	int row;

	for (row = c.first; row <= c.last; row++) {
		struct dots *d = dots_of(p, x, row);
		const uint8_t bits = free_bits(p, d, style) & run_bits(p, r, x, row);

		d->weight |= bits;
		if (bits != 0 && !d->used)
			d->style = (uint8_t)style;
	}
}

/*
 * Makes a solid trace two points thick: a point below each run, or above it
 * where a dotted trace is below, and beside steep ones.  Where the two coincide
 * it stays thin, which is how that is seen: dotted, thin and thick all differ.
 */
static void draw_weight(const struct patch *p, const struct run *runs, enum style style)
{
	const int n = p->cols * p->glyphs->sub_cols;
	int x;

	for (x = 0; x < n; x++) {
		struct run r = runs[x];

		if (!is_run(r) || coincides(p, r, x))
			continue;
		if (x > 0 && runs[x - 1].bottom - runs[x - 1].top >= STEEP)
			r = run_union(r, runs[x - 1]);
		if (is_free(p, x, r.bottom + 1, style))
			r.bottom++;
		else if (is_free(p, x, r.top - 1, style))
			r.top--;
		add_weight(p, r, x, style);
	}
}

static uint32_t character(const struct glyphs *g, const struct dots *d)
{
	if (g->set != GLYPH_ASCII)
		return glyph_points(g, d->light, d->solid | d->weight);
	if (d->shared)
		return g->both;
	return d->style == STYLE_A ? g->a : d->style == STYLE_B ? g->b : g->other;
}

static void put_patch(struct canvas *c, struct rect r, const struct patch *p)
{
	int row;
	int col;

	for (row = 0; row < p->rows; row++)
		for (col = 0; col < p->cols; col++) {
			const struct dots *d = &p->dots[row * p->cols + col];

			if (d->used || d->weight != 0)
				canvas_put(c, r.row + row, r.col + col,
					   character(p->glyphs, d),
					   d->shared ? STYLE_BOTH : (enum style)d->style);
		}
}

/* Of 1, 2 or 4, which are all that glyphs have. */
static int shift_of(int points)
{
	return points >> 1;
}

void trace_draw(struct canvas *c, struct rect r, const struct glyphs *g, struct scale s,
		const struct trace *traces, size_t n)
{
	struct patch p = { r.rows, r.cols, g, NULL, shift_of(g->sub_rows), shift_of(g->sub_cols) };
	struct run **runs;
	size_t i;

	if (r.rows < 1 || r.cols < 1 || !(s.low < s.high))
		return;
	p.dots = mem_array((size_t)r.rows * (size_t)r.cols, sizeof *p.dots);
	runs = mem_array(n, sizeof *runs);
	for (i = 0; i < n; i++) {
		runs[i] = runs_new(&p, s, &traces[i]);
		claim(&p, runs[i], traces[i].style);
		if (traces[i].dotted)
			draw_light(&p, runs[i]);
		else
			draw_solid(&p, runs[i]);
	}
	for (i = 0; i < n; i++)
		if (!traces[i].dotted && g->set == GLYPH_BRAILLE)
			draw_weight(&p, runs[i], traces[i].style);
	put_patch(c, r, &p);
	for (i = 0; i < n; i++)
		free(runs[i]);
	free(runs);
	free(p.dots);
}
