/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `view` and `plot` share: their options, and loading logs into a view. */
#ifndef CMD_VIEWING_H
#define CMD_VIEWING_H

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
};

extern const struct option_set options_picture;		/* --size, --glyphs */
extern const struct option_set options_script;		/* --play, --list-keys */

/* Loads the one or two logs and makes a view of the size. Reports what is wrong. */
struct view *viewing_open(const struct options *o, const struct viewing *w);

/* The glyphs asked for, or those that suit where the text goes. */
enum glyph_set viewing_glyphs(const struct viewing *w);

#endif
