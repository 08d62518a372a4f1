/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A log that comes bit by bit: putting the newer state of it in place of the older one
 * while a person looks at it.
 *
 * Until the first key the view opens afresh each time, as it would with the log complete.
 * Then what is on screen stays: the window, the cursors, the lanes, a pull that was chosen.
 * Of a log that is still written the newest pull is shown; where a log is alone and whole,
 * the window goes along as long as the cursor stands at its end.
 */
#ifndef VIEW_REFRESH_H
#define VIEW_REFRESH_H

#include "view/state.h"

#define LIVE_WIDTH 60.0		/* s that the window of a live log shows at first */

/*
 * Takes over the newer state of a source.  `anew`: it is another log than before.  On
 * failure (a pull that was asked for is not there) the view stays as it is, and *l the
 * caller's.
 */
enum err_code view_refresh(struct view *v, size_t source, struct loaded *l, bool anew,
			   struct err *e);

/* What is still to come; share: how much of the file is read, NaN where nobody knows. */
void view_coming(struct view *v, size_t source, enum coming coming, double share);

/* A live log from which nothing has come for so long; 0: that is no matter. */
void view_silence(struct view *v, size_t source, double s);

/* A few words to be shown instead, which must stay: "file is gone"; NULL: none. */
void view_remark(struct view *v, size_t source, const char *words);

/* Once, when the view is opened on a log that is still written. */
void view_go_live(struct view *v);

/* "reading 34 %", "live, silent for 10 s"; nothing when all is there. */
void view_coming_text(const struct view *v, struct buf *out);

#endif
