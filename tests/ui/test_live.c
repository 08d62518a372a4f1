/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The real program on a pseudo-terminal while its log is being written or read: a logger
 * that stops, tears a line, cuts its file, puts another in its place; reading that is
 * watched and ended.
 */
#include <check.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/path.h"
#include "term/harness.h"

Suite *live_suite(void);

static char *dir;		/* temporary */
static char *program;
static struct buf lines;	/* of samples/after.csv */

static void set_up(void)
{
	char name[] = "/tmp/twinpull-live.XXXXXX";
	const char *given = getenv("TWINPULL");
	char *sample = mem_printf("%s/samples/after.csv", SRCDIR);

	ck_assert_ptr_nonnull(mkdtemp(name));
	dir = mem_strdup(name);
	program = mem_strdup(given != NULL ? given : BUILDDIR "/twinpull");
	ck_assert_int_eq(path_read_all(sample, &lines, NULL), ERR_NONE);
	free(sample);
}

static void tear_down(void)
{
	char *command = mem_printf("rm -rf '%s'", dir);

	ck_assert_int_eq(system(command), 0);
	free(command);
	free(dir);
	free(program);
	buf_release(&lines);
}

/* Where line n (from 0) begins. */
static size_t line_at(size_t n)
{
	size_t at = 0;

	for (; n > 0; n--)
		at = (size_t)((char *)memchr(lines.data + at, '\n', lines.len - at) - lines.data) + 1;
	return at;
}

static void write_log(const char *name, int flags, const char *bytes, size_t n)
{
	char *path = path_join(dir, name);
	const int fd = open(path, O_WRONLY | O_CREAT | flags, 0600);

	ck_assert_int_ge(fd, 0);
	ck_assert_int_eq(write(fd, bytes, n), (ssize_t)n);
	close(fd);
	free(path);
}

/* The logger writes the bytes from .. to of the sample. */
static void log_bytes(size_t from, size_t to)
{
	write_log("live.csv", O_APPEND, lines.data + from, to - from);
}

static struct term *start(const char *const *argv)
{
	struct err e = ERR_INIT;
	const struct term_options o = { .argv = argv, .dir = dir, .cols = 100, .rows = 24,
					.utf8 = true, .err = &e };
	struct term *t = term_start(&o);

	ck_assert_msg(t != NULL, "%s", e.text);
	return t;
}

static struct term *follow(void)
{
	char *before = mem_printf("%s/samples/before.csv", SRCDIR);
	const char *const argv[] = { program, "--follow", before, "live.csv", NULL };
	struct term *t = start(argv);

	free(before);
	return t;
}

static void quit(struct term *t)
{
	term_assert(t, term_keys(t, "q"));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	term_assert(t, term_tty_sane(t));
	term_assert(t, !term_alt_screen(t));
	term_free(t);
}

START_TEST(a_logger_that_stops_and_tears_a_line)
{
	const size_t torn = line_at(700) + 20;
	struct term *t;

	log_bytes(0, line_at(40));
	t = follow();
	term_assert(t, term_wait_text(t, "live.csv whole log", TERM_MS));
	term_assert(t, term_wait_text(t, "live", TERM_MS));
	log_bytes(line_at(40), line_at(400));
	term_assert(t, term_wait_text(t, "live.csv@1 gear 4 1902-", TERM_MS));
	log_bytes(line_at(400), torn);		/* in the middle of a line */
	term_assert(t, term_pump(t, TERM_MS));
	log_bytes(torn, lines.len);
	term_assert(t, term_wait_text(t, "live.csv@1 gear 4 1902-6900", TERM_MS));
	term_assert(t, term_wait_text(t, "5 stop", TERM_MS));
	quit(t);
}
END_TEST

START_TEST(a_log_that_is_cut_or_replaced)
{
	char *old = path_join(dir, "live.csv");
	char *aside = path_join(dir, "old.csv");
	struct term *t;

	log_bytes(0, lines.len);
	t = follow();
	term_assert(t, term_wait_text(t, "live.csv@1 gear 4 1902-6900", TERM_MS));
	write_log("live.csv", O_TRUNC, lines.data, line_at(60));
	term_assert(t, term_wait_text(t, "another log has begun", TERM_MS));
	term_assert(t, term_wait_text(t, "live.csv whole log", TERM_MS));
	ck_assert_int_eq(rename(old, aside), 0);
	term_assert(t, term_keys(t, "<Right>"));
	term_assert(t, term_wait_gone(t, "another log has begun", TERM_MS));
	term_assert(t, term_wait_text(t, "file is gone", TERM_MS));
	log_bytes(0, lines.len);
	term_assert(t, term_wait_text(t, "another log has begun", TERM_MS));
	term_assert(t, term_wait_gone(t, "file is gone", TERM_MS));
	term_assert(t, term_wait_text(t, "live.csv@1 gear 4 1902-6900", TERM_MS));
	quit(t);
	free(old);
	free(aside);
}
END_TEST

START_TEST(a_log_that_has_not_begun)
{
	struct term *t;

	write_log("live.csv", 0, "", 0);
	t = follow();
	log_bytes(0, line_at(3));
	log_bytes(line_at(3), line_at(50));
	term_assert(t, term_wait_text(t, "live.csv whole log", TERM_MS));
	quit(t);
}
END_TEST

/* Neither a file that is empty nor one that is not there is a mistake yet. */
START_TEST(it_waits_for_a_logger)
{
	const char *const argv[] = { "sh", "-c", "\"$0\" --follow live.csv; echo code $?", program,
				     NULL };
	struct term *t = start(argv);

	term_assert(t, term_wait_text(t, "waiting for live.csv, which is not there; Ctrl-C ends",
				      TERM_MS));
	write_log("live.csv", 0, "", 0);
	term_assert(t, term_wait_text(t, "waiting for rows in live.csv; Ctrl-C ends", TERM_MS));
	log_bytes(0, line_at(1));
	log_bytes(line_at(1), line_at(50));
	term_assert(t, term_wait_text(t, "live.csv whole log", TERM_MS));
	term_assert(t, term_keys(t, "q"));
	term_assert(t, term_wait_text(t, "code 0", TERM_MS));
	term_assert(t, term_wait_gone(t, "waiting", TERM_MS));
	term_free(t);
}
END_TEST

START_TEST(waiting_ends_with_ctrl_c)
{
	const char *const argv[] = { program, "--follow", "live.csv", NULL };
	struct term *t = start(argv);

	term_assert(t, term_wait_text(t, "waiting for live.csv", TERM_MS));
	term_assert(t, term_keys(t, "<C-c>"));
	term_assert(t, term_wait_exit(t, TERM_MS) == -SIGINT);
	term_assert(t, term_wait_text(t, "reading was stopped", TERM_MS));
	term_free(t);
}
END_TEST

START_TEST(what_can_never_be_a_log_is_not_waited_for)
{
	static const struct {
		const char *command;
		const char *words;
	} cases[] = {
		{ "head -c 1000000 /dev/zero | tr '\\0' '\\21' >live.csv; "
		  "exec \"$0\" --follow live.csv", "binary data" },
		{ "exec \"$0\" --follow no/live.csv", "there is no such file" },
		{ "exec \"$0\" pulls /dev/zero", "it begins with 1 MB of NUL bytes" },
		{ "exec \"$0\" /dev/zero", "it begins with 1 MB of NUL bytes" },
	};
	const char *const argv[] = { "sh", "-c", cases[_i].command, program, NULL };
	struct term *t = start(argv);

	term_assert(t, term_wait_exit(t, TERM_MS) == 2);
	term_assert(t, term_wait_text(t, cases[_i].words, TERM_MS));
	term_free(t);
}
END_TEST

/* A pipe that nobody writes to: one Ctrl-C, and the shell has a line of its own. */
START_TEST(nobody_writes_to_the_pipe)
{
	static const char *const commands[] = {
		"mkfifo pipe; exec \"$0\" pulls pipe", "mkfifo pipe; exec \"$0\" pipe",
	};
	const char *const argv[] = { "sh", "-c", commands[_i], program, NULL };
	struct term *t = start(argv);

	term_assert(t, term_wait_text(t, "reading pipe", TERM_MS));
	term_assert(t, term_keys(t, "<C-c>"));
	term_assert(t, term_wait_exit(t, TERM_MS) == -SIGINT || _i == 0);
	term_assert(t, term_wait_gone(t, "reading pipe", TERM_MS));
	term_free(t);
}
END_TEST

START_TEST(nothing_is_written_while_nothing_comes)
{
	struct term *t;

	log_bytes(0, lines.len);
	t = follow();
	term_assert(t, term_wait_text(t, "5 stop", TERM_MS));
	term_assert(t, term_pump(t, TERM_MS));
	term_bytes(t);
	term_assert(t, !term_wait_text(t, "never on screen", 1500));	/* the log is looked at meanwhile */
	ck_assert_uint_eq(term_bytes(t), 0);
	quit(t);
}
END_TEST

START_TEST(a_logger_that_is_silent)
{
	struct term *t;

	log_bytes(0, line_at(300));
	t = follow();
	term_assert(t, term_wait_text(t, "live", TERM_MS));
	term_assert(t, term_wait_text(t, "live, silent for 10 s", 2 * TERM_MS));
	log_bytes(line_at(300), line_at(310));
	term_assert(t, term_wait_gone(t, "silent", TERM_MS));
	quit(t);
}
END_TEST

START_TEST(follow_wants_a_terminal)
{
	const char *const argv[] = { "sh", "-c", "\"$0\" --follow live.csv >out; echo code $?",
				     program, NULL };
	struct term *t;

	log_bytes(0, lines.len);
	t = start(argv);
	term_assert(t, term_wait_text(t, "--follow needs a terminal", TERM_MS));
	term_assert(t, term_wait_text(t, "code 2", TERM_MS));
	term_free(t);
}
END_TEST

/* ---- reading that takes long: from a pipe that the test fills ---- */

static struct term *start_on_pipe(const char *command, size_t first, int *to)
{
	const char *const argv[] = { "sh", "-c", command, program, NULL };
	char *path = path_join(dir, "pipe");
	struct term *t;

	ck_assert_int_eq(mkfifo(path, 0600), 0);
	t = start(argv);
	*to = open(path, O_WRONLY);
	ck_assert_int_ge(*to, 0);
	ck_assert_int_eq(write(*to, lines.data, line_at(first)), (ssize_t)line_at(first));
	free(path);
	return t;
}

START_TEST(a_command_shows_how_far_it_is)
{
	struct term *t;
	int to;

	t = start_on_pipe("exec \"$0\" channels - <pipe", 500, &to);
	term_assert(t, term_wait_text(t, "reading standard input 0 MB", TERM_MS));
	close(to);
	term_assert(t, term_wait_text(t, "Boost Pressure", TERM_MS));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	term_assert(t, term_wait_gone(t, "reading", TERM_MS));
	term_free(t);
}
END_TEST

START_TEST(interrupted_it_goes_on_with_what_was_read)
{
	struct term *t;
	int to;

	t = start_on_pipe("exec \"$0\" pulls - <pipe", 500, &to);
	term_assert(t, term_wait_text(t, "reading standard input", TERM_MS));
	term_assert(t, term_keys(t, "<C-c>"));
	term_assert(t, term_wait_text(t, "reading was stopped", TERM_MS));
	term_assert(t, term_wait_exit(t, TERM_MS) == -SIGINT);
	close(to);
	term_free(t);
}
END_TEST

START_TEST(the_viewer_opens_with_what_was_read)
{
	struct term *t;
	int to;

	t = start_on_pipe("exec \"$0\" - <pipe", 500, &to);
	term_assert(t, term_wait_text(t, "reading", TERM_MS));
	term_assert(t, term_keys(t, "<C-c>"));
	term_assert(t, term_wait_text(t, "reading was stopped", TERM_MS));
	term_assert(t, term_wait_text(t, "whole log", TERM_MS));
	term_assert(t, term_keys(t, "<Right>"));
	term_assert(t, term_wait_gone(t, "reading was stopped", TERM_MS));
	term_assert(t, term_wait_text(t, "not read whole", TERM_MS));
	quit(t);
	close(to);
}
END_TEST

/* A pull that is missing because reading was stopped is not said to be missing. */
START_TEST(stopped_before_there_is_the_pull)
{
	struct term *t;
	int to;

	t = start_on_pipe("exec \"$0\" pipe@1 pipe@2", 500, &to);
	term_assert(t, term_wait_text(t, "reading pipe", TERM_MS));
	term_assert(t, term_keys(t, "<C-c>"));
	term_assert(t, term_wait_text(t, "reading was stopped before there was enough to show",
				      TERM_MS));
	term_assert(t, term_wait_exit(t, TERM_MS) == -SIGINT);
	term_free(t);
	close(to);
}
END_TEST

/* Whoever wants to end reading does not mean the viewer, also when late by a moment. */
START_TEST(interrupted_as_reading_ends_it_stays)
{
	struct term *t;
	int to;

	t = start_on_pipe("exec \"$0\" - <pipe", 500, &to);
	term_assert(t, term_wait_text(t, "reading standard input", TERM_MS));
	close(to);
	term_assert(t, term_keys(t, "<C-c>"));
	term_assert(t, term_wait_text(t, "whole log", TERM_MS));
	quit(t);
}
END_TEST

START_TEST(a_prompt_is_left_before_reading_is_thought_of)
{
	struct term *t;
	int to;

	t = start_on_pipe("exec \"$0\" - <pipe", 500, &to);
	term_assert(t, term_wait_text(t, "reading standard input", TERM_MS));
	close(to);
	term_assert(t, term_wait_text(t, "whole log", TERM_MS));
	term_assert(t, term_keys(t, ":goto"));
	term_assert(t, term_wait_text(t, ":goto", TERM_MS));
	term_assert(t, term_keys(t, "<C-c>"));
	term_assert(t, term_wait_gone(t, ":goto", TERM_MS));
	quit(t);
}
END_TEST

START_TEST(standard_input_is_followed)
{
	struct term *t;
	int to;

	t = start_on_pipe("exec \"$0\" --follow - <pipe", 40, &to);
	term_assert(t, term_wait_text(t, "live", TERM_MS));
	ck_assert_int_gt(write(to, lines.data + line_at(40), lines.len - line_at(40)), 0);
	term_assert(t, term_wait_text(t, "pull 1: 1902-", TERM_MS));
	close(to);
	term_assert(t, term_wait_text(t, "has ended", TERM_MS));
	quit(t);
}
END_TEST

Suite *live_suite(void)
{
	Suite *s = suite_create("live");
	TCase *t = tcase_create("live");

	tcase_add_checked_fixture(t, set_up, tear_down);
	tcase_set_timeout(t, 120);
	tcase_add_test(t, a_logger_that_stops_and_tears_a_line);
	tcase_add_test(t, a_log_that_is_cut_or_replaced);
	tcase_add_test(t, a_log_that_has_not_begun);
	tcase_add_test(t, it_waits_for_a_logger);
	tcase_add_test(t, waiting_ends_with_ctrl_c);
	tcase_add_loop_test(t, what_can_never_be_a_log_is_not_waited_for, 0, 4);
	tcase_add_loop_test(t, nobody_writes_to_the_pipe, 0, 2);
	tcase_add_test(t, nothing_is_written_while_nothing_comes);
	tcase_add_test(t, a_logger_that_is_silent);
	tcase_add_test(t, follow_wants_a_terminal);
	tcase_add_test(t, a_command_shows_how_far_it_is);
	tcase_add_test(t, interrupted_it_goes_on_with_what_was_read);
	tcase_add_test(t, the_viewer_opens_with_what_was_read);
	tcase_add_test(t, stopped_before_there_is_the_pull);
	tcase_add_test(t, interrupted_as_reading_ends_it_stays);
	tcase_add_test(t, a_prompt_is_left_before_reading_is_thought_of);
	tcase_add_test(t, standard_input_is_followed);
	suite_add_tcase(s, t);
	return s;
}
