/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One column of a log: a number or a missing value a row, or states (words).
 *
 * Samples are reached only through column_get() and column_at(), never through
 * a pointer into the column, so that how a column stores them is nobody
 * else's business.
 */
#ifndef DATA_COLUMN_H
#define DATA_COLUMN_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"

enum column_kind {
	COLUMN_EMPTY,	/* no value in any row */
	COLUMN_NUMBER,
	COLUMN_STATE,	/* words; the samples are 0, 1, 2, ... into the words */
};

struct column;

struct column *column_new(void);
void column_free(struct column *c);

/* Appends one row.  NaN is missing.  False when memory is out. */
bool column_push(struct column *c, double v);

/* Makes it a state column: takes ownership of words[n] and of each word. */
void column_set_words(struct column *c, char **words, size_t n);

/* The most digits behind the decimal mark that the file has in this column. */
void column_set_decimals(struct column *c, int decimals);
int column_decimals(const struct column *c);

enum column_kind column_kind(const struct column *c);
size_t column_rows(const struct column *c);
size_t column_samples(const struct column *c);	/* rows that are not missing */

/* Copies rows from .. from+n-1 into out[n]; missing rows are NaN. */
void column_get(const struct column *c, size_t from, size_t n, double *out);
double column_at(const struct column *c, size_t row);

/* The word of a state sample; "" when there is none of that number. */
const char *column_word(const struct column *c, double state);

#endif
