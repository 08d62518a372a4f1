/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Golden screens: key scripts played on the sample logs, compared with the files
 * in tests/view/golden.  To look at a change and accept it:
 *
 *     GOLDEN=write ./check_all golden && git diff tests/view/golden
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/path.h"
#include "view/viewer.h"

static const struct golden {
	const char *name;
	const char *a;
	const char *b;
	int cols;
	int rows;
	enum glyph_set glyphs;
	const char *keys;
} goldens[] = {
	{ "start-80-ascii", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, "" },
	{ "start-80-braille", "before.csv", "after.csv", 80, 24, GLYPH_BRAILLE, "" },
	{ "start-100-blocks", "before.csv", "after.csv", 100, 30, GLYPH_BLOCKS, "" },
	{ "start-200-braille", "before.csv", "after.csv", 200, 50, GLYPH_BRAILLE, "" },
	{ "start-40-ascii", "before.csv", "after.csv", 40, 12, GLYPH_ASCII, "" },
	{ "too-small", "before.csv", "after.csv", 39, 11, GLYPH_ASCII, "" },
	{ "time-axis", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, "x" },
	{ "time-start", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, ":align start<Enter>" },
	{ "span-stats", "before.csv", "after.csv", 80, 24, GLYPH_ASCII,
	  ":span 3000:4500<Enter>s" },
	{ "span-values", "before.csv", "after.csv", 100, 30, GLYPH_ASCII,
	  ":span 3000:4500<Enter>v" },
	{ "spool", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, "r" },
	{ "delta-lane", "before.csv", "after.csv", 80, 24, GLYPH_BRAILLE, "d" },
	{ "zoomed", "before.csv", "after.csv", 80, 24, GLYPH_BRAILLE, ":span 5000:5500<Enter>z" },
	{ "lean-lane-tall", "before.csv", "after.csv", 80, 24, GLYPH_BRAILLE,
	  "<Down>tttt:goto 6500<Enter>" },
	{ "marked", "before.csv", "after.csv", 80, 24, GLYPH_ASCII,
	  ":span 6100:6800<Enter>mlean up top<Enter>rail pressure sags<Enter><Up>" },
	{ "marks-list", "before.csv", "after.csv", 80, 24, GLYPH_ASCII,
	  ":span 6100:6800<Enter>mlean up top<Enter>rail pressure sags<Enter>M" },
	{ "findings", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, "F" },
	{ "findings-wide", "before.csv", "after.csv", 120, 30, GLYPH_BRAILLE, "F" },
	{ "finding-gone-to", "before.csv", "after.csv", 100, 30, GLYPH_BRAILLE, "))" },
	{ "finding-marked", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, ")!M" },
	{ "channels", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, "c" },
	{ "channels-found", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, "c/knock<Enter>" },
	{ "pulls", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, "p" },
	{ "help-80", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, "?" },
	{ "help-end", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, "?<End>" },
	{ "prompt", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, ":ali<Tab>" },
	{ "nothing-shown", "before.csv", "after.csv", 80, 24, GLYPH_ASCII, "XXXXXXXXXX" },
	{ "drive-alone", "drive.csv", NULL, 100, 30, GLYPH_BRAILLE, "" },
	{ "drive-pulls", "drive.csv", NULL, 100, 30, GLYPH_ASCII, "p" },
	{ "drive-two-pulls", "drive.csv@1", "drive.csv@2", 100, 30, GLYPH_ASCII, "" },
	{ "one-pull", "before.csv@1", NULL, 80, 24, GLYPH_ASCII, "s" },
};

static char *golden_path(const char *name)
{
	return mem_printf("%s/tests/view/golden/%s.txt", SRCDIR, name);
}

static bool writing(void)
{
	const char *how = getenv("GOLDEN");

	return how != NULL && strcmp(how, "write") == 0;
}

/* The temporary directory has another name each time. */
static char *without_dir(char *screen, const char *dir)
{
	struct buf out = BUF_INIT;
	const size_t n = strlen(dir);
	const char *p = screen;
	const char *at;

	while ((at = strstr(p, dir)) != NULL) {
		buf_add(&out, p, (size_t)(at - p));
		buf_puts(&out, "DIR");
		p = at + n;
	}
	buf_puts(&out, p);
	free(screen);
	return buf_take(&out);
}

START_TEST(golden)
{
	const struct golden *g = &goldens[_i];
	const struct viewer_options o = { .a = g->a, .b = g->b, .rows = g->rows, .cols = g->cols,
					  .glyphs = g->glyphs };
	struct viewer w = viewer_open(&o);
	char *path = golden_path(g->name);
	struct buf expected = BUF_INIT;
	struct err e = ERR_INIT;
	char *screen;

	viewer_play(&w, g->keys);
	screen = without_dir(viewer_screen(&w), w.dir);
	if (writing())
		ck_assert_int_eq(path_write_atomic(path, screen, strlen(screen), &e), ERR_NONE);
	ck_assert_msg(path_read_all(path, &expected, &e) == ERR_NONE, "%s", e.text);
	if (strcmp(screen, buf_text(&expected)) != 0) {
		/* not as the message: Check takes only short ones */
		fprintf(stderr, "%s is another screen now:\n%s\nit was:\n%s\n", g->name, screen,
			buf_text(&expected));
		ck_abort_msg("%s is another screen now", g->name);
	}
	buf_release(&expected);
	free(screen);
	free(path);
	viewer_close(&w);
}
END_TEST

/* Two different states must not happen to have one golden. */
START_TEST(goldens_differ)
{
	const struct viewer_options o = { .a = "before.csv", .b = "after.csv" };
	struct viewer w = viewer_open(&o);
	char *first = viewer_screen(&w);
	char *second;

	viewer_play(&w, "<Right>");
	second = viewer_screen(&w);
	ck_assert_str_ne(first, second);
	free(first);
	free(second);
	viewer_close(&w);
}
END_TEST

Suite *golden_suite(void)
{
	Suite *s = suite_create("golden");
	TCase *t = tcase_create("screens");

	tcase_set_timeout(t, 60);
	tcase_add_loop_test(t, golden, 0, (int)(sizeof goldens / sizeof goldens[0]));
	tcase_add_test(t, goldens_differ);
	suite_add_tcase(s, t);
	return s;
}
