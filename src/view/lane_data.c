/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The data of the lanes: their series, differences, words and scales. */
#include "view/lanes.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "calc/profile.h"

#define SETTLE_SECONDS 0.5	/* of a pull, see scale_to_all() */
#define SETTLE_SHARE 0.25	/* of the axis that this may take at most */

static void forget_columns(struct lane *lane)
{
	free(lane->columns.of[SIDE_A]);
	free(lane->columns.of[SIDE_B]);
	lane->columns = (struct lane_columns){ { NULL, NULL }, 0, 0.0, 0.0 };
}

void lane_release(struct lane *lane)
{
	forget_columns(lane);
	series_release(&lane->a);
	series_release(&lane->b);
	series_release(&lane->target[SIDE_A]);
	series_release(&lane->target[SIDE_B]);
	series_release(&lane->difference);
	pyramid_release(&lane->a_heights);
	pyramid_release(&lane->b_heights);
	pyramid_release(&lane->difference_heights);
	lane->loaded = lane->fitted = false;
}

void lanes_stale(struct view *v)
{
	size_t i;

	for (i = 0; i < v->lane_count; i++)
		lane_release(&v->lanes[i]);
}

void lanes_moved(struct view *v)
{
	size_t i;

	for (i = 0; i < v->lane_count; i++) {
		forget_columns(&v->lanes[i]);
		series_release(&v->lanes[i].difference);
		pyramid_release(&v->lanes[i].difference_heights);
		v->lanes[i].fitted = false;
	}
}

const struct quantity *lane_quantity(const struct view *v, const struct lane *lane)
{
	return pair_channel(&v->pairs.list[lane->pair])->quantity;
}

/* The series of a lane that are drawn, and how their times map to positions. */
struct drawn {
	const struct series *series;
	const struct pyramid *heights;
	const struct axis_map *map;	/* NULL: the series lies on the axis itself */
};

static int drawn_series(const struct view *v, const struct lane *lane, struct drawn out[SIDES])
{
	if (lane->delta) {
		out[0] = (struct drawn){ &lane->difference, &lane->difference_heights, NULL };
		return 1;
	}
	out[0] = (struct drawn){ &lane->a, &lane->a_heights,
				  overlay_map(&v->overlay, &v->overlay.a) };
	out[1] = (struct drawn){ &lane->b, &lane->b_heights,
				  overlay_map(&v->overlay, &v->overlay.b) };
	return SIDES;
}

size_t lane_samples(const struct series *s, const struct axis_map *map, double from, double to,
		    size_t *first)
{
	size_t last;

	if (map != NULL) {
		from = axis_map_to_time(map, fmax(from, axis_map_from(map)));
		to = axis_map_to_time(map, fmin(to, axis_map_to(map)));
	}
	*first = isnan(from) ? s->n : series_lower(s, from);
	last = series_upper(s, to);
	return last > *first ? last - *first : 0;
}

/* Lowest and highest value over positions from .. to; NaN for none. */
static void reach(const struct view *v, const struct lane *lane, double from, double to,
		  double *low, double *high)
{
	struct drawn d[SIDES];
	const int drawn = drawn_series(v, lane, d);
	struct extent x;
	size_t first, n;
	int k;

	*low = *high = NAN;
	for (k = 0; k < drawn; k++) {
		n = lane_samples(d[k].series, d[k].map, from, to, &first);
		x = pyramid_extent(d[k].heights, first, first + n);
		*low = fmin(*low, x.low);	/* passes over NaN */
		*high = fmax(*high, x.high);
	}
}

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

static enum err_code make_difference(const struct view *v, struct lane *lane, struct err *e)
{
	struct profile p[SIDES] = { PROFILE_INIT, PROFILE_INIT };
	const struct overlay *o = &v->overlay;
	enum err_code code = profile_build(&p[0], &lane->a, overlay_map(o, &o->a), e);

	if (code == ERR_NONE)
		code = profile_build(&p[1], &lane->b, overlay_map(o, &o->b), e);
	if (code == ERR_NONE)
		code = subtract(p, &lane->difference, e);
	if (code == ERR_NONE)
		code = pyramid_build(&lane->difference_heights, lane->difference.v,
				     lane->difference.n, e);
	profile_release(&p[0]);
	profile_release(&p[1]);
	return code;
}

/* The least that a lane spans, in the unit shown. */
static double least_height(const struct view *v, const struct lane *lane)
{
	const struct quantity *q = lane_quantity(v, lane);
	const struct unit *unit = v->pairs.list[lane->pair].unit;
	double least = q->least_height;

	if (unit != NULL && q->unit != NULL)
		least = unit_convert_delta(least, unit_find(q->unit, NULL), unit);
	if (isnan(least))
		return 0.0;
	return lane->delta ? 0.5 * least : least;
}

/*
 * A scale for low .. high.  What never changes sign is not drawn as if it could: its
 * scale ends at 0 rather than go beyond it.
 */
static struct scale scale_for(const struct view *v, const struct lane *lane, double low,
			      double high)
{
	const double least = least_height(v, lane);
	struct scale s;

	if (lane->delta) {
		low = fmin(low, 0.0);
		high = fmax(high, 0.0);
	}
	s = scale_nice(low, high, least);
	if (low >= 0.0 && s.low < 0.0)
		s = scale_nice(0.0, fmax(high, least), 0.0);
	else if (high <= 0.0 && s.high > 0.0)
		s = scale_nice(fmin(low, -least), 0.0, 0.0);
	return s;
}

/*
 * The scale of all the data but the first half second of a pull: there the pedal is
 * still going down, sensors lag (common practice, no source), and a value from
 * before would flatten all that matters.  What lies beyond is drawn at the edge.
 */
static void scale_to_all(const struct view *v, struct lane *lane)
{
	const struct run *const runs[SIDES] = { &v->overlay.a, &v->overlay.b };
	double low, high, from, to, begin;
	int side;

	overlay_range(&v->overlay, false, &begin, &to);
	from = begin;
	for (side = 0; side < SIDES; side++) {
		const struct run *run = runs[side];
		const double settled = axis_map_to_position(overlay_map(&v->overlay, run),
							    run->pull.from_s + SETTLE_SECONDS);

		if (run->log != NULL && run->number != RUN_WHOLE &&
		    settled < begin + SETTLE_SHARE * (to - begin))
			from = fmax(from, settled);
	}
	reach(v, lane, from, to, &low, &high);
	lane->scale = scale_for(v, lane, low, high);
}

void lane_scale_to_screen(struct view *v, struct lane *lane)
{
	double low, high;

	lane_load(v, lane);
	if (lane->scaled) {
		lane->scaled = false;
		scale_to_all(v, lane);
		view_say(v, "the scale holds all of the pull again");
		return;
	}
	reach(v, lane, v->from, v->to, &low, &high);
	lane->scale = scale_nice(low, high, 0.0);
	lane->scaled = true;
	view_say(v, "the scale fits what is on screen; y again takes it back");
}

/* ---- words ---- */

bool lane_has_words(const struct view *v, const struct lane *lane)
{
	return column_kind(pair_channel(&v->pairs.list[lane->pair])->column) == COLUMN_STATE;
}

static size_t count_words(const struct column *c)
{
	size_t n = 0;

	while (column_word(c, (double)n)[0] != '\0')
		n++;
	return n;
}

/*
 * Each log numbers its words as they come.  In a lane B's numbers are A's, and for
 * words that A has not, its own behind all of A's.
 */
static void number_words_alike(const struct pair *pair, struct series *b)
{
	size_t own, count, i, k;
	double *as_in_a;

	if (pair->a == NULL || pair->b == NULL || column_kind(pair->b->column) != COLUMN_STATE)
		return;
	own = count_words(pair->a->column);
	count = count_words(pair->b->column);
	as_in_a = mem_array(count, sizeof *as_in_a);
	for (i = 0; i < count; i++) {
		const char *word = column_word(pair->b->column, (double)i);

		as_in_a[i] = (double)(own + i);
		for (k = 0; k < own; k++)
			if (strcmp(word, column_word(pair->a->column, (double)k)) == 0)
				as_in_a[i] = (double)k;
	}
	for (i = 0; i < b->n; i++)
		if (b->v[i] >= 0.0 && b->v[i] < (double)count)
			b->v[i] = as_in_a[(size_t)b->v[i]];
	free(as_in_a);
}

const char *lane_word(const struct view *v, const struct lane *lane, double value)
{
	const struct pair *pair = &v->pairs.list[lane->pair];
	const char *word;

	if (!lane_has_words(v, lane) || isnan(value))
		return NULL;
	word = column_word(pair_channel(pair)->column, value);
	if (word[0] == '\0' && pair->a != NULL && pair->b != NULL)
		word = column_word(pair->b->column, value - (double)count_words(pair->a->column));
	return word;
}

/* ---- loading ---- */

/* What the side's channel is asked to be, if its log says, in the lane's unit. */
static enum err_code load_target(struct view *v, struct lane *lane, enum side side, struct err *e)
{
	const struct pair *pair = &v->pairs.list[lane->pair];
	const struct channel *ch = side == SIDE_A ? pair->a : pair->b;
	const struct run *run = view_run(v, side);
	enum quantity_id target;
	struct pair wanted = { NULL, NULL, pair->unit };

	if (ch == NULL || run->log == NULL)
		return ERR_NONE;
	target = quantity_target(ch->quantity->id);
	wanted.a = wanted.b = target == Q_NONE ? NULL : datalog_find(run->log, target);
	if (wanted.a == NULL)
		return ERR_NONE;
	return pair_load_like(&wanted, run, side == SIDE_B,
			      side == SIDE_A ? &lane->a : &lane->b, &lane->target[side], e);
}

/* A series of the side whose times are the log's, or NULL. */
static const struct series *any_shared(const struct view *v, enum side side)
{
	size_t i;

	for (i = 0; i < v->lane_count; i++) {
		const struct lane *lane = &v->lanes[i];
		const struct series *s = side == SIDE_A ? &lane->a : &lane->b;

		if (s->shared)
			return s;
	}
	return NULL;
}

static enum err_code load_series(struct view *v, struct lane *lane, struct err *e)
{
	const struct pair *pair = &v->pairs.list[lane->pair];
	enum err_code code;

	if (lane->loaded)
		return ERR_NONE;
	lane->loaded = true;
	code = pair_load_like(pair, &v->overlay.a, false, any_shared(v, SIDE_A), &lane->a, e);
	if (code == ERR_NONE)
		code = pair_load_like(pair, &v->overlay.b, true, any_shared(v, SIDE_B), &lane->b, e);
	if (code == ERR_NONE && !lane->delta)
		code = load_target(v, lane, SIDE_A, e);
	if (code == ERR_NONE && !lane->delta)
		code = load_target(v, lane, SIDE_B, e);
	number_words_alike(pair, &lane->b);
	if (code == ERR_NONE)
		code = pyramid_build(&lane->a_heights, lane->a.v, lane->a.n, e);
	if (code == ERR_NONE)
		code = pyramid_build(&lane->b_heights, lane->b.v, lane->b.n, e);
	return code;
}

void lane_load(struct view *v, struct lane *lane)
{
	struct err e = ERR_INIT;
	enum err_code code;

	if (lane->loaded && lane->fitted)
		return;
	code = load_series(v, lane, &e);
	if (code == ERR_NONE && lane->delta)
		code = make_difference(v, lane, &e);
	lane->fitted = true;
	if (code != ERR_NONE)
		view_complain(v, "%s", e.text);
	else if (!lane->scaled)
		scale_to_all(v, lane);
}

double lane_value(struct view *v, struct lane *lane, enum side side, double position)
{
	const struct run *run = view_run(v, side);

	lane_load(v, lane);
	if (run->log == NULL)
		return NAN;
	return series_at(side == SIDE_A ? &lane->a : &lane->b,
			 axis_map_to_time(overlay_map(&v->overlay, run), position));
}
