/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A view on copies of the sample logs in a directory of its own, for tests. */
#ifndef TESTS_VIEW_VIEWER_H
#define TESTS_VIEW_VIEWER_H

#include "view/state.h"

struct viewer {
	char *dir;		/* temporary, with the logs and their marks */
	struct view *v;
	struct limits *limits;	/* that it is judged by */
	struct car *car;
};

struct viewer_options {
	const char *a;		/* "before.csv", "drive.csv@2": of the samples, or SRCDIR-less paths */
	const char *b;		/* NULL: no B */
	int rows;		/* 0: 24 */
	int cols;		/* 0: 80 */
	enum glyph_set glyphs;
	const char *channels;
	const enum check_id *only;	/* CHECK_COUNT behind the last: other checks are off */
	struct checking *checking;	/* NULL: it is judged at once */
	struct errands *loader;	/* of lanes, for all of them; NULL: they are loaded at once */
	enum coming coming;	/* of the last log */
};

/* Fails the test when anything goes wrong. */
struct viewer viewer_open(const struct viewer_options *o);
void viewer_close(struct viewer *w);

/* Closes the view and opens the same logs again, as after a restart. */
void viewer_reopen(struct viewer *w, const struct viewer_options *o);

/* Takes the checks of the options for the next viewer_reopen(). */
void viewer_rejudge(struct viewer *w, const struct viewer_options *o);

/* Plays keys; fails the test on an unknown key name. */
void viewer_play(struct viewer *w, const char *keys);

/* The screen as text; the caller frees it. */
char *viewer_screen(struct viewer *w);

/* A path inside the directory; the caller frees it. */
char *viewer_path(const struct viewer *w, const char *name);

#endif
