/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Holding one measure against one check's limits.
 *
 * What is over a limit is a run of samples over it.  Neighbouring runs with so little between
 * them, in time and in how far it falls short, that the whole is still over the limit, are
 * one: so noise does not cut an event into pieces.  (Runs are joined by the rule of maximal
 * scoring subsequences of Ruzzo and Tompa, 1999, from memory, within CHECK_JOIN_S.)
 * A run counts when it holds two samples and lasts as long as the check asks; a sample
 * stands for an interval, and half an interval is allowed for where it fell.  A note that is
 * thin (check.h) is not given, but for a guess about something that need not last.
 */
#ifndef JUDGE_CHECK_JUDGE_H
#define JUDGE_CHECK_JUDGE_H

#include "judge/check.h"
#include "judge/measure.h"

#define CHECK_JOIN_S 0.3

/* Leaves in the measure only the finite samples that the check's gates let through. */
void check_gate_apply(const struct check *c, const struct scene *s, struct series *v);

/*
 * Adds findings to the report: at each place the severest level only.  Fails only for
 * memory.
 */
enum err_code check_judge(struct check_report *out, const struct check *c,
			  const struct scene *s, const struct measure *m,
			  const struct limit *limit, struct err *e);

/* Adds a guide for each level that can be drawn.  Fails only for memory. */
enum err_code check_guide(struct check_report *out, const struct check *c,
			  const struct scene *s, const struct measure *m,
			  const struct limit *limit, struct err *e);

#endif
