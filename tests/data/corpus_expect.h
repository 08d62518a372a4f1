/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The corpus of small logs: each NAME.csv has a NAME.expect beside it, written by
 * hand.  Lines of an expectation, all optional but rows or error:
 *
 *     # what the file shows
 *     options separator=; decimal=, header=4 time=NAME rate=20     (or separator=blank)
 *     error FORMAT part of the message
 *     rows N            bad_rows N   bad_cells N   ragged N   notes N   sections N
 *     time column N     (or: time rows, time rate)
 *     column RAW NAME | RAW UNIT | number, state or empty       (one a channel, in order)
 *     row N | TIME | CELL | CELL ...       (from 1; "-" is missing, states by their word)
 *     note part of a note
 *     bad LINE FIELD TEXT
 *
 * Counts that are not given are 0, but sections 1.
 */
#ifndef TESTS_CORPUS_EXPECT_H
#define TESTS_CORPUS_EXPECT_H

#include <stddef.h>

#include "base/buf.h"
#include "base/err.h"
#include "data/csv_read.h"

#define CORPUS_LINE 256

struct expectation {
	char **lines;		/* without the line ends */
	size_t count;
	struct csv_options options;
	char time_name[CORPUS_LINE];
};

/* The directory of the corpus: under $srcdir (set by automake) or here. */
const char *corpus_path(struct buf *out, const char *name);

/* The names of all files *.csv there, sorted, for the caller to free one by one. */
char **corpus_list(size_t *count);

/* Reads NAME.expect of NAME.csv. */
void expectation_load(struct expectation *x, const char *csv_name);
void expectation_release(struct expectation *x);

/*
 * Compares; appends a line to `wrong` for each difference.  `log` is NULL and `e`
 * filled when reading failed.
 */
void expectation_compare(const struct expectation *x, const struct datalog *log,
			 enum err_code code, const struct err *e, struct buf *wrong);

#endif
