/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * How many bytes the real program writes for each action at 200x50 with four lanes, as over
 * a slow line; and that what it then shows is what drawing all of it again shows.
 *
 *     BYTES=show ./check_all wire	prints the figures
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "term/harness.h"

#define COLS 200
#define ROWS 50
#define MOST_PAN 650		/* bytes */
#define MOST_STEP 200
#define MORE_PAN 725		/* a single one, with twice the traces and three times the numbers */
#define MORE_STEP 220
#define LANES ":only boost,lambda,ignition,knock_retard3<Enter>"

/* ---- the program ---- */

static struct term *start_on(const char *term, bool utf8, const char *a, const char *b)
{
	const char *given = getenv("TWINPULL");
	char *type = mem_printf("TERM=%s", term);
	const char *const argv[] = { given != NULL ? given : BUILDDIR "/twinpull", a, b, NULL };
	const char *const env[] = { type, NULL };
	struct err e = ERR_INIT;
	const struct term_options o = { .argv = argv, .env = env, .dir = SRCDIR "/samples",
					.cols = COLS, .rows = ROWS, .utf8 = utf8, .err = &e };
	struct term *t = term_start(&o);

	free(type);
	ck_assert_msg(t != NULL, "%s", e.text);
	term_assert(t, term_wait_text(t, "? help", TERM_MS));
	return t;
}

/* With B, or with A alone. */
static struct term *start(const char *term, bool utf8, bool with_b)
{
	struct term *t = with_b ? start_on(term, utf8, "before.csv", "after.csv") :
		start_on(term, utf8, "before.csv@1", NULL);

	term_assert(t, term_keys(t, LANES));
	term_assert(t, term_wait_gone(t, ":only", TERM_MS));
	term_assert(t, term_pump(t, TERM_MS));
	term_bytes(t);
	return t;
}

static void quit(struct term *t)
{
	term_assert(t, term_keys(t, "q"));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	term_free(t);
}

static bool wrote_any(struct term *t, void *arg)
{
	size_t *sum = arg;

	*sum += term_bytes(t);
	return *sum > 0;
}

/* Bytes that the program wrote for keys that change the screen. */
static size_t bytes_for(struct term *t, const char *keys)
{
	size_t sum = 0;

	term_assert(t, term_keys(t, keys));
	term_assert(t, term_wait(t, wrote_any, &sum, TERM_MS));
	term_assert(t, term_pump(t, TERM_MS));
	return sum + term_bytes(t);
}

/* ---- the screen ---- */

struct picture {
	char *text;
	struct term_attr attr[ROWS][COLS];
	int row, col;		/* of the cursor */
};

static void take(struct term *t, struct picture *p)
{
	int row, col;

	p->text = term_screen(t);
	term_cursor(t, &p->row, &p->col);
	for (row = 0; row < ROWS; row++)
		for (col = 0; col < COLS; col++)
			ck_assert(term_cell_attr(t, row, col, &p->attr[row][col]));
}

/* Of a blank only the ground is seen. */
static bool same_attr(struct term_attr a, struct term_attr b)
{
	const bool blank = a.blank && b.blank && !a.reverse;

	return a.underline == b.underline && a.reverse == b.reverse && a.bg == b.bg &&
		(blank || (a.bold == b.bold && a.blink == b.blink && a.fg == b.fg));
}

static void assert_same(const struct picture *a, const struct picture *b, const char *what)
{
	int row, col;

	if (strcmp(a->text, b->text) != 0) {	/* too long for Check */
		fprintf(stderr, "%s: the screen was\n%sand drawn again is\n%s", what, a->text,
			b->text);
		ck_abort_msg("%s: another screen when drawn again", what);
	}
	for (row = 0; row < ROWS; row++)
		for (col = 0; col < COLS; col++)
			ck_assert_msg(same_attr(a->attr[row][col], b->attr[row][col]),
				      "%s: row %d, column %d looks otherwise when drawn again",
				      what, row, col);
	ck_assert_int_eq(a->row, b->row);
	ck_assert_int_eq(a->col, b->col);
}

/* Nothing on the screen is left from before: all of it again is the same. */
static void assert_whole(struct term *t, const char *what)
{
	struct picture *shown = mem_alloc(sizeof *shown);
	struct picture *again = mem_alloc(sizeof *again);

	take(t, shown);
	bytes_for(t, "<C-l>");
	take(t, again);
	assert_same(shown, again, what);
	free(shown->text);
	free(again->text);
	free(shown);
	free(again);
}

/* ---- the actions ---- */

static const struct action {
	const char *name;
	const char *before;	/* keys that bring it about */
	const char *keys;
	int times;
	size_t most;		/* bytes for the median; 0: no target */
	size_t more[2];		/* bytes for any, with A alone and with B */
} actions[] = {
	{ "cursor one column right", "<Home>LLLL", "<Right>", 12, MOST_STEP, { MOST_STEP, MORE_STEP } },
	{ "cursor one column left", "", "<Left>", 12, MOST_STEP, { MOST_STEP, MORE_STEP } },
	{ "cursor right, zoomed in", "++", "<Right>", 12, MOST_STEP, { MOST_STEP, MORE_STEP } },
	{ "pan one column right", "LLLLLLLLLLL", "<Right>", 16, MOST_PAN, { MOST_PAN, MORE_PAN } },
	{ "pan one column left", "HHHHHHHHHHHHHH", "<Left>", 16, MOST_PAN, { MOST_PAN, MORE_PAN } },
	{ "pan one column right, a span", "fz:span 5600:5900<Enter>+++LLLLLLLLLLL", "<Right>",
	  12, 800, { 550, 850 } },	/* the span's ends and cursors stand and move */
	{ "pan one column right, on time", "<Esc>xf:goto 8<Enter>++LLLLLLLLL", "<Right>", 16,
	  MOST_PAN, { MOST_PAN, MORE_PAN } },
	{ "pan one column left, on time", "HHHHHHHHHHHHHH", "<Left>", 16,
	  MOST_PAN, { MOST_PAN, MORE_PAN } },
	{ "pan a tenth left", "", "H", 3, 0, { 0, 0 } },
	{ "scroll half a screen", "f+", "[", 1, 0, { 0, 0 } },
	{ "zoom in", "f", "+", 2, 0, { 0, 0 } },
	{ "zoom out", "", "-", 2, 0, { 0, 0 } },
	{ "statistics", "", "s", 2, 0, { 0, 0 } },
	{ "list of findings", "", "F", 1, 0, { 0, 0 } },
	{ "list of findings closed", "", "<Esc>", 1, 0, { 0, 0 } },
	{ "axis", "", "x", 2, 0, { 0, 0 } },
};

#define ACTIONS (sizeof actions / sizeof actions[0])

static int by_size(const void *a, const void *b)
{
	const size_t x = *(const size_t *)a;
	const size_t y = *(const size_t *)b;

	return (x > y) - (x < y);
}

/* False, and said, when it took more bytes than it may. */
static bool try_action(struct term *t, const struct action *a, bool with_b)
{
	const size_t more = a->more[with_b];
	size_t bytes[32];
	size_t median, most;
	bool is_short;
	int i;

	if (a->before[0] != '\0')
		bytes_for(t, a->before);
	for (i = 0; i < a->times; i++) {
		bytes[i] = bytes_for(t, a->keys);
		assert_whole(t, a->name);
	}
	qsort(bytes, (size_t)a->times, sizeof *bytes, by_size);
	median = bytes[a->times / 2];
	most = bytes[a->times - 1];
	is_short = a->most > 0 && (median > a->most || most > more);
	if (getenv("BYTES") != NULL)
		printf("%-34s %5zu bytes, at most %5zu%s\n", a->name, median, most,
		       a->most == 0 ? "" : is_short ? "  short" : "  pass");
	if (is_short)
		fprintf(stderr, "%s: %zu bytes, at most %zu; more than %zu, or than %zu\n", a->name,
			median, most, a->most, more);
	return !is_short;
}

START_TEST(actions_take_few_bytes)
{
	struct term *t = start("xterm-256color", true, _i == 1);
	bool pass = true;
	size_t i;

	if (getenv("BYTES") != NULL)
		printf("%s\n", _i == 1 ? "A and B" : "A alone");
	for (i = 0; i < ACTIONS; i++)
		pass &= try_action(t, &actions[i], _i == 1);
	quit(t);
	ck_assert(pass);
}
END_TEST

/* All along the pulls; what the screen shows is looked at now and then. */
START_TEST(steps_all_along_take_few_bytes)
{
	struct term *t = start("xterm-256color", true, true);
	size_t bytes[140];
	const int steps = 138;
	int i;

	bytes_for(t, "<Home>");
	bytes_for(t, "<Right>");	/* the first also takes the greeting away */
	for (i = 0; i < steps; i++) {
		bytes[i] = bytes_for(t, "<Right>");
		if (i % 23 == 0)
			assert_whole(t, "cursor step");
	}
	qsort(bytes, (size_t)steps, sizeof *bytes, by_size);
	if (getenv("BYTES") != NULL)
		printf("steps all along: %zu bytes, 9 of 10 at most %zu, at most %zu\n",
		       bytes[steps / 2], bytes[steps * 9 / 10], bytes[steps - 1]);
	quit(t);
	ck_assert_uint_le(bytes[steps / 2], MOST_STEP);
	ck_assert_uint_le(bytes[steps * 9 / 10], 240);	/* numbers and a finding's region under it */
	ck_assert_uint_le(bytes[steps - 1], 270);
}
END_TEST

/* Those that can shift characters, and one that cannot. */
static const char *const terms[] = {
	"xterm", "linux", "screen-256color", "vt100", "vt220", "tmux-256color",
};

#define TERMS ((int)(sizeof terms / sizeof terms[0]))

START_TEST(every_terminal_shows_the_same)
{
	struct term *t = start(terms[_i], _i % 2 == 0, true);
	size_t i;

	for (i = 0; i < ACTIONS; i++) {
		if (actions[i].before[0] != '\0')
			bytes_for(t, actions[i].before);
		bytes_for(t, actions[i].keys);
		assert_whole(t, actions[i].name);
	}
	quit(t);
}
END_TEST

/* Characters of two cells are neither cut in halves nor left behind. */
START_TEST(wide_characters_stay_whole)
{
	static const char *const keys[] = {
		"c", "<Down>", "<Down>", "<Space>", "<Esc>", "<Right>", "+", "L", "L", "L", "<Right>",
		"<Right>", "<Down>", "t", "v", "<Left>", "v", "H", "H",
	};
	char path[] = "/tmp/twinpull-wide.XXXXXX";
	FILE *f = fdopen(mkstemp(path), "w");
	struct term *t;
	size_t i;

	ck_assert_ptr_nonnull(f);
	fprintf(f, "time,\xe6\xbc\xa2\xe5\xad\x97 one,two \xe6\xbc\xa2,x\xe6\xbc\xa2y\xe6\xbc\xa2z\n");
	for (i = 0; i < 500; i++)
		fprintf(f, "%zu.%zu,%zu,%zu,%zu\n", i / 10, i % 10, i * i % 97, i % 50, i * 7 % 31);
	fclose(f);
	t = start_on("xterm-256color", true, path, NULL);
	for (i = 0; i < sizeof keys / sizeof keys[0]; i++) {
		bytes_for(t, keys[i]);
		assert_whole(t, keys[i]);
	}
	quit(t);
	unlink(path);
}
END_TEST

START_TEST(idle_takes_no_byte)
{
	struct term *t = start("xterm-256color", true, true);

	usleep(500 * 1000);
	term_assert(t, term_pump(t, TERM_MS));
	ck_assert_uint_eq(term_bytes(t), 0);
	quit(t);
}
END_TEST

Suite *wire_suite(void)
{
	Suite *s = suite_create("wire");
	TCase *t = tcase_create("bytes");

	tcase_set_timeout(t, 120);
	tcase_add_loop_test(t, actions_take_few_bytes, 0, 2);
	tcase_add_test(t, steps_all_along_take_few_bytes);
	tcase_add_loop_test(t, every_terminal_shows_the_same, 0, TERMS);
	tcase_add_test(t, wide_characters_stay_whole);
	tcase_add_test(t, idle_takes_no_byte);
	suite_add_tcase(s, t);
	return s;
}
