/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rulers: where ticks and their labels go along an axis. */
#include "draw/ruler.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "base/num.h"

/*
 * Steps that a person counts in, and into how many minor ones each splits; with
 * little room, into halves.
 */
static const struct {
	double factor;
	int split;
} nice[] = {
	{ 1, 5 }, { 2, 4 }, { 5, 5 },
};

#define NICE (sizeof nice / sizeof nice[0])

/* Blank columns between two labels, at least; fewer only at the ends. */
#define LABEL_GAP 4
#define END_GAP 2

/* Columns from one minor tick to the next, at least. */
#define MINOR_GAP 3

/* Part of a step by which an end may miss a multiple through rounding alone. */
#define SLACK 1e-9

/* The multiples of a step that lie in a range. */
struct ticks {
	double step;
	int decimals;		/* that tell the multiples apart */
	double first;		/* the lowest, in steps */
	int count;
};

static struct ticks ticks_in(double low, double high, double step, int decimals)
{
	struct ticks t = { step, decimals, ceil(low / step - SLACK), 0 };
	const double count = floor(high / step + SLACK) - t.first + 1;

	t.count = count > 1e6 ? 1000000 : count > 0 ? (int)count : 0;
	return t;
}

/* Decimals are rounded to the nearest double, so that 0.3 is 0.3. */
static double tick_value(const struct ticks *t, int i)
{
	const double v = (t->first + i) * t->step;
	const double power = pow(10.0, t->decimals);

	return t->decimals > 0 && isfinite(power) ? round(v * power) / power : v;
}

/* The closest step of a row of nice[] (*kind) with at most so many multiples. */
static struct ticks find_ticks(double low, double high, int labels, size_t *kind)
{
	const int most = labels > 1 ? labels : 1;
	int exponent = (int)floor(log10(fmax((high - low) / most, DBL_MIN)));

	for (;; exponent++)
		for (*kind = 0; *kind < NICE; ++*kind) {
			const double step = nice[*kind].factor * pow(10.0, exponent);
			struct ticks t;

			if (!(step > 0.0))
				continue;
			t = ticks_in(low, high, step, exponent < 0 ? -exponent : 0);
			if (t.count <= most)
				return t;
		}
}

static bool is_range(double from, double to)
{
	return from < to && isfinite(to - from);
}

double ruler_step(double low, double high, int labels, int *decimals)
{
	struct ticks t;
	size_t kind;

	*decimals = 0;
	if (!is_range(low, high))
		return 1.0;
	t = find_ticks(low, high, labels, &kind);
	*decimals = t.decimals;
	return t.step;
}

int ruler_column(int cols, double from, double to, double position)
{
	int col;

	if (cols < 1 || !is_range(from, to) || !(position >= from && position <= to))
		return -1;
	col = (int)((position - from) / (to - from) * cols);
	return col < cols ? col : cols - 1;
}

double ruler_position(int cols, double from, double to, int column)
{
	return from + (to - from) * (column + 0.5) / cols;
}

static int tick_column(const struct ticks *t, int i, int cols, double from, double to)
{
	return ruler_column(cols, from, to, fmax(from, fmin(to, tick_value(t, i))));
}

static int label_width(const struct ticks *t, int i)
{
	char text[NUM_TEXT];

	return (int)strlen(num_fixed(text, tick_value(t, i), t->decimals));
}

/*
 * Have the labels room on so many columns?  At the ends one moves inwards by up
 * to half its width.
 */
static bool is_fit(const struct ticks *t, int cols, double from, double to)
{
	int widest;
	int room;

	if (t->count < 1 || t->decimals > DBL_DIG)
		return false;
	widest = label_width(t, 0);
	if (label_width(t, t->count - 1) > widest)
		widest = label_width(t, t->count - 1);
	room = widest + LABEL_GAP;
	if (widest + (widest + 1) / 2 + END_GAP > room)
		room = widest + (widest + 1) / 2 + END_GAP;
	return widest <= cols && (t->count == 1 || t->step / (to - from) * cols >= room);
}

/* The closest ticks whose labels have room; none when not even one has. */
static struct ticks fit_ticks(int cols, double from, double to, size_t *kind)
{
	struct ticks t = { 0.0, 0, 0.0, 0 };
	int labels;

	for (labels = cols / LABEL_GAP + 1; labels > 0; labels--) {
		t = find_ticks(from, to, labels, kind);
		if (is_fit(&t, cols, from, to))
			return t;
	}
	t.count = 0;
	return t;
}

static void draw_ticks(struct canvas *c, struct rect r, uint32_t glyph,
		       const struct ticks *t, double from, double to)
{
	int i;

	for (i = 0; i < t->count; i++)
		canvas_put(c, r.row, r.col + tick_column(t, i, r.cols, from, to), glyph,
			   STYLE_DIM);
}

static void draw_minor(struct canvas *c, struct rect r, uint32_t glyph,
		       const struct ticks *t, size_t kind, double from, double to)
{
	const double columns = t->step / (to - from) * r.cols;
	const int split = columns >= MINOR_GAP * nice[kind].split ? nice[kind].split :
			  columns >= MINOR_GAP * 2 ? 2 : 1;
	const struct ticks minor = ticks_in(from, to, t->step / split, t->decimals + 1);

	draw_ticks(c, r, glyph, &minor, from, to);
}

/*
 * Each label stands centred under its tick, or as near as the ends allow; the
 * tick is always above one of its characters.
 */
static void draw_labels(struct canvas *c, struct rect r, const struct ticks *t, double from,
			double to)
{
	int i;

	for (i = 0; i < t->count; i++) {
		char text[NUM_TEXT];
		const int width = (int)strlen(num_fixed(text, tick_value(t, i), t->decimals));
		int left = tick_column(t, i, r.cols, from, to) - width / 2;

		if (left > r.cols - width)
			left = r.cols - width;
		if (left < 0)
			left = 0;
		canvas_text(c, r.row + 1, r.col + left, width, STYLE_PLAIN, text);
	}
}

void ruler_draw(struct canvas *c, struct rect r, const struct glyphs *g, double from,
		double to)
{
	const struct rect line = { r.row, r.col, 1, r.cols };
	struct ticks t;
	size_t kind;

	canvas_fill(c, line, g->horizontal, STYLE_DIM);
	if (!is_range(from, to))
		return;
	t = fit_ticks(r.cols, from, to, &kind);
	if (t.count == 0)
		return;
	draw_minor(c, r, g->minor, &t, kind, from, to);
	draw_ticks(c, r, g->tick, &t, from, to);
	draw_labels(c, r, &t, from, to);
}
