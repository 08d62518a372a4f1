/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a frame keeps of the one before draws the same as a frame from nothing. */
#include <check.h>
#include <stdlib.h>

#include "draw/draw_util.h"
#include "view/frame.h"
#include "view/lanes.h"
#include "view/viewer.h"

#define ROWS 40
#define COLS 140
#define FRAMES 200

Suite *view_columns_suite(void);

static struct canvas *draw(struct viewer *w)
{
	struct canvas *c = canvas_new(ROWS, COLS);

	frame_draw(w->v, c);
	return c;
}

static void assert_as_from_nothing(struct viewer *w, const char *keys)
{
	struct canvas *kept = draw(w);
	struct canvas *fresh;
	char *a, *b;

	lanes_moved(w->v);
	fresh = draw(w);
	a = canvas_string(kept);
	b = canvas_string(fresh);
	ck_assert_msg(canvas_equal(kept, fresh), "after %s:\n%s\nfrom nothing:\n%s", keys, a, b);
	free(a);
	free(b);
	canvas_free(kept);
	canvas_free(fresh);
}

/* Only every few frames, so that what is kept has been moved on more than once. */
START_TEST(what_is_kept_is_right)
{
	static const char *const keys[] = {
		"<Left>", "<Right>", "<Right>", "L", "H", "L", "[", "]", "+", "-", "d", "<Home>",
		"<End>", "x", ",", "w", "<Down>", "s",
	};
	const struct viewer_options o = {
		.a = "before.csv", .b = "after.csv", .rows = ROWS, .cols = COLS,
		.glyphs = _i % 2 == 0 ? GLYPH_BRAILLE : GLYPH_ASCII,
	};
	struct viewer w = viewer_open(&o);
	uint64_t state = (uint64_t)_i;
	int i;

	viewer_play(&w, "++");
	for (i = 0; i < FRAMES; i++) {
		const char *key = keys[rnd_below(&state, (int)(sizeof keys / sizeof keys[0]))];

		viewer_play(&w, key);
		if (rnd_below(&state, 4) == 0)
			assert_as_from_nothing(&w, key);
		else
			canvas_free(draw(&w));
	}
	viewer_close(&w);
}
END_TEST

Suite *view_columns_suite(void)
{
	Suite *s = suite_create("view columns");
	TCase *t = tcase_create("columns");

	tcase_set_timeout(t, 120);
	tcase_add_loop_test(t, what_is_kept_is_right, 0, 6);
	suite_add_tcase(s, t);
	return s;
}
