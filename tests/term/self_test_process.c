/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The terminal harness tried on shell snippets: starting, ending, killing. */
#ifndef _GNU_SOURCE
#define _GNU_SOURCE	/* mkdtemp and setenv under any other feature macro */
#endif
#include "self_test.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>
#ifdef __linux__
#include <sys/prctl.h>
#endif

#define COUNT(array) (sizeof(array) / sizeof(*(array)))
#define HOLD "; read -r hold"

struct term *self_run(const char *script, struct term_options o)
{
	const char *const argv[] = { "sh", "-c", script, NULL };
	struct err err = ERR_INIT;
	struct term *t;

	o.argv = argv;
	o.err = &err;
	t = term_start(&o);
	ck_assert_msg(t != NULL, "%s", err.text);
	return t;
}

static struct term *run(const char *script)
{
	return self_run(script, (struct term_options){ .utf8 = true });
}

/* The harness must leave nothing: no child, living or dead. */
static void assert_childless(void)
{
	ck_assert_int_eq(waitpid(-1, NULL, WNOHANG), -1);
	ck_assert_int_eq(errno, ECHILD);
}

/* ---- the end ---- */

static const struct {
	const char *script;
	int code;
} exits[] = {
	{ "exit 0", 0 }, { "exit 7", 7 }, { "exit 130", 130 }, { "exit 255", 255 },
	{ "kill -TERM $$", -SIGTERM }, { "kill -KILL $$", -SIGKILL },
};

START_TEST(exit_codes)
{
	struct term *t = run(exits[_i].script);
	const long pid = term_pid(t);

	term_assert(t, term_wait_exit(t, TERM_MS) == exits[_i].code);
	term_assert(t, term_wait_exit(t, 0) == exits[_i].code);
	term_assert(t, !term_signal(t, SIGTERM));
	/* Not reaped yet: nobody else can get the number that term_free() kills. */
	term_assert(t, kill((pid_t)pid, 0) == 0);
	term_free(t);
	assert_childless();
}
END_TEST

START_TEST(signals)
{
	struct term *t = run("trap 'echo caught; exit 3' USR1; echo ready;"
			     "while :; do sleep 0.02; done");

	term_assert(t, term_wait_text(t, "ready", TERM_MS));
	term_assert(t, term_wait_exit(t, 50) == TERM_RUNNING);
	term_assert(t, term_signal(t, SIGUSR1) && term_wait_text(t, "caught", TERM_MS));
	term_assert(t, term_wait_exit(t, TERM_MS) == 3);
	term_free(t);
}
END_TEST

/* The last bytes of a program that is already gone; each run could lose them. */
START_TEST(last_output_arrives)
{
	struct term *t = run("seq 1 2000; printf '\\033[?1049h'; printf last");

	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	term_assert(t, term_alt_screen(t) && term_wait_text(t, "last", 0));
	/* 9 + 2 * 90 + 3 * 900 + 4 * 1001 digits, 2000 times CR LF. */
	term_assert(t, term_bytes(t) == 6893 + 4000 + 8 + 4);
	term_assert(t, term_bytes(t) == 0);
	term_free(t);
}
END_TEST

START_TEST(bytes_per_action)
{
	struct term *t = run("stty -echo; printf ready; read -r x; printf '\\033[2Habc'" HOLD);

	term_assert(t, term_wait_text(t, "ready", TERM_MS) && term_pump(t, TERM_MS));
	term_assert(t, term_bytes(t) == 5);
	term_assert(t, term_keys(t, "<Enter>") && term_wait_text(t, "abc", TERM_MS));
	term_assert(t, term_pump(t, TERM_MS) && term_bytes(t) == 7);
	term_free(t);
}
END_TEST

START_TEST(pump_gives_up_on_noise)
{
	struct term *t = run("while :; do echo noise; done");

	term_assert(t, !term_pump(t, 300));
	term_assert(t, term_bytes(t) > 0 && strstr(term_error(t), "silent") != NULL);
	term_free(t);
	assert_childless();
}
END_TEST

START_TEST(tty_restored_or_not)
{
	struct term *good = run("s=$(stty -g); stty raw -echo; printf ready;"
				"dd bs=1 count=1 >/dev/null 2>&1; stty $s; printf done");
	struct term *bad = run("stty -icanon -echo; printf ready; dd bs=1 count=1 >/dev/null 2>&1");
	struct term *worse = run("stty intr ^K");

	term_assert(good, term_wait_text(good, "ready", TERM_MS) && !term_tty_sane(good));
	term_assert(good, term_keys(good, "x") && term_wait_exit(good, TERM_MS) == 0);
	term_assert(good, term_tty_sane(good) && term_wait_text(good, "done", 0));
	term_assert(bad, term_wait_text(bad, "ready", TERM_MS));
	term_assert(bad, term_keys(bad, "x") && term_wait_exit(bad, TERM_MS) == 0);
	term_assert(bad, !term_tty_sane(bad));
	term_assert(worse, term_wait_exit(worse, TERM_MS) == 0 && !term_tty_sane(worse));
	term_free(good);
	term_free(bad);
	term_free(worse);
	assert_childless();
}
END_TEST

/* ---- waits that fail ---- */

START_TEST(wait_fails_early_and_late)
{
	struct term *t = run("printf here; exit 4");
	struct term *alive = run("printf here" HOLD);

	term_assert(t, !term_wait_text(t, "nowhere", TERM_MS));
	term_assert(t, strstr(term_error(t), "nowhere") && strstr(term_error(t), "ended (4)"));
	term_assert(t, term_wait_text(t, "here", 0) && !term_wait_gone(t, "here", TERM_MS));
	term_assert(alive, term_wait_text(alive, "here", TERM_MS));
	term_assert(alive, !term_wait_text(alive, "nowhere", 50));
	term_assert(alive, strstr(term_error(alive), "not within 50 ms") != NULL);
	term_free(t);
	term_free(alive);
	assert_childless();
}
END_TEST

START_TEST(wait_for_text_to_go)
{
	struct term *t = run("printf popup; read -r x; printf '\\033[2J\\033[Hrest'" HOLD);

	term_assert(t, term_wait_text(t, "popup", TERM_MS));
	term_assert(t, term_keys(t, "<Enter>") && term_wait_gone(t, "popup", TERM_MS));
	term_free(t);
}
END_TEST

static bool cursor_in_row(struct term *t, void *arg)
{
	int row, col;

	term_cursor(t, &row, &col);
	return row == *(const int *)arg;
}

START_TEST(wait_for_a_condition)
{
	struct term *t = run("printf '\\033[10;1H'" HOLD);
	int nine = 9, ten = 10;

	term_assert(t, term_wait(t, cursor_in_row, &nine, TERM_MS));
	term_assert(t, !term_wait(t, cursor_in_row, &ten, 50));
	term_free(t);
}
END_TEST

/* ---- starting ---- */

static const struct {
	const char *program, *dir, *message;
	int cols;
} bad_starts[] = {
	{ "no-such-program-anywhere", NULL, "cannot run no-such-program-anywhere: No such", 80 },
	{ "./no/such/program", NULL, "cannot run ./no/such/program: No such", 80 },
	{ "/dev/null", NULL, "cannot run /dev/null: Permission", 80 },
	{ "true", "/no/such/dir", "cannot enter the directory for true in /no/such/dir: No", 80 },
	{ "true", NULL, "no terminal has -1 columns", -1 },
	{ NULL, NULL, "no program to run", 80 },
};

START_TEST(start_fails)
{
	const char *const argv[] = { bad_starts[_i].program, NULL };
	struct err err = ERR_INIT;
	struct term_options o = {
		.argv = argv, .dir = bad_starts[_i].dir, .cols = bad_starts[_i].cols, .err = &err,
	};

	ck_assert_ptr_null(term_start(&o));
	ck_assert_msg(strncmp(err.text, bad_starts[_i].message,
			      strlen(bad_starts[_i].message)) == 0, "%s", err.text);
	o.err = NULL;
	ck_assert_ptr_null(term_start(&o));
	assert_childless();
}
END_TEST

static const char show_env[] = "echo \"$TERM:$LC_ALL:$HOME:${NO_COLOR-unset}:"
	"${XDG_STATE_HOME-unset}:${LANG-unset}:${COLUMNS-unset}:${KEPT-unset}:${GONE-unset}\"";

START_TEST(environment)
{
	const char *const env[] = {
		"TERM=vt100", "HOME=/somewhere", "NO_COLOR=1", "XDG_STATE_HOME=/else", "GONE",
		"LC_ALL", "NOT_THERE", NULL,
	};
	struct term *t;

	setenv("NO_COLOR", "yes", 1);
	setenv("LANG", "de_DE.UTF-8", 1);
	setenv("XDG_STATE_HOME", "/of/the/caller", 1);
	setenv("COLUMNS", "33", 1);
	setenv("KEPT", "kept", 1);
	setenv("GONE", "gone", 1);
	t = self_run(show_env, (struct term_options){ .cols = 200 });
	term_assert(t, term_wait_text(t, "xterm-256color:C:/nonexistent:unset:unset:unset:unset:"
				      "kept:gone\n", TERM_MS));
	term_free(t);
	t = self_run(show_env, (struct term_options){ .cols = 200, .utf8 = true });
	term_assert(t, term_wait_text(t, ":C.UTF-8:", TERM_MS));
	term_free(t);
	t = self_run(show_env, (struct term_options){ .cols = 200, .env = env });
	term_assert(t, term_wait_text(t, "vt100::/somewhere:1:/else:unset:unset:kept:unset\n",
				      TERM_MS));
	term_free(t);
}
END_TEST

START_TEST(directory_and_relative_program)
{
	char dir[] = "harness-XXXXXX";
	char program[sizeof(dir) + sizeof("/program")];
	const char *const argv[] = { program, "a b", NULL };
	struct err err = ERR_INIT;
	struct term_options o = { .argv = argv, .dir = "/", .err = &err };
	struct term *t;
	bool found;
	FILE *f;

	ck_assert_ptr_nonnull(mkdtemp(dir));
	snprintf(program, sizeof(program), "%s/program", dir);
	f = fopen(program, "w");
	ck_assert_ptr_nonnull(f);
	fputs("#!/bin/sh\necho \"$1 in $(pwd).\"\n", f);
	fclose(f);
	ck_assert_int_eq(chmod(program, 0700), 0);
	t = term_start(&o);
	found = t != NULL && term_wait_text(t, "a b in /.", TERM_MS);
	unlink(program);
	rmdir(dir);
	ck_assert_msg(t != NULL, "%s", err.text);
	term_assert(t, found);
	term_free(t);
}
END_TEST

/* What the caller ignores or blocks, and its open files, are not the program's. */
START_TEST(clean_signals_and_files)
{
	sigset_t set;
	struct term *t;
	int pipes[2];

	signal(SIGTERM, SIG_IGN);
	sigemptyset(&set);
	sigaddset(&set, SIGUSR1);
	sigprocmask(SIG_BLOCK, &set, NULL);
	ck_assert_int_eq(pipe(pipes), 0);
	/* First without a fork, in which a shell may set its own mask. */
	t = run("while read -r line; do case $line in Sig*) echo \"$line\";; esac; done"
		" 2>/dev/null </proc/$$/status; ls /proc/self/fd | tr '\\n' ' '; echo .;"
		"kill -TERM $$; echo survived");
	close(pipes[0]);
	close(pipes[1]);
	term_assert(t, term_wait_exit(t, TERM_MS) == -SIGTERM);
#ifdef __linux__
	term_assert(t, term_wait_text(t, "0 1 2 3 .", 0));	/* 3: the directory itself */
	term_assert(t, term_wait_text(t, "SigBlk: 0000000000000000", 0));
	/* 32 and 33 are the C library's own: no program can change them */
	term_assert(t, term_wait_text(t, "SigIgn: 0000000000000000", 0) ||
		    term_wait_text(t, "SigIgn: 0000000180000000", 0));
#endif
	term_free(t);
}
END_TEST

/* ---- killing ---- */

static void assert_gone(long pid)
{
	ck_assert_int_eq(kill((pid_t)pid, 0), -1);
	ck_assert_int_eq(errno, ESRCH);
}

START_TEST(free_kills_the_stubborn)
{
	struct term *t = run("trap '' HUP TERM INT QUIT; echo ready; while :; do sleep 0.05; done");
	const long pid = term_pid(t);

	term_assert(t, term_wait_text(t, "ready", TERM_MS));
	term_assert(t, kill((pid_t)pid, 0) == 0);
	term_free(t);
	assert_gone(pid);
	assert_childless();
	term_free(NULL);
}
END_TEST

START_TEST(free_kills_the_stopped)
{
	struct term *t = run("echo ready; kill -STOP $$; echo never");
	const long pid = term_pid(t);

	term_assert(t, term_wait_text(t, "ready", TERM_MS));
	term_free(t);
	assert_gone(pid);
	assert_childless();
}
END_TEST

#ifdef __linux__
/* The orphan was killed: it is ours to reap, unless its shell still did. */
static void assert_killed(long pid)
{
	int status;

	if (waitpid((pid_t)pid, &status, 0) < 0)
		assert_gone(pid);
	else
		ck_assert(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);
}

/* Jobs of the program: in its group, and in one of their own. */
static const char *const orphan_makers[] = {
	"(trap '' HUP TERM; echo \"=$(exec sh -c 'echo $PPID')=\"; while :; do sleep 0.05; done) &"
	" wait",
	"set -m; (trap '' HUP TERM; echo \"=$(exec sh -c 'echo $PPID')=\";"
	" while :; do sleep 0.05; done); echo",
	"(trap '' HUP TERM; echo \"=$(exec sh -c 'echo $PPID')=\"; while :; do sleep 0.05; done) &"
	" read -r x; exit 0",
};

/* The number that a snippet printed between equals signs, once it is there. */
static long printed_pid(struct term *t)
{
	char row[256];
	long pid = 0;

	term_assert(t, term_wait_text(t, "=\n", TERM_MS));
	for (int i = 0; i < 4 && pid == 0; i++) {
		term_row(t, i, row, sizeof(row));
		if (sscanf(row, "=%ld=", &pid) != 1)
			pid = 0;
	}
	term_assert(t, pid > 1);
	return pid;
}

START_TEST(free_kills_jobs_too)
{
	struct term *t;
	long pid;

	ck_assert_int_eq(prctl(PR_SET_CHILD_SUBREAPER, 1), 0);
	t = run(orphan_makers[_i]);
	pid = printed_pid(t);
	if (_i == 2)	/* already ended, its job not */
		term_assert(t, term_keys(t, "<Enter>") && term_wait_exit(t, TERM_MS) == 0);
	term_free(t);
	assert_killed(pid);
}
END_TEST

/* A test that dies without term_free() takes the program with it. */
START_TEST(dies_with_the_test)
{
	int numbers[2], status;
	pid_t test;
	long pid = 0;

	ck_assert_int_eq(prctl(PR_SET_CHILD_SUBREAPER, 1), 0);
	ck_assert_int_eq(pipe(numbers), 0);
	test = fork();
	ck_assert_int_ge(test, 0);
	if (test == 0) {
		struct term *t = run("trap '' HUP TERM; echo ready; while :; do sleep 0.05; done");

		pid = term_wait_text(t, "ready", TERM_MS) ? term_pid(t) : 0;
		_exit(write(numbers[1], &pid, sizeof(pid)) != sizeof(pid));
	}
	ck_assert_int_eq(read(numbers[0], &pid, sizeof(pid)), sizeof(pid));
	ck_assert_int_gt(pid, 1);
	close(numbers[0]);
	close(numbers[1]);
	ck_assert_int_eq(waitpid(test, &status, 0), test);
	assert_killed(pid);
}
END_TEST
#endif

void self_test_process(Suite *s)
{
	TCase *tc = tcase_create("process");

	tcase_set_timeout(tc, SELF_TIMEOUT_S);
	tcase_add_loop_test(tc, exit_codes, 0, (int)COUNT(exits));
	tcase_add_test(tc, signals);
	tcase_add_loop_test(tc, last_output_arrives, 0, 20);
	tcase_add_test(tc, bytes_per_action);
	tcase_add_test(tc, pump_gives_up_on_noise);
	tcase_add_test(tc, tty_restored_or_not);
	tcase_add_test(tc, wait_fails_early_and_late);
	tcase_add_test(tc, wait_for_text_to_go);
	tcase_add_test(tc, wait_for_a_condition);
	tcase_add_loop_test(tc, start_fails, 0, (int)COUNT(bad_starts));
	tcase_add_test(tc, environment);
	tcase_add_test(tc, directory_and_relative_program);
	tcase_add_test(tc, clean_signals_and_files);
	tcase_add_test(tc, free_kills_the_stubborn);
	tcase_add_test(tc, free_kills_the_stopped);
#ifdef __linux__
	tcase_add_loop_test(tc, free_kills_jobs_too, 0, (int)COUNT(orphan_makers));
	tcase_add_test(tc, dies_with_the_test);
#endif
	suite_add_tcase(s, tc);
}
