/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the viewer can write: the span's samples, and the screen itself. */
#ifndef VIEW_EXPORT_H
#define VIEW_EXPORT_H

#include "view/state.h"

/*
 * Appends CSV (RFC 4180): the samples of the shown lanes within the span, one line
 * an instant of A or B: the side, the log's time, the axis position, then a column a
 * lane (name and unit in the header), empty where that channel has no sample.
 */
enum err_code export_span_csv(struct view *v, struct buf *out, struct err *e);

/* The same for all that is on screen. */
enum err_code export_window_csv(struct view *v, struct buf *out, struct err *e);

/* Appends the screen as plain text. */
enum err_code export_picture(struct view *v, struct buf *out, struct err *e);

#endif
