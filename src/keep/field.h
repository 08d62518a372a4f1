/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * INI files whose keys are the members of a struct: one table row a key.
 * What the table does not have, and what is there twice, is an error with its line.
 */
#ifndef KEEP_FIELD_H
#define KEEP_FIELD_H

#include <stddef.h>

#include "base/err.h"
#include "base/ini.h"

struct field;

/* Stores what the value says at into + field.offset; refuses in a sentence without a place. */
typedef enum err_code (*field_set)(const struct field *f, void *into, const char *value,
				   struct err *why);

struct field {
	const char *section;
	const char *key;
	field_set set;
	size_t offset;
	double least;		/* numbers outside are refused */
	double most;
};

/* For table rows. */
enum err_code field_number(const struct field *f, void *into, const char *value,
			   struct err *why);	/* double */
enum err_code field_number_or_off(const struct field *f, void *into, const char *value,
				  struct err *why);	/* double, NaN for "off" */
enum err_code field_text(const struct field *f, void *into, const char *value,
			 struct err *why);	/* char *, clean for terminals; not empty */

/*
 * n bytes as a number in f's range, the decimal mark a point whatever the locale.
 * `what` is what the sentence calls it.
 */
enum err_code field_parse(double *out, const struct field *f, const char *what,
			  const char *text, size_t n, struct err *why);

/* Stores every key of the file, in its order; stops at the first that is wrong. */
enum err_code fields_read(const struct ini *ini, const struct field *table, size_t n,
			  void *into, struct err *e);

/* The same of one section. */
enum err_code fields_read_section(const struct ini *ini, const struct ini_section *s,
				  const struct field *table, size_t n, void *into,
				  struct err *e);

/*
 * ERR_FORMAT: the word on this line is none of the n names.  The sentence has those that
 * are like it, or all.  `what` is what they are: "key".
 */
enum err_code field_unknown(const struct ini *ini, size_t line, const char *what,
			    const char *word, const char *const *names, size_t n,
			    struct err *e);

#endif
