/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The names file: what the user says about channels, over what was recognised. */
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/ini.h"
#include "base/mem.h"
#include "base/num.h"
#include "base/path.h"
#include "base/text.h"
#include "data/alias.h"
#include "data/recognise.h"
#include "data/recognise_one.h"
#include "data/settle.h"

#define MOST_INDEX 99

/* One section.  What the file does not say is NULL, or -1 for the index. */
struct override {
	const char *section;	/* belongs to names.ini, as does unit_text */
	size_t line;		/* of the section, from 1 */
	const struct quantity *quantity;
	const struct unit *unit;
	const char *unit_text;
	char *name;
	long index;
	struct channel *channel;	/* that it is about; NULL for none in this log */
};

struct names {
	const char *path;
	struct ini ini;
	size_t line;		/* of the key in hand, from 1 */
	struct override *overrides;	/* one a section */
	size_t count;
	struct err *e;
};

/* The units that a quantity can be in, or all for NULL. */
static void list_units(struct buf *out, const struct quantity *q)
{
	size_t i;

	for (i = 0; i < unit_count(); i++) {
		const struct unit *u = unit_by_index(i);

		if (q == NULL || quantity_fits(q, u))
			buf_printf(out, "%s%s", out->len > 0 ? ", " : "", u->ascii);
	}
}

static bool set_quantity(struct names *f, struct override *o, const char *value)
{
	struct buf keys = BUF_INIT;
	int i;

	o->quantity = quantity_by_key(value);
	if (o->quantity != NULL)
		return true;
	for (i = 0; i < Q_COUNT; i++)
		buf_printf(&keys, "%s%s", i > 0 ? ", " : "", quantity_get(i)->key);
	err_set(f->e, ERR_FORMAT, "%s:%zu: There is no quantity '%s'; use one of: %s.",
		f->path, f->line, value, buf_text(&keys));
	buf_release(&keys);
	return false;
}

static bool set_unit(struct names *f, struct override *o, const char *value)
{
	struct buf units = BUF_INIT;

	o->unit = unit_find(value, NULL);
	o->unit_text = value;
	if (o->unit != NULL)
		return true;
	list_units(&units, o->quantity);
	err_set(f->e, ERR_FORMAT, "%s:%zu: The unit '%s' is not known; use one of: %s.",
		f->path, f->line, value, buf_text(&units));
	buf_release(&units);
	return false;
}

static bool set_index(struct names *f, struct override *o, const char *value)
{
	if (num_parse_int(value, 0, MOST_INDEX, &o->index))
		return true;
	err_set(f->e, ERR_FORMAT, "%s:%zu: The index '%s' is not a whole number from 0 to %d "
		"(a cylinder, bank or sensor; 0 for none).", f->path, f->line, value, MOST_INDEX);
	return false;
}

static bool set_name(struct names *f, struct override *o, const char *value)
{
	struct buf clean = BUF_INIT;

	text_sanitise(&clean, value, strlen(value));
	free(o->name);
	o->name = buf_take(&clean);
	if (o->name[0] != '\0')
		return true;
	err_set(f->e, ERR_FORMAT, "%s:%zu: The name is empty; write one behind the '='.",
		f->path, f->line);
	return false;
}

static const struct {
	const char *key;
	bool (*set)(struct names *f, struct override *o, const char *value);
} keys_allowed[] = {
	{ "quantity", set_quantity },
	{ "unit", set_unit },
	{ "index", set_index },
	{ "name", set_name },
};

static bool set_key(struct names *f, struct override *o, const char *key, const char *value)
{
	size_t i;

	if (o->line == 0) {
		err_set(f->e, ERR_FORMAT, "%s:%zu: '%s' belongs to no channel; put a line "
			"[CHANNEL NAME] before it.", f->path, f->line, key);
		return false;
	}
	for (i = 0; i < sizeof(keys_allowed) / sizeof(keys_allowed[0]); i++)
		if (text_casecmp(keys_allowed[i].key, key) == 0)
			return keys_allowed[i].set(f, o, value);
	err_set(f->e, ERR_FORMAT, "%s:%zu: There is no key '%s'; use quantity, unit, index or "
		"name.", f->path, f->line, key);
	return false;
}

static bool set_section(struct names *f, const struct ini_section *s, struct override *o)
{
	size_t i;

	*o = (struct override){ .section = s->name, .line = s->line, .index = -1 };
	for (i = 0; i < s->count; i++) {
		f->line = s->keys[i].line;
		if (!set_key(f, o, s->keys[i].name, s->keys[i].value))
			return false;
	}
	return true;
}

/* A mistake of ours comes before one of the INI: what stands behind that was not read. */
static enum err_code parse(struct names *f, const struct buf *bytes)
{
	struct err why = ERR_INIT;
	const enum err_code code = ini_read_memory(&f->ini, buf_text(bytes), bytes->len,
						   "CHANNEL NAME", &why);

	f->overrides = mem_array(f->ini.count, sizeof(*f->overrides));
	while (f->count < f->ini.count) {
		const size_t at = f->count++;

		if (!set_section(f, &f->ini.sections[at], &f->overrides[at]))
			return ERR_FORMAT;
	}
	if (code != ERR_NONE)
		err_set(f->e, code, "%s:%zu: %s", f->path, f->ini.wrong_line, why.text);
	return code;
}

static struct channel *find_channel(struct datalog *log, const char *name,
				    int (*differs)(const char *, const char *))
{
	size_t i;

	for (i = 0; i < log->channel_count; i++)
		if (differs(log->channels[i].name, name) == 0)
			return &log->channels[i];
	for (i = 0; i < log->channel_count; i++)
		if (differs(log->channels[i].raw_name, name) == 0)
			return &log->channels[i];
	return NULL;
}

/* The unit that the file of the log gives the channel; NULL when it gives none. */
static const struct unit *given_unit(const struct channel *ch)
{
	return unit_find(ch->raw_unit, NULL);
}

/* Does the name of the channel mean something that cannot be in this unit? */
static bool unit_contradicts(const struct channel *ch, const struct unit *unit)
{
	struct name_words words;

	name_words_split(&words, ch->name);
	return alias_match(&words, NULL).id != Q_NONE && alias_match(&words, unit).id == Q_NONE;
}

static enum err_code say_unit_unfit(const struct names *f, const struct override *o,
				    const struct quantity *q, const struct unit *unit)
{
	struct buf units = BUF_INIT;

	list_units(&units, q);
	err_set(f->e, ERR_FORMAT, "%s:%zu: [%s] is %s and cannot be in %s; give it a unit = one "
		"of: %s.", f->path, o->line, o->section, q->title, unit->ascii, buf_text(&units));
	buf_release(&units);
	return ERR_FORMAT;
}

static enum err_code check(const struct names *f, const struct override *o)
{
	const struct channel *ch = o->channel;
	const struct unit *unit = o->unit != NULL ? o->unit : given_unit(ch);
	const struct quantity *q = o->quantity;

	if (q == NULL && o->unit != NULL && unit_contradicts(ch, o->unit))
		return say_unit_unfit(f, o, quantity_get(recognise_name(ch->name).id), o->unit);
	if (q == NULL || q->id == Q_NONE)
		return ERR_NONE;
	if (unit != NULL && !quantity_fits(q, unit) && q->dim != DIM_NONE)
		return say_unit_unfit(f, o, q, unit);
	if (column_kind(ch->column) == COLUMN_STATE && !q->stepped)
		return err_set(f->e, ERR_FORMAT, "%s:%zu: [%s] holds words, not numbers; "
			       "it cannot be %s.", f->path, o->line, o->section, q->title);
	return ERR_NONE;
}

static void add_reason(struct channel *ch, const char *old, const char *kind, const char *what,
		       const struct names *f, const struct override *o)
{
	struct buf why = BUF_INIT;

	buf_printf(&why, "%s%s", old, old[0] != '\0' ? "; " : "");
	buf_printf(&why, "%s %s by %s:%zu", kind, what, f->path, o->line);
	free(ch->why);
	ch->why = buf_take(&why);
}

static void apply_quantity(const struct datalog *log, struct channel *ch,
			   const struct names *f, const struct override *o)
{
	struct values v;

	ch->quantity = o->quantity;
	ch->unit = o->unit != NULL ? o->unit : given_unit(ch);
	if (ch->unit == NULL && ch->raw_unit[0] == '\0') {
		values_look(&v, ch->column);
		ch->unit = settle_unit(ch->quantity, &v, settle_is_us(log));
	}
	add_reason(ch, "", "quantity", o->quantity->key, f, o);
}

static bool is_other(const struct datalog *log, const struct channel *ch, const char *name)
{
	size_t i;

	for (i = 0; i < log->channel_count; i++)
		if (&log->channels[i] != ch && strcmp(log->channels[i].name, name) == 0)
			return true;
	return false;
}

/* A name that another channel has gets a number, as in recognise_all(). */
static void rename_channel(const struct datalog *log, struct channel *ch, const char *name)
{
	char *tried = mem_strdup(name);
	size_t i;

	for (i = 2; is_other(log, ch, tried); i++) {
		free(tried);
		tried = mem_printf("%s %zu", name, i);
	}
	free(ch->name);
	ch->name = tried;
}

static void apply(struct datalog *log, const struct names *f, const struct override *o)
{
	struct channel *ch = o->channel;
	char *why;

	if (o->quantity != NULL) {
		apply_quantity(log, ch, f, o);
	} else if (o->unit != NULL) {
		recognise_one(log, ch, o->unit_text);
		why = mem_strdup(ch->why);
		add_reason(ch, why, "unit", o->unit->name, f, o);
		free(why);
	}
	if (o->index >= 0)
		ch->index = (int)o->index;
	if (o->name != NULL)
		rename_channel(log, ch, o->name);
}

static enum err_code check_all(struct datalog *log, struct names *f)
{
	enum err_code code = ERR_NONE;
	size_t i;

	for (i = 0; i < f->count && code == ERR_NONE; i++) {
		struct override *o = &f->overrides[i];

		o->channel = find_channel(log, o->section, strcmp);
		if (o->channel == NULL)
			o->channel = find_channel(log, o->section, text_casecmp);
		if (o->channel != NULL)
			code = check(f, o);
	}
	return code;
}

static void release(struct names *f)
{
	size_t i;

	for (i = 0; i < f->count; i++)
		free(f->overrides[i].name);
	free(f->overrides);
	ini_release(&f->ini);
}

enum err_code recognise_overrides(struct datalog *log, const char *path, struct err *e)
{
	struct names f = { .path = path, .ini = INI_INIT, .e = e };
	struct buf bytes = BUF_INIT;
	enum err_code code;
	size_t i;

	code = path_read_all(path, &bytes, e);
	if (code != ERR_NONE)
		goto out;
	code = parse(&f, &bytes);
	if (code == ERR_NONE)
		code = check_all(log, &f);
	for (i = 0; code == ERR_NONE && i < f.count; i++)
		if (f.overrides[i].channel != NULL)
			apply(log, &f, &f.overrides[i]);
out:
	release(&f);
	buf_release(&bytes);
	return code;
}
