/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a single cell of a log says: a number, a time, nothing, or words. */
#ifndef DATA_CSV_CELLS_H
#define DATA_CSV_CELLS_H

#include <stdbool.h>
#include <stddef.h>

#include "data/clock.h"
#include "data/csv_group.h"

enum csv_cell_kind {
	CSV_CELL_EMPTY,		/* nothing at all */
	CSV_CELL_MISSING,	/* a word for "no value": NaN, n/a, -, inf, ... */
	CSV_CELL_NUMBER,
	CSV_CELL_GROUPED,	/* "1.234" where the comma is the decimal mark: 1234, if that
				 * is sure; else a word */
	CSV_CELL_SUFFIXED,	/* a number with letters behind it: "100kPa", "74 %" */
	CSV_CELL_CLOCK,
	CSV_CELL_WORD,
};

struct csv_value {
	double number;		/* of a number, with or without a suffix */
	int decimals;		/* digits behind its mark */
	enum csv_group group;	/* marks between its thousands */
	const char *suffix;	/* in the cell, not terminated */
	size_t suffix_length;
	enum clock_form form;	/* of a clock */
	struct clock_stamp stamp;
};

/* *v holds only what the kind says. */
enum csv_cell_kind csv_cell_read(const char *s, size_t n, char decimal, struct csv_value *v);

/* A grouped number becomes a number where the decimal mark is sure, else a word. */
enum csv_cell_kind csv_cell_settle(enum csv_cell_kind kind, bool decimal_sure);

/* Case aside, for cells: 0 when s[n] is the word. */
bool csv_cell_is(const char *s, size_t n, const char *word);

#endif
