/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A flat top: pressure or air flow at the end of its sensor.
 *
 * Certain is a channel that stays at the known end of its SAE J1979 scaling.  Likely is a
 * stretch at the very top of the log that a live value would not give:
 *  - it is constant: no part of it, short or long, differs from the rest by more than the
 *    channel's noise (check_corner.h);
 *  - it is entered by a corner: straight lines that meet fit better than lines that a real
 *    pressure or flow would round off; or engine speed rises so far during it that a live
 *    air flow had to rise too;
 *  - it is no control that works: a pressure at its target is left alone.
 * Likely too, and without the rest, is a stretch that piles up at one highest value although
 * the channel is much noisier than its steps elsewhere.
 */
#include "judge/check_fns.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/select.h"
#include "judge/check_corner.h"
#include "judge/check_help.h"
#include "judge/check_still.h"
#include "judge/measure.h"

#define LEAST_S 0.5
#define LEAST_SAMPLES 6
#define LEAST_NOISY 60		/* where noise could hide a round course */
#define CERTAIN_SAMPLES 3
#define CREST 2.45
#define PILE_SHARE 0.25		/* of the samples: at the very highest value */
#define PILE_STEPS 2.5		/* of noise: below it a live channel can repeat its highest */
#define LEAST_TRIPLES 4		/* to tell noise by */
#define STEP_FLOOR 2e-4		/* of the value: no channel is finer for this purpose */
#define BAND 4.0		/* noises to either side of the level */
#define DEAD_STEEP 5.0		/* steps a second: the least rise that a corner to one same value ends */
#define SCAN 4.3		/* noises: the greatest of all windows' means may be off by */

/* SAE J1979 (ISO 15031-5), the scalings of PIDs 0B and 10; from memory. */
struct scaling {
	enum quantity_id id;
	const char *unit;
	double end;
	double step;
	double exact;		/* a log that rounds more coarsely cannot tell */
	double steep;		/* of the level, a second: the least rise that a corner ends */
	const char *words;
};

static const struct scaling scalings[] = {
	{ Q_MAP, "kPa", 255.0, 1.0, 0.51, 0.10,
	  "255 kPa, the end of a one-byte channel (SAE J1979)" },
	{ Q_MAF, "g/s", 655.35, 0.01, 0.06, 0.06,
	  "655.35 g/s, the end of a two-byte channel (SAE J1979)" },
};

static const struct scaling *scaling_of(enum quantity_id id)
{
	return id == Q_MAP ? &scalings[0] : &scalings[1];
}

struct top {
	const struct scene *scene;
	const struct series *v;
	double noise;		/* of a sample */
	double step;		/* of the channel's values, as fine as matters */
	double level;
	double band;		/* a sample at the level is within it */
};

/* Of what lies below `below`; 0 where that is too little. */
static double noise_of(const struct series *v, double below, double *scratch)
{
	size_t i, n = 0;

	for (i = 2; i < v->n; i++)
		if (v->v[i] < below && v->v[i - 1] < below && v->v[i - 2] < below)
			scratch[n++] = fabs(v->v[i] - 2 * v->v[i - 1] + v->v[i - 2]);
	return n < LEAST_TRIPLES ? 0.0 : help_noise(scratch, n);
}

/* For a sensor that noise pushes against its end: the highest value. */
static void set_pile(struct top *top, double *scratch)
{
	top->level = help_highest(top->v);
	top->noise = noise_of(top->v, top->level, scratch);
	top->band = BAND * top->noise;
}

/*
 * For a channel whose steps hide its noise, or whose noise is behind its end: the median of
 * what is near the highest value.  `noises` to either side are taken for the same.
 */
static void set_constant(struct top *top, double noises, double *scratch)
{
	const double most = help_highest(top->v);
	size_t i, n = 0;

	top->noise = fmax(noise_of(top->v, INFINITY, scratch), top->step / sqrt(12.0));
	top->band = noises * top->noise + 0.5 * top->step;
	for (i = 0; i < top->v->n; i++)
		if (top->v->v[i] >= most - 2 * top->band)
			scratch[n++] = top->v->v[i];
	top->level = select_median(scratch, n);
}

static bool is_level(const struct top *top, size_t i)
{
	return i < top->v->n && fabs(top->v->v[i] - top->level) <= top->band;
}

/* The next stretch at the level from sample i on; a single sample off it is overlooked. */
static bool next_stretch(const struct top *top, size_t i, struct stretch *out)
{
	while (i < top->v->n && !is_level(top, i))
		i++;
	if (i == top->v->n)
		return false;
	out->first = out->last = i;
	while (is_level(top, i + 1) || is_level(top, i + 2)) {
		i++;
		if (is_level(top, i))
			out->last = i;
	}
	return true;
}

static bool is_long(const struct top *top, const struct stretch *s, size_t least)
{
	return s->last - s->first + 1 >= least && stretch_length(top->v, s) >= LEAST_S;
}

/*
 * Does the stretch pile up at the highest value?  Of a live channel that is noisier than its
 * steps few samples have the very highest.  It is cut down to the first and last of them.
 */
static bool is_pile(const struct top *top, struct stretch *s)
{
	size_t n = 0;
	size_t i;

	while (s->first < s->last && top->v->v[s->first] < top->level)
		s->first++;
	while (s->first < s->last && top->v->v[s->last] < top->level)
		s->last--;
	for (i = s->first; i <= s->last; i++)
		n += top->v->v[i] >= top->level;
	return n >= LEAST_SAMPLES && (double)n >= PILE_SHARE * (double)(s->last - s->first + 1) &&
	       is_long(top, s, LEAST_SAMPLES);
}

/* Says something other than the stretch's own shape that the sensor is at its end? */
static enum err_code find_proof(const struct still *still, enum quantity_id id, bool *proof,
				struct err *e)
{
	*proof = id == Q_MAF ? still_outlasts_flow(still) : still_outlasts_control(still);
	return id == Q_MAP && !*proof ? still_find_witness(still, proof, e) : ERR_NONE;
}

/* Is the stretch as constant as its noise lets it be, and entered as no live value is? */
static enum err_code judge_constant(const struct top *top, enum quantity_id id,
				    struct stretch *s, bool *flat, struct err *e)
{
	const struct still still = { top->scene, top->v, *s, top->level, top->noise, top->step };
	const bool noisy = top->noise > top->step, dead = id == Q_MAP && still_is_dead(&still);
	const double steep = dead ? DEAD_STEEP * top->step : scaling_of(id)->steep * top->level;
	double start_s = top->v->t[s->first];
	bool proof = false, corner, controlled = false;
	enum err_code code;

	*flat = false;
	if (!is_long(top, s, LEAST_SAMPLES))
		return ERR_NONE;
	code = find_proof(&still, id, &proof, e);
	corner = stretch_corner(top->v, s, top->noise, steep, dead ? top->step : 0.0,
				&start_s) &&
		 is_long(top, s, noisy ? LEAST_NOISY : LEAST_SAMPLES);
	if (code != ERR_NONE || (!proof && !corner))
		return code;
	/* Without noise the first sample at the level is where it begins. */
	while (noisy && top->v->t[s->first] < start_s && s->first < s->last)
		s->first++;
	if (id == Q_MAP && (proof || dead)) {
		*flat = true;
		return ERR_NONE;
	}
	if (stretch_scan(top->v, s, top->noise) > SCAN)
		return ERR_NONE;
	if (id == Q_MAP)
		code = still_find_control(&still, &controlled, e);
	*flat = !controlled;
	return code;
}

/* The log's values are zero but within the flat stretches: their length there. */
struct flat {
	double *length;		/* [n] */
	bool any;
	double level;		/* of the first, in the channel's own unit as loaded */
};

static void put(struct flat *f, const struct series *v, const struct stretch *s)
{
	size_t i;

	for (i = s->first; i <= s->last; i++)
		f->length[i] = stretch_length(v, s);
	if (!f->any)
		f->level = stretch_mean(v, s);
	f->any = true;
}

static void find_piles(struct flat *f, const struct top *top)
{
	struct stretch s;
	size_t from = 0;

	while (next_stretch(top, from, &s)) {
		from = s.last + 1;
		if (is_pile(top, &s))
			put(f, top->v, &s);
	}
}

static enum err_code find_constant(struct flat *f, const struct top *top, enum quantity_id id,
				   struct err *e)
{
	struct stretch s;
	size_t from = 0;
	enum err_code code = ERR_NONE;

	while (code == ERR_NONE && next_stretch(top, from, &s)) {
		bool flat = false;

		from = s.last + 1;
		code = judge_constant(top, id, &s, &flat, e);
		if (flat)
			put(f, top->v, &s);
	}
	return code;
}

/* Are all values whole steps, as far as the log's rounding lets see it? */
static bool fits_steps(const struct series *v, const struct scaling *scaling, double exact)
{
	size_t i;

	for (i = 0; 2 * exact < scaling->step && i < v->n; i++) {
		const double steps = v->v[i] / scaling->step;

		if (fabs(steps - round(steps)) * scaling->step > exact)
			return false;
	}
	return true;
}

/* How far a value of the log may be off by its rounding, in the scaling's unit. */
static double rounding_of(const struct channel *ch, const struct scaling *scaling)
{
	const double half = 0.5 * pow(10.0, -column_decimals(ch->column));

	return 1.01 * unit_convert_delta(half, ch->unit, unit_find(scaling->unit, NULL));
}

/* For how long the value is surely within a step below the end, beside sample i; way: -1, 1. */
static double dwell(const struct series *v, size_t i, int way, double least)
{
	const double t = v->t[i];

	while (i + (size_t)way < v->n && v->v[i + (size_t)way] >= least)
		i += (size_t)way;
	return fmax(fabs(v->t[i] - t) - help_interval(v), 0.0);
}

/*
 * A live value comes to its highest as a parabola, on each side one of its own.  One that gets
 * no further than the step of the end is there for up to 2.42 times as long as it is within the
 * step below, before and behind.
 */
static bool is_crest(const struct series *v, const struct stretch *s,
		     const struct scaling *scaling, double exact)
{
	const double least = scaling->end - scaling->step - exact;
	const double before = dwell(v, s->first, -1, least);
	const double behind = s->last + 1 < v->n ? dwell(v, s->last, 1, least) : before;

	return stretch_length(v, s) < CREST * (before + behind);
}

/* Stretches of samples that are exactly at the end of the scaling. */
static void find_certain(struct flat *f, const struct series *v, const struct channel *ch,
			 const struct scaling *scaling)
{
	const double exact = rounding_of(ch, scaling);
	size_t i = 0;

	if (!(exact <= scaling->exact) || help_highest(v) > scaling->end + exact ||
	    !fits_steps(v, scaling, exact))
		return;
	while (i < v->n) {
		struct stretch s = { i, i };

		while (i < v->n && fabs(v->v[i] - scaling->end) <= exact)
			s.last = i++;
		if (i >= s.first + CERTAIN_SAMPLES && !is_crest(v, &s, scaling, exact))
			put(f, v, &s);
		i += i == s.first;
	}
}

/*
 * The highest value of the whole log, and its step: the smallest difference between
 * neighbours.  (Steps of a sensor that were rounded once more by the log, in another unit,
 * are not multiples of anything.)  Looked through by every pull, so without a copy.
 */
static void look_at_log(const struct channel *ch, double *most, double *step)
{
	const struct unit *to = unit_find(scaling_of(ch->quantity->id)->unit, NULL);
	struct column_walk walk;
	double v, before = NAN, highest = -INFINITY, least = INFINITY;

	column_walk_init(&walk, ch->column);
	while (column_walk_next(&walk, &v)) {
		if (isnan(v))
			continue;
		if (v > highest)
			highest = v;
		if (fabs(v - before) < least && fabs(v - before) > STEP_FLOOR * fabs(v))
			least = fabs(v - before);
		before = v;
	}
	*most = unit_convert(highest, ch->unit, to);
	*step = fmax(isinf(least) ? 0.0 : unit_convert_delta(least, ch->unit, to),
		     STEP_FLOOR * fabs(*most));
}

static enum err_code find_likely(struct flat *f, const struct scene *s, const struct channel *ch,
				 const struct series *v, struct err *e)
{
	double *scratch = mem_array(v->n, sizeof *scratch);
	struct top top = { .scene = s, .v = v };
	enum err_code code = ERR_NONE;
	double most;
	int k;

	look_at_log(ch, &most, &top.step);
	set_pile(&top, scratch);
	if (top.noise >= PILE_STEPS * top.step && most <= top.level + 0.5 * top.step)
		find_piles(f, &top);
	for (k = 0; k < 2 && code == ERR_NONE && !f->any; k++) {
		set_constant(&top, k == 0 ? 0.0 : BAND, scratch);
		if (most <= top.level + 2 * top.band)
			code = find_constant(f, &top, ch->quantity->id, e);
	}
	free(scratch);
	return code;
}

static enum err_code find_flat(struct flat *f, const struct scene *s, const struct channel *ch,
			       const struct series *v, bool *certain, struct err *e)
{
	find_certain(f, v, ch, scaling_of(ch->quantity->id));
	*certain = f->any;
	return f->any ? ERR_NONE : find_likely(f, s, ch, v, e);
}

static enum err_code flat_of(const struct scene *s, const struct channel *ch,
			     struct measures *out, struct err *e)
{
	const struct scaling *scaling = scaling_of(ch->quantity->id);
	struct flat f = { NULL, false, NAN };
	struct series v;
	bool certain = false;
	enum err_code code = scene_load(s, ch, scaling->unit, &v, e);
	size_t i;

	if (code != ERR_NONE || v.n < 2)
		goto out;
	f.length = mem_array(v.n, sizeof *f.length);
	for (i = 0; i < v.n; i++)
		f.length[i] = 0.0;
	code = find_flat(&f, s, ch, &v, &certain, e);
	if (code != ERR_NONE)
		goto out;
	for (i = 0; i < v.n; i++)
		v.v[i] = f.length[i];
	measures_add(out, ch, &v, RELATION_NONE, NULL);
	if (certain)
		out->list[out->count - 1].detail = mem_printf("flat at %s", scaling->words);
	else if (f.any)
		out->list[out->count - 1].detail =
			mem_printf("flat at %.0f %s: perhaps the sensor's end, perhaps control",
				   f.level, scaling->unit);
	out->list[out->count - 1].guess = !certain;
out:
	free(f.length);
	series_release(&v);
	return code;
}

enum err_code check_flat(const struct check *c, const struct scene *s, struct measures *out,
			 struct err *e)
{
	const struct datalog *log = s->run->log;
	enum err_code code = ERR_NONE;
	size_t i;

	for (i = 0; i < log->channel_count && code == ERR_NONE; i++) {
		const struct channel *ch = &log->channels[i];

		if (ch->quantity->id == c->needs[0].any[0] && scene_has(s, ch))
			code = flat_of(s, ch, out, e);
	}
	if (code == ERR_NONE && out->count == 0)
		measures_refuse(out, "the unit of %s cannot be converted into %s",
				scene_need(c, 0, s)->name,
				scaling_of(c->needs[0].any[0])->unit);
	return code;
}
