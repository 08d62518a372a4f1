/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Which finding may be the cause of others at the same place.  Nothing is hidden for it: that
 * one thing may follow from another is said beside it, and no more.
 */
#ifndef JUDGE_CHECK_CAUSE_H
#define JUDGE_CHECK_CAUSE_H

#include "judge/check.h"

/*
 * Sets finding.cause in all findings, which must be sorted and stay where they are: the
 * severest finding of the same pull that the table knows as a cause of it, that does not
 * begin later (half a second aside, for sensors that lag) and that overlaps it or ended no
 * more than half a second before it.
 */
void check_cause_find(struct check_report *r);

#endif
