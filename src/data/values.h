/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A rough look at the values of a channel, for recognising it: where most of them
 * lie, and where they lie while the engine does little.
 */
#ifndef DATA_VALUES_H
#define DATA_VALUES_H

#include <stdbool.h>
#include <stddef.h>

#include "data/datalog.h"

struct values {
	size_t n;	/* samples looked at; the others are NaN when it is 0 */
	double low;	/* 1st percentile, so that a single spike tells nothing */
	double mid;	/* median */
	double high;	/* 99th percentile */
};

/*
 * Rows at which the engine does little: pedal (or throttle) near its own lowest
 * value, or, without either, engine speed near idle.
 */
struct low_load {
	size_t rows;
	unsigned char *is;	/* [rows], or NULL when the log has no such rows */
};

void values_look(struct values *out, const struct column *c);

/* Only rows that have is[row]; all rows when `only` is NULL or has no rows. */
void values_look_at(struct values *out, const struct column *c, const struct low_load *only);

/* Uses the quantities that the channels have by now. */
void low_load_init(struct low_load *out, const struct datalog *log);
void low_load_release(struct low_load *l);

#endif
