/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `view` and `plot` share. */
#include "cmd/viewing.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/num.h"
#include "cmd/report.h"
#include "cmd/session.h"
#include "ui/term.h"

#define LARGEST 1000		/* cells: a canvas is a picture, not a memory test */

static enum err_code set_size(struct options *o, const char *value, struct err *e)
{
	struct viewing *w = o->own;
	const char *x = strchr(value, 'x');
	char cols[8] = "";
	long n_cols, n_rows;

	if (x != NULL && (size_t)(x - value) < sizeof cols)
		memcpy(cols, value, (size_t)(x - value));
	if (x == NULL || !num_parse_int(cols, VIEW_LEAST_COLS, LARGEST, &n_cols) ||
	    !num_parse_int(x + 1, VIEW_LEAST_ROWS, LARGEST, &n_rows))
		return err_set(e, ERR_USAGE, "must be COLUMNSxROWS, from %dx%d to %dx%d",
			       VIEW_LEAST_COLS, VIEW_LEAST_ROWS, LARGEST, LARGEST);
	w->cols = (int)n_cols;
	w->rows = (int)n_rows;
	return ERR_NONE;
}

static enum err_code set_glyphs(struct options *o, const char *value, struct err *e)
{
	struct viewing *w = o->own;
	const struct glyphs *g = glyph_by_name(value);

	if (g == NULL)
		return err_set(e, ERR_USAGE, "must be ascii, blocks or braille");
	w->glyphs = g->set;
	w->glyphs_given = true;
	return ERR_NONE;
}

static enum err_code set_play(struct options *o, const char *value, struct err *e)
{
	struct viewing *w = o->own;

	(void)e;
	w->play = value;
	return ERR_NONE;
}

static enum err_code set_list_keys(struct options *o, const char *value, struct err *e)
{
	struct viewing *w = o->own;

	(void)value;
	(void)e;
	w->list_keys = true;
	return ERR_NONE;
}

static const struct option_row picture_rows[] = {
	{ "size", 0, "COLSxROWS", "of the picture (100x30, or the terminal)", set_size },
	{ "glyphs", 0, "SET", "ascii, blocks or braille (by the locale)", set_glyphs },
};

const struct option_set options_picture = {
	"Picture", picture_rows, sizeof picture_rows / sizeof picture_rows[0],
};

static const struct option_row script_rows[] = {
	{ "play", 0, "KEYS", "play these keys, print the screen, and end", set_play },
	{ "list-keys", 0, NULL, "print all keys as a manual's section, and end", set_list_keys },
};

const struct option_set options_script = {
	"Without a terminal", script_rows, sizeof script_rows / sizeof script_rows[0],
};

enum glyph_set viewing_glyphs(const struct viewing *w)
{
	return w->glyphs_given ? w->glyphs : ui_glyphs();
}

/* Two references to one file share what is loaded: their marks are one list. */
static bool same_file(const struct log_ref *a, const struct log_ref *b)
{
	struct stat sa, sb;

	if (strcmp(a->path, b->path) == 0)
		return true;
	return stat(a->path, &sa) == 0 && stat(b->path, &sb) == 0 && sa.st_dev == sb.st_dev &&
	       sa.st_ino == sb.st_ino;
}

static enum err_code load_both(const struct options *o, struct loaded loaded[2],
			       struct log_ref refs[2], bool *shared, struct err *e)
{
	enum err_code code = session_load(o->logs[0], o, &loaded[0], &refs[0], e);

	*shared = false;
	if (code != ERR_NONE || o->log_count < 2)
		return code;
	code = log_ref_parse(o->logs[1], &refs[1], e);
	if (code != ERR_NONE)
		return code;
	if (same_file(&refs[0], &refs[1])) {
		*shared = true;
		return ERR_NONE;
	}
	free(refs[1].path);
	return session_load(o->logs[1], o, &loaded[1], &refs[1], e);
}

/* The newer log is the one to be judged: its limits, of a folder each, are meant. */
static enum err_code open_judging(struct viewing *w, const struct options *o,
				  const struct log_ref refs[2], struct err *e)
{
	return judging_open(&w->judging, o, refs[1].path != NULL ? refs[1].path : refs[0].path, e);
}

struct view *viewing_open(const struct options *o, struct viewing *w)
{
	struct loaded loaded[2] = { LOADED_INIT, LOADED_INIT };
	struct log_ref refs[2] = { { NULL, REF_BEST, 0 }, { NULL, REF_BEST, 0 } };
	struct view_start start = { 0 };
	struct view *v = NULL;
	struct err e = ERR_INIT;
	bool shared;

	if (load_both(o, loaded, refs, &shared, &e) == ERR_NONE &&
	    open_judging(w, o, refs, &e) == ERR_NONE) {
		start.a = &loaded[0];
		start.b = o->log_count == 2 && !shared ? &loaded[1] : NULL;
		start.ref_a = &refs[0];
		start.ref_b = o->log_count == 2 ? &refs[1] : NULL;
		start.units = o->units;
		start.align = o->align;
		start.crossing = o->crossing;
		start.nudge = o->nudge;
		start.axis = o->axis_given ? (int)o->axis : -1;
		start.glyphs = viewing_glyphs(w);
		start.channels = o->channels;
		start.limits = &w->judging.limits;
		start.car = &w->judging.car;
		start.whole_alone = w->whole_alone;
		start.rows = w->rows;
		start.cols = w->cols;
		view_new(&v, &start, &e);
	}
	if (v == NULL)
		report_trouble(&e);
	loaded_release(&loaded[0]);
	loaded_release(&loaded[1]);
	free(refs[0].path);
	free(refs[1].path);
	return v;
}

void viewing_close(struct view *v, struct viewing *w)
{
	view_free(v);
	judging_release(&w->judging);
}
