/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The panels that are lists: channels, pulls, marks, findings, help.  One table says for
 * each what its rows are and what keys do there.
 */
#ifndef VIEW_LISTS_H
#define VIEW_LISTS_H

#include <stdint.h>

#include "view/state.h"

/* Opens the list, nothing filtered, first row selected. */
void list_open(struct view *v, enum panel panel);

/* Lets only rows through that have all these words; "": all rows. */
void list_find(struct view *v, const char *words);

/* True when the list took the key. */
bool list_key(struct view *v, uint32_t key);

const char *list_title(const struct view *v);
const char *list_keys(const struct view *v);	/* for the key line */
const char *list_empty(const struct view *v);	/* where no row is let through */

/* Rows that the filter lets through. */
size_t list_count(struct view *v);

/* What more there is to say of the selected row; nothing in most lists. */
void list_more(struct view *v, struct buf *out);

/* What holds for all rows, one line at the foot of the list; NULL in most lists. */
const char *list_caution(const struct view *v);

/*
 * Appends the text of row i (among those let through) and returns its style.
 */
enum style list_row(struct view *v, size_t i, struct buf *out);

#endif
