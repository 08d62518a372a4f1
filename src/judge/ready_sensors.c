/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The channels that a judgement needs, and sensors that do not tell the truth. */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "judge/ready_case.h"

/* All common practice, no source. */
#define FLAT_S 0.3		/* at a sensor's end, as the checks "map_flat" and "maf_flat" have it */
#define STUCK_S 1.0		/* a channel that stands for less may just be steady */
#define STUCK_SAMPLES 8
#define RPM_STANDS_S 0.6
#define LOST_S 0.3		/* road speed that reads next to nothing */
#define LOST_SHARE 0.1		/* of its highest in the pull */

enum err_code ready_channels(struct ready_case *c, struct err *e)
{
	struct ready_words words = ready_words(0.0, "");
	struct buf missing = BUF_INIT;
	struct buf all = BUF_INIT;
	size_t count = 0;
	size_t i;

	(void)e;
	for (i = 0; i < c->wanted_count; i++) {
		buf_printf(&all, "%s%s", i > 0 ? ", " : "", c->wanted[i].word);
		if (c->wanted[i].count > 0)
			continue;
		buf_printf(&missing, "%s%s", count > 0 ? ", " : "", c->wanted[i].word);
		count++;
	}
	words.value = (double)count;
	words.asked = c->wanted_count > 0 ? mem_strdup(all.data) : NULL;
	if (c->wanted_count == 0)
		ready_say(c, READY_UNCHECKED, words, "No channel was asked for.");
	else if (count == 0)
		ready_say(c, READY_PASS, words, "All %zu that are asked for are logged.",
			  c->wanted_count);
	else
		ready_say(c, ready_lacking(c), words, "Missing, or without a sample in the pull: %s.",
			  missing.data);
	buf_release(&missing);
	buf_release(&all);
	return ERR_NONE;
}

/* The longest flat top of a sensor. */
struct flat_top {
	const struct channel *channel;	/* NULL: none */
	double seconds;
	char *detail;			/* "flat at 220 kPa", or NULL */
};

static void take_longest(struct flat_top *top, const struct measure *m)
{
	size_t i;

	for (i = 0; i < m->value.n; i++) {
		if (!(m->value.v[i] > top->seconds))
			continue;
		top->seconds = m->value.v[i];
		if (top->channel == m->channel)
			continue;
		top->channel = m->channel;
		free(top->detail);
		top->detail = mem_strdup(m->detail);
	}
}

static enum err_code look_at_top(struct ready_case *c, enum check_id id, struct flat_top *top,
				 struct err *e)
{
	const struct check *check = check_get(id);
	struct measures m = { NULL, 0, 0, NULL };
	enum err_code code;
	size_t i;

	if (scene_need(check, 0, &c->scene) == NULL)
		return ERR_NONE;
	code = check->measure(check, &c->scene, &m, e);
	for (i = 0; code == ERR_NONE && i < m.count; i++)
		take_longest(top, &m.list[i]);
	measures_release(&m);
	return code;
}

enum err_code ready_saturated(struct ready_case *c, struct err *e)
{
	struct flat_top top = { NULL, 0.0, NULL };
	struct ready_words words = ready_words(NAN, c->time_unit);
	enum err_code code = look_at_top(c, CHECK_MAP_FLAT, &top, e);

	if (code == ERR_NONE)
		code = look_at_top(c, CHECK_MAF_FLAT, &top, e);
	if (code != ERR_NONE)
		goto out;
	if (ready_find(c, Q_MAP) == NULL && ready_find(c, Q_MAF) == NULL) {
		words.advice = mem_strdup("Log the manifold pressure or the air mass flow.");
		ready_say(c, READY_UNCHECKED, words, "Neither manifold pressure nor air mass flow is "
			  "logged.");
		goto out;
	}
	words.value = top.seconds;
	words.asked = mem_strdup("no sensor at the end of its range");
	if (top.seconds > FLAT_S * c->second)
		ready_say(c, READY_WEAK, words, "'%s' stands at its top for %.1f %s, as a sensor at its "
			  "end%s%s.", top.channel->name, top.seconds, c->time_unit,
			  top.detail == NULL ? "" : ": ", top.detail == NULL ? "" : top.detail);
	else
		ready_say(c, READY_PASS, words, "No flat top of manifold pressure or air mass flow.");
out:
	free(top.detail);
	return code;
}

/* What must move while engine speed rises: stuck when one value takes more than the share. */
static const struct mover {
	enum quantity_id id;
	double share;		/* of the pull */
} movers[] = {
	{ Q_LAMBDA, 0.60 },
	{ Q_AFR, 0.60 },
	{ Q_MAP, 0.95 },	/* a flat top is saturation, or good control */
	{ Q_BOOST, 0.95 },
	{ Q_MAF, 0.60 },
	{ Q_SPEED, 0.25 },
	{ Q_IGNITION, 0.98 },
};

/* The longest stretch of one value, from its first sample to its last. */
struct stand {
	double seconds;
	size_t samples;
	double value;
	double from_s;
};

static struct stand longest_stand(const struct series *s)
{
	struct stand best = { 0.0, 0, NAN, NAN };
	size_t from = 0;
	size_t i;

	for (i = 0; i < s->n; i++) {
		if (s->v[i] != s->v[from])
			from = i;
		if (s->t[i] - s->t[from] >= best.seconds)
			best = (struct stand){ s->t[i] - s->t[from], i - from + 1, s->v[i], s->t[from] };
	}
	return best;
}

/* A road speed that breaks down, noise or none: a car in a pull does not stand. */
static bool speed_lost(const struct ready_case *c, const struct series *s, struct stand *stand)
{
	double most = 0.0;
	size_t i;

	*stand = (struct stand){ 0.0, 0, 0.0, NAN };
	for (i = 0; i < s->n; i++)
		most = fmax(most, s->v[i]);
	for (i = 1; i < s->n; i++) {
		if (s->v[i] >= LOST_SHARE * most)
			continue;
		if (stand->samples++ == 0)
			stand->from_s = s->t[i];
		stand->seconds += fmin(s->t[i] - s->t[i - 1], s->hole);
	}
	return stand->seconds >= LOST_S * c->second;
}

/* Lambda to one or two decimals stands by itself. */
static bool too_coarse(const struct channel *ch)
{
	return ch->quantity->id == Q_LAMBDA && column_decimals(ch->column) < 3 && !ch->derived;
}

static bool is_stuck(const struct ready_case *c, const struct channel *ch,
		     const struct series *s, double share, struct stand *stand)
{
	const double pull_s = c->run->pull.to_s - c->run->pull.from_s;

	if (ch->quantity->id == Q_SPEED && speed_lost(c, s, stand))
		return true;
	*stand = longest_stand(s);
	if (stand->samples < STUCK_SAMPLES || stand->seconds < STUCK_S * c->second)
		return false;
	return stand->seconds > (too_coarse(ch) ? 0.95 : share) * pull_s;
}

static bool is_wanted(const struct ready_case *c, const struct channel *ch)
{
	size_t i, k;

	for (i = 0; i < c->wanted_count; i++)
		for (k = 0; k < c->wanted[i].count; k++)
			if (c->wanted[i].channels[k] == ch)
				return true;
	return false;
}

static void say_stuck(struct ready_case *c, const struct channel *ch, const struct stand *stand)
{
	struct ready_words words = ready_words(stand->seconds, c->time_unit);
	char *place = ready_place(c, stand->from_s);

	words.asked = mem_strdup("every channel that must move moves");
	ready_say(c, is_wanted(c, ch) ? ready_lacking(c) : READY_WEAK, words,
		  "'%s' reads %g all the time for %.1f %s, first %s.", ch->name, stand->value,
		  stand->seconds, c->time_unit, place);
	free(place);
}

static enum err_code ask_mover(struct ready_case *c, const struct channel *ch, double share,
			       size_t *looked, size_t *found, struct err *e)
{
	struct stand stand;
	struct series s;
	enum err_code code = ready_load(c, ch, NULL, &s, e);

	if (code != ERR_NONE)
		return code;
	if (s.n >= STUCK_SAMPLES) {
		++*looked;
		if (is_stuck(c, ch, &s, share, &stand)) {
			++*found;
			say_stuck(c, ch, &stand);
		}
	}
	series_release(&s);
	return ERR_NONE;
}

/* Engine speed defines the pull: it never stands, but for as long as a value is held. */
static bool rpm_stands(const struct ready_case *c, struct stand *stand)
{
	const struct ready_fast *rpm = &c->fast[0];

	*stand = longest_stand(&rpm->s);
	return stand->samples > 2 && stand->seconds > fmax(RPM_STANDS_S * c->second, 2.5 * rpm->interval_s);
}

enum err_code ready_stuck(struct ready_case *c, struct err *e)
{
	struct ready_words words = ready_words(0.0, "s");
	struct stand stand;
	size_t looked = 0;
	size_t found = 0;
	size_t i, k;

	if (c->fast_count > 0 && rpm_stands(c, &stand)) {
		found++;
		say_stuck(c, c->fast[0].channel, &stand);
	}
	for (k = 0; k < sizeof movers / sizeof movers[0]; k++)
		for (i = 0; i < c->log->channel_count; i++) {
			const struct channel *ch = &c->log->channels[i];
			enum err_code code;

			if (ch->quantity->id != movers[k].id || ch->derived ||
			    column_kind(ch->column) != COLUMN_NUMBER)
				continue;
			code = ask_mover(c, ch, movers[k].share, &looked, &found, e);
			if (code != ERR_NONE)
				return code;
		}
	if (found > 0)
		return ERR_NONE;
	words.asked = mem_strdup("every channel that must move moves");
	words.value = looked == 0 ? NAN : 0.0;
	if (looked == 0)
		ready_say(c, READY_UNCHECKED, words,
			  "No channel beside engine speed that must move.");
	else
		ready_say(c, READY_PASS, words, "Engine speed and %zu more channels that must move do.",
			  looked);
	return ERR_NONE;
}
