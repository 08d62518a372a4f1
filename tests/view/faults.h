/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Logs with a fault at known engine speeds, and nothing else that a check could find.
 * For tests of findings on the screen; the fixture is that of view/both.h.
 */
#ifndef TESTS_VIEW_FAULTS_H
#define TESTS_VIEW_FAULTS_H

#include "view/both.h"

/*
 * Pulls from 2000 to 6000 rpm in 8 s, 20 rows a second.  Lambda is 0.80 in them, and `lean`
 * from 4000 to 5000 rpm; its target is 0.83.
 */
struct fault {
	const char *name;	/* of the log */
	double lean;
	double ignition;	/* deg, in the pull */
	int pulls;
};

extern const struct fault healthy, faulty, retarded, twice, idling;

/* Only the absolute limit of lambda is judged: caution 0.88, stop 0.90. */
extern const enum check_id lean_only[];

/* One tall lane, judged by lean_only. */
extern const struct viewer_options lambda_lane;

/*
 * Opens logs of the test's own in place of the fixture's samples; b may be NULL, and
 * ref_a "twice.csv@all" instead of a's name, or NULL.
 */
void open_own(const struct fault *a, const struct fault *b, const char *ref_a,
	      const struct viewer_options *like);

#endif
