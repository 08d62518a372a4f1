/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lanes as cells: name and scale, traces, values at the cursors. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "base/text.h"
#include "draw/envelope.h"
#include "draw/ruler.h"
#include "view/findings.h"
#include "view/frame.h"
#include "view/lanes.h"

#define SCALE_COLS 7		/* numbers of the scale, right of the name */
#define ROOMY 6			/* rows from which on a lane can spare one */
#define TALL 8			/* rows from which on a cursor is not a line in every lane */

int frame_column(const struct view *v, double position)
{
	return ruler_column(v->plot_cols, v->from, v->to, position);
}

/* ---- name and scale ---- */

/* How many bytes of the title go on a line of `cols` cells: whole words if any fits. */
static size_t title_line(const char *title, int cols, bool more_rows)
{
	const size_t n = text_fit(title, (size_t)cols);
	size_t blank = n;

	if (title[n] == '\0' || !more_rows)
		return n;
	while (blank > 0 && title[blank] != ' ')
		blank--;
	return blank > 0 ? blank : n;
}

/*
 * The title over the rows above the unit's; on the first row the scale's number
 * leaves less room than below it.  Returns the rows taken.
 */
static int draw_title(struct canvas *c, struct rect r, int first_cols, const char *title)
{
	int row;

	for (row = 0; row < r.rows && *title != '\0'; row++) {
		const int cols = row == 0 ? first_cols : r.cols;
		const size_t n = title_line(title, cols, row + 1 < r.rows);
		char *line = mem_strndup(title, n);

		canvas_text(c, r.row + row, r.col, cols, STYLE_TITLE, line);
		free(line);
		title += n;
		title += *title == ' ';
	}
	return row;
}

static void draw_scale(struct canvas *c, struct rect r, const struct lane *lane, int decimals)
{
	const double step = (lane->scale.high - lane->scale.low) / 2.0;

	if (step >= 10.0)
		decimals = 0;
	frame_number(c, (struct rect){ r.row, r.col, 1, r.cols }, STYLE_DIM, lane->scale.high,
		     decimals, false);
	frame_number(c, (struct rect){ r.row + r.rows - 1, r.col, 1, r.cols }, STYLE_DIM,
		     lane->scale.low, decimals, false);
}

/*
 * "B stop", or "A:C B:S" where both have findings: it is not to be seen by colour alone.
 * Where the title leaves less room "B:S" and "AC BS"; a blank parts them.
 */
static void draw_tag(const struct view *v, struct canvas *c, struct rect r,
		     const struct lane *lane)
{
	const bool room = canvas_at(c, r.row, r.col - 1).ch == ' ' &&
		canvas_at(c, r.row, r.col).ch == ' ';
	static const char *const words[SEVERITIES] = { "", "note", "caut.", "stop" };
	const enum severity a = findings_in_lane(v, lane, SIDE_A);
	const enum severity b = findings_in_lane(v, lane, SIDE_B);
	char text[16];

	if (a != SEVERITY_NONE && b != SEVERITY_NONE)
		snprintf(text, sizeof text, room ? "A:%c B:%c" : "A%c B%c", findings_letter(a),
			 findings_letter(b));
	else if (!room && a + b != SEVERITY_NONE)
		snprintf(text, sizeof text, "%s:%c", a != SEVERITY_NONE ? "A" : "B",
			 findings_letter(a + b));
	else if (a != SEVERITY_NONE || b != SEVERITY_NONE)
		snprintf(text, sizeof text, "%s %s", a != SEVERITY_NONE ? "A" : "B", words[a + b]);
	else
		return;
	canvas_put(c, r.row, r.col + r.cols - 1 - (int)strlen(text), ' ', STYLE_PLAIN);
	canvas_text_right(c, r.row, r.col, r.cols, STYLE_FINDING, text);
}

static void draw_name(struct view *v, struct canvas *c, struct rect r, struct lane *lane,
		      bool chosen, bool is_there)
{
	const int scale = r.cols >= 18 ? SCALE_COLS : 0;
	const int words = r.cols - scale - 2;
	const char *unit = lane_unit(v, lane);
	struct buf title = BUF_INIT;
	int row;

	lane_title(v, lane, &title);
	for (row = 0; row < r.rows; row++)
		canvas_put(c, r.row + row, r.col + r.cols - 1, row + 1 < r.rows ?
			   v->glyphs->vertical : v->glyphs->foot, STYLE_DIM);
	if (chosen)
		canvas_put(c, r.row, r.col, '>', STYLE_CURSOR);
	row = draw_title(c, (struct rect){ r.row, r.col + 1, r.rows - (unit[0] != '\0'),
					   r.cols - 2 }, words, title.data);
	/* what a short code stands for, where there is room */
	if (row == 1 && r.rows > 2 && strchr(title.data, ' ') == NULL &&
	    text_casecmp(title.data, lane_quantity(v, lane)->title) != 0)
		canvas_text(c, r.row + 1, r.col + 1, r.cols - 2, STYLE_DIM,
			    lane_quantity(v, lane)->title);
	canvas_text(c, r.row + r.rows - 1, r.col + 1, words, STYLE_DIM, unit);
	if (r.rows > 2)
		draw_tag(v, c, (struct rect){ scale > 0 ? r.row + 1 : r.row + r.rows - 1,
					      r.col + r.cols - 1 - SCALE_COLS, 1, SCALE_COLS },
			 lane);
	if (scale > 0 && is_there)
		draw_scale(c, (struct rect){ r.row, r.col + r.cols - 1 - scale, r.rows, scale },
			   lane, lane_decimals(v, lane));
	if (chosen)
		canvas_flag(c, (struct rect){ r.row, r.col, 1, words + 1 }, CELL_CHOSEN);
	buf_release(&title);
}

/* ---- traces ---- */

/* What a delta lane's series is mapped by: it lies on the axis already. */
static struct axis_map identity(const struct view *v, double knots[2])
{
	struct axis_map m = AXIS_MAP_INIT;

	overlay_range(&v->overlay, false, &knots[0], &knots[1]);
	m.n = isnan(knots[0]) ? 0 : 2;
	m.position = m.time = knots;
	return m;
}

/* The traces of a lane: a series, its pyramid and the map that it is seen through. */
struct seen {
	const struct series *series;
	const struct pyramid *heights;
	const struct axis_map *map;
};

static int seen_in(const struct view *v, const struct lane *lane, const struct axis_map *own,
		   struct seen out[SIDES])
{
	const struct overlay *o = &v->overlay;
	const struct lane_data *d = &lane->data;

	if (lane->delta) {
		out[0] = (struct seen){ &d->difference, &d->difference_heights, own };
		return 1;
	}
	out[0] = (struct seen){ &d->of[SIDE_A].series, &d->of[SIDE_A].heights, overlay_map(o, &o->a) };
	out[1] = (struct seen){ &d->of[SIDE_B].series, &d->of[SIDE_B].heights, overlay_map(o, &o->b) };
	return view_has_b(v) ? 2 : 1;
}

/* Of a column: as it stands, and how far two edges that are one may be apart. */
#define SAME_PLACE 1e-6

/*
 * By how many columns the window has moved since they were filled, when it has not changed
 * otherwise and some of them are still in it; else `n`.
 */
static long moved_by(const struct view *v, const struct lane_columns *c, long n)
{
	const double width = (v->to - v->from) / (double)n;
	const double by = (v->from - c->from) / width;

	if (c->of[SIDE_A] == NULL || (long)c->count != n || !(fabs(by) < (double)n) ||
	    fabs(by - round(by)) > SAME_PLACE ||
	    fabs((c->to - c->from) / width - (double)n) > SAME_PLACE)
		return n;
	return (long)round(by);
}

/*
 * Keeps the columns that only moved.  What came in reaches a little into what was there, so
 * that no sample is lost between two edges that rounding makes two.
 */
static void slide_columns(const struct view *v, const struct lane_columns *c,
			  const struct seen *seen, struct extent *of, long by)
{
	const long n = (long)c->count;
	const double overlap = SAME_PLACE * (v->to - v->from) / (double)n;

	if (by > 0) {
		memmove(of, of + by, (size_t)(n - by) * sizeof *of);
		envelope_fill(seen->series, seen->heights, seen->map, c->to - overlap, v->to,
			      (size_t)by, of + n - by);
	} else if (by < 0) {
		memmove(of - by, of, (size_t)(n + by) * sizeof *of);
		envelope_fill(seen->series, seen->heights, seen->map, v->from, c->from + overlap,
			      (size_t)-by, of);
	}
}

/* The columns of a lane in the present window. */
static void fill_columns(const struct view *v, struct lane *lane, int traces,
			 const struct seen seen[SIDES])
{
	const long n = (long)v->plot_cols * v->glyphs->sub_cols;
	struct lane_columns *c = &lane->columns;
	const long by = moved_by(v, c, n);
	int i;

	for (i = 0; i < traces; i++) {
		if (by < n && c->of[i] != NULL) {
			slide_columns(v, c, &seen[i], c->of[i], by);
			continue;
		}
		free(c->of[i]);
		c->of[i] = mem_array((size_t)n, sizeof *c->of[i]);
		envelope_fill(seen[i].series, seen[i].heights, seen[i].map, v->from, v->to,
			      (size_t)n, c->of[i]);
	}
	c->count = (size_t)n;
	c->from = v->from;
	c->to = v->to;
}

static void draw_zero(const struct view *v, struct canvas *c, struct rect r, struct scale s)
{
	const int row = scale_row(s, r.rows, 0.0);

	if (row >= 0)
		canvas_fill(c, (struct rect){ r.row + row, r.col, 1, r.cols }, v->glyphs->zero,
			    STYLE_DIM);
}

static void draw_traces(struct view *v, struct canvas *c, struct rect r, struct lane *lane)
{
	static const enum style styles[SIDES] = { STYLE_A, STYLE_B };
	struct trace traces[SIDES];
	struct seen seen[SIDES];
	double knots[2];
	const struct axis_map own = identity(v, knots);
	const int n = seen_in(v, lane, &own, seen);
	int i;

	fill_columns(v, lane, n, seen);
	if (lane->delta)
		draw_zero(v, c, r, lane->scale);
	for (i = 0; i < n; i++)		/* dotted only beside a B to be told from */
		traces[i] = (struct trace){ lane->columns.of[i],
					    lane->delta ? STYLE_DELTA : styles[i],
					    !lane->delta && i == SIDE_A && n > 1 };
	trace_draw(c, r, v->glyphs, lane->scale, traces, (size_t)n);
}

/* Not a trace: a cursor's line may go over it. */
static bool is_ground(struct cell cell)
{
	return cell.ch == ' ' || cell.style == STYLE_DIM || cell.style == STYLE_LIMIT;
}

/*
 * A line down each lane; of tall ones down the chosen one, and a stroke at the head of the
 * others, or a step of the cursor would be to write two cells in every row of the screen.
 */
static void draw_cursors(const struct view *v, struct canvas *c, struct rect r, bool chosen)
{
	const int rows = chosen || r.rows < TALL ? r.rows : 1;
	double from, to;
	int i, row;

	view_span(v, &from, &to);
	for (i = 0; v->span_on && i < r.cols; i++) {
		const double x = ruler_position(r.cols, v->from, v->to, i);

		if (x >= from && x <= to)
			canvas_flag(c, (struct rect){ r.row, r.col + i, r.rows, 1 }, CELL_SPAN);
	}
	for (i = 0; i < (v->span_on ? 2 : 1); i++) {
		const int col = frame_column(v, v->cursor[i]);

		for (row = 0; col >= 0 && row < rows; row++)
			if (is_ground(canvas_at(c, r.row + row, r.col + col)))
				canvas_put(c, r.row + row, r.col + col, v->glyphs->cursor,
					   STYLE_PLAIN);
	}
}

/* ---- values ---- */

/* The letter has the colour; the number, which changes with every step, needs none. */
static void put_value(const struct view *v, struct canvas *c, struct rect r, const char *label,
		      enum style style, const struct lane *lane, double value, bool difference)
{
	const struct rect place = { r.row, r.col + 4, 1, r.cols - 5 };

	canvas_text(c, r.row, r.col, 4, style, label);
	if (difference)
		frame_number(c, place, STYLE_PLAIN, value, lane_decimals(v, lane), true);
	else
		frame_value(v, c, place, STYLE_PLAIN, lane, value);
}

/* A, B and B-A, in up to three rows. */
static void draw_three(struct view *v, struct canvas *c, struct rect r, struct lane *lane,
		       double a, double b)
{
	if (lane->delta) {
		put_value(v, c, r, v->glyphs->delta, STYLE_DELTA, lane, b - a, true);
		return;
	}
	put_value(v, c, r, "A", STYLE_A, lane, a, false);
	if (!view_has_b(v))
		return;
	r.row++;
	put_value(v, c, r, "B", STYLE_B, lane, b, false);
	r.row++;
	if (!lane_has_words(v, lane))
		put_value(v, c, r, v->glyphs->delta, STYLE_DELTA, lane, b - a, true);
}

static void draw_values(struct view *v, struct canvas *c, struct rect r, struct lane *lane,
			double at)
{
	draw_three(v, c, r, lane, lane_value(v, lane, SIDE_A, at),
		   lane_value(v, lane, SIDE_B, at));
}

/* The highest (sign 1) or lowest (-1) sample on screen; NaN for none. */
static double extreme(struct view *v, const struct lane *lane, enum side side, double sign)
{
	const struct axis_map *map = overlay_map(&v->overlay, view_run(v, side));
	size_t first;
	const size_t n = lane_samples(&lane->data.of[side].series, map, v->from, v->to, &first);
	const struct extent x = pyramid_extent(&lane->data.of[side].heights, first, first + n);

	return sign > 0 ? x.high : x.low;
}

static void draw_extremes(struct view *v, struct canvas *c, struct rect r, struct lane *lane,
			  double sign)
{
	if (!lane->delta)
		draw_three(v, c, r, lane, extreme(v, lane, SIDE_A, sign),
			   extreme(v, lane, SIDE_B, sign));
}

/* How A and B change from cursor 1 to cursor 2. */
static void draw_changes(struct view *v, struct canvas *c, struct rect r, struct lane *lane)
{
	const double a = lane_value(v, lane, SIDE_A, v->cursor[1]) -
		lane_value(v, lane, SIDE_A, v->cursor[0]);
	const double b = lane_value(v, lane, SIDE_B, v->cursor[1]) -
		lane_value(v, lane, SIDE_B, v->cursor[0]);

	if (lane->delta) {
		put_value(v, c, r, v->glyphs->delta, STYLE_DELTA, lane, b - a, true);
		return;
	}
	put_value(v, c, r, "A", STYLE_A, lane, a, true);
	r.row++;
	if (view_has_b(v))
		put_value(v, c, r, "B", STYLE_B, lane, b, true);
}

/* One column of values, by its place: see value_heading() in frame_foot.c. */
static void draw_value_column(struct view *v, struct canvas *c, struct rect r, struct lane *lane,
			      int column, int columns)
{
	if (column == 0 && v->still)
		draw_extremes(v, c, r, lane, 1.0);
	else if (column == 0)
		draw_values(v, c, r, lane, v->cursor[columns == 1 ? v->active : 0]);
	else if (!v->span_on)
		draw_extremes(v, c, r, lane, column == 1 ? 1.0 : -1.0);
	else if (column == 1)
		draw_values(v, c, r, lane, v->cursor[1]);
	else
		draw_changes(v, c, r, lane);
}

static void draw_beside(struct view *v, struct canvas *c, struct rect r, const struct layout *l,
			struct lane *lane)
{
	const int each = l->values > 0 ? r.cols / l->values : 0;
	int i;

	for (i = 0; i < l->values; i++)
		draw_value_column(v, c, (struct rect){ r.row, r.col + i * each, r.rows, each },
				  lane, i, l->values);
}

static void draw_lane(struct view *v, struct canvas *c, const struct layout *l, struct rect r,
		      size_t i)
{
	struct lane *lane = &v->lanes[i];
	struct rect plot = { r.row, l->name_cols, r.rows, v->plot_cols };
	const bool is_there = lane_want(v, lane);

	if (r.rows >= ROOMY) {		/* a blank row between lanes */
		r.rows--;
		plot.rows--;
	}
	draw_name(v, c, (struct rect){ r.row, 0, r.rows, l->name_cols }, lane,
		  i == v->chosen && !v->still, is_there);
	if (is_there) {
		frame_ground(v, c, plot, lane);
		draw_traces(v, c, plot, lane);
		draw_beside(v, c, (struct rect){ r.row, l->name_cols + v->plot_cols + 1, r.rows,
						 l->value_cols - 1 }, l, lane);
	} else {
		canvas_text(c, plot.row + plot.rows / 2, plot.col + 1, plot.cols - 1, STYLE_DIM,
			    FRAME_LOADING);
	}
	if (!v->still)
		draw_cursors(v, c, plot, i == v->chosen);
}

void frame_lanes(struct view *v, struct canvas *c, const struct layout *l)
{
	int row = l->lanes.row;
	const int end = l->lanes.row + l->lanes.rows;
	size_t i = v->top;
	size_t last = i;

	if (lanes_shown(v) == 0) {
		canvas_text(c, row + 1, l->name_cols, v->plot_cols, STYLE_PLAIN,
			    "no lane is shown: press c and choose channels");
		return;
	}
	while (i < v->lane_count && row + lane_height(v, &v->lanes[i]) <= end) {
		const size_t next = lane_next_shown(v, i, 1);
		int rows = lane_height(v, &v->lanes[i]);

		/* the last that fits takes what is left */
		if (next != i && row + rows + lane_height(v, &v->lanes[next]) > end)
			rows = end - row;
		draw_lane(v, c, l, (struct rect){ row, 0, rows, l->lanes.cols }, i);
		row += rows;
		last = i;
		if (next == i)
			break;
		i = next;
	}
	if (lane_next_shown(v, v->top, -1) != v->top)
		canvas_put(c, l->lanes.row, l->name_cols - 1, v->glyphs->more_up, STYLE_KEY);
	if (lane_next_shown(v, last, 1) != last)
		canvas_put(c, end - 1, l->name_cols - 1, v->glyphs->more_down, STYLE_KEY);
}
