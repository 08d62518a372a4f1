/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The terminal harness tried on shell snippets whose screen is known: screen and keys. */
#include "self_test.h"

#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "harness.h"

#define COUNT(array) (sizeof(array) / sizeof(*(array)))

/* Ends a snippet that must stay alive until it is told otherwise. */
#define HOLD "; read -r hold"

static struct term *run(const char *script)
{
	return self_run(script, (struct term_options){ .utf8 = true });
}

static bool row_is(struct term *t, int row, const char *text)
{
	char buf[1024];

	return term_row(t, row, buf, sizeof(buf)) == strlen(text) && strcmp(buf, text) == 0;
}

static bool cell_is(struct term *t, int row, int col, struct term_attr want)
{
	struct term_attr a;

	return term_cell_attr(t, row, col, &a)
		&& a.bold == want.bold && a.underline == want.underline
		&& a.blink == want.blink && a.reverse == want.reverse
		&& a.fg == want.fg && a.bg == want.bg;
}

static bool cursor_is(struct term *t, int row, int col)
{
	int r, c;

	term_cursor(t, &r, &c);
	return r == row && c == col;
}

/* ---- the picture ---- */

START_TEST(text_and_cursor)
{
	struct term *t = run("printf '\\033[2J\\033[5;10Hhello   \\033[3Dx\\033[1;1H\\033[24;78Hend'"
			     HOLD);
	char *screen;

	term_assert(t, term_wait_text(t, "end", TERM_MS));
	term_assert(t, row_is(t, 4, "         hellox"));
	term_assert(t, row_is(t, 3, "") && row_is(t, 24, "") && row_is(t, -1, ""));
	term_assert(t, cursor_is(t, 23, 79));
	screen = term_screen(t);
	ck_assert_str_eq(screen, "\n\n\n\n         hellox\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n\n"
			 "                                                                     "
			 "        end\n");
	free(screen);
	term_free(t);
}
END_TEST

START_TEST(text_over_rows)
{
	struct term *t = run("printf 'one\\ntwo  \\nthree'" HOLD);

	term_assert(t, term_wait_text(t, "one\ntwo\nthree\n", TERM_MS));
	term_free(t);
}
END_TEST

START_TEST(attributes)
{
	static const struct {
		int col;
		struct term_attr a;
	} cells[] = {
		{ 0, { .fg = -1, .bg = -1 } },
		{ 1, { .bold = true, .fg = -1, .bg = -1 } },
		{ 2, { .reverse = true, .fg = -1, .bg = -1 } },
		{ 3, { .underline = true, .fg = -1, .bg = -1 } },
		{ 4, { .blink = true, .fg = -1, .bg = -1 } },
		{ 5, { .fg = 3, .bg = -1 } },
		{ 6, { .fg = 12, .bg = 1 } },
		{ 7, { .fg = 208, .bg = 17 } },
		{ 8, { .fg = TERM_RGB + 0x010203, .bg = TERM_RGB + 0xfffefd } },
		{ 9, { .bold = true, .reverse = true, .fg = 0, .bg = -1 } },
		{ 10, { .fg = -1, .bg = -1 } },
		{ 79, { .fg = -1, .bg = -1 } },
	};
	struct term *t = run("printf 'a\\033[1mb\\033[0;7mc\\033[0;4md\\033[0;5me\\033[0;33mf"
			     "\\033[0;94;41mg\\033[0;38;5;208;48;5;17mh"
			     "\\033[0;38;2;1;2;3;48;2;255;254;253mi\\033[0;1;7;30mj\\033[mk'" HOLD);
	struct term_attr a;

	term_assert(t, term_wait_text(t, "abcdefghijk", TERM_MS));
	for (size_t i = 0; i < COUNT(cells); i++)
		term_assert(t, cell_is(t, 0, cells[i].col, cells[i].a));
	term_assert(t, !term_cell_attr(t, 0, 80, &a) && !term_cell_attr(t, 24, 0, &a));
	term_free(t);
}
END_TEST

START_TEST(utf8_text)
{
	/* A micro sign, a degree, an e with a combining accent, braille, a wide character. */
	const char *text = "\u00b5\u00b0e\u0301\u28ff\u6f22x";
	struct term *t = run("printf '\\302\\265\\302\\260e\\314\\201\\342\\243\\277\\346\\274\\242x'"
			     HOLD);
	char cut[4];

	term_assert(t, term_wait_text(t, "x", TERM_MS));
	term_assert(t, row_is(t, 0, text));
	term_assert(t, cursor_is(t, 0, 7));
	/* Three bytes: the first character has two, the second no room. */
	ck_assert_uint_eq(term_row(t, 0, cut, sizeof(cut)), strlen(text));
	ck_assert_str_eq(cut, "\u00b5");
	ck_assert_uint_eq(term_row(t, 0, NULL, 0), strlen(text));
	term_free(t);
}
END_TEST

START_TEST(line_drawing_without_utf8)
{
	struct term *t = self_run("printf 'a\\033(0qx\\033(Bz'" HOLD, (struct term_options){ 0 });

	term_assert(t, term_wait_text(t, "z", TERM_MS));
	term_assert(t, row_is(t, 0, "a\u2500\u2502z"));
	term_free(t);
}
END_TEST

START_TEST(utf8_off_is_bytes)
{
	struct term *t = self_run("printf '\\302\\265z'" HOLD, (struct term_options){ 0 });

	term_assert(t, term_wait_text(t, "z", TERM_MS));
	term_assert(t, !row_is(t, 0, "\u00b5z"));
	term_free(t);
}
END_TEST

START_TEST(modes)
{
	struct term *t = run("printf 'main\\033[?1049h\\033[?25l\\033[?1000h\\033[Halt'; read -r x;"
			     "printf '\\033[?1000l\\033[?25h\\033[?1049l back'" HOLD);

	term_assert(t, term_wait_text(t, "alt", TERM_MS));
	term_assert(t, term_alt_screen(t) && term_mouse(t) && !term_cursor_visible(t));
	term_assert(t, row_is(t, 0, "alt"));
	term_assert(t, term_keys(t, "<Enter>") && term_wait_text(t, "back", TERM_MS));
	term_assert(t, !term_alt_screen(t) && !term_mouse(t) && term_cursor_visible(t));
	term_assert(t, row_is(t, 0, "main back"));
	term_free(t);
}
END_TEST

/* ---- input ---- */

/* Echoes the bytes of the keys in hexadecimal; n of them. */
#define HEX(n) "stty raw -echo; printf 'ready\\r\\n'; " \
	"dd bs=1 count=" n " 2>/dev/null | od -An -v -tx1 | tr -d '\\n'; printf .\\\\r\\\\n"

static const struct {
	const char *keys, *script, *hex;
} key_cases[] = {
	{ "aZ<lt>9~>", HEX("6"), " 61 5a 3c 39 7e 3e." },
	{ "<Enter><Tab><Space><Backspace>", HEX("4"), " 0d 09 20 7f." },
	{ "<C-c><C-Z><C-Space><C-[><C-?>", HEX("5"), " 03 1a 00 1b 7f." },
	{ "<M-x><M-lt><C-M-a>", HEX("6"), " 1b 78 1b 3c 1b 01." },
	{ "<Esc>:q<Enter><Esc>", HEX("5"), " 1b 3a 71 0d 1b." },
	{ "\033[<lt>0;7;5M", HEX("9"), " 1b 5b 3c 30 3b 37 3b 35 4d." },
	{ "\u00b5", HEX("2"), " c2 b5." },
	{ "<Up><Down><Right><Left>", HEX("12"), " 1b 5b 41 1b 5b 42 1b 5b 43 1b 5b 44." },
	{ "<Home><End>", HEX("6"), " 1b 5b 48 1b 5b 46." },
	{ "<PageUp><PageDown>", HEX("8"), " 1b 5b 35 7e 1b 5b 36 7e." },
	{ "<Insert><Delete>", HEX("8"), " 1b 5b 32 7e 1b 5b 33 7e." },
	{ "<S-Tab><C-Right>", HEX("9"), " 1b 5b 5a 1b 5b 31 3b 35 43." },
	{ "<S-Left><M-Up>", HEX("12"), " 1b 5b 31 3b 32 44 1b 5b 31 3b 33 41." },
	{ "<F1><F4><F5><F12>", HEX("16"), " 1b 4f 50 1b 4f 53 1b 5b 31 35 7e 1b 5b 32 34 7e." },
	/* In the application's cursor mode, which ncurses asks for. */
	{ "<Up><Right><Home>", "printf '\\033[?1h'; " HEX("9"), " 1b 4f 41 1b 4f 43 1b 4f 48." },
};

START_TEST(keys_sent)
{
	struct term *t = run(key_cases[_i].script);

	term_assert(t, term_wait_text(t, "ready", TERM_MS));
	term_assert(t, term_keys(t, key_cases[_i].keys));
	term_assert(t, term_wait_text(t, ".", TERM_MS));
	term_assert(t, row_is(t, 1, key_cases[_i].hex));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	term_free(t);
}
END_TEST

START_TEST(keys_refused)
{
	static const char *const wrong[] = {
		"a<Nope>b", "a<", "<>", "<C->", "<Right", "<X-a>", "<S-a>", "<C-1>", "<a>",
		"<Esc>x<Nope>",
	};
	struct term *t = run("stty raw -echo; printf ready; dd bs=1 count=1 2>/dev/null | od -An -tx1");

	term_assert(t, term_wait_text(t, "ready", TERM_MS));
	for (size_t i = 0; i < COUNT(wrong); i++) {
		term_assert(t, !term_keys(t, wrong[i]));
		term_assert(t, strstr(term_error(t), "no key is called") != NULL);
	}
	/* Nothing of them was sent: the first byte to arrive is this one. */
	term_assert(t, term_keys(t, "z") && term_wait_text(t, "7a", TERM_MS));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	term_assert(t, !term_keys(t, "z") && strstr(term_error(t), "ended") != NULL);
	term_free(t);
}
END_TEST

/* A reader that is not held up gets the Esc alone; one try in twenty must succeed. */
START_TEST(pause_after_esc)
{
	struct term *t = run("stty raw -echo; printf 'ready\\r\\n'; while :; do "
			     "dd bs=16 count=1 2>/dev/null | od -An -tx1 | tr '\\n' ' '; done");
	struct timespec before, after;
	bool alone = false;

	term_assert(t, term_wait_text(t, "ready", TERM_MS));
	for (int i = 0; i < 20 && !alone; i++) {
		clock_gettime(CLOCK_MONOTONIC, &before);
		term_assert(t, term_keys(t, "<Esc>[A"));
		clock_gettime(CLOCK_MONOTONIC, &after);
		term_assert(t, (after.tv_sec - before.tv_sec) * 1000L
			    + (after.tv_nsec - before.tv_nsec) / 1000000 >= 98);
		term_assert(t, term_wait_text(t, "5b 41", TERM_MS));
		alone = term_wait_text(t, "1b  5b 41", 0);
	}
	term_assert(t, alone);
	term_free(t);
}
END_TEST

START_TEST(queries_answered)
{
	struct term *t = run("stty raw -echo; printf '\\033[3;4H\\033[6n'; "
			     "dd bs=1 count=6 2>/dev/null | od -An -tx1");

	term_assert(t, term_wait_text(t, "1b 5b 33 3b 34 52", TERM_MS));
	term_free(t);
}
END_TEST

/* More than any kernel buffer, both ways at once: neither side may wait for the other. */
START_TEST(flood_both_ways)
{
	enum { N = 200000 };
	struct term *t = run("stty raw -echo; printf ready; head -c 200000 | tee /dev/tty | wc -c");
	char *keys = malloc(N + 1);

	ck_assert_ptr_nonnull(keys);
	memset(keys, 'k', N);
	keys[N] = '\0';
	term_assert(t, term_wait_text(t, "ready", TERM_MS));
	term_assert(t, term_keys(t, keys));
	free(keys);
	term_assert(t, term_wait_text(t, "200000", TERM_MS));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	term_assert(t, term_bytes(t) == strlen("ready") + N + strlen("200000\n"));
	term_free(t);
}
END_TEST

START_TEST(ctrl_c_interrupts)
{
	/* exec: a signal between fork and exec of its child can be lost on a shell. */
	struct term *t = run("printf ready; exec cat");

	term_assert(t, term_wait_text(t, "ready", TERM_MS));
	term_assert(t, term_keys(t, "<C-c>"));
	term_assert(t, term_wait_exit(t, TERM_MS) == -SIGINT);
	term_free(t);
}
END_TEST

START_TEST(stopped_and_resumed)
{
	struct term *t = run("set -m; printf ready; cat; printf 'st''opped '; fg >/dev/null;"
			     " printf 'res''umed'");

	term_assert(t, term_wait_text(t, "ready", TERM_MS));
	term_assert(t, term_keys(t, "one<Enter>") && term_wait_text(t, "one\none", TERM_MS));
	term_assert(t, term_keys(t, "<C-z>") && term_wait_text(t, "stopped", TERM_MS));
	term_assert(t, term_keys(t, "two<Enter>") && term_wait_text(t, "two\ntwo", TERM_MS));
	term_assert(t, term_keys(t, "<C-d>") && term_wait_text(t, "resumed", TERM_MS));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	term_free(t);
}
END_TEST

/* ---- size ---- */

START_TEST(resized)
{
	struct term *t = self_run("trap 'stty size' WINCH; stty size; read -r x;"
				  "while :; do sleep 0.02; done",
				  (struct term_options){ .cols = 60, .rows = 12, .utf8 = true });

	term_assert(t, term_wait_text(t, "12 60", TERM_MS));
	term_assert(t, term_keys(t, "<Enter>"));
	term_assert(t, term_resize(t, 100, 30) && term_wait_text(t, "30 100", TERM_MS));
	term_assert(t, term_resize(t, 20, 5) && term_wait_text(t, "5 20", TERM_MS));
	term_assert(t, row_is(t, 5, ""));
	term_assert(t, !term_resize(t, 0, 5) && !term_resize(t, 5, 40000));
	term_free(t);
}
END_TEST

START_TEST(resized_alternate_screen)
{
	struct term *t = run("printf '\\033[?1049h\\033[24;80Hx'; read -r x;"
			     "printf '\\033[2J\\033[50;198Hend'; read -r x;"
			     "printf '\\033[2J\\033[2;3Hsmall'" HOLD);

	term_assert(t, term_wait_text(t, "x", TERM_MS));
	term_assert(t, term_resize(t, 200, 50) && term_keys(t, "<Enter>"));
	term_assert(t, term_wait_text(t, "end", TERM_MS));
	term_assert(t, cursor_is(t, 49, 199) && !row_is(t, 49, ""));
	term_assert(t, term_resize(t, 8, 3) && term_keys(t, "<Enter>"));
	term_assert(t, term_wait_text(t, "small", TERM_MS));
	term_assert(t, row_is(t, 1, "  small") && row_is(t, 3, ""));
	term_free(t);
}
END_TEST

Suite *harness_suite(void)
{
	Suite *s = suite_create("terminal harness");
	TCase *tc = tcase_create("screen and keys");

	tcase_set_timeout(tc, SELF_TIMEOUT_S);
	tcase_add_test(tc, text_and_cursor);
	tcase_add_test(tc, text_over_rows);
	tcase_add_test(tc, attributes);
	tcase_add_test(tc, utf8_text);
	tcase_add_test(tc, line_drawing_without_utf8);
	tcase_add_test(tc, utf8_off_is_bytes);
	tcase_add_test(tc, modes);
	tcase_add_loop_test(tc, keys_sent, 0, (int)COUNT(key_cases));
	tcase_add_test(tc, keys_refused);
	tcase_add_test(tc, pause_after_esc);
	tcase_add_test(tc, queries_answered);
	tcase_add_test(tc, flood_both_ways);
	tcase_add_test(tc, ctrl_c_interrupts);
	tcase_add_test(tc, stopped_and_resumed);
	tcase_add_test(tc, resized);
	tcase_add_test(tc, resized_alternate_screen);
	suite_add_tcase(s, tc);
	self_test_process(s);
	return s;
}
