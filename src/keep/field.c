/* SPDX-License-Identifier: GPL-3.0-or-later */
/* INI files whose keys are the members of a struct. */
#include "keep/field.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/num.h"
#include "base/text.h"

#define LONGEST 32		/* of names that are looked at for likeness, with the NUL */
#define SHORT 6			/* fewer letters: one edit between a word and what was meant */
#define SHORTEST_PART 4		/* letters of a name that say something inside another */

enum err_code field_parse(double *out, const struct field *f, const char *what,
			  const char *text, size_t n, struct err *why)
{
	char least[NUM_TEXT], most[NUM_TEXT];
	double v;

	if (!num_parse(text, n, '.', &v, NULL))
		return err_set(why, ERR_FORMAT, "%s: '%.*s' is not a number; write digits, with "
			       "a point as the decimal mark.", what, (int)n, text);
	if (!(v >= f->least && v <= f->most))
		return err_set(why, ERR_FORMAT, "%s: %.*s is out of reason; it must lie from %s "
			       "to %s.", what, (int)n, text, num_exact(least, f->least),
			       num_exact(most, f->most));
	*out = v;
	return ERR_NONE;
}

static void *place_of(const struct field *f, void *into)
{
	return (char *)into + f->offset;
}

enum err_code field_number(const struct field *f, void *into, const char *value,
			   struct err *why)
{
	return field_parse(place_of(f, into), f, f->key, value, strlen(value), why);
}

enum err_code field_number_or_off(const struct field *f, void *into, const char *value,
				  struct err *why)
{
	double *place = place_of(f, into);

	if (text_casecmp(value, "off") != 0)
		return field_number(f, into, value, why);
	*place = NAN;
	return ERR_NONE;
}

enum err_code field_text(const struct field *f, void *into, const char *value,
			 struct err *why)
{
	char **place = place_of(f, into);
	struct buf clean = BUF_INIT;

	if (value[0] == '\0')
		return err_set(why, ERR_FORMAT, "%s is empty; write it behind the '='.", f->key);
	text_sanitise(&clean, value, strlen(value));
	free(*place);
	*place = buf_take(&clean);
	return ERR_NONE;
}

/* Letters to change, add or leave out (Levenshtein distance). */
static size_t edits_between(const char *a, const char *b)
{
	const size_t m = strlen(b);
	size_t row[LONGEST];
	size_t i, j;

	if (m >= LONGEST || strlen(a) >= LONGEST)
		return LONGEST;
	for (j = 0; j <= m; j++)
		row[j] = j;
	for (i = 0; a[i] != '\0'; i++) {
		size_t corner = row[0];

		row[0] = i + 1;
		for (j = 1; j <= m; j++) {
			const size_t changed = corner + (a[i] != b[j - 1]);
			const size_t other = 1 + (row[j] < row[j - 1] ? row[j] : row[j - 1]);

			corner = row[j];
			row[j] = changed < other ? changed : other;
		}
	}
	return row[m];
}

static bool is_like(const char *word, const char *name)
{
	if (strlen(name) >= SHORTEST_PART && strstr(word, name) != NULL)
		return true;
	if (strlen(word) >= SHORTEST_PART && strstr(name, word) != NULL)
		return true;
	return strlen(name) > 2 && edits_between(word, name) <= (strlen(word) < SHORT ? 1u : 2u);
}

static void list_names(struct buf *out, const char *const *names, size_t n,
		       const char *like)
{
	const char *between = "";
	size_t i;

	for (i = 0; i < n; i++)
		if (like == NULL || is_like(like, names[i])) {
			buf_printf(out, "%s%s", between, names[i]);
			between = ", ";
		}
}

enum err_code field_unknown(const struct ini *ini, size_t line, const char *what,
			    const char *word, const char *const *names, size_t n,
			    struct err *e)
{
	struct buf known = BUF_INIT;

	list_names(&known, names, n, word);
	if (known.len > 0) {
		ini_error(ini, line, e, "There is no %s '%s'; did you mean %s?", what, word,
			  buf_text(&known));
	} else {
		list_names(&known, names, n, NULL);
		ini_error(ini, line, e, "There is no %s '%s'; use one of: %s.", what, word,
			  buf_text(&known));
	}
	buf_release(&known);
	return ERR_FORMAT;
}

/* The section's keys, or with NULL the sections; for the caller to free the list. */
static const char **known_names(const struct field *table, size_t n, const char *section,
				size_t *count)
{
	const char **names = mem_array(n, sizeof *names);
	size_t i;

	*count = 0;
	for (i = 0; i < n; i++) {
		if (section != NULL && text_casecmp(table[i].section, section) == 0)
			names[(*count)++] = table[i].key;
		if (section == NULL && (*count == 0 ||
					strcmp(names[*count - 1], table[i].section) != 0))
			names[(*count)++] = table[i].section;
	}
	return names;
}

static const struct field *find_field(const struct field *table, size_t n,
				      const char *section, const char *key)
{
	size_t i;

	for (i = 0; i < n; i++)
		if (text_casecmp(table[i].section, section) == 0 &&
		    text_casecmp(table[i].key, key) == 0)
			return &table[i];
	return NULL;
}

static enum err_code read_key(const struct ini *ini, const struct ini_section *s,
			      const struct ini_key *k, const struct field *f, void *into,
			      struct err *e)
{
	struct err why = ERR_INIT;
	enum err_code code = ini_key_once(ini, s, k, e);

	if (code == ERR_NONE) {
		code = f->set(f, into, k->value, &why);
		if (code != ERR_NONE)
			ini_error(ini, k->line, e, "%s", why.text);
	}
	return code;
}

enum err_code fields_read_section(const struct ini *ini, const struct ini_section *s,
				  const struct field *table, size_t n, void *into, struct err *e)
{
	enum err_code code = ERR_NONE;
	const char **keys;
	size_t count;
	size_t i;

	keys = known_names(table, n, s->name, &count);
	for (i = 0; i < s->count && code == ERR_NONE; i++) {
		const struct ini_key *k = &s->keys[i];
		const struct field *f = find_field(table, n, s->name, k->name);

		if (f == NULL)
			code = field_unknown(ini, k->line, "key", k->name, keys, count, e);
		else
			code = read_key(ini, s, k, f, into, e);
	}
	free(keys);
	return code;
}

enum err_code fields_read(const struct ini *ini, const struct field *table, size_t n,
			  void *into, struct err *e)
{
	enum err_code code = ERR_NONE;
	const char **sections;
	size_t count;
	size_t i, k;

	sections = known_names(table, n, NULL, &count);
	for (i = 0; i < ini->count && code == ERR_NONE; i++) {
		const struct ini_section *s = &ini->sections[i];

		if (s->line == 0) {
			code = ini_error(ini, s->keys[0].line, e, "'%s' is in no section; put "
					 "[%s] before it.", s->keys[0].name, sections[0]);
			break;
		}
		for (k = 0; k < count && text_casecmp(sections[k], s->name) != 0; k++)
			;
		if (k == count)
			code = field_unknown(ini, s->line, "section", s->name, sections, count, e);
		if (code == ERR_NONE)
			code = ini_section_once(ini, s, e);
		if (code == ERR_NONE)
			code = fields_read_section(ini, s, table, n, into, e);
	}
	free(sections);
	return code;
}
