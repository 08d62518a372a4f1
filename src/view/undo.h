/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Changing marks so that it can be taken back: every change is saved at once. */
#ifndef VIEW_UNDO_H
#define VIEW_UNDO_H

#include "view/state.h"

/* To call before a change of the marks of a source. False when they must not change. */
bool undo_begin(struct view *v, size_t source);

/* To call after it: writes the file; on failure takes the change back. */
bool undo_commit(struct view *v, size_t source);

/*
 * Takes the last change back, and saves.  False when there is none; where it cannot be
 * saved nothing changes, and it can be tried again.
 */
bool undo_last(struct view *v);

void undo_release(struct view *v);

#endif
