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

static struct dots *dots_at(const struct patch *p, int x, int y)
{
	const int col = x / p->glyphs->sub_cols;
	const int row = y / p->glyphs->sub_rows;

	return &p->dots[row * p->cols + col];
}

static uint8_t point_bit(const struct patch *p, int x, int y)
{
	return (uint8_t)GLYPH_POINT(p->glyphs, y % p->glyphs->sub_rows, x % p->glyphs->sub_cols);
}

/* The points of all columns of a cell in one row. */
static uint8_t point_row_bits(const struct patch *p, int y)
{
	const unsigned all = (1u << p->glyphs->sub_cols) - 1u;

	return (uint8_t)(all << (y % p->glyphs->sub_rows * p->glyphs->sub_cols));
}

static void draw_solid(const struct patch *p, const struct run *runs)
{
	const int n = p->cols * p->glyphs->sub_cols;
	int x;
	int y;

	for (x = 0; x < n; x++)
		for (y = runs[x].top; y <= runs[x].bottom; y++)
			dots_at(p, x, y)->solid |= point_bit(p, x, y);
}

/*
 * One point column a cell, which holds what all of them hold, so that no spike
 * is lost between; of a long run the ends and every other point.
 */
static void draw_light(const struct patch *p, const struct run *runs)
{
	const int sub = p->glyphs->sub_cols;
	int x;
	int y;
	int k;

	for (x = 0; x < p->cols * sub; x += sub) {
		struct run r = runs[x];

		for (k = 1; k < sub; k++)
			r = run_union(r, runs[x + k]);
		for (y = r.top; y <= r.bottom; y++)
			if (sub == 1 || y == r.top || y == r.bottom || y % 2 == 0)
				dots_at(p, x, y)->light |= point_bit(p, x, y);
	}
}

/* Notes for every cell that a trace runs through whose cell it is. */
static void claim(const struct patch *p, const struct run *runs, enum style style)
{
	const int sub_cols = p->glyphs->sub_cols;
	const int sub_rows = p->glyphs->sub_rows;
	int col;
	int row;
	int k;

	for (col = 0; col < p->cols; col++)
		for (row = 0; row < p->rows; row++) {
			struct dots *d = &p->dots[row * p->cols + col];
			bool here = false;

			for (k = 0; k < sub_cols; k++) {
				const struct run r = runs[col * sub_cols + k];

				here = here || (is_run(r) && r.top / sub_rows <= row &&
						r.bottom / sub_rows >= row);
			}
			if (!here)
				continue;
			d->shared = d->used;
			d->used = true;
			d->style = (uint8_t)style;
		}
}

/* May this trace thicken into a point?  Not over or into the cell of another. */
static bool is_free(const struct patch *p, int x, int y, enum style style)
{
	const struct dots *d;

	if (y < 0 || y >= p->rows * p->glyphs->sub_rows)
		return false;
	d = dots_at(p, x, y);
	if (d->used && !d->shared && d->style != style)
		return false;
	return (d->light & point_row_bits(p, y)) == 0;
}

/* Does a dotted trace lie on the run, in the cells of point column x? */
static bool coincides(const struct patch *p, struct run r, int x)
{
	int y;

	for (y = r.top; y <= r.bottom; y++)
		if (dots_at(p, x, y)->light & point_row_bits(p, y))
			return true;
	return false;
}

static void add_weight(const struct patch *p, int x, int y, enum style style)
{
	struct dots *d = dots_at(p, x, y);

	d->weight |= point_bit(p, x, y);
	if (!d->used)
		d->style = (uint8_t)style;
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
	int y;

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
		for (y = r.top; y <= r.bottom; y++)
			if (is_free(p, x, y, style))
				add_weight(p, x, y, style);
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

void trace_draw(struct canvas *c, struct rect r, const struct glyphs *g, struct scale s,
		const struct trace *traces, size_t n)
{
	struct patch p = { r.rows, r.cols, g, NULL };
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
