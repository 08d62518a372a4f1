/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What lies under the traces of a lane: where findings are, limits, targets.  Traces
 * are drawn over it, so nothing of it hides one.
 */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "draw/ruler.h"
#include "view/frame.h"
#include "view/lanes.h"
#include "view/where.h"

#define TALL 9			/* rows from which on a lane shows a limit of stop beside caution */
#define MOST_SECONDS 1.0	/* that a column may hold for lines, of which it shows one value */

/* One lane as it is drawn on. */
struct ground {
	struct view *v;
	struct canvas *c;
	struct rect r;
	const struct lane *lane;
	int phase;		/* see phase_of() */
	double *time[SIDES];	/* of the log, in the middle of each column */
};

static const struct channel *channel_of(const struct ground *g, enum side side)
{
	const struct pair *p = &g->v->pairs.list[g->lane->pair];

	return side == SIDE_A ? p->a : p->b;
}

static double *times_of(struct view *v, enum side side)
{
	const struct run *run = view_run(v, side);
	double *out = mem_array((size_t)v->plot_cols, sizeof *out);
	int col;

	for (col = 0; col < v->plot_cols; col++)
		out[col] = run->log == NULL ? NAN :
			axis_map_to_time(overlay_map(&v->overlay, run),
					 ruler_position(v->plot_cols, v->from, v->to, col));
	return out;
}

/*
 * Columns from the beginning of the axis to the screen's.  Patterns are counted from there, so
 * that they move with the data: panning by a column does not turn every other cell over.
 */
static int phase_of(const struct view *v)
{
	const double column = (v->to - v->from) / v->plot_cols;
	double low, high;

	overlay_range(&v->overlay, false, &low, &high);
	/* a window often begins at a whole or a half column: rounding is to change neither */
	return isnan(low) ? 0 : (int)fmod(floor((v->from - low) / column + 0.3), 1e6);
}

/* ---- regions ---- */

bool frame_finding_columns(struct view *v, enum side side, const struct finding *f, int *first,
			   int *last)
{
	double from, to;

	if (!where_finding(v, side, f, &from, &to) || to < v->from || from > v->to)
		return false;
	*first = frame_column(v, fmax(from, v->from));
	*last = frame_column(v, fmin(to, v->to));
	return *first >= 0 && *last >= 0;
}

/* Strokes that lean one way for A, the other way for B, and cross for both. */
static void hatch(const struct ground *g, int col, unsigned sides)
{
	const struct glyphs *glyphs = g->v->glyphs;
	int row;

	canvas_flag(g->c, (struct rect){ g->r.row, g->r.col + col, g->r.rows, 1 }, CELL_FINDING);
	for (row = 0; row < g->r.rows; row++)
		if ((col + g->phase + row) % 2 == 0)
			canvas_put(g->c, g->r.row + row, g->r.col + col, glyphs->hatch[sides - 1],
				   STYLE_LIMIT);
}

static void draw_regions(const struct ground *g)
{
	unsigned *sides = mem_array((size_t)g->r.cols, sizeof *sides);
	int col, first, last, side;
	size_t i;

	for (col = 0; col < g->r.cols; col++)
		sides[col] = 0;
	for (side = 0; side < SIDES; side++)
		for (i = 0; i < g->v->findings[side].count; i++) {
			const struct finding *f = &g->v->findings[side].findings[i];

			if (f->channel == channel_of(g, (enum side)side) &&
			    frame_finding_columns(g->v, (enum side)side, f, &first, &last))
				for (col = first; col <= last; col++)
					sides[col] |= 1u << side;
		}
	for (col = 0; col < g->r.cols; col++)
		if (sides[col] != 0)
			hatch(g, col, sides[col]);
	free(sides);
}

/* ---- lines ---- */

struct line {
	const struct series *series;
	const struct unit *unit;	/* of its values; NULL: as the lane's */
	enum side side;
	const uint32_t *glyphs;		/* [GLYPH_HEIGHTS] from the top of a cell down */
	enum style style;
	int every;			/* columns from one character to the next */
};

/* What lies beyond the scale is not drawn: at its edge it would be a wrong limit. */
static void draw_line(const struct ground *g, const struct line *line)
{
	const struct unit *unit = g->v->pairs.list[g->lane->pair].unit;
	const int heights = g->v->glyphs->sub_rows;
	const double *time = g->time[line->side];
	const struct series *s = line->series;
	int col, point;

	for (col = 0; col < g->r.cols; col++) {
		double value;

		if ((col + g->phase) % line->every != 0)
			continue;
		/* a log has a line a pull: most are not here */
		if (s->n == 0 || !(time[col] >= s->t[0] && time[col] <= s->t[s->n - 1]))
			continue;
		value = series_at(s, time[col]);
		if (line->unit != NULL && unit != NULL)
			value = unit_convert(value, line->unit, unit);
		point = scale_row(g->lane->scale, g->r.rows * heights, value);
		if (point >= 0)
			canvas_put(g->c, g->r.row + point / heights, g->r.col + col,
				   line->glyphs[point % heights], line->style);
	}
}

static void draw_target(const struct ground *g, enum side side)
{
	const struct series *s = &g->lane->data.of[side].target;
	const struct line line = { s, NULL, side, g->v->glyphs->target, STYLE_DIM,
				   side == SIDE_A && view_has_b(g->v) ? 4 : 2 };

	draw_line(g, &line);
}

/*
 * Of the levels that a check has for the lane the one from which on it says caution, or
 * the nearest to that; in a tall lane stop as well.
 */
static bool is_drawn(const struct ground *g, enum severity severity, unsigned levels)
{
	const unsigned caution = 1u << SEVERITY_CAUTION;
	const unsigned stop = 1u << SEVERITY_STOP;

	if (severity == SEVERITY_CAUTION)
		return true;
	if (severity == SEVERITY_STOP)
		return (levels & caution) == 0 || g->r.rows >= TALL;
	return (levels & (caution | stop)) == 0;
}

/* Is the line the limit itself, and not so much over or below something else? */
static bool is_plain(const struct view *v, const struct guide *guide)
{
	const struct limit_line *limit = &v->limits->of[guide->check->id].level[guide->severity];
	const double value = guide->line.n > 0 ? fabs(guide->line.v[0]) : NAN;
	double low = NAN;
	double high = NAN;
	size_t i;

	for (i = 0; i < limit->n; i++) {
		low = fmin(low, fabs(limit->value[i]));
		high = fmax(high, fabs(limit->value[i]));
	}
	return value >= low && value <= high;
}

static bool is_broken(const struct check_report *report, const struct guide *guide)
{
	size_t i;

	for (i = 0; i < report->count; i++)
		if (report->findings[i].check == guide->check &&
		    report->findings[i].channel == guide->channel)
			return true;
	return false;
}

/*
 * A limit around a target, or around the channel's own values, only where it is broken: the
 * lane is for the traces.
 */
static bool is_wanted(const struct ground *g, const struct check_report *report,
		      const struct guide *guide, unsigned levels)
{
	return is_drawn(g, guide->severity, levels) &&
	       (is_plain(g->v, guide) || is_broken(report, guide));
}

static void draw_limits(const struct ground *g, enum side side)
{
	const struct check_report *report = &g->v->findings[side];
	const struct channel *ch = channel_of(g, side);
	unsigned levels[CHECK_COUNT] = { 0 };
	size_t i;

	if (ch == NULL)
		return;
	for (i = 0; i < report->guide_count; i++)
		if (report->guides[i].channel == ch)
			levels[report->guides[i].check->id] |= 1u << report->guides[i].severity;
	for (i = 0; i < report->guide_count; i++) {
		const struct guide *guide = &report->guides[i];
		const struct line line = { &guide->line, guide->unit, side,
					   g->v->glyphs->limit, STYLE_LIMIT,
					   side == SIDE_A && view_has_b(g->v) ? 2 : 1 };

		if (guide->channel == ch &&
		    is_wanted(g, report, guide, levels[guide->check->id]))
			draw_line(g, &line);
	}
}

/* Over minutes of a log a pull is a few columns, and a line a speck. */
static bool shows_lines(const struct view *v)
{
	return v->overlay.axis != AXIS_TIME || (v->to - v->from) / v->plot_cols <= MOST_SECONDS;
}

void frame_ground(struct view *v, struct canvas *c, struct rect r, const struct lane *lane)
{
	struct ground g = { v, c, r, lane, phase_of(v), { NULL, NULL } };
	int side;

	if (lane->delta || lane_has_words(v, lane))
		return;
	for (side = 0; side < SIDES; side++)
		g.time[side] = times_of(v, (enum side)side);
	draw_regions(&g);
	for (side = 0; side < SIDES && shows_lines(v); side++)
		draw_target(&g, (enum side)side);
	for (side = 0; side < SIDES && shows_lines(v); side++)
		draw_limits(&g, (enum side)side);
	free(g.time[SIDE_A]);
	free(g.time[SIDE_B]);
}
