/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * INI files through inih, as they stand: sections in brackets, `key = value` (or
 * `key: value`), comments behind ';' at the start of a line or after a blank, and on
 * lines that begin with '#'.  What sections and keys mean is the caller's business.
 *
 * Line ends may be those of any system.  A byte order mark is skipped, bytes that are no
 * UTF-8 stay.  A section's name goes to the last ']' of its line.
 */
#ifndef BASE_INI_H
#define BASE_INI_H

#include <stddef.h>

#include "base/err.h"

struct ini_key {
	size_t line;		/* of the file, from 1 */
	char *name;
	char *value;
};

struct ini_section {
	size_t line;		/* 0 for what stands before the first section */
	char *name;		/* "" likewise */
	struct ini_key *keys;
	size_t count;
	size_t cap;
};

struct ini {
	char *path;		/* NULL: from memory */
	struct ini_section *sections;	/* as in the file, repeated ones too */
	size_t count;
	size_t cap;
	size_t wrong_line;	/* of the first line that is no INI; 0: there is none */
};

#define INI_INIT { NULL, NULL, 0, 0, 0 }

/*
 * ERR_FORMAT for a line that is no INI or longer than inih takes, and for a NUL byte:
 * the sentence is without its place, which is in wrong_line, and *out holds what stands
 * before it.  `what` is what the caller's sections are called: "SECTION".
 */
enum err_code ini_read_memory(struct ini *out, const char *bytes, size_t n,
			      const char *what, struct err *e);

/* The same from a file; its sentences begin with "PATH: line N: ".  Also ERR_IO. */
enum err_code ini_read(struct ini *out, const char *path, struct err *e);

/*
 * ERR_FORMAT for a file without any section, which is rather a broken copy than a wish.  `what` is
 * what it should hold: "limit".
 */
enum err_code ini_not_empty(const struct ini *ini, const char *what, struct err *e);

/* In any state after INI_INIT. */
void ini_release(struct ini *ini);

/* NULL when there is none; case aside. */
const struct ini_key *ini_find(const struct ini_section *s, const char *name);

/* ERR_FORMAT, "PATH: line N: " and the sentence. */
enum err_code ini_error(const struct ini *ini, size_t line, struct err *e,
			const char *format, ...) ERR_PRINTF(4, 5);

/*
 * ERR_FORMAT when an earlier section, or an earlier key of this section, has the same
 * name, case aside.  To be called for each in turn, so that the first repeat is found.
 */
enum err_code ini_section_once(const struct ini *ini, const struct ini_section *s,
			       struct err *e);
enum err_code ini_key_once(const struct ini *ini, const struct ini_section *s,
			   const struct ini_key *k, struct err *e);

#endif
