/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Findings in words: the same in `check`, on the screen and in marks.
 *
 * With `ascii` no character beyond ASCII is written; names and sources are cleaned of
 * control characters by whoever shows the text (style_show).
 */
#ifndef OUT_FINDING_TEXT_H
#define OUT_FINDING_TEXT_H

#include "base/buf.h"
#include "data/unit.h"
#include "judge/check.h"

/*
 * The unit in which a finding's numbers are shown: that of its channel (UNITS_FILE) or the
 * system's, where the check's unit can be converted into it; else the check's.  Ratios, per
 * cent among them, stay as the check has them.  NULL where the check has a bare number.
 */
const struct unit *finding_unit(const struct finding *f, enum unit_system system);

/* A value of the finding (worst, limit) in that unit. */
double finding_value(const struct finding *f, double value, const struct unit *unit);

/* How far the worst value is beyond the limit, above 0, in that unit. */
double finding_beyond(const struct finding *f, const struct unit *unit);

/*
 * Decimals that it reads well with: no coarser than the check's in its own unit, and so many
 * more that the worst value and the limit look different.
 */
int finding_decimals(const struct finding *f, const struct unit *unit);

/* "knock retard, cylinder 3"; "lean under load". */
void finding_title(const struct finding *f, struct buf *out);

/* "5160-5290 rpm", "at 5240 rpm"; in log time where engine speed is not known. */
void finding_where(const struct finding *f, struct buf *out);

/* "5.8 deg at 5240 rpm" */
void finding_value_at(const struct finding *f, enum unit_system system, bool ascii,
		      struct buf *out);

/* "5.8 deg at 5240 rpm"; "12.1 kPa at 5240 rpm (2.4 Hz)" where the check tells more. */
void finding_worst(const struct finding *f, enum unit_system system, bool ascii,
		   struct buf *out);

/* "limit 5.0 deg (calibrator of the club hatchback, sheet 3)" */
void finding_limit(const struct finding *f, const struct limits *limits,
		   enum unit_system system, bool ascii, struct buf *out);

/* "over it for 0.40 s, by 0.8 deg at most; 8 samples: clear; shorter than 0.05 s not excluded" */
void finding_trust(const struct finding *f, enum unit_system system, bool ascii,
		   struct buf *out);

/* "may follow from fuel rail pressure below its target, 5960-6810 rpm"; false: from nothing. */
bool finding_cause(const struct finding *f, struct buf *out);

/*
 * Two sentences with all of it: what, where, worst, limit and whose, how long, samples and
 * how sure; a third where it may follow from another finding.  For JSON and for the note of a mark.
 */
void finding_sentence(const struct finding *f, const struct limits *limits,
		      enum unit_system system, bool ascii, struct buf *out);

#endif
