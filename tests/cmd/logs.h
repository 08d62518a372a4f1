/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small logs whose numbers are known, for the tests of the command line. */
#ifndef TESTS_CMD_LOGS_H
#define TESTS_CMD_LOGS_H

#include "run.h"

/*
 * One pull at 20 rows a second, 2 s of rolling before and after it.  In the pull
 * engine speed rises from 2000 to 6500 rpm by rise rpm a second; gauge boost is
 * (rpm - spool_from) / 10 kPa, from 0 to top; lambda is 0.85, lambda_top above
 * 6000 rpm; cylinder 2 has a knock retard of knock degrees from 5000 to 5200 rpm.
 */
struct log_how {
	double rise;
	double spool_from;
	double top;
	double lambda_top;
	double knock;
	int gear;		/* 0: neither gear nor road speed is logged */
	double starts;		/* s on the clock of the first row */
};

extern const struct log_how log_before;
extern const struct log_how log_after;

void log_write(const struct place *p, const char *name, const struct log_how *how);

/* before.csv and after.csv */
void log_write_both(const struct place *p);

#endif
