/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows of the help.  Internal to view/lists. */
#ifndef VIEW_LIST_HELP_H
#define VIEW_LIST_HELP_H

#include "view/state.h"

size_t list_help_rows(const struct view *v);
enum style list_help_row(struct view *v, size_t i, struct buf *out);

/* Leaves the help and does what the row says. */
void list_help_run(struct view *v, size_t i);

#endif
