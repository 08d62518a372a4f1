/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where marks and pulls of a log stand on the present axis. */
#ifndef VIEW_WHERE_H
#define VIEW_WHERE_H

#include "view/state.h"

/*
 * The axis positions of a mark for the run of a side.  False when the mark belongs
 * to another source or pull, or lies outside what the run covers.
 */
bool where_mark(struct view *v, enum side side, size_t source, const struct mark *mark,
		double *from, double *to);

/* The same for pull `number` of the side's log, seen from a run that is the whole log. */
bool where_pull(struct view *v, enum side side, size_t number, double *from, double *to);

/*
 * The same for a finding of the side's run.  False where it lies outside of the run (some are
 * behind the pull); then both are the end of the axis that is nearest to it, NaN for no axis.
 */
bool where_finding(struct view *v, enum side side, const struct finding *f, double *from,
		   double *to);

/* Fills axis, from, to and pull of *mark for the span, seen from a side. */
bool where_make(struct view *v, enum side side, double from, double to, struct mark *mark);

#endif
