/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For check_oracle.c: what each check looks at, from true values. */
#ifndef TEST_CHECK_ORACLE_VALUE_H
#define TEST_CHECK_ORACLE_VALUE_H

#include "judge/check_oracle.h"

struct oracle_def;

/* Fills o->x; false when a channel is missing. */
typedef bool (*oracle_fn)(struct oracle *o, const struct oracle_def *def,
			  const struct true_pull *pull, const struct oracle_setup *setup);

struct oracle_def {
	enum check_id id;
	const char *primary[2];	/* the first that is logged */
	oracle_fn fn;
	const char *a, *b;	/* further channels, for the function */
	double healthy;		/* NaN: the value is a difference, a share or a time */
	double noise;		/* 1 sd at the usual noise, in the check's unit */
	double fine, coarse;	/* steps of a fine and of a coarse sensor */
	double window_s;
	double least_s;
	double least_hz;
	bool beyond;
};

const struct oracle_def *oracle_def_get(enum check_id id);
bool oracle_values(struct oracle *o, const struct oracle_def *def, const struct true_pull *pull,
		   const struct oracle_setup *setup);

/* The boost target of each row, gauge or absolute; the shift makes it gauge.  NULL: none. */
const double *oracle_boost_target(const struct check_truth *t);
double oracle_target_shift(const struct check_truth *t);

/* Mean over `width_s` about each row that has a value; out must not be v. */
void oracle_smooth(const struct oracle *o, const double *v, double width_s, double *out);

/* Functions that are long enough for a file of their own. */
bool oracle_swing(struct oracle *o, const struct oracle_def *def, const struct true_pull *pull,
		  const struct oracle_setup *setup);
bool oracle_hesitation(struct oracle *o, const struct oracle_def *def,
		       const struct true_pull *pull, const struct oracle_setup *setup);
bool oracle_against(struct oracle *o, const struct oracle_def *def,
		    const struct true_pull *pull, const struct oracle_setup *setup);
bool oracle_slip(struct oracle *o, const struct oracle_def *def, const struct true_pull *pull,
		 const struct oracle_setup *setup);
bool oracle_flow(struct oracle *o, const struct oracle_def *def, const struct true_pull *pull,
		 const struct oracle_setup *setup);
bool oracle_ratio(struct oracle *o, const struct oracle_def *def, const struct true_pull *pull,
		  const struct oracle_setup *setup);
bool oracle_knock_most(struct oracle *o, const struct oracle_def *def,
		       const struct true_pull *pull, const struct oracle_setup *setup);
bool oracle_knock_odd(struct oracle *o, const struct oracle_def *def,
		       const struct true_pull *pull, const struct oracle_setup *setup);
bool oracle_knock_all(struct oracle *o, const struct oracle_def *def,
		       const struct true_pull *pull, const struct oracle_setup *setup);
bool oracle_flat(struct oracle *o, const struct oracle_def *def, const struct true_pull *pull,
		 const struct oracle_setup *setup);

#endif
