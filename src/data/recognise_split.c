/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Splitting a header cell into the channel's name and its unit. */
#include "data/recognise.h"

#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/text.h"
#include "data/alias.h"
#include "data/name_words.h"
#include "data/unit.h"

/*
 * Units that are also ordinary words or single letters.  At the end of a name
 * without brackets they count only when the rest is a quantity that they fit:
 * "Oil Temp C" but not "Vitamin C".
 */
static const char *const weak[] = {
	"rpm", "krpm", "mph", "kph", "min", "mins", "hr", "hrs", "sec", "secs", "ms", "us",
	"msec", "in", "at", "ft", "yd", "mi", "mm", "cm", "km", "kg", "lb", "lbs", "hp", "bhp",
	"whp", "ps", "cv", "kn", "kt", "kts", "atm", "mb", "amp", "amps", "volt", "volts",
	"rad", "gs", "mps", "fps", "rps", "hz", "second", "seconds", "minute", "minutes",
	"hour", "hours", "btdc",
};

/* Spellings that name a thing when they end a name without brackets: "Air Horsepower". */
static const char *const nouns[] = {
	"percentage", "horsepower", "foot", "feet", "inch", "inches", "yard", "yards", "mile",
	"miles", "pound", "pounds", "meter", "meters", "metre", "metres", "degree",
	"kelvin", "atmosphere", "atmospheres", "torr", "gee", "gforce", "knot", "knots",
};

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

struct span {
	size_t from;
	size_t end;
};

static bool is_blank(char c)
{
	return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

static bool is_separator(char c)
{
	return is_blank(c) || c == '_' || c == ',' || c == '-' || c == '/' || c == ';' ||
	       c == '|' || c == ':';
}

static bool in_words(const char *const *list, size_t n, const char *text)
{
	size_t i;

	for (i = 0; i < n; i++)
		if (text_casecmp(list[i], text) == 0)
			return true;
	return false;
}

/* The text without blanks and separators around it; for the caller to free. */
static char *trimmed(const char *s, size_t n)
{
	while (n > 0 && is_separator(*s)) {
		s++;
		n--;
	}
	while (n > 0 && is_separator(s[n - 1]))
		n--;
	return mem_strndup(s, n);
}

static char *unblanked(const char *s, size_t n)
{
	while (n > 0 && is_blank(*s)) {
		s++;
		n--;
	}
	while (n > 0 && is_blank(s[n - 1]))
		n--;
	return mem_strndup(s, n);
}

/* The last pair of brackets that ends before `end`; false when there is none. */
static bool last_brackets(const char *s, size_t end, struct span *out)
{
	static const char open[] = "([{";
	static const char close[] = ")]}";
	size_t i;

	for (i = end; i-- > 0; ) {
		const char *kind = strchr(close, s[i]);
		size_t depth = 0;
		size_t k;

		if (kind == NULL)
			continue;
		for (k = i + 1; k-- > 0; ) {
			depth += s[k] == *kind;
			depth -= s[k] == open[kind - close];
			if (depth == 0) {
				*out = (struct span){ k, i + 1 };
				return true;
			}
		}
	}
	return false;
}

/* What is left of the header when the span is cut out. */
static char *without(const char *s, const struct span *cut)
{
	char *before = trimmed(s, cut->from);
	char *after = trimmed(s + cut->end, strlen(s + cut->end));
	char *out = mem_printf("%s%s%s", before, before[0] && after[0] ? " " : "", after);

	free(before);
	free(after);
	return out;
}

static bool is_number(const char *text)
{
	return text[0] != '\0' && strspn(text, "0123456789") == strlen(text);
}

/* A unit by its spelling; a bare number is one of the name: "EGT (1)". */
static bool is_unit(const char *text)
{
	return unit_find(text, NULL) != NULL && !is_number(text);
}

/*
 * Brackets hold words of the name rather than a unit when we know all of them:
 * "Speed (GPS)", "Boost (actual)".  A sign of arithmetic speaks for a unit.
 */
static bool is_part_of_name(const char *inside)
{
	return is_number(inside) || (!is_unit(inside) && strpbrk(inside, "/^%*") == NULL &&
				     name_words_all_known(inside));
}

/* The unit between brackets: the last ones that hold one, or hold nothing. */
static bool split_brackets(const char *header, char **name, char **unit)
{
	size_t end = strlen(header);
	struct span at;
	struct span chosen = { 0, 0 };

	while (last_brackets(header, end, &at)) {
		char *inside = unblanked(header + at.from + 1, at.end - at.from - 2);
		const bool known = is_unit(inside);
		const bool taken = known || (chosen.end == 0 && !is_part_of_name(inside));

		free(inside);
		if (taken)
			chosen = at;
		if (known || at.from == 0)
			break;
		end = at.from;
	}
	if (chosen.end == 0)
		return false;
	*unit = unblanked(header + chosen.from + 1, chosen.end - chosen.from - 2);
	*name = without(header, &chosen);
	return true;
}

/* "Gear Ratio", "Target AFR", "Knock Count", "EGT 1": their last word is no unit. */
static bool is_plain_number(const struct unit *u)
{
	return u->dim == DIM_NONE || (u->dim == DIM_RATIO && u->factor == 1);
}

/* Is `text`, behind `name`, its unit? */
static bool is_suffix_unit(const char *name, const char *text)
{
	const struct unit *u = unit_find(text, NULL);
	struct name_words words;

	if (u == NULL || is_plain_number(u) || in_words(nouns, LENGTH(nouns), text))
		return false;
	if ((strlen(text) > 1 || text[0] == '%') && !in_words(weak, LENGTH(weak), text))
		return true;
	name_words_split(&words, name);
	/* "Turbo RPM" is a name: the rest must be a speed without it ("Turbo speed RPM"). */
	if (u->dim == DIM_ANGULAR_SPEED)
		return quantity_takes(quantity_get(alias_match(&words, NULL).id), u->dim);
	return alias_match(&words, u).id != Q_NONE;
}

/* Can a unit begin at s[i]: behind a separator or at a camelCase capital? */
static bool is_boundary(const char *s, size_t i)
{
	const bool lower = s[i - 1] >= 'a' && s[i - 1] <= 'z';

	if (is_separator(s[i]))
		return false;
	return is_separator(s[i - 1]) || (lower && s[i] >= 'A' && s[i] <= 'Z') ||
	       (s[i] == '%' && s[i - 1] != '%') ||
	       ((unsigned char)s[i] == 0xc2 && (unsigned char)s[i + 1] == 0xb0);
}

/* The unit behind the name, the longest that is one. */
static bool split_suffix(const char *header, char **name, char **unit)
{
	const size_t n = strlen(header);
	size_t i;

	for (i = 1; i < n; i++) {
		char *rest;
		char *text;

		if (!is_boundary(header, i))
			continue;
		rest = trimmed(header, i);
		text = unblanked(header + i, n - i);
		if (rest[0] != '\0' && is_suffix_unit(rest, text)) {
			*name = rest;
			*unit = text;
			return true;
		}
		free(rest);
		free(text);
	}
	return false;
}

void recognise_split(const char *header, char **name, char **unit)
{
	char *text = unblanked(header, strlen(header));

	if (!split_brackets(text, name, unit) && !split_suffix(text, name, unit)) {
		*name = mem_strdup(text);
		*unit = mem_strdup("");
	} else if ((*name)[0] == '\0') {
		free(*name);
		*name = mem_strdup(text);
	}
	free(text);
}
