/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the checks find in the runs of A and B: judged anew whenever a run changes, and
 * ready to be counted, listed and gone to.
 */
#ifndef VIEW_FINDINGS_H
#define VIEW_FINDINGS_H

#include "base/buf.h"
#include "view/state.h"

/*
 * Has the checks run over both sides; B has A as its baseline where both are pulls.  With
 * view.checking they are only due then, and nothing is known until findings_take().
 */
void findings_judge(struct view *v);
void findings_release(struct view *v);

/*
 * Whole logs of many pulls that are still written wait until a person wants them judged:
 * whether there is one, and wanting it.
 */
bool findings_wait(const struct view *v);
void findings_judge_all(struct view *v);

/* Not known yet what will be found. */
bool findings_are_due(const struct view *v);

/* Begins with what is due: after a picture was shown, which must not wait for it. */
void findings_begin(struct view *v);

/* Takes what has been found meanwhile; nothing, where the view has changed since. */
void findings_take(struct view *v);

/*
 * Shows the lanes of all findings at caution or above: a start must not hide them.  Where
 * they are not known yet it happens then, unless a person chose lanes meanwhile.
 */
void findings_show_lanes(struct view *v);

const struct finding *findings_get(const struct view *v, struct spot spot);

/* The lane that shows the finding's channel, or lane_count. */
size_t findings_lane(const struct view *v, struct spot spot);

/*
 * "4 findings, stop", "no finding", "not judged", "judging"; brief: "4 stop", "0 found", "no pull".
 * While the log is read "5 findings so far, stop", "0 so far", "4+ stop".
 */
void findings_count(const struct view *v, enum side side, bool brief, struct buf *out);

/* "S", "C" and "n", where there is room for one letter. */
char findings_letter(enum severity s);

/* The severest in the channel that a side has in the lane. */
enum severity findings_in_lane(const struct view *v, const struct lane *lane, enum side side);

/* "after.csv@1: 4 findings in 31 checks, the worst at stop; 12 could not run" */
void findings_summary(struct view *v, enum side side, struct buf *out);

/* "6012-6891 rpm", or log times without engine speed; over a whole log with its pull. */
void findings_place(struct view *v, struct spot spot, struct buf *out);

/* "B stop: lean under load, 0.945 at 6694 rpm, limit 0.900 (whose)" */
void findings_words(struct view *v, struct spot spot, struct buf *out);

/* What was found, with the severest by name, in one row of the screen; nothing for nothing. */
void findings_greeting(struct view *v, struct buf *out);

#endif
