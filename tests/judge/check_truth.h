/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The truth file of a log made with --true-values: what every channel would have read at
 * every row without noise, steps, turns and faulty sensors.  See tests/sim/README.md.
 */
#ifndef TEST_CHECK_TRUTH_H
#define TEST_CHECK_TRUTH_H

#include <stdbool.h>
#include <stddef.h>

#define TRUTH_COLUMNS 80
#define TRUTH_PULLS 8

struct true_column {
	char id[24];		/* of the simulator */
	char name[64];		/* as the header has it */
	int every;		/* rows between two readings */
	double *v;		/* [rows], in the simulator's unit */
};

struct true_pull {
	double from_s;		/* of check_truth.t */
	double to_s;
	double rpm_per_kmh;
	bool by_limiter;	/* it ends at the limiter's first cut */
};

struct check_truth {
	size_t rows;
	double *t;		/* [rows], s after the first row */
	struct true_column columns[TRUTH_COLUMNS];
	size_t column_count;
	struct true_pull pulls[TRUTH_PULLS];
	size_t pull_count;
	double limit_rpm;
	double air_kpa;
};

/* False when the file cannot be read or has no true values. */
bool check_truth_read(struct check_truth *out, const char *path);
void check_truth_release(struct check_truth *t);

/* The true values of a channel; NULL when it is not logged. */
const double *check_truth_of(const struct check_truth *t, const char *id);

#endif
