/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which lanes a start shows.  Internal to view/lanes. */
#ifndef VIEW_LANES_FIRST_H
#define VIEW_LANES_FIRST_H

#include "view/state.h"

/* By the order of their quantities; unknown ones last, as the file has them. */
void lanes_sort(struct view *v);

/* A sensible first choice: few, and what a pull is judged by. */
void lanes_choose_first(struct view *v);

/* Exactly the lanes of these pairs, in their order, before all others. */
void lanes_choose_these(struct view *v, const struct pairing *chosen);

#endif
