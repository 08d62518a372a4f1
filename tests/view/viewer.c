/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A view on copies of the sample logs in a directory of its own. */
#include "view/viewer.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/path.h"
#include "view/action.h"
#include "view/export.h"

static void copy_sample(const char *dir, const char *path)
{
	char *from = mem_printf("%s/samples/%s", SRCDIR, path);
	char *to = path_join(dir, path);
	struct buf text = BUF_INIT;

	if (!path_exists(to)) {		/* a log of the test's own may be there already */
		ck_assert_int_eq(path_read_all(from, &text, NULL), ERR_NONE);
		ck_assert_int_eq(path_write_atomic(to, text.data, text.len, NULL), ERR_NONE);
	}
	buf_release(&text);
	free(from);
	free(to);
}

/* The reference of a sample, inside the directory. */
static void load_sample(const char *dir, const char *word, struct log_ref *ref,
			struct loaded *out)
{
	const struct load_options options = { 0 };
	struct err e = ERR_INIT;
	char *inside;

	ck_assert_int_eq(log_ref_parse(word, ref, &e), ERR_NONE);
	copy_sample(dir, ref->path);
	inside = path_join(dir, ref->path);
	ck_assert_msg(load_log(inside, &options, out, &e) == ERR_NONE, "%s", e.text);
	free(inside);
}

void viewer_rejudge(struct viewer *w, const struct viewer_options *o)
{
	size_t i, k;

	for (i = 0; i < CHECK_COUNT; i++)
		w->limits->of[i].off = false;
	for (i = 0; o->only != NULL && i < CHECK_COUNT; i++) {
		w->limits->of[i].off = true;
		for (k = 0; o->only[k] != CHECK_COUNT; k++)
			if (o->only[k] == (enum check_id)i)
				w->limits->of[i].off = false;
	}
}

static void open_judging(struct viewer *w)
{
	w->limits = mem_alloc(sizeof *w->limits);
	w->car = mem_alloc(sizeof *w->car);
	limits_init(w->limits);
	car_init(w->car);
}

static struct view *open_view(const struct viewer *w, const struct viewer_options *o)
{
	const char *dir = w->dir;
	struct log_ref refs[2] = { { NULL, REF_BEST, 0 }, { NULL, REF_BEST, 0 } };
	struct loaded loaded[2] = { LOADED_INIT, LOADED_INIT };
	struct view_start start = { 0 };
	struct view *v = NULL;
	struct err e = ERR_INIT;

	load_sample(dir, o->a, &refs[0], &loaded[0]);
	start.a = &loaded[0];
	start.ref_a = &refs[0];
	if (o->b != NULL) {
		ck_assert_int_eq(log_ref_parse(o->b, &refs[1], NULL), ERR_NONE);
		start.ref_b = &refs[1];
		if (strcmp(refs[0].path, refs[1].path) != 0) {
			free(refs[1].path);
			load_sample(dir, o->b, &refs[1], &loaded[1]);
			start.b = &loaded[1];
		}
	}
	start.whole_alone = true;
	start.crossing = NAN;
	start.axis = -1;
	start.glyphs = o->glyphs;
	start.channels = o->channels;
	start.checking = o->checking;
	start.loader = o->loader;
	start.rows_at_once = 1;
	start.coming[start.b != NULL ? SIDE_B : SIDE_A] = o->coming;
	start.limits = w->limits;
	start.car = w->car;
	start.rows = o->rows == 0 ? 24 : o->rows;
	start.cols = o->cols == 0 ? 80 : o->cols;
	ck_assert_msg(view_new(&v, &start, &e) == ERR_NONE, "%s", e.text);
	free(refs[0].path);
	free(refs[1].path);
	return v;
}

struct viewer viewer_open(const struct viewer_options *o)
{
	char name[] = "/tmp/twinpull-view.XXXXXX";
	struct viewer w;

	ck_assert_ptr_nonnull(mkdtemp(name));
	w.dir = mem_strdup(name);
	open_judging(&w);
	viewer_rejudge(&w, o);
	w.v = open_view(&w, o);
	return w;
}

void viewer_reopen(struct viewer *w, const struct viewer_options *o)
{
	view_free(w->v);
	w->v = open_view(w, o);
}

void viewer_close(struct viewer *w)
{
	char *command = mem_printf("rm -rf '%s'", w->dir);

	view_free(w->v);
	limits_release(w->limits);
	car_release(w->car);
	free(w->limits);
	free(w->car);
	ck_assert_int_eq(system(command), 0);
	free(command);
	free(w->dir);
}

void viewer_play(struct viewer *w, const char *keys)
{
	struct err e = ERR_INIT;

	ck_assert_msg(view_play(w->v, keys, &e) == ERR_NONE, "%s", e.text);
}

char *viewer_screen(struct viewer *w)
{
	struct buf out = BUF_INIT;

	ck_assert_int_eq(export_picture(w->v, &out, NULL), ERR_NONE);
	return buf_take(&out);
}

char *viewer_path(const struct viewer *w, const char *name)
{
	return path_join(w->dir, name);
}
