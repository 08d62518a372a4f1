/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loading what a lane draws. */
#include "view/lane_data.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "calc/profile.h"

static void forget_difference(struct lane_data *d)
{
	series_release(&d->difference);
	pyramid_release(&d->difference_heights);
}

void lane_data_release(struct lane_data *d)
{
	int side;

	for (side = 0; side < SIDES; side++) {
		struct lane_side *s = &d->of[side];

		series_release(&s->series);
		series_release(&s->target);
		pyramid_release(&s->heights);
		datalog_free(s->log);
	}
	forget_difference(d);
	*d = (struct lane_data)LANE_DATA_INIT;
}

void lane_data_swap(struct lane_data *d)
{
	const struct lane_side a = d->of[SIDE_A];

	d->of[SIDE_A] = d->of[SIDE_B];
	d->of[SIDE_B] = a;
}

bool lane_data_is_empty(const struct lane_data *d)
{
	return d->of[SIDE_A].series.n + d->of[SIDE_B].series.n == 0;
}

/* ---- wishes ---- */

struct lane_wish *lane_wish_new(const struct pair *pair, bool delta, const struct overlay *o)
{
	const struct run *const runs[SIDES] = { &o->a, &o->b };
	struct lane_wish *w = mem_alloc(sizeof *w);
	int side;

	w->pair = *pair;
	w->delta = delta;
	for (side = 0; side < SIDES; side++) {
		if (runs[side]->log == NULL)
			continue;
		w->sides[side].log = datalog_hold(runs[side]->log);
		w->sides[side].pull = runs[side]->pull;
		if (delta)
			axis_map_copy(&w->sides[side].map, overlay_map(o, runs[side]));
	}
	return w;
}

void lane_wish_free(struct lane_wish *w)
{
	int side;

	lane_data_release(&w->data);
	for (side = 0; side < SIDES; side++) {
		axis_map_release(&w->sides[side].map);
		datalog_free(w->sides[side].log);
	}
	free(w);
}

/* ---- series ---- */

/* What the side's channel is asked to be, if its log says, in the lane's unit. */
static enum err_code load_target(struct lane_wish *w, const struct run *run, enum side side,
				 struct err *e)
{
	const struct channel *ch = side == SIDE_A ? w->pair.a : w->pair.b;
	const enum quantity_id target = quantity_target(ch->quantity->id);
	struct pair wanted = { NULL, NULL, w->pair.unit };

	wanted.a = wanted.b = target == Q_NONE ? NULL : datalog_find(run->log, target);
	if (wanted.a == NULL)
		return ERR_NONE;
	return pair_load_like(&wanted, run, side == SIDE_B, &w->data.of[side].series,
			      &w->data.of[side].target, e);
}

static enum err_code load_side(struct lane_wish *w, enum side side, struct err *e)
{
	const struct run run = { .log = w->sides[side].log, .pull = w->sides[side].pull };
	struct lane_side *s = &w->data.of[side];
	enum err_code code;

	if (run.log == NULL || (side == SIDE_A ? w->pair.a : w->pair.b) == NULL)
		return ERR_NONE;
	s->log = datalog_hold(run.log);
	code = pair_load_like(&w->pair, &run, side == SIDE_B, &w->sides[side].like, &s->series, e);
	if (code == ERR_NONE && !w->delta)
		code = load_target(w, &run, side, e);
	if (side == SIDE_B)
		pair_number_words(&w->pair, &s->series);
	if (code == ERR_NONE)
		code = pyramid_build(&s->heights, s->series.v, s->series.n, e);
	return code;
}

/* ---- differences ---- */

/* Points in order; at one place breaks come last, or a line would go on over them. */
static bool comes_first(const struct profile *p, size_t i, const struct profile *q, size_t k)
{
	if (i == p->n || k == q->n)
		return k == q->n;
	if (p->x[i] != q->x[k])
		return p->x[i] < q->x[k];
	return !isnan(p->y[i]) || isnan(q->y[k]);
}

/*
 * B-A at every point of either profile, as a series over axis positions.  Where one
 * of the two has nothing it holds NaN, so that the line breaks there.
 */
static enum err_code subtract(const struct profile p[SIDES], struct series *out, struct err *e)
{
	const size_t room = p[0].n + p[1].n;
	size_t i = 0, k = 0;

	*out = (struct series)SERIES_INIT;
	out->hole = INFINITY;
	out->t = mem_try_array(room, sizeof *out->t);
	out->v = mem_try_array(room, sizeof *out->v);
	if (out->t == NULL || out->v == NULL) {
		series_release(out);
		return err_set(e, ERR_MEMORY, "out of memory for a difference of %zu samples", room);
	}
	for (; i < p[0].n || k < p[1].n; out->n++) {
		const bool from_a = comes_first(&p[0], i, &p[1], k);
		const double y = from_a ? p[0].y[i] : p[1].y[k];
		const double x = from_a ? p[0].x[i++] : p[1].x[k++];

		out->t[out->n] = x;
		out->v[out->n] = isnan(y) ? NAN : profile_at(&p[1], x) - profile_at(&p[0], x);
	}
	return ERR_NONE;
}

static enum err_code make_difference(struct lane_wish *w, struct err *e)
{
	struct profile p[SIDES] = { PROFILE_INIT, PROFILE_INIT };
	struct lane_data *d = &w->data;
	enum err_code code = profile_build(&p[0], &d->of[SIDE_A].series, &w->sides[SIDE_A].map, e);

	forget_difference(d);
	if (code == ERR_NONE)
		code = profile_build(&p[1], &d->of[SIDE_B].series, &w->sides[SIDE_B].map, e);
	if (code == ERR_NONE)
		code = subtract(p, &d->difference, e);
	if (code == ERR_NONE)
		code = pyramid_build(&d->difference_heights, d->difference.v, d->difference.n, e);
	profile_release(&p[0]);
	profile_release(&p[1]);
	return code;
}

/* ---- loading ---- */

static bool is_wanted(struct errands *in)
{
	return in == NULL || errands_go_on(in);
}

/* `in` is NULL where it is not in the background.  What is not wanted any more stays half done. */
static void load(struct lane_wish *w, struct errands *in)
{
	int side;

	w->error = (struct err)ERR_INIT;
	w->code = ERR_NONE;
	for (side = 0; side < SIDES && !w->has_series && w->code == ERR_NONE; side++)
		if (is_wanted(in))
			w->code = load_side(w, (enum side)side, &w->error);
	w->has_series = w->code == ERR_NONE;
	if (w->delta && w->has_series && is_wanted(in))
		w->code = make_difference(w, &w->error);
	if (w->code != ERR_NONE)
		lane_data_release(&w->data);
}

void lane_wish_load(struct lane_wish *w)
{
	load(w, NULL);
}

static void work(struct errands *in, void *errand)
{
	load(errand, in);
}

static void release(void *errand)
{
	lane_wish_free(errand);
}

const struct errand_kind lane_errands = { work, release };
