/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which channel of A goes with which of B. */
#include "calc/pairing.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"

#define MOST_DECIMALS 4

static bool has_values(const struct channel *ch)
{
	return column_samples(ch->column) > 0;
}

/* How many channels of the same quantity and index stand before this one. */
static size_t ordinal(const struct datalog *log, const struct channel *ch)
{
	const struct channel *c;
	size_t n = 0;

	for (c = log->channels; c < ch; c++)
		n += has_values(c) && c->quantity == ch->quantity && c->index == ch->index;
	return n;
}

/* Words go with words, and what has a unit with what can be converted into it. */
static bool comparable(const struct channel *x, const struct channel *y)
{
	return column_kind(x->column) == column_kind(y->column) &&
	       (x->unit == NULL || y->unit == NULL || x->unit->dim == y->unit->dim);
}

static bool has_name(const struct datalog *log, const char *name)
{
	size_t i;

	for (i = 0; i < log->channel_count; i++)
		if (strcmp(log->channels[i].name, name) == 0)
			return true;
	return false;
}

static bool taken(const struct pairing *p, const struct channel *b)
{
	size_t i;

	for (i = 0; i < p->count; i++)
		if (p->list[i].b == b)
			return true;
	return false;
}

/*
 * The partner of A's channel in B.  By name the exact one; with letter case aside
 * only one that is nobody else's.
 */
static const struct channel *partner(const struct pairing *p, const struct datalog *a,
				     const struct channel *ch, const struct datalog *b)
{
	const bool by_name = ch->quantity->id == Q_NONE;
	const size_t wanted = ordinal(a, ch);
	const struct channel *near = NULL;
	size_t i;

	for (i = 0; i < b->channel_count; i++) {
		const struct channel *other = &b->channels[i];

		if (!has_values(other) || other->quantity != ch->quantity ||
		    !comparable(ch, other))
			continue;
		if (by_name ? strcmp(other->name, ch->name) == 0 :
		    other->index == ch->index && ordinal(b, other) == wanted)
			return other;
		if (by_name && near == NULL && text_casecmp(other->name, ch->name) == 0 &&
		    !has_name(a, other->name) && !taken(p, other))
			near = other;
	}
	return near;
}

static const struct unit *unit_for(const struct channel *a, const struct channel *b,
				   enum unit_system system)
{
	const struct channel *first = a != NULL ? a : b;
	const struct unit *own = first->unit;

	if (own == NULL)
		own = b != NULL ? b->unit : NULL;
	if (own == NULL || system == UNITS_FILE || first->quantity->id == Q_TIME)
		return own;
	return unit_preferred(own->dim, system) != NULL ? unit_preferred(own->dim, system) : own;
}

static void add(struct pairing *p, size_t *cap, const struct channel *a,
		const struct channel *b, enum unit_system system)
{
	mem_grow(&p->list, cap, p->count + 1, sizeof *p->list);
	p->list[p->count++] = (struct pair){ a, b, unit_for(a, b, system) };
}

void pairing_build(struct pairing *p, const struct datalog *a, const struct datalog *b,
		   enum unit_system system)
{
	size_t cap = 0;
	size_t i;

	*p = (struct pairing)PAIRING_INIT;
	for (i = 0; i < a->channel_count; i++) {
		const struct channel *ch = &a->channels[i];

		if (has_values(ch))
			add(p, &cap, ch, b == NULL ? NULL : partner(p, a, ch, b), system);
	}
	for (i = 0; b != NULL && i < b->channel_count; i++) {
		const struct channel *ch = &b->channels[i];

		if (has_values(ch) && !taken(p, ch))
			add(p, &cap, NULL, ch, system);
	}
}

void pairing_release(struct pairing *p)
{
	free(p->list);
	*p = (struct pairing)PAIRING_INIT;
}

const struct channel *pair_channel(const struct pair *p)
{
	return p->a != NULL ? p->a : p->b;
}

const char *pair_unit(const struct pair *p, bool ascii)
{
	if (p->unit != NULL)
		return ascii ? p->unit->ascii : p->unit->name;
	return pair_channel(p)->raw_unit;
}

static const struct pair *find(const struct pairing *p, const struct channel *ch)
{
	size_t i;

	for (i = 0; ch != NULL && i < p->count; i++)
		if (p->list[i].a == ch || p->list[i].b == ch)
			return &p->list[i];
	return NULL;
}

/* The n bytes at s without the blanks around them, for the caller to free. */
static char *trimmed(const char *s, size_t n)
{
	for (; n > 0 && *s == ' '; n--)
		s++;
	while (n > 0 && s[n - 1] == ' ')
		n--;
	return mem_strndup(s, n);
}

enum err_code pairing_choose(struct pairing *p, const struct datalog *a,
			     const struct datalog *b, const char *list, struct err *e)
{
	struct pairing chosen = PAIRING_INIT;
	enum err_code code = ERR_NONE;
	size_t cap = 0;

	while (code == ERR_NONE && *list != '\0') {
		const size_t n = strcspn(list, ",");
		char *word = trimmed(list, n);
		const struct channel *ch = datalog_channel(a, word, e);
		const struct pair *pair;

		if (ch == NULL && b != NULL)
			ch = datalog_channel(b, word, e);
		pair = find(p, ch);
		if (pair != NULL) {
			mem_grow(&chosen.list, &cap, chosen.count + 1, sizeof *chosen.list);
			chosen.list[chosen.count++] = *pair;
		} else if (ch != NULL) {
			code = err_set(e, ERR_DATA, "channel '%s' has no values", word);
		} else {
			code = ERR_DATA;
		}
		free(word);
		list += n + (list[n] == ',');
	}
	if (code != ERR_NONE) {
		pairing_release(&chosen);
		return code;
	}
	pairing_release(p);
	*p = chosen;
	return ERR_NONE;
}

enum err_code pair_load(const struct pair *p, const struct run *run, bool is_b,
			struct series *out, struct err *e)
{
	return pair_load_like(p, run, is_b, NULL, out, e);
}

enum err_code pair_load_like(const struct pair *p, const struct run *run, bool is_b,
			     const struct series *like, struct series *out, struct err *e)
{
	const struct channel *ch = is_b ? p->b : p->a;

	*out = (struct series)SERIES_INIT;
	if (ch == NULL || run->log == NULL)
		return ERR_NONE;
	return series_share(out, run->log, ch, run->pull.first, run->pull.last,
			    ch->unit == NULL ? NULL : p->unit, like, e);
}

bool pair_samples(const struct pair *p, const struct run *run, bool is_b, struct samples *out)
{
	const struct channel *ch = is_b ? p->b : p->a;

	if (ch == NULL || run->log == NULL || column_samples(ch->column) < run->log->rows)
		return false;
	*out = samples_of_channel(run->log, ch, run->pull.first, run->pull.last,
				  ch->unit == NULL ? NULL : p->unit);
	return true;
}

int pair_decimals(const struct pair *p)
{
	const struct channel *ch = pair_channel(p);
	int decimals = column_decimals(ch->column);

	if (p->unit != NULL && (p->unit != ch->unit || ch->derived))
		decimals = p->unit->decimals;
	return decimals > MOST_DECIMALS ? MOST_DECIMALS : decimals;
}
