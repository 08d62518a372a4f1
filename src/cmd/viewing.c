/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `view` and `plot` share. */
#include "cmd/viewing.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/mem.h"
#include "base/num.h"
#include "cmd/interrupt.h"
#include "cmd/progress.h"
#include "cmd/report.h"
#include "cmd/session.h"
#include "ui/term.h"

#define WAIT_MS 100
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

static enum err_code set_follow(struct options *o, const char *value, struct err *e)
{
	struct viewing *w = o->own;

	(void)value;
	(void)e;
	w->follow = true;
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

static const struct option_row live_rows[] = {
	{ "follow", 'f', NULL, "go on as the logger writes (of two, the last)",
	  set_follow },
};

const struct option_set options_live = {
	"Live", live_rows, sizeof live_rows / sizeof live_rows[0],
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

/* What the one or two words of the command line mean. */
static enum err_code parse_refs(const struct options *o, struct viewing *w, struct err *e)
{
	enum err_code code = ERR_NONE;
	size_t i;

	for (i = 0; i < o->log_count && code == ERR_NONE; i++)
		code = session_ref(o->logs[i], &w->refs[i], e);
	w->ref_count = o->log_count;
	w->log_count = o->log_count;
	if (code == ERR_NONE && o->log_count == 2 && same_file(&w->refs[0], &w->refs[1]))
		w->log_count = 1;
	return code;
}

/*
 * The newer log is the one to be judged: its limits, of a folder each, are meant.  A file
 * that nobody named must not keep a log from being looked at: then nothing is judged.
 */
static enum err_code open_judging(struct viewing *w, const struct options *o, struct err *e)
{
	const enum err_code code = judging_open(&w->judging, o, w->refs[w->ref_count - 1].path, e);

	if (code == ERR_NONE || !w->judging.found_bad)
		return code;
	w->not_judged = mem_strdup(e->text);
	judging_release(&w->judging);
	limits_init(&w->judging.limits);
	car_init(&w->judging.car);
	return ERR_NONE;
}

static enum err_code make_view(struct viewing *w, const struct options *o, struct loaded *a,
			       struct loaded *b, struct view **out, struct err *e)
{
	struct view_start start = {
		.a = a, .b = b, .ref_a = &w->refs[0],
		.ref_b = w->ref_count == 2 ? &w->refs[1] : NULL,
		.units = o->units, .align = o->align, .crossing = o->crossing, .nudge = o->nudge,
		.axis = o->axis_given ? (int)o->axis : -1,
		.glyphs = viewing_glyphs(w), .channels = o->channels,
		.limits = &w->judging.limits, .car = &w->judging.car,
		.not_judged = w->not_judged, .checking = w->checking, .loader = w->loader,
		.whole_alone = w->whole_alone, .rows = w->rows, .cols = w->cols,
	};
	size_t i;

	for (i = 0; i < w->incoming.count; i++)
		start.coming[i] = incoming_coming(&w->incoming.logs[i]);
	return view_new(out, &start, e);
}

struct view *viewing_open(const struct options *o, struct viewing *w)
{
	struct loaded loaded[2] = { LOADED_INIT, LOADED_INIT };
	struct view *v = NULL;
	struct err e = ERR_INIT;
	enum err_code code = parse_refs(o, w, &e);
	size_t i;

	for (i = 0; i < w->log_count && code == ERR_NONE; i++)
		code = session_read(w->refs[i].path, o, &loaded[i], &e);
	if (code == ERR_NONE)
		code = open_judging(w, o, &e);
	if (code == ERR_NONE)
		code = make_view(w, o, &loaded[0], w->log_count == 2 ? &loaded[1] : NULL, &v, &e);
	if (code != ERR_NONE)
		report_trouble(&e);
	loaded_release(&loaded[0]);
	loaded_release(&loaded[1]);
	return v;
}

/* ---- while the logs come ---- */

/*
 * Whether there is enough to be seen of each log: of two a pull, unless no pull was asked
 * for, or none may be near.
 */
static bool is_enough(const struct viewing *w)
{
	size_t i;

	for (i = 0; i < w->incoming.count; i++) {
		const struct incoming_log *l = &w->incoming.logs[i];

		if (!l->has_log)
			return false;
		if (incoming_coming(l) == COMING_REST && w->ref_count == 2 &&
		    w->refs[i].what == REF_BEST && l->log.pulls.count == 0)
			return false;
	}
	return true;
}

/* An error that ends it: nothing more comes of a log. */
static enum err_code find_error(const struct incoming *in, struct err *e)
{
	size_t i;

	for (i = 0; i < in->count; i++)
		if (in->logs[i].state.is_done && in->logs[i].state.code != ERR_NONE) {
			*e = in->logs[i].state.error;
			return in->logs[i].state.code;
		}
	return ERR_NONE;
}

static bool all_done(const struct incoming *in)
{
	size_t i;

	for (i = 0; i < in->count; i++)
		if (!in->logs[i].state.is_done)
			return false;
	return true;
}

/* A pull that was asked for by its number may still come. */
static bool may_come(const struct viewing *w)
{
	size_t i;

	for (i = 0; i < w->ref_count; i++) {
		const struct incoming_log *l = &w->incoming.logs[w->log_count == 1 ? 0 : i];

		if (w->refs[i].what == REF_PULL && l->has_log &&
		    w->refs[i].number > l->log.pulls.count)
			return true;
	}
	return false;
}

/* How far the first log is that is not there. */
static void show_progress(const struct incoming *in, struct progress *p)
{
	size_t i = 0;

	const struct incoming_log *l;

	while (i + 1 < in->count && (in->logs[i].state.is_done || in->logs[i].has_log))
		i++;
	l = &in->logs[i];
	if (l->follow && !l->has_log)
		progress_wait(p, l->path, l->state.code != ERR_IO);
	else
		progress_show(p, l->path, l->state.bytes, l->state.size);
}

/* Waits until there is enough to make a view of. */
static enum err_code await_view(const struct options *o, struct viewing *w, struct view **out,
				struct err *e)
{
	struct incoming *in = &w->incoming;
	struct progress progress;
	enum err_code code = ERR_NONE;

	progress_init(&progress);
	interrupt_catch();
	while (code == ERR_NONE && *out == NULL) {
		incoming_wait(in, WAIT_MS);
		if (interrupt_came() && !in->stopped)
			incoming_stop(in);
		show_progress(in, &progress);
		code = find_error(in, e);
		if (code == ERR_NONE && is_enough(w))
			code = make_view(w, o, &in->logs[0].log,
					 in->count == 2 ? &in->logs[1].log : NULL, out, e);
		if (code != ERR_NONE && !all_done(in) && may_come(w))
			code = ERR_NONE;
		if (*out == NULL && in->stopped && all_done(in))
			code = err_set(e, ERR_DATA, "reading was stopped before there was enough to show");
	}
	progress_clear(&progress);
	if (code == ERR_NONE)
		interrupt_forget();	/* else the program ends by it */
	return code;
}

struct view *viewing_open_early(const struct options *o, struct viewing *w)
{
	char *paths[SIDES] = { NULL, NULL };
	struct view *v = NULL;
	struct err e = ERR_INIT;
	enum err_code code = parse_refs(o, w, &e);
	size_t i;

	paths[0] = w->refs[0].path;
	paths[1] = w->refs[1].path;
	if (code == ERR_NONE)
		code = incoming_start(&w->incoming, paths, w->log_count, &o->load, w->follow, &e);
	if (code == ERR_NONE)	/* while they are read */
		code = open_judging(w, o, &e);
	if (code == ERR_NONE) {
		w->checking = checking_new(w->incoming.news.ring, NULL);
		w->loader = errands_new(&lane_errands, w->incoming.news.ring);
		code = await_view(o, w, &v, &e);
	}
	if (code != ERR_NONE) {
		report_trouble(&e);
		return NULL;
	}
	for (i = 0; i < w->incoming.count; i++) {
		struct incoming_log *l = &w->incoming.logs[i];

		l->has_log = false;
		l->is_over = l->state.is_done && !v->sources[i].loaded.log->is_part;
		if (l->is_over)
			session_warn(v->sources[i].loaded.log);
	}
	return v;
}

void viewing_close(struct view *v, struct viewing *w)
{
	checking_free(w->checking);
	view_free(v);
	errands_free(w->loader);
	incoming_release(&w->incoming);
	free(w->refs[0].path);
	free(w->refs[1].path);
	free(w->not_judged);
	judging_release(&w->judging);
}
