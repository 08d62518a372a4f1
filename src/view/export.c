/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the viewer can write: the span's samples, and the screen itself. */
#include "view/export.h"

#include <csv.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "draw/canvas.h"
#include "view/frame.h"
#include "view/lanes.h"

static void put_quoted(struct buf *out, const char *s)
{
	const size_t n = strlen(s);
	const size_t size = csv_write(NULL, 0, s, n);
	char *quoted = mem_alloc(size + 1);

	csv_write(quoted, size, s, n);
	buf_add(out, quoted, size);
	free(quoted);
}

static bool exported(const struct lane *lane)
{
	return lane->shown && !lane->delta;
}

static void put_header(struct view *v, struct buf *out)
{
	size_t i;

	buf_printf(out, "side,time_s,%s", v->overlay.axis == AXIS_RPM ? "axis_rpm" : "axis_s");
	for (i = 0; i < v->lane_count; i++) {
		const struct pair *pair = &v->pairs.list[v->lanes[i].pair];
		struct buf title = BUF_INIT;

		if (!exported(&v->lanes[i]))
			continue;
		/* a file is UTF-8, whatever the screen can show */
		buf_puts(&title, pair_channel(pair)->name);
		if (pair_unit(pair, false)[0] != '\0')
			buf_printf(&title, " (%s)", pair_unit(pair, false));
		buf_putc(out, ',');
		put_quoted(out, title.data);
		buf_release(&title);
	}
	buf_puts(out, "\r\n");
}

/* The sample at exactly this time, or nothing: export makes up no values. */
static void put_sample(const struct view *v, const struct lane *lane, enum side side, double t,
		       struct buf *out)
{
	const struct series *s = &lane->data.of[side].series;
	const size_t i = series_lower(s, t);
	char number[NUM_TEXT];

	buf_putc(out, ',');
	if (i == s->n || s->t[i] != t)
		return;
	if (lane_word(v, lane, s->v[i]) != NULL)
		put_quoted(out, lane_word(v, lane, s->v[i]));
	else
		buf_puts(out, num_exact(number, s->v[i]));
}

static void put_side(struct view *v, enum side side, double from, double to, struct buf *out)
{
	const struct run *run = view_run(v, side);
	const struct axis_map *map = overlay_map(&v->overlay, run);
	char number[NUM_TEXT];
	size_t row, i;

	for (row = run->pull.first; run->log != NULL && row <= run->pull.last; row++) {
		const double t = run->log->time[row];
		const double position = axis_map_to_position(map, t);

		if (!(position >= from && position <= to))
			continue;
		buf_printf(out, "%s,%s", side == SIDE_A ? "A" : "B", num_exact(number, t));
		buf_printf(out, ",%s", num_exact(number, position));
		for (i = 0; i < v->lane_count; i++)
			if (exported(&v->lanes[i]))
				put_sample(v, &v->lanes[i], side, t, out);
		buf_puts(out, "\r\n");
	}
}

static void put_csv(struct view *v, double from, double to, struct buf *out)
{
	lanes_load_shown(v);
	put_header(v, out);
	put_side(v, SIDE_A, from, to, out);
	put_side(v, SIDE_B, from, to, out);
}

enum err_code export_span_csv(struct view *v, struct buf *out, struct err *e)
{
	double from, to;

	view_span(v, &from, &to);
	if (!(to > from))
		return err_set(e, ERR_DATA, "both cursors are at one place: there is no span to write");
	put_csv(v, from, to, out);
	return ERR_NONE;
}

enum err_code export_window_csv(struct view *v, struct buf *out, struct err *e)
{
	(void)e;
	put_csv(v, v->from, v->to, out);
	return ERR_NONE;
}

enum err_code export_picture(struct view *v, struct buf *out, struct err *e)
{
	struct canvas *c = canvas_new(v->rows, v->cols);

	(void)e;
	lanes_load_shown(v);
	frame_draw(v, c);
	canvas_write_text(c, out);
	canvas_free(c);
	return ERR_NONE;
}
