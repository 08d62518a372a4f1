/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * INI files.  inih reads the keys.  Section names are taken from the line itself, because
 * inih cuts them at 49 bytes and at the first ']', and people name things freely.
 */
#include "base/ini.h"

#include <ctype.h>
#include <ini.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/mem.h"
#include "base/path.h"
#include "base/text.h"

struct reader {
	struct ini *ini;
	const char *next;	/* the rest of the file, from the next line on */
	size_t line;		/* that inih is at, from 1 */
	const char *what;
	struct err *e;
};

static bool is_space(char c)
{
	return isspace((unsigned char)c);	/* as inih has it */
}

static void add_section(struct ini *ini, size_t line, const char *name, size_t n)
{
	mem_grow(&ini->sections, &ini->cap, ini->count + 1, sizeof *ini->sections);
	ini->sections[ini->count++] = (struct ini_section){
		.line = line, .name = mem_strndup(name, n),
	};
}

static void say_no_ini(struct reader *r, size_t line)
{
	r->ini->wrong_line = line;
	err_set(r->e, ERR_FORMAT, "Neither a [%s] nor KEY = VALUE.", r->what);
}

/* The line is trimmed and begins with '['. */
static void begin_section(struct reader *r, const char *line, size_t n)
{
	size_t end = n - 1;
	size_t from = 1;

	if (n < 2 || line[end] != ']') {
		say_no_ini(r, r->line);
		return;
	}
	while (from < end && is_space(line[from]))
		from++;
	while (end > from && is_space(line[end - 1]))
		end--;
	add_section(r->ini, r->line, line + from, end - from);
}

/* Bytes of the line before its comment: as inih has it, but long ones do no harm. */
static size_t before_comment(const char *line, size_t n)
{
	size_t i;

	if (n > 0 && (line[0] == '#' || line[0] == ';'))
		return 0;
	for (i = 1; i < n; i++)
		if (line[i] == ';' && is_space(line[i - 1]))
			return i;
	return n;
}

/* The next line and its length; without its end, which may be \n, \r\n or \r. */
static const char *next_line(struct reader *r, size_t *n)
{
	const char *line = r->next;

	*n = strcspn(line, "\r\n");
	r->next = line + *n;
	if (*r->next == '\r')
		r->next++;
	if (*r->next == '\n')
		r->next++;
	r->line++;
	return line;
}

/*
 * An ini_reader: the next line, without the blanks before it (inih would take it
 * for the continuation of the line above).
 */
static char *read_line(char *out, int room, void *stream)
{
	struct reader *r = stream;
	const char *line;
	size_t n;

	if (*r->next == '\0' || r->ini->wrong_line > 0)
		return NULL;
	line = next_line(r, &n);
	while (n > 0 && is_space(*line)) {
		line++;
		n--;
	}
	n = before_comment(line, n);
	while (n > 0 && is_space(line[n - 1]))
		n--;
	if (n + 2 > (size_t)room) {
		r->ini->wrong_line = r->line;
		err_set(r->e, ERR_FORMAT, "The line is longer than %d bytes; shorten it.", room - 2);
		n = 0;
	} else if (n > 0 && *line == '[') {
		begin_section(r, line, n);
		n = 0;
	}
	memcpy(out, line, n);
	memcpy(out + n, "\n", 2);
	return out;
}

/* An ini_handler. */
static int take_key(void *user, const char *section, const char *key, const char *value)
{
	struct reader *r = user;
	struct ini_section *s;

	(void)section;
	if (r->ini->count == 0)
		add_section(r->ini, 0, "", 0);
	s = &r->ini->sections[r->ini->count - 1];
	mem_grow(&s->keys, &s->cap, s->count + 1, sizeof *s->keys);
	s->keys[s->count++] = (struct ini_key){
		.line = r->line, .name = mem_strdup(key), .value = mem_strdup(value),
	};
	return 1;
}

static void drop_key(struct ini_section *s)
{
	s->count--;
	free(s->keys[s->count].name);
	free(s->keys[s->count].value);
}

static void drop_section(struct ini *ini)
{
	struct ini_section *s = &ini->sections[--ini->count];

	while (s->count > 0)
		drop_key(s);
	free(s->keys);
	free(s->name);
}

/* inih reads on behind a mistake. */
static void drop_from(struct ini *ini, size_t line)
{
	while (ini->count > 0 && ini->sections[ini->count - 1].line >= line)
		drop_section(ini);
	if (ini->count > 0) {
		struct ini_section *s = &ini->sections[ini->count - 1];

		while (s->count > 0 && s->keys[s->count - 1].line >= line)
			drop_key(s);
	}
}

enum err_code ini_not_empty(const struct ini *ini, const char *what, struct err *e)
{
	if (ini->count > 0)
		return ERR_NONE;
	return ini_error(ini, 1, e, "there is no %s in this file: is it a broken copy? Mend it, or "
			 "give the word none instead of a file.", what);
}

void ini_release(struct ini *ini)
{
	while (ini->count > 0)
		drop_section(ini);
	free(ini->sections);
	free(ini->path);
	*ini = (struct ini)INI_INIT;
}

static enum err_code say_nul(struct reader *r)
{
	size_t n;

	while (*r->next != '\0')
		next_line(r, &n);
	/* the NUL is on the line after the last end */
	if (r->line == 0 || r->next[-1] == '\n' || r->next[-1] == '\r')
		r->line++;
	r->ini->wrong_line = r->line;
	return err_set(r->e, ERR_FORMAT, "A NUL byte: this is no plain text; save it as UTF-8.");
}

enum err_code ini_read_memory(struct ini *out, const char *bytes, size_t n,
			      const char *what, struct err *e)
{
	char *text = mem_strndup(bytes, n);
	struct reader r = { .ini = out, .next = text, .what = what, .e = e };
	enum err_code code = ERR_FORMAT;
	int wrong;

	*out = (struct ini)INI_INIT;
	if (strncmp(text, "\xef\xbb\xbf", 3) == 0)
		r.next += 3;
	if (memchr(bytes, '\0', n) != NULL) {
		code = say_nul(&r);
		goto out;
	}
	wrong = ini_parse_stream(read_line, &r, take_key, &r);
	if (wrong > 0 && (out->wrong_line == 0 || (size_t)wrong < out->wrong_line)) {
		say_no_ini(&r, (size_t)wrong);
		drop_from(out, out->wrong_line);
	}
	if (out->wrong_line == 0)
		code = ERR_NONE;
out:
	free(text);
	return code;
}

enum err_code ini_read(struct ini *out, const char *path, struct err *e)
{
	struct buf bytes = BUF_INIT;
	struct err why = ERR_INIT;
	enum err_code code;

	*out = (struct ini)INI_INIT;
	code = path_read_all(path, &bytes, e);
	if (code == ERR_NONE) {
		code = ini_read_memory(out, buf_text(&bytes), bytes.len, "SECTION", &why);
		out->path = mem_strdup(path);
		if (code != ERR_NONE)
			ini_error(out, out->wrong_line, e, "%s", why.text);
	}
	buf_release(&bytes);
	return code;
}

const struct ini_key *ini_find(const struct ini_section *s, const char *name)
{
	size_t i;

	for (i = 0; i < s->count; i++)
		if (text_casecmp(s->keys[i].name, name) == 0)
			return &s->keys[i];
	return NULL;
}

enum err_code ini_error(const struct ini *ini, size_t line, struct err *e,
			const char *format, ...)
{
	char text[sizeof e->text];
	va_list args;

	va_start(args, format);
	vsnprintf(text, sizeof text, format, args);
	va_end(args);
	return err_set(e, ERR_FORMAT, "%s: line %zu: %s", ini->path, line, text);
}

enum err_code ini_section_once(const struct ini *ini, const struct ini_section *s,
			       struct err *e)
{
	const struct ini_section *other;

	for (other = ini->sections; other < s; other++)
		if (other->line > 0 && text_casecmp(other->name, s->name) == 0)
			return ini_error(ini, s->line, e, "[%s] is there already, on line %zu; "
					 "make them one.", s->name, other->line);
	return ERR_NONE;
}

enum err_code ini_key_once(const struct ini *ini, const struct ini_section *s,
			   const struct ini_key *k, struct err *e)
{
	const struct ini_key *first = ini_find(s, k->name);

	if (first == k)
		return ERR_NONE;
	return ini_error(ini, k->line, e, "'%s' is there already, on line %zu; keep one of them.",
			 k->name, first->line);
}
