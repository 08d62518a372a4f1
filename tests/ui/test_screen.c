/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The real program on a pseudo-terminal, read as a person sees it: start, overlay,
 * cursor, mark, resize, quit, and the terminal as it was before, however it ends.
 */
#include <check.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/path.h"
#include "term/harness.h"

#define STOPS 60		/* a stop comes that often */
#define WORK_US 3000		/* and so long after a key at most */

static char *dir;		/* temporary, with copies of the samples */
static char *program;

static void copy_sample(const char *name)
{
	char *from = mem_printf("%s/samples/%s", SRCDIR, name);
	char *to = path_join(dir, name);
	struct buf text = BUF_INIT;

	ck_assert_int_eq(path_read_all(from, &text, NULL), ERR_NONE);
	ck_assert_int_eq(path_write_atomic(to, text.data, text.len, NULL), ERR_NONE);
	buf_release(&text);
	free(from);
	free(to);
}

static void set_up(void)
{
	char name[] = "/tmp/twinpull-screen.XXXXXX";
	const char *given = getenv("TWINPULL");

	ck_assert_ptr_nonnull(mkdtemp(name));
	dir = mem_strdup(name);
	program = mem_strdup(given != NULL ? given : BUILDDIR "/twinpull");
	copy_sample("before.csv");
	copy_sample("after.csv");
}

static void tear_down(void)
{
	char *command = mem_printf("rm -rf '%s'", dir);

	ck_assert_int_eq(system(command), 0);
	free(command);
	free(dir);
	free(program);
}

static struct term *start_with(const char *const *env, bool utf8, int cols, int rows,
			       const char *a, const char *b)
{
	const char *const argv[] = { program, a, b, NULL };
	struct err e = ERR_INIT;
	const struct term_options o = { .argv = argv, .env = env, .dir = dir, .cols = cols,
					.rows = rows, .utf8 = utf8, .err = &e };
	struct term *t = term_start(&o);

	ck_assert_msg(t != NULL, "%s", e.text);
	return t;
}

static struct term *start(void)
{
	struct term *t = start_with(NULL, true, 80, 24, "before.csv", "after.csv");

	term_assert(t, term_wait_text(t, "? help", TERM_MS));
	term_assert(t, term_wait_gone(t, "reading", TERM_MS));
	term_assert(t, term_wait_gone(t, "judging", TERM_MS));
	return t;
}

static void expect_whole_terminal(struct term *t)
{
	term_assert(t, term_tty_sane(t));
	term_assert(t, !term_alt_screen(t));
	term_assert(t, term_cursor_visible(t));
}

static void quit(struct term *t)
{
	term_assert(t, term_keys(t, "q"));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	expect_whole_terminal(t);
	term_free(t);
}

START_TEST(starts_with_the_overlay_and_quits)
{
	struct term *t = start();

	term_assert(t, term_alt_screen(t));
	term_assert(t, term_wait_text(t, "before.csv@1", TERM_MS));
	term_assert(t, term_wait_text(t, "after.csv@1", TERM_MS));
	term_assert(t, term_wait_text(t, "Boost", TERM_MS));
	quit(t);
}
END_TEST

START_TEST(a_cursor_moves)
{
	struct term *t = start();
	int row, before, after;

	term_assert(t, term_pump(t, TERM_MS));
	term_cursor(t, &row, &before);
	term_assert(t, term_keys(t, "<Right><Right><Right>"));
	term_assert(t, term_pump(t, TERM_MS));
	term_cursor(t, &row, &after);
	term_assert(t, after == before + 3);
	quit(t);
}
END_TEST

START_TEST(help_opens_and_closes)
{
	struct term *t = start();

	term_assert(t, term_keys(t, "?"));
	term_assert(t, term_wait_text(t, "Cursors and span", TERM_MS));
	term_assert(t, term_keys(t, "<Esc>"));
	term_assert(t, term_wait_gone(t, "Cursors and span", TERM_MS));
	quit(t);
}
END_TEST

START_TEST(a_mark_is_kept_for_the_next_start)
{
	struct term *t = start();
	char *path;

	term_assert(t, term_keys(t, ":span 6100:6800<Enter>mlean<Enter>look at the rail<Enter>"));
	term_assert(t, term_wait_text(t, "marked \"lean\"", TERM_MS));
	quit(t);
	path = path_join(dir, "after.csv.marks.csv");
	ck_assert(path_exists(path));
	free(path);
	t = start();
	term_assert(t, term_keys(t, "M"));
	term_assert(t, term_wait_text(t, "lean: look at the rail", TERM_MS));
	term_assert(t, term_keys(t, "<Esc>"));
	term_assert(t, term_wait_gone(t, "lean: look at the rail", TERM_MS));
	quit(t);
}
END_TEST

START_TEST(a_finding_is_gone_to_and_becomes_a_mark)
{
	struct term *t = start();
	char *path;

	term_assert(t, term_wait_text(t, "findings, stop", TERM_MS));
	term_assert(t, term_keys(t, "F"));
	term_assert(t, term_wait_text(t, "A screening aid", TERM_MS));
	term_assert(t, term_wait_text(t, "not run", TERM_MS));
	term_assert(t, term_keys(t, "<Enter>"));
	term_assert(t, term_wait_text(t, "B stop: knock retard, cylinder 3", TERM_MS));
	term_assert(t, term_keys(t, "!"));
	term_assert(t, term_wait_text(t, "marked \"knock retard, cylinder 3\"", TERM_MS));
	path = path_join(dir, "after.csv.marks.csv");
	ck_assert(path_exists(path));
	free(path);
	quit(t);
}
END_TEST

START_TEST(resizing_draws_the_whole_again)
{
	struct term *t = start();

	term_assert(t, term_keys(t, ":span 3000:4000<Enter>"));
	term_assert(t, term_wait_text(t, "span 3000 to 4000", TERM_MS));
	term_assert(t, term_resize(t, 132, 43));
	term_assert(t, term_wait_text(t, "2 - 1", TERM_MS));
	term_assert(t, term_wait_text(t, "span 3000 to 4000", TERM_MS));
	term_assert(t, term_resize(t, 39, 10));
	term_assert(t, term_wait_text(t, "too small", TERM_MS));
	term_assert(t, term_resize(t, 80, 24));
	term_assert(t, term_wait_text(t, "span 3000 to 4000", TERM_MS));
	quit(t);
}
END_TEST

/* Ends that ask: the program gives the terminal back and dies of the signal. */
START_TEST(a_signal_leaves_the_terminal_whole)
{
	static const int signals[] = { SIGTERM, SIGHUP, SIGQUIT, SIGSEGV, SIGABRT, SIGALRM,
				       SIGPIPE, SIGUSR1, SIGXCPU };
	struct term *t = start();

	term_assert(t, term_signal(t, signals[_i]));
	term_assert(t, term_wait_exit(t, TERM_MS) != 0);
	expect_whole_terminal(t);
	term_free(t);
}
END_TEST

START_TEST(ctrl_c_leaves_prompt_then_program)
{
	struct term *t = start();

	term_assert(t, term_keys(t, ":goto"));
	term_assert(t, term_wait_text(t, ":goto", TERM_MS));
	term_assert(t, term_keys(t, "<C-c>"));
	term_assert(t, term_wait_gone(t, ":goto", TERM_MS));
	term_assert(t, term_keys(t, "<C-c>"));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	expect_whole_terminal(t);
	term_free(t);
}
END_TEST

START_TEST(stop_and_continue)
{
	char *line = mem_printf("'%s' before.csv after.csv; echo stopped; read x; fg; echo over", program);
	const char *const argv[] = { "sh", "-mc", line, NULL };
	const struct term_options o = { .argv = argv, .dir = dir, .cols = 80, .rows = 24,
					.utf8 = true };
	struct term *t = term_start(&o);

	ck_assert_ptr_nonnull(t);
	term_assert(t, term_wait_text(t, "? help", TERM_MS));
	term_assert(t, term_keys(t, "<C-z>"));
	term_assert(t, term_wait_text(t, "stopped", TERM_MS));
	term_assert(t, !term_alt_screen(t));
	term_assert(t, term_keys(t, "<Enter>"));
	term_assert(t, term_wait_text(t, "? help", TERM_MS));
	term_assert(t, term_alt_screen(t));
	term_assert(t, term_keys(t, "q"));
	term_assert(t, term_wait_text(t, "over", TERM_MS));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	term_free(t);
	free(line);
}
END_TEST

/*
 * What a stop does must not depend on the work that it comes into: a handler that draws waits
 * for ever where the work holds the lock of malloc.
 */
START_TEST(stops_in_the_midst_of_work)
{
	char *line = mem_printf("'%s' before.csv after.csv; i=0; echo stop 0.; "
				"while read x; do fg || echo stop $((i = i + 1)).; done", program);
	const char *const argv[] = { "sh", "-mc", line, NULL };
	const struct term_options o = { .argv = argv, .dir = dir, .cols = 200, .rows = 50,
					.utf8 = true };
	struct term *t = term_start(&o);
	int i;

	ck_assert_ptr_nonnull(t);
	for (i = 0; i < STOPS; i++) {
		char *stop = mem_printf("stop %d.", i);

		term_assert(t, term_wait_text(t, "? help", TERM_MS));
		term_assert(t, term_keys(t, i % 2 == 0 ? "<Right>" : "<Left>"));
		usleep((useconds_t)i * WORK_US / STOPS);
		term_assert(t, term_keys(t, "<C-z>"));
		term_assert(t, term_wait_text(t, stop, TERM_MS));
		term_assert(t, term_keys(t, "<Enter>"));
		free(stop);
	}
	term_assert(t, term_wait_text(t, "? help", TERM_MS));
	term_assert(t, term_keys(t, "q"));
	term_assert(t, term_wait_gone(t, "? help", TERM_MS));
	term_free(t);
	free(line);
}
END_TEST

START_TEST(ascii_without_a_utf8_locale)
{
	struct term *t = start_with(NULL, false, 80, 24, "before.csv", "after.csv");
	const char *p;
	char *screen;

	term_assert(t, term_wait_text(t, "? help", TERM_MS));
	screen = term_screen(t);
	for (p = screen; *p != '\0'; p++)
		ck_assert_int_lt((unsigned char)*p, 0x80);
	ck_assert_ptr_nonnull(strstr(screen, "***"));
	ck_assert_ptr_nonnull(strstr(screen, "ooo"));
	free(screen);
	quit(t);
}
END_TEST

static bool any_colour(struct term *t)
{
	struct term_attr a;
	int row, col;

	for (row = 0; row < 24; row++)
		for (col = 0; col < 80; col++)
			if (term_cell_attr(t, row, col, &a) &&
			    (a.fg != TERM_DEFAULT_COLOUR || a.bg != TERM_DEFAULT_COLOUR))
				return true;
	return false;
}

START_TEST(no_color_means_none)
{
	static const char *const env[] = { "NO_COLOR=1", NULL };
	struct term *t = start();

	term_assert(t, any_colour(t));
	quit(t);
	t = start_with(env, true, 80, 24, "before.csv", "after.csv");
	term_assert(t, term_wait_text(t, "? help", TERM_MS));
	term_assert(t, !any_colour(t));
	quit(t);
}
END_TEST

START_TEST(works_on_poor_terminals)
{
	static const char *const terms[] = { "TERM=vt100", "TERM=linux", "TERM=ansi", "TERM=screen" };
	const char *const env[] = { terms[_i], NULL };
	struct term *t = start_with(env, true, 80, 24, "before.csv", "after.csv");

	term_assert(t, term_wait_text(t, "? help", TERM_MS));
	term_assert(t, term_keys(t, "q"));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	term_assert(t, term_tty_sane(t));
	term_free(t);
}
END_TEST

/* What is wrong with a log is said on a terminal that was never taken. */
START_TEST(trouble_is_said_before_the_screen_is_taken)
{
	struct term *t = start_with(NULL, true, 80, 24, "nosuch.csv", NULL);

	term_assert(t, term_wait_text(t, "nosuch.csv", TERM_MS));
	term_assert(t, term_wait_exit(t, TERM_MS) == 2);
	expect_whole_terminal(t);
	term_free(t);
}
END_TEST

START_TEST(an_unknown_terminal_is_refused_with_a_way_out)
{
	static const char *const terms[] = { "TERM=no-such-terminal", "TERM=dumb" };
	const char *const env[] = { terms[_i], NULL };
	struct term *t = start_with(env, true, 80, 24, "before.csv", "after.csv");

	term_assert(t, term_wait_text(t, "twinpull plot", TERM_MS));
	term_assert(t, term_wait_exit(t, TERM_MS) == 2);
	term_free(t);
}
END_TEST

START_TEST(the_log_may_come_by_standard_input)
{
	char *line = mem_printf("'%s' - < before.csv", program);
	const char *const argv[] = { "sh", "-c", line, NULL };
	const struct term_options o = { .argv = argv, .dir = dir, .cols = 80, .rows = 24,
					.utf8 = true };
	struct term *t = term_start(&o);

	ck_assert_ptr_nonnull(t);
	term_assert(t, term_wait_text(t, "? help", TERM_MS));
	quit(t);
	free(line);
}
END_TEST

/* Then the keys come from a terminal that is open for reading only. */
START_TEST(a_crash_with_the_log_on_standard_input_leaves_the_terminal_whole)
{
	char *line = mem_printf("exec '%s' - < before.csv", program);
	const char *const argv[] = { "sh", "-c", line, NULL };
	const struct term_options o = { .argv = argv, .dir = dir, .cols = 80, .rows = 24,
					.utf8 = true };
	struct term *t = term_start(&o);

	ck_assert_ptr_nonnull(t);
	term_assert(t, term_wait_text(t, "? help", TERM_MS));
	term_assert(t, term_signal(t, SIGSEGV));
	term_assert(t, term_wait_exit(t, TERM_MS) != 0);
	expect_whole_terminal(t);
	term_free(t);
	free(line);
}
END_TEST

/* However many keys that mean nothing come at once, they take no room. */
START_TEST(a_flood_of_keys_that_mean_nothing_is_survived)
{
	char *line = mem_printf("ulimit -s 512; exec '%s' before.csv after.csv", program);
	const char *const argv[] = { "sh", "-c", line, NULL };
	const struct term_options o = { .argv = argv, .dir = dir, .cols = 80, .rows = 24,
					.utf8 = true };
	struct term *t = term_start(&o);
	char flood[1001];
	int i;

	ck_assert_ptr_nonnull(t);
	term_assert(t, term_wait_text(t, "? help", TERM_MS));
	memset(flood, 1, sizeof flood - 1);
	flood[sizeof flood - 1] = '\0';
	for (i = 0; i < 60; i++)
		term_assert(t, term_keys(t, flood));
	quit(t);
	free(line);
}
END_TEST

START_TEST(idle_writes_nothing)
{
	struct term *t = start();

	term_assert(t, term_pump(t, TERM_MS));
	term_bytes(t);
	usleep(1500 * 1000);	/* longer than the wait for signals in the loop */
	term_assert(t, term_pump(t, TERM_MS));
	ck_assert_uint_eq(term_bytes(t), 0);
	quit(t);
}
END_TEST

Suite *screen_suite(void)
{
	Suite *s = suite_create("screen");
	TCase *t = tcase_create("terminal");

	tcase_add_checked_fixture(t, set_up, tear_down);
	tcase_set_timeout(t, 60);
	tcase_add_test(t, starts_with_the_overlay_and_quits);
	tcase_add_test(t, a_cursor_moves);
	tcase_add_test(t, help_opens_and_closes);
	tcase_add_test(t, a_mark_is_kept_for_the_next_start);
	tcase_add_test(t, a_finding_is_gone_to_and_becomes_a_mark);
	tcase_add_test(t, resizing_draws_the_whole_again);
	tcase_add_loop_test(t, a_signal_leaves_the_terminal_whole, 0, 9);
	tcase_add_test(t, ctrl_c_leaves_prompt_then_program);
	tcase_add_test(t, stop_and_continue);
	tcase_add_test(t, stops_in_the_midst_of_work);
	tcase_add_test(t, ascii_without_a_utf8_locale);
	tcase_add_test(t, no_color_means_none);
	tcase_add_loop_test(t, works_on_poor_terminals, 0, 4);
	tcase_add_test(t, trouble_is_said_before_the_screen_is_taken);
	tcase_add_loop_test(t, an_unknown_terminal_is_refused_with_a_way_out, 0, 2);
	tcase_add_test(t, the_log_may_come_by_standard_input);
	tcase_add_test(t, a_crash_with_the_log_on_standard_input_leaves_the_terminal_whole);
	tcase_add_test(t, a_flood_of_keys_that_mean_nothing_is_survived);
	tcase_add_test(t, idle_writes_nothing);
	suite_add_tcase(s, t);
	return s;
}
