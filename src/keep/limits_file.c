/* SPDX-License-Identifier: GPL-3.0-or-later */
/* limits.ini: the calibrator's limits, over the built-in ones. */
#include "keep/limits_file.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/ini.h"
#include "base/mem.h"
#include "base/num.h"
#include "base/text.h"
#include "calc/derive.h"
#include "data/unit.h"
#include "judge/check.h"
#include "keep/field.h"

#define GENERAL "limits"	/* the section that is no check */
#define MOST_SECONDS 60.0	/* longer than any pull */
#define MOST_RPM 30000.0
#define LEVEL_TEXT (NUM_TEXT + 16)
#define LEVEL_REASON 1.5	/* times a built-in lambda or temperature, or a part of it */
#define OTHER_REASON 10.0	/* likewise of everything else */
#define ALIKE 1e-9		/* of a value: lines that meet differ by rounding */

/* One section about a check. */
struct check_section {
	const struct ini *ini;
	const struct ini_section *s;
	const struct check *check;
	struct limit *limit;
	const struct unit *unit;	/* of the file's values; NULL: a bare number */
	const struct unit *own;		/* the check's; NULL likewise */
	size_t line[SEVERITIES];	/* where the level is set; 0: not here */
	struct err *e;
};

static bool is_mixture(const struct unit *u)
{
	return u == unit_find("lambda", NULL) || u == unit_find(":1", NULL);
}

/* Can a limit in `own` be given in u?  A lambda is not in per cent, nor a share in lambda. */
static bool unit_fits(const struct unit *own, const struct unit *u)
{
	if (u->dim != own->dim)
		return false;
	if (u->dim != DIM_RATIO)
		return true;
	return is_mixture(own) ? u->factor == 1.0 : !is_mixture(u);
}

static enum err_code say_unit(const struct check_section *c, const struct ini_key *k)
{
	struct buf units = BUF_INIT;
	size_t i;

	for (i = 0; i < unit_count(); i++)
		if (unit_fits(c->own, unit_by_index(i)))
			buf_printf(&units, "%s%s", units.len > 0 ? ", " : "",
				   unit_by_index(i)->ascii);
	ini_error(c->ini, k->line, c->e, "The limits of [%s] are in %s, to which '%s' does not "
		  "convert; use one of: %s.", c->check->name, c->own->ascii, k->value,
		  buf_text(&units));
	buf_release(&units);
	return ERR_FORMAT;
}

/* Of an absolute pressure no limit is given in gauge, nor the other way round. */
static enum err_code check_reference(const struct check_section *c, const struct ini_key *k,
				     int gauge)
{
	const bool absolute = c->check->needs[0].any[0] == Q_MAP;

	if (gauge == 0 || c->check->difference || absolute == (gauge < 0))
		return ERR_NONE;
	return ini_error(c->ini, k->line, c->e, "[%s] is %s pressure, and '%s' is not; convert the "
			 "values.", c->check->name, absolute ? "an absolute" : "a gauge", k->value);
}

static enum err_code find_unit(struct check_section *c)
{
	const struct ini_key *k = ini_find(c->s, "unit");
	int gauge;

	if (c->check->unit[0] != '\0')
		c->own = unit_find(c->check->unit, NULL);
	c->unit = c->own;
	if (k == NULL)
		return ERR_NONE;
	if (c->own == NULL)
		return ini_error(c->ini, k->line, c->e, "[%s] counts and has no unit; leave the "
				 "line out.", c->check->name);
	c->unit = unit_find(k->value, &gauge);
	if (c->unit == NULL || !unit_fits(c->own, c->unit))
		return say_unit(c, k);
	return check_reference(c, k, gauge);
}

static double convert(const struct check_section *c, double v)
{
	if (c->unit == c->own)
		return v;
	if (c->unit == unit_find(":1", NULL))
		return v / DERIVE_GAUGE_STOICH;
	return c->check->difference ? unit_convert_delta(v, c->unit, c->own) :
				      unit_convert(v, c->unit, c->own);
}

static bool may_be_negative(const struct check *check, const struct unit *own)
{
	return own != NULL && own->dim == DIM_TEMPERATURE && !check->difference;
}

static enum err_code convert_line(const struct check_section *c, const struct ini_key *k,
				  struct limit_line *line)
{
	size_t i;

	for (i = 0; i < line->n; i++) {
		if (line->rpm[i] < 0.0 || line->rpm[i] > MOST_RPM)
			return ini_error(c->ini, k->line, c->e, "%s: an engine speed lies from 0 to "
					 "%.0f rpm; points are RPM:NUMBER.", k->name, MOST_RPM);
		if (line->value[i] < 0.0 && !may_be_negative(c->check, c->own))
			return ini_error(c->ini, k->line, c->e, "%s: a limit of [%s] has no sign; "
					 "leave the '-' out.", k->name, c->check->name);
		line->value[i] = convert(c, line->value[i]);
		if (!isfinite(line->value[i]))
			return ini_error(c->ini, k->line, c->e, "%s: a number is too large.",
					 k->name);
	}
	return ERR_NONE;
}

/* How far a limit may be from the built-in ones before its unit is in doubt. */
static double reason_of(const struct check_section *c)
{
	const bool temperature = c->own != NULL && c->own->dim == DIM_TEMPERATURE;
	const bool lambda = c->own != NULL && c->own == unit_find("lambda", NULL);

	return (temperature || lambda) && !c->check->difference ? LEVEL_REASON : OTHER_REASON;
}

/* The range of the built-in levels; 0 to 0 where there are none. */
static void built_in_range(const struct check *check, double *low, double *high)
{
	size_t i;
	int s;

	*low = *high = 0.0;
	for (s = SEVERITY_NOTE; s < SEVERITIES; s++) {
		struct limit_line line = { 0 };

		if (check->limit[s] != NULL)
			limit_parse(&line, check->limit[s], NULL);
		for (i = 0; i < line.n; i++) {
			*low = *high == 0.0 ? line.value[i] : fmin(*low, line.value[i]);
			*high = fmax(*high, line.value[i]);
		}
	}
}

/*
 * A lambda of 12.5, an exhaust of 1650 degC: a limit that no engine reaches is no limit, and
 * the check would seem to have run.  (One that is too strict shows itself.)
 */
static enum err_code check_reason(const struct check_section *c, const struct ini_key *k,
				  const struct limit_line *line)
{
	const bool over = c->check->side == CHECK_OVER;
	double low, high, laxest;
	size_t i;

	built_in_range(c->check, &low, &high);
	laxest = over ? high * reason_of(c) : low / reason_of(c);
	for (i = 0; i < line->n && high > 0.0; i++)
		if (over ? line->value[i] > laxest : line->value[i] < laxest)
			return ini_error(c->ini, k->line, c->e, "%s: %.4g %s is out of reason for "
					 "[%s], which would never find anything; at %s it may be "
					 "%.3g. In which unit is it? Say `unit = ...`.", k->name,
					 line->value[i], c->own == NULL ? "" : c->own->ascii,
					 c->check->name, over ? "most" : "least", laxest);
	return ERR_NONE;
}

static enum err_code set_level(struct check_section *c, const struct ini_key *k, enum severity s)
{
	struct limit_line line;
	struct err why = ERR_INIT;
	enum err_code code = limit_parse(&line, k->value, &why);

	if (code != ERR_NONE)
		return ini_error(c->ini, k->line, c->e, "%s: %s.", k->name, why.text);
	code = convert_line(c, k, &line);
	if (code == ERR_NONE)
		code = check_reason(c, k, &line);
	if (code == ERR_NONE) {
		c->limit->level[s] = line;
		c->limit->own[s] = true;
		c->line[s] = k->line;
	}
	return code;
}

static enum err_code set_seconds(struct check_section *c, const struct ini_key *k, enum severity s)
{
	static const struct field seconds = { .least = 0.0, .most = MOST_SECONDS };
	struct err why = ERR_INIT;
	const enum err_code code = field_parse(&c->limit->least_s, &seconds, k->name, k->value,
					       strlen(k->value), &why);

	(void)s;
	return code == ERR_NONE ? ERR_NONE : ini_error(c->ini, k->line, c->e, "%s", why.text);
}

static enum err_code set_wanted(struct check_section *c, const struct ini_key *k, enum severity s)
{
	(void)s;
	c->limit->off = text_casecmp(k->value, "off") == 0;
	if (!c->limit->off && text_casecmp(k->value, "on") != 0)
		return ini_error(c->ini, k->line, c->e, "%s: '%s' is neither on nor off.", k->name,
				 k->value);
	return ERR_NONE;
}

static const struct {
	const char *key;
	enum err_code (*set)(struct check_section *c, const struct ini_key *k, enum severity s);
	enum severity severity;
} keys[] = {
	{ "unit", NULL, SEVERITY_NONE },	/* find_unit() came first: values may stand before it */
	{ "note", set_level, SEVERITY_NOTE },
	{ "caution", set_level, SEVERITY_CAUTION },
	{ "stop", set_level, SEVERITY_STOP },
	{ "for_s", set_seconds, SEVERITY_NONE },
	{ "check", set_wanted, SEVERITY_NONE },
};

#define KEYS (sizeof keys / sizeof keys[0])

static enum err_code set_key(struct check_section *c, const struct ini_key *k)
{
	const char *names[KEYS];
	enum err_code code;
	size_t i;

	for (i = 0; i < KEYS; i++) {
		names[i] = keys[i].key;
		if (text_casecmp(keys[i].key, k->name) == 0)
			break;
	}
	if (i == KEYS)
		return field_unknown(c->ini, k->line, "key", k->name, names, KEYS, c->e);
	code = ini_key_once(c->ini, c->s, k, c->e);
	if (code != ERR_NONE || keys[i].set == NULL)
		return code;
	return keys[i].set(c, k, keys[i].severity);
}

/* Is the severer level reached before the milder one at this engine speed? */
static bool is_laxer(const struct check *check, double severe, double mild)
{
	const double slack = ALIKE * fmax(fabs(severe), fabs(mild));

	return check->side == CHECK_OVER ? severe < mild - slack : severe > mild + slack;
}

/*
 * An engine speed at which the levels are in the wrong order; NaN for none.  Straight lines
 * are furthest apart at a point of either, or outside of all points.
 */
static double disorder_at(const struct check *check, const struct limit_line *severe,
			  const struct limit_line *mild)
{
	const struct limit_line *const lines[] = { severe, mild };
	size_t which, i;

	if (severe->n == 0 || mild->n == 0)
		return NAN;
	for (which = 0; which < 2; which++)
		for (i = 0; i < lines[which]->n; i++) {
			const double rpm = lines[which]->rpm[i];

			if (is_laxer(check, limit_at(severe, rpm), limit_at(mild, rpm)))
				return rpm;
		}
	return NAN;
}

/* One digit more than reads well, so that neighbours differ.  Returns out. */
static char *level_text(char out[LEVEL_TEXT], const struct check_section *c, double v)
{
	num_fixed(out, v, c->check->decimals + 1);
	if (c->own != NULL) {
		strcat(out, " ");
		strncat(out, c->own->ascii, LEVEL_TEXT - NUM_TEXT - 2);
	}
	return out;
}

/* Neither is at fault alone: told at the later of the lines that the file has. */
static enum err_code check_pair(const struct check_section *c, enum severity severe,
				enum severity mild)
{
	const struct limit_line *a = &c->limit->level[severe];
	const struct limit_line *b = &c->limit->level[mild];
	const double rpm = disorder_at(c->check, a, b);
	const bool over = c->check->side == CHECK_OVER;
	char first[LEVEL_TEXT], second[LEVEL_TEXT], where[LEVEL_TEXT] = "";

	if (isnan(rpm))
		return ERR_NONE;
	if (a->n > 1 || b->n > 1) {
		num_fixed(where, rpm, 0);
		strcat(where, " rpm: ");
	}
	return ini_error(c->ini, c->line[severe] > c->line[mild] ? c->line[severe] : c->line[mild],
			 c->e, "[%s] %s%s at %s is reached before %s at %s (%s); %s is severer "
			 "and must not be %s: change one, or set it to off.",
			 c->check->name, where, severity_name(severe),
			 level_text(first, c, limit_at(a, rpm)), severity_name(mild),
			 level_text(second, c, limit_at(b, rpm)),
			 c->limit->own[severe] && c->limit->own[mild] ? "both of this file" :
			 "one of them is built in", severity_name(severe), over ? "lower" : "higher");
}

/* Only of levels that this section sets: the others were in order. */
static enum err_code check_order(const struct check_section *c)
{
	enum err_code code = ERR_NONE;
	int severe, mild;

	for (severe = SEVERITY_STOP; severe > SEVERITY_NOTE; severe--)
		for (mild = severe - 1; mild >= SEVERITY_NOTE && code == ERR_NONE; mild--)
			if (c->line[severe] > 0 || c->line[mild] > 0)
				code = check_pair(c, (enum severity)severe, (enum severity)mild);
	return code;
}

static enum err_code read_check(struct limits *l, const struct ini *ini,
				const struct ini_section *s, const struct check *check,
				struct err *e)
{
	struct check_section c = {
		.ini = ini, .s = s, .check = check, .limit = &l->of[check->id], .e = e,
	};
	enum err_code code = find_unit(&c);
	size_t i;

	for (i = 0; i < s->count && code == ERR_NONE; i++)
		code = set_key(&c, &s->keys[i]);
	return code == ERR_NONE ? check_order(&c) : code;
}

static enum err_code say_no_check(const struct ini *ini, const struct ini_section *s,
				  struct err *e)
{
	const char *names[CHECK_COUNT + 1];
	int i;

	for (i = 0; i < CHECK_COUNT; i++)
		names[i] = check_get((enum check_id)i)->name;
	names[CHECK_COUNT] = GENERAL;
	return field_unknown(ini, s->line, "check", s->name, names, CHECK_COUNT + 1, e);
}

static const struct field general[] = {
	{ GENERAL, "source", field_text, offsetof(struct limits, source), 0, 0 },
};

static enum err_code read_section(struct limits *l, const struct ini *ini,
				  const struct ini_section *s, struct err *e)
{
	const struct check *check = check_by_name(s->name);
	enum err_code code;

	if (s->line == 0)
		return ini_error(ini, s->keys[0].line, e, "'%s' is in no section; put [%s] or the "
				 "name of a check in brackets before it.", s->keys[0].name, GENERAL);
	code = ini_section_once(ini, s, e);
	if (code != ERR_NONE)
		return code;
	if (check != NULL)
		return read_check(l, ini, s, check, e);
	if (text_casecmp(s->name, GENERAL) != 0)
		return say_no_check(ini, s, e);
	return fields_read_section(ini, s, general, 1, l, e);
}

enum err_code limits_read(struct limits *l, const char *path, struct err *e)
{
	struct limits next = *l;
	struct ini ini = INI_INIT;
	enum err_code code;
	size_t i;

	next.path = NULL;
	next.source = NULL;
	code = ini_read(&ini, path, e);
	for (i = 0; i < ini.count && code == ERR_NONE; i++)
		code = read_section(&next, &ini, &ini.sections[i], e);
	if (code == ERR_NONE)
		code = ini_not_empty(&ini, "limit", e);
	if (code == ERR_NONE) {
		next.path = mem_strdup(path);
		limits_release(l);
		*l = next;
	} else {
		limits_release(&next);
	}
	ini_release(&ini);
	return code;
}
