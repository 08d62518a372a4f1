/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The state of the viewer as cells.
 *
 *   header     which pulls are A and B, and the axis
 *   lanes      name and scale | traces | values at the cursor
 *   findings   of A and of B along the axis, where there are any
 *   strip      marks and pulls likewise
 *   ruler      the axis, the span and both cursors
 *   span       what lies between the cursors
 *   status     a message, or where the cursors are
 *   keys       the most used keys, or the prompt
 */
#ifndef VIEW_FRAME_H
#define VIEW_FRAME_H

#include "draw/canvas.h"
#include "view/state.h"

#define FRAME_LOADING "loading"	/* where a lane's data will be */

/* Where things are on the canvas. */
struct layout {
	struct rect lanes;	/* all of them, with names and values */
	int name_cols;		/* left of the traces */
	int value_cols;		/* right of the traces, 0 on a narrow screen */
	int values;		/* cursors whose values fit there: 1, 2, or 3 with 2-1 */
	int finding_row[SIDES];	/* -1: none */
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

/* Bytes of the prompt's text that are left of the screen, so that its cursor is on it. */
size_t frame_prompt_skip(const struct view *v);

/* frame_number.c */

/*
 * A number at the right of one row, "-" for NaN, with a sign where it is a difference.
 * One too wide for its place loses decimals, then gets an exponent ("1.23e9"), and is
 * "#" at last: a number without its end would be another number.
 */
void frame_number(struct canvas *c, struct rect r, enum style style, double value, int decimals,
		  bool sign);

/* The value of a lane likewise, or its word. */
void frame_value(const struct view *v, struct canvas *c, struct rect r, enum style style,
		 const struct lane *lane, double value);

/* frame_lanes.c */
void frame_lanes(struct view *v, struct canvas *c, const struct layout *l);
int frame_column(const struct view *v, double position);	/* of the traces; -1 outside */

/* frame_ground.c: regions of findings, limits and targets, for traces to go over */
void frame_ground(struct view *v, struct canvas *c, struct rect r, const struct lane *lane);
/* Columns of the traces that a finding takes; false where it is not on screen. */
bool frame_finding_columns(struct view *v, enum side side, const struct finding *f, int *first,
			   int *last);

/* frame_head.c */
void frame_header(struct view *v, struct canvas *c);

/* frame_foot.c */
void frame_ruler(struct view *v, struct canvas *c, const struct layout *l);
void frame_foot(struct view *v, struct canvas *c, const struct layout *l);

/* frame_strip.c */
void frame_strip(struct view *v, struct canvas *c, const struct layout *l);
bool frame_needs_strip(struct view *v);

/* frame_findings.c */
void frame_findings(struct view *v, struct canvas *c, const struct layout *l);
bool frame_needs_findings(const struct view *v, enum side side);

/* frame_panel.c */
void frame_panel(struct view *v, struct canvas *c, const struct layout *l);
int frame_panel_rows(struct view *v, int available);

/* frame_list.c */
/* Text over up to `rows` rows, broken at blanks; returns the rows taken. */
int frame_wrap(struct canvas *c, struct rect r, enum style style, const char *text);
void frame_list(struct view *v, struct canvas *c, const struct layout *l);

#endif
