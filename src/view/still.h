/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The overlay as a picture to keep: no cursors, no keys; beside each lane its
 * highest values, below it what the axis shows.
 */
#ifndef VIEW_STILL_H
#define VIEW_STILL_H

#include "draw/canvas.h"
#include "view/state.h"

/* A canvas of the view's size, the caller's to free. */
struct canvas *still_draw(struct view *v);

/*
 * The traces as JSON: {"axis","from","to","unit","channels":[{"name","quantity",
 * "unit","a":{"at","time_s","value"},"b":...}]}, the shown lanes' samples within the
 * window; "at" are axis positions.
 */
void still_json(struct view *v, struct buf *out);

#endif
