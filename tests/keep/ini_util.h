/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the tests of INI files share: a file in a folder of its own, and its errors. */
#ifndef TESTS_INI_UTIL_H
#define TESTS_INI_UTIL_H

#include <stdarg.h>

#include "base/base_util.h"

struct ini_place {
	char *dir;
	char *path;
};

/* A text with a mistake, the line that must be named, and words that must be in it. */
struct ini_mistake {
	const char *text;
	int line;
	const char *words;
};

static inline void ini_setup(struct ini_place *p)
{
	p->dir = new_folder();
	p->path = path_join(p->dir, "some.ini");
}

static inline void ini_teardown(struct ini_place *p)
{
	free(p->path);
	drop_folder(p->dir);
}

/* "PATH: line N: ", the words behind it, and a sentence that ends. */
static inline void ini_check_told(const struct ini_place *p, const struct ini_mistake *m,
				  enum err_code code, const struct err *e)
{
	char *place = mem_printf("%s: line %d: ", p->path, m->line);
	const size_t n = strlen(e->text);

	ck_assert_msg(code == ERR_FORMAT && e->code == ERR_FORMAT, "accepted: %s", m->text);
	ck_assert_msg(strncmp(e->text, place, strlen(place)) == 0, "not on line %d: %s", m->line,
		      e->text);
	ck_assert_msg(strstr(e->text + strlen(place), m->words) != NULL, "'%s' is not in: %s",
		      m->words, e->text);
	ck_assert_msg(n > 0 && strchr(".?)", e->text[n - 1]) != NULL, "no end: %s", e->text);
	free(place);
}

#endif
