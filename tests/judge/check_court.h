/* SPDX-License-Identifier: GPL-3.0-or-later */
/* For the tests of check_judge.c: a made-up check, and one measure to hold against it. */
#ifndef TEST_CHECK_COURT_H
#define TEST_CHECK_COURT_H

#include "calc/calc_util.h"

#include "judge/check_judge.h"

#define STEP 0.05
#define MOST 400

/* A pull in which engine speed rises from 2000 rpm by 500 rpm a second; a made-up check. */
struct court {
	double t[MOST];
	double v[MOST];
	size_t n;
	struct datalog *log;
	struct run run;
	struct scene scene;
	struct channel channel;
	struct check check;
	struct limit limit;
	struct measure measure;
	struct check_report report;
};

double court_rpm(double t);
void open_court(struct court *c, size_t n);
void close_court(struct court *c);

/* Rows first .. last get the value. */
void court_put(struct court *c, size_t first, size_t last, double value);

/* Makes the report anew from the values. */
void court_judge(struct court *c);

void court_assert_finding(const struct finding *f, enum severity severity, size_t first, size_t last);

#endif
