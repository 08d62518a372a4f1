/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The state of the viewer as cells.
 *
 *   header     which pulls are A and B, and the axis
 *   lanes      name and scale | traces | values at the cursor
 *   strip      marks and pulls along the axis, where there are any
 *   ruler      the axis, the span and both cursors
 *   span       what lies between the cursors
 *   status     a message, or where the cursors are
 *   keys       the most used keys, or the prompt
 */
#ifndef VIEW_FRAME_H
#define VIEW_FRAME_H

#include "draw/canvas.h"
#include "view/state.h"

/* Where things are on the canvas. */
struct layout {
	struct rect lanes;	/* all of them, with names and values */
	int name_cols;		/* left of the traces */
	int value_cols;		/* right of the traces, 0 on a narrow screen */
	int values;		/* cursors whose values fit there: 1, 2, or 3 with 2-1 */
	int strip_row;		/* -1: none */
	int ruler_row;		/* two rows */
	int span_row;
	int status_row;
	int key_row;
	struct rect panel;	/* stats or values: rows is 0 when closed */
};

/* Draws everything over the canvas, which has the state's size. */
void frame_draw(struct view *v, struct canvas *c);

/* Where the hardware cursor belongs: the active item, which screen readers speak. */
void frame_caret(struct view *v, int *row, int *col);
struct layout frame_layout(struct view *v);

/* frame_lanes.c */
void frame_lanes(struct view *v, struct canvas *c, const struct layout *l);
int frame_column(const struct view *v, double position);	/* of the traces; -1 outside */

/* frame_foot.c */
void frame_header(struct view *v, struct canvas *c);
void frame_strip(struct view *v, struct canvas *c, const struct layout *l);
void frame_ruler(struct view *v, struct canvas *c, const struct layout *l);
void frame_foot(struct view *v, struct canvas *c, const struct layout *l);
bool frame_needs_strip(struct view *v);

/* frame_panel.c */
void frame_panel(struct view *v, struct canvas *c, const struct layout *l);
int frame_panel_rows(struct view *v, int available);

/* frame_list.c */
void frame_list(struct view *v, struct canvas *c, const struct layout *l);

#endif
