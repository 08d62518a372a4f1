/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `view` and `plot` share: their options, and loading logs into a view. */
#ifndef CMD_VIEWING_H
#define CMD_VIEWING_H

#include "cmd/incoming.h"
#include "cmd/judging.h"
#include "cmd/options.h"
#include "view/state.h"

struct viewing {
	int rows;		/* 0: as the terminal, or a default */
	int cols;
	bool glyphs_given;
	enum glyph_set glyphs;
	const char *play;	/* a key script, or NULL */
	bool whole_alone;	/* see struct view_start */
	bool list_keys;		/* print the manual's key section, and end */
	bool follow;		/* the last log, as it is written */
	struct log_ref refs[SIDES];	/* what the words of the command line mean */
	size_t ref_count;
	size_t log_count;	/* 1: both are of one file */
	struct incoming incoming;	/* from viewing_open_early() on */
	struct checking *checking;	/* likewise; NULL: it is judged at once */
	struct errands *loader;		/* likewise, of lanes */
	struct judging judging;	/* from viewing_open() on; the view borrows it */
	char *not_judged;	/* why it judges nothing, or NULL */
};

#define VIEWING_INIT { .incoming = { .news = BELL_INIT } }

extern const struct option_set options_picture;		/* --size, --glyphs */
extern const struct option_set options_live;		/* --follow */
extern const struct option_set options_script;		/* --play, --list-keys */

/*
 * Loads the one or two logs, and what they are judged by, and makes a view of the size.
 * Reports what is wrong, and returns NULL then.  Ends with viewing_close() in any case.
 */
struct view *viewing_open(const struct options *o, struct viewing *w);

/*
 * The same, as soon as there is something to be seen of the logs: the rest comes through
 * incoming_feed(&w->incoming).
 */
struct view *viewing_open_early(const struct options *o, struct viewing *w);
void viewing_close(struct view *v, struct viewing *w);

/* The glyphs asked for, or those that suit where the text goes. */
enum glyph_set viewing_glyphs(const struct viewing *w);

#endif
