/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which channels the text of a comparison shows, and in which order. */
#ifndef OUT_DIFF_PICK_H
#define OUT_DIFF_PICK_H

#include <stddef.h>

#include "out/out_diff.h"

/*
 * The few that tell most, in the order of the lanes: one of each quantity (of
 * several cylinders, the one that differs most), no target, and not the same
 * thing twice.  Fills at most `most` indices of pairs; returns how many.
 */
size_t diff_pick_first(const struct diff_report *r, size_t *out, size_t most);

/*
 * Those that differ most, the largest first: differences are measured against
 * what is a visible step in the quantity.
 */
size_t diff_pick_largest(const struct diff_report *r, size_t *out, size_t most);

#endif
