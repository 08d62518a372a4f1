/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows of the list of findings.  Internal to view/lists. */
#ifndef VIEW_LIST_FINDINGS_H
#define VIEW_LIST_FINDINGS_H

#include "view/state.h"

/* A summary a side, the findings, then the checks that did not run. */
size_t list_finding_rows(const struct view *v);
enum style list_finding_row(struct view *v, size_t i, struct buf *out);

/* The row to begin at: the severest finding. */
size_t list_finding_first(const struct view *v);

/* A finding in full and what to look at next; why a check did not run. */
void list_finding_more(struct view *v, size_t i, struct buf *out);
const char *list_finding_caution(const struct view *v);

void list_finding_go(struct view *v, size_t i);
void list_finding_mark(struct view *v, size_t i);

#endif
