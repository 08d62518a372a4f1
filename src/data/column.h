/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One column of a log: a number or a missing value a row, or states (words).
 *
 * Samples are reached only through column_get() and column_at(), never through
 * a pointer into the column: they are stored in packed blocks (packed.h), and
 * unpacked where they are asked for, bit for bit as they were read.
 */
#ifndef DATA_COLUMN_H
#define DATA_COLUMN_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "data/packed.h"

enum column_kind {
	COLUMN_EMPTY,	/* no value in any row */
	COLUMN_NUMBER,
	COLUMN_STATE,	/* words; the samples are 0, 1, 2, ... into the words */
};

struct column;

struct column *column_new(void);
void column_free(struct column *c);

/*
 * The same rows again, words left out; blocks in a pool are shared with c, and the pool
 * is to be held.  NULL when memory is out.
 */
struct column *column_copy(const struct column *c);

/* Appends one row.  NaN is missing.  False when memory is out. */
bool column_push(struct column *c, double v);

/*
 * Appends the rows of a block whose bytes belong to a pool that lives at least as long.
 * False when memory is out.
 */
bool column_append(struct column *c, const struct packed *block);

/* Packs the rows pushed last, too, when no more are to come.  False: no memory. */
bool column_seal(struct column *c);

/* Makes it a state column: takes ownership of words[n] and of each word. */
void column_set_words(struct column *c, char **words, size_t n);

/* The same with `text`: n words, each terminated, one behind the other. */
void column_take_words(struct column *c, char *text, size_t n);

/* The most digits behind the decimal mark that the file has in this column. */
void column_set_decimals(struct column *c, int decimals);
int column_decimals(const struct column *c);

enum column_kind column_kind(const struct column *c);
size_t column_rows(const struct column *c);
size_t column_samples(const struct column *c);	/* rows that are not missing */

/*
 * Copies rows from .. from+n-1 into out[n]; missing rows are NaN.  Far quicker than
 * asking for each row with column_at().
 */
void column_get(const struct column *c, size_t from, size_t n, double *out);
double column_at(const struct column *c, size_t row);

/* Walks the rows in order, by blocks. */
#define COLUMN_WALK 256

struct column_walk {
	const struct column *column;
	size_t row;		/* of the next */
	double block[COLUMN_WALK];
};

void column_walk_init(struct column_walk *w, const struct column *c);

/* The next row's value; false behind the last. */
bool column_walk_next(struct column_walk *w, double *v);

/* The word of a state sample; "" when there is none of that number. */
const char *column_word(const struct column *c, double state);

#endif
