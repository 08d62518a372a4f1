/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What each channel of a log measures: the name, then the unit, then the values. */
#include "data/recognise.h"

#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/text.h"
#include "data/alias.h"
#include "data/name_words.h"
#include "data/recognise_one.h"
#include "data/settle.h"
#include "data/unit.h"

struct name_match recognise_name(const char *name)
{
	struct name_words words;

	name_words_split(&words, name);
	return alias_match(&words, NULL);
}

/* "-", "n/a" and the like: the log says that there is no unit. */
static bool says_no_unit(const char *text)
{
	static const char *const none[] = { "", "n/a", "na", "none", "nil", "unitless" };
	size_t i;

	for (i = 0; i < sizeof(none) / sizeof(none[0]); i++)
		if (text_casecmp(text, none[i]) == 0)
			return true;
	return strspn(text, "-?. ") == strlen(text);
}

/* A unit that the name itself has as a word: "MPH", "Target AFR", "G force". */
static const struct unit *unit_in_alias(const char *alias, const struct quantity *q)
{
	while (*alias != '\0') {
		const size_t len = strcspn(alias, " ");
		char *word = mem_strndup(alias, len);
		const struct unit *unit = unit_find(word, NULL);

		free(word);
		/* A "ratio" does not say of what, and "RPM" is said of thousands too. */
		if (unit != NULL && unit != unit_find("1", NULL) &&
		    unit->dim != DIM_ANGULAR_SPEED && quantity_fits(q, unit))
			return unit;
		alias += len + strspn(alias + len, " ");
	}
	return NULL;
}

/* Engine and turbo speed in Hz are turns a second. */
static const struct unit *as_turns(const struct quantity *q, const struct unit *unit)
{
	if (q->dim == DIM_ANGULAR_SPEED && unit == unit_find("Hz", NULL))
		return unit_find("1/s", NULL);
	return unit;
}

static void say_name(struct buf *why, const char *name, const char *alias)
{
	buf_printf(why, "name '%s'", name);
	if (text_casecmp(name, alias) != 0)
		buf_printf(why, " read as '%s'", alias);
}

/* Name and unit without the values; false when nothing more is to be settled. */
static bool match_channel(struct channel *ch, const char *unit_text, struct buf *why)
{
	const struct name_match by_name = recognise_name(ch->name);
	struct name_match match = by_name;
	struct name_words words;

	ch->unit = unit_find(unit_text, NULL);
	if (ch->unit != NULL) {
		name_words_split(&words, ch->name);
		match = alias_match(&words, ch->unit);
	}
	ch->quantity = quantity_get(match.id);
	ch->index = match.index;
	if (match.id == Q_NONE) {
		buf_puts(why, by_name.id == Q_NONE ? "name not recognised" :
			 "recognised by its name alone, but not in this unit: ");
		if (by_name.id != Q_NONE)
			buf_printf(why, "%s cannot be in %s", quantity_get(by_name.id)->title,
				   ch->unit->name);
		return false;
	}
	say_name(why, ch->name, match.alias);
	if (column_kind(ch->column) == COLUMN_STATE && !ch->quantity->stepped) {
		buf_puts(why, "; but it holds words, so not recognised");
		ch->quantity = quantity_get(Q_NONE);
		return false;
	}
	if (match.id != by_name.id)
		buf_printf(why, " in %s", ch->unit->name);
	ch->unit = as_turns(ch->quantity, ch->unit);
	if (ch->unit == NULL && !says_no_unit(unit_text))
		buf_printf(why, "; unit '%s' not known", unit_text);
	else if (ch->unit == NULL)
		ch->unit = unit_in_alias(match.alias, ch->quantity);
	return true;
}

/* The name without its unit, and the unit text to go by; both to be freed. */
static void split_channel(struct channel *ch, char **name, char **unit_text)
{
	recognise_split(ch->raw_name, name, unit_text);
	if (says_no_unit(ch->raw_unit))
		return;
	/* A units row counts more; then brackets that say another thing are of the name. */
	if ((*unit_text)[0] != '\0' && strcmp(*unit_text, ch->raw_unit) != 0 &&
	    unit_find(*unit_text, NULL) != unit_find(ch->raw_unit, NULL)) {
		free(*name);
		*name = mem_strdup(ch->raw_name);
	}
	free(*unit_text);
	*unit_text = mem_strdup(ch->raw_unit);
}

static bool is_taken(const struct datalog *log, size_t before, const char *name)
{
	size_t i;

	for (i = 0; i < before; i++)
		if (strcmp(log->channels[i].name, name) == 0)
			return true;
	return false;
}

/* "Boost" a second time becomes "Boost 2"; takes ownership of name. */
static char *unique_name(const struct datalog *log, size_t before, char *name)
{
	char *tried = mem_strdup(name);
	size_t i;

	for (i = 2; is_taken(log, before, tried); i++) {
		free(tried);
		tried = mem_printf("%s %zu", name, i);
	}
	free(name);
	return tried;
}

static void set_why(struct channel *ch, struct buf *why)
{
	free(ch->why);
	ch->why = buf_take(why);
}

/* What is known of a channel between matching and settling. */
struct pending {
	bool open;
	bool unit_given;
	int gauge;
	struct buf why;
};

static void match_one(struct channel *ch, const char *unit_text, struct pending *p)
{
	*p = (struct pending){ .why = BUF_INIT };
	unit_find(unit_text, &p->gauge);
	p->open = match_channel(ch, unit_text, &p->why);
	p->unit_given = ch->unit != NULL || !says_no_unit(unit_text);
}

void recognise_one(struct datalog *log, struct channel *ch, const char *unit_text)
{
	struct settle settle;
	struct pending p;

	match_one(ch, unit_text, &p);
	settle_init(&settle, log, settle_is_us(log));
	if (p.open)
		settle_channel(&settle, ch, p.unit_given, p.gauge, &p.why);
	settle_release(&settle);
	set_why(ch, &p.why);
}

static void settle_all(struct datalog *log, struct pending *pending)
{
	bool *wanted = mem_array(log->channel_count, sizeof(*wanted));
	struct settle settle;
	int stage;
	size_t i;

	for (i = 0; i < log->channel_count; i++)
		wanted[i] = pending[i].open &&
			settle_wants(&log->channels[i], pending[i].unit_given);
	settle_init(&settle, log, settle_is_us(log));
	settle_look_ahead(&settle, wanted);
	free(wanted);
	for (stage = SETTLE_PLAIN; stage < SETTLE_STAGES; stage++)
		for (i = 0; i < log->channel_count; i++) {
			struct channel *ch = &log->channels[i];
			struct pending *p = &pending[i];

			if (!p->open || (int)settle_stage(ch->quantity) != stage)
				continue;
			settle_channel(&settle, ch, p->unit_given, p->gauge, &p->why);
			p->open = false;
		}
	settle_release(&settle);
}

void recognise_all(struct datalog *log)
{
	struct pending *pending = mem_array(log->channel_count, sizeof(*pending));
	size_t i;

	for (i = 0; i < log->channel_count; i++) {
		struct channel *ch = &log->channels[i];
		char *unit_text;
		char *name;

		if (ch->derived)
			continue;
		split_channel(ch, &name, &unit_text);
		free(ch->name);
		ch->name = name;
		match_one(ch, unit_text, &pending[i]);
		if (says_no_unit(ch->raw_unit)) {
			free(ch->raw_unit);
			ch->raw_unit = mem_strdup(unit_text);
		}
		free(unit_text);
	}
	settle_all(log, pending);
	for (i = 0; i < log->channel_count; i++) {
		struct channel *ch = &log->channels[i];

		if (ch->derived)
			continue;
		ch->name = unique_name(log, i, ch->name);
		set_why(ch, &pending[i].why);
	}
	free(pending);
}
