/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The channels that a judgement needs, and which of them must come fast. */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "judge/check_help.h"
#include "judge/ready_case.h"

/* One says the other where the pressure outside is known, near enough for a judgement. */
static const struct {
	enum quantity_id id;
	enum quantity_id instead;
} stand_ins[] = {
	{ Q_BOOST, Q_MAP },
	{ Q_MAP, Q_BOOST },
	{ Q_LAMBDA, Q_AFR },
	{ Q_AFR, Q_LAMBDA },
};

/* What changes over minutes, or hardly: any rate will do. */
static bool is_slow(const struct channel *ch)
{
	static const enum quantity_id slow[] = {
		Q_NONE, Q_TIME, Q_GEAR, Q_BARO, Q_ETHANOL, Q_BATTERY, Q_HUMIDITY, Q_TRIM_LONG,
		Q_DISTANCE, Q_LATITUDE, Q_LONGITUDE,
	};
	size_t i;

	for (i = 0; i < sizeof slow / sizeof slow[0]; i++)
		if (ch->quantity->id == slow[i])
			return true;
	return ch->quantity->dim == DIM_TEMPERATURE && ch->quantity->id != Q_EGT;
}

static void want_channel(struct ready_wanted *w, const struct channel *ch)
{
	size_t cap = w->count;

	mem_grow(&w->channels, &cap, w->count + 1, sizeof *w->channels);
	w->channels[w->count++] = ch;
}

/* All channels of the quantity: those of the file, or if there are none, derived ones. */
static void want_quantity(const struct ready_case *c, struct ready_wanted *w,
			  enum quantity_id id)
{
	int derived;
	size_t i;

	for (derived = 0; derived <= 1 && w->count == 0; derived++)
		for (i = 0; i < c->log->channel_count; i++) {
			const struct channel *ch = &c->log->channels[i];

			if (ch->quantity->id == id && ch->derived == (derived == 1) &&
			    ready_has(c, ch, is_slow(ch) ? 1 : 2))
				want_channel(w, ch);
		}
}

/* A stand-in that the file holds is better than a derived channel of the quantity itself. */
static void want_key(const struct ready_case *c, struct ready_wanted *w, enum quantity_id id)
{
	struct ready_wanted other = { NULL, NULL, 0 };
	size_t i;

	want_quantity(c, w, id);
	if (w->count > 0 && !w->channels[0]->derived)
		return;
	for (i = 0; i < sizeof stand_ins / sizeof stand_ins[0]; i++)
		if (stand_ins[i].id == id)
			want_quantity(c, &other, stand_ins[i].instead);
	if (other.count > 0 && (w->count == 0 || !other.channels[0]->derived)) {
		free(w->channels);
		w->channels = other.channels;
		w->count = other.count;
	} else {
		free(other.channels);
	}
}

static void want_word(const struct ready_case *c, struct ready_wanted *w, const char *word)
{
	const struct quantity *q = quantity_by_key(word);
	const struct channel *ch;

	w->word = word;
	if (q != NULL && q->id != Q_NONE) {
		want_key(c, w, q->id);
		return;
	}
	ch = datalog_channel(c->log, word, NULL);
	if (ch == NULL)
		return;
	if (column_kind(ch->column) == COLUMN_STATE ? column_samples(ch->column) > 0 :
	    ready_has(c, ch, 1))
		want_channel(w, ch);
}

static enum err_code add_fast(struct ready_case *c, const struct channel *ch, struct err *e)
{
	size_t cap = c->fast_count;
	struct ready_fast f = { ch, SERIES_INIT, NAN, false };
	enum err_code code;
	size_t i;

	for (i = 0; i < c->fast_count; i++)
		if (c->fast[i].channel == ch)
			return ERR_NONE;
	code = ready_load(c, ch, NULL, &f.s, e);
	if (code != ERR_NONE)
		return code;
	f.interval_s = ready_interval(&f.s);
	f.held = help_held(ch, &f.s, f.interval_s, &f.interval_s);
	mem_grow(&c->fast, &cap, c->fast_count + 1, sizeof *c->fast);
	c->fast[c->fast_count++] = f;
	return ERR_NONE;
}

static enum err_code want_fast(struct ready_case *c, struct err *e)
{
	const struct channel *rpm = datalog_find(c->log, Q_RPM);
	enum err_code code = ERR_NONE;
	size_t i, k;

	if (rpm != NULL && ready_has(c, rpm, 2))
		code = add_fast(c, rpm, e);
	for (i = 0; i < c->wanted_count; i++)
		for (k = 0; k < c->wanted[i].count && code == ERR_NONE; k++)
			if (!is_slow(c->wanted[i].channels[k]) &&
			    column_kind(c->wanted[i].channels[k]->column) == COLUMN_NUMBER)
				code = add_fast(c, c->wanted[i].channels[k], e);
	return code;
}

enum err_code ready_want(struct ready_case *c, struct err *e)
{
	const struct request *r = c->setup->request;
	size_t i;

	c->wanted = mem_array(r->channel_count, sizeof *c->wanted);
	for (i = 0; i < r->channel_count; i++)
		want_word(c, &c->wanted[c->wanted_count++], r->channels[i]);
	return want_fast(c, e);
}

void ready_want_release(struct ready_case *c)
{
	size_t i;

	for (i = 0; i < c->wanted_count; i++)
		free(c->wanted[i].channels);
	for (i = 0; i < c->fast_count; i++)
		series_release(&c->fast[i].s);
	free(c->wanted);
	free(c->fast);
}
