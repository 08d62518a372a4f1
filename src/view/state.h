/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The state of the viewer, without a terminal: what is loaded, what is seen,
 * where the cursors are.  Actions change it (action.h), frame.h draws it, and
 * whatever drives it (curses, a key script, a test) knows nothing else.
 */
#ifndef VIEW_STATE_H
#define VIEW_STATE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"
#include "base/err.h"
#include "calc/load.h"
#include "calc/overlay.h"
#include "calc/pairing.h"
#include "calc/stats.h"
#include "draw/glyph.h"
#include "draw/theme.h"
#include "draw/trace.h"
#include "judge/check.h"
#include "judge/checking.h"
#include "keep/marks.h"
#include "view/lane_data.h"
#include "view/prompt.h"

#define VIEW_LEAST_ROWS 12
#define VIEW_LEAST_COLS 40

/* What is still to come of a source: see refresh.h. */
enum coming {
	COMING_NONE,
	COMING_REST,		/* the file is being read */
	COMING_LIVE,		/* the logger is writing it */
};

/* One loaded file with its marks; A and B may be two pulls of one source. */
struct source {
	char *path;
	struct loaded loaded;
	struct marks marks;
	bool marks_locked;	/* the marks file could not be read: never write over it */
	enum coming coming;
	double share;		/* of the file that is read; NaN where that is not known */
	double silent_s;	/* of a live log: nothing has come for so long; 0: no matter */
	const char *remark;	/* shown in their place, or NULL; borrowed */
};

/*
 * What is under each point column of a lane, kept for the next frame: most show the same
 * window, when a cursor moved or a message came.
 */
struct lane_columns {
	struct extent *of[SIDES];	/* [count]; of A and B, or of the difference alone; or NULL */
	size_t count;
	double from;		/* the window that they are of */
	double to;
};

/* Statistics of A, B and B-A over a span, kept likewise. */
struct lane_stats {
	struct stats of[SIDES + 1];
	double from;
	double to;
	bool is_known;
};

/* A horizontal strip: one pair of channels, or the difference of it. */
struct lane {
	size_t pair;		/* into view.pairs */
	bool shown;
	bool delta;		/* B-A instead of A and B */
	int rows;		/* 0: as many as fit */
	struct lane_data data;	/* loaded when first drawn */
	unsigned long awaited;	/* the errand that loads them, or 0 */
	struct lane_columns columns;	/* as last drawn */
	struct lane_stats stats;	/* as last computed */
	struct scale scale;
	bool scaled;		/* by hand: kept over new data */
	bool loaded;		/* the data are of the present runs */
	bool fitted;		/* difference and scale are of the present axis */
};

enum panel {
	PANEL_NONE,
	PANEL_STATS,		/* statistics of the span for the chosen lane */
	PANEL_VALUES,		/* every lane's values at both cursors */
	PANEL_SPOOL,		/* where boost reaches its levels */
	PANEL_LANES,		/* lists over the whole lane area, from here on */
	PANEL_PULLS,
	PANEL_MARKS,
	PANEL_FINDINGS,
	PANEL_HELP,
};

struct list {
	size_t selected;	/* among the rows that the filter lets through */
	size_t top;
	char *filter;		/* "" for none */
};

/* One finding: number `at` of the report of a side. */
struct spot {
	enum side side;
	size_t at;
};

/* The marks of one source as they were before a change. */
struct undo {
	size_t source;
	struct marks before;
};

/* What a finding is, however often it is judged. */
struct finding_name {
	enum side side;
	enum check_id check;	/* CHECK_COUNT: none */
	size_t pull;
	double from_s;
};

enum judging_state {
	JUDGING_OVER,
	JUDGING_DUE,		/* once the picture without it is on the screen */
	JUDGING_ON,		/* in the background */
};

/* What makes a message go, where no key does before. */
enum message_until {
	UNTIL_KEY,
	UNTIL_JUDGED,
	UNTIL_PULL_IS_PAST,	/* of a live log seen whole; it is kept up to date */
};

struct view {
	struct source sources[SIDES];
	size_t source_count;
	size_t source_of[SIDES];	/* which source a side is from */
	struct overlay overlay;
	enum unit_system units;
	struct pairing pairs;

	struct lane *lanes;	/* in the order shown, hidden ones among them */
	size_t lane_count;
	size_t lane_cap;
	struct errands *loader;	/* loads lanes in the background; borrowed; NULL: at once */
	size_t rows_at_once;	/* of A and B: those of shorter runs are loaded at once, too */
	size_t chosen;		/* lane; lane_count when none is shown */
	size_t top;		/* first lane on screen */

	double from;		/* what of the axis is on screen */
	double to;
	double cursor[2];
	int active;		/* cursor that the arrows move */
	bool span_on;		/* a span was begun; without one there is only cursor 1 */
	int wanted_axis;	/* as in view_start */
	bool lanes_named;	/* the lanes were asked for by name */
	bool program_chose[SIDES];	/* the run, no person did */
	enum side mark_side;	/* whose marks `mark` adds to */
	size_t mark_source;	/* the mark last gone to */
	size_t mark_at;

	const struct limits *limits;	/* borrowed, like the car */
	const struct car *car;
	struct checking *checking;	/* judges in the background; borrowed; NULL: at once */
	enum judging_state judging;	/* the findings are not known until it is over */
	struct check_report findings[SIDES];	/* of the run of each side; empty without one */
	char *not_judged;	/* why nothing is; NULL: it is */
	char *unjudged[SIDES];	/* why there is no report; NULL where there is one, or no run */
	struct spot *spots;	/* all findings of both, the severest first */
	size_t spot_count;
	size_t spot_cap;
	bool judge_all;		/* a person asked for live whole logs of many pulls */
	size_t spot_at;		/* the finding last gone to; SIZE_MAX: none yet */
	struct finding_name stood;	/* the same while it is judged anew */
	size_t stood_row;	/* of the list of findings */
	bool lanes_owed;	/* of findings not known when the lanes were chosen */

	enum panel panel;
	struct list list;
	struct prompt prompt;
	struct undo *undo;
	size_t undo_count;
	size_t undo_cap;
	struct mark draft;	/* the mark whose title or note is being typed */
	size_t draft_source;	/* of which source */
	size_t draft_at;	/* which one is being changed; SIZE_MAX: a new one */

	char *message;		/* for the status line, until the next key at the latest */
	bool message_bad;
	enum message_until message_until;
	bool greeting;		/* until the first key the status line says what was found */
	bool quit;
	bool still;		/* drawing a picture to keep: see still.h */
	int rows;		/* of the screen */
	int cols;
	int plot_cols;		/* columns of the lanes, as last laid out */
	int lane_rows;		/* rows for lanes, as last laid out */
	const struct glyphs *glyphs;
	bool ascii;		/* plain ASCII text in all labels */
};

/*
 * Takes over up to two loaded logs (`b` may be NULL) and shows the runs that the
 * references mean.  Where both paths are the same file pass it once and give both
 * references.  On failure the logs stay the caller's.
 */
struct view_start {
	struct loaded *a;
	struct loaded *b;	/* NULL: no B, or B is another pull of A's file */
	const struct log_ref *ref_a;
	const struct log_ref *ref_b;	/* NULL: no B */
	enum unit_system units;
	enum align align;
	double crossing;	/* rpm, or NaN */
	double nudge;
	int axis;		/* an enum axis_kind, or -1: the program chooses */
	enum glyph_set glyphs;
	const char *channels;	/* comma-separated lanes to show, or NULL */
	const struct limits *limits;	/* never NULL; the caller keeps both until view_free() */
	const struct car *car;
	const char *not_judged;	/* why nothing is judged, copied; NULL: it is */
	struct checking *checking;	/* ended before view_free(); NULL: it is judged at once */
	struct errands *loader;	/* of lane_errands, ended after view_free(); NULL: none */
	size_t rows_at_once;	/* 0: as many as nobody notices */
	bool whole_alone;	/* a log alone, no pull named, opens whole with its pulls */
	enum coming coming[SIDES];	/* of a and b */
	int rows;
	int cols;
};

enum err_code view_new(struct view **out, const struct view_start *start, struct err *e);
void view_free(struct view *v);

/* Another size of the screen; cursors and window keep their positions. */
void view_resize(struct view *v, int rows, int cols);

/* A message, until the next key: message_until may be set to another end after it. */
void view_say(struct view *v, const char *format, ...) ERR_PRINTF(2, 3);
void view_complain(struct view *v, const char *format, ...) ERR_PRINTF(2, 3);
void view_hush(struct view *v);

/* The run of a side; its log is NULL for B where there is none. */
struct run *view_run(struct view *v, enum side side);
struct source *view_source(struct view *v, enum side side);
bool view_has_b(const struct view *v);

/* Changes the pull of a side (RUN_WHOLE: the log), and everything that follows from it. */
enum err_code view_choose_pull(struct view *v, enum side side, size_t source, size_t number,
			       struct err *e);

/* After a change of axis or alignment: maps, lanes, window and cursors, kept where they mean
 * the same instant of A (or B). */
bool view_set_axis(struct view *v, enum axis_kind axis);

/* Engine speed can be the axis only where it rises in every run. */
bool view_has_axis(const struct view *v, enum axis_kind axis);
void view_realign(struct view *v);

/* The whole axis on screen. */
void view_fit(struct view *v);

/* Shows positions from .. to, NaN for an open end; false when no data is there. */
bool view_window(struct view *v, double from, double to);

/*
 * Opens the window afresh for the present runs: on the axis asked for (an enum axis_kind,
 * -1: what suits them), all of it on screen.
 */
void view_open_window(struct view *v, int axis);

/* An instant of A (or, where A has none, of B): kept over changes of axis and runs. */
struct instant {
	enum side side;
	double time;		/* of the log; NaN: nowhere */
};

struct instant view_instant(struct view *v, double position);

/* Where it is on the axis; NaN where it is nowhere. */
double view_position(struct view *v, struct instant at);

/*
 * The span between the cursors, ordered; without one, what is on screen of what A
 * and B both cover, or, if nothing is, all that is on screen.
 */
void view_span(const struct view *v, double *from, double *to);

/* Sets both cursors and begins a span; the cursor in `active` is moved by the arrows. */
void view_set_span(struct view *v, double from, double to, int active);

/* Keeps the window within the data and the active cursor within the window. */
void view_clamp(struct view *v);

#endif
