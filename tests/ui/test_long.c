/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The real program with logs so long that their lanes are loaded in the background: all of it
 * comes in the end, keys act before, and it ends in the midst of it.
 */
#include <check.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/path.h"
#include "term/harness.h"
#include "view/lanes.h"

Suite *long_suite(void);

#define ROWS 525000
#define HOT_ROW 350000

_Static_assert(ROWS > ROWS_AT_ONCE, "lanes of so many rows are loaded in the background");

static char *dir;		/* temporary */
static char *program;

static void write_rows(size_t from, size_t to, const char *mode)
{
	char *path = path_join(dir, "long.csv");
	FILE *f = fopen(path, mode);
	size_t i;

	ck_assert_ptr_nonnull(f);
	if (from == 0)
		fputs("Time (s),Oil Temp (degC),Oil Press (bar)\n", f);
	for (i = from; i < to; i++)
		fprintf(f, "%.2f,%.1f,%.1f\n", (double)i / 100.0,
			i == HOT_ROW ? 131.5 : 90.0 + (double)(i % 100) / 10.0,
			3.0 + (double)(i % 30) / 10.0);
	ck_assert_int_eq(fclose(f), 0);
	free(path);
}

static void set_up(void)
{
	char name[] = "/tmp/twinpull-long.XXXXXX";
	const char *given = getenv("TWINPULL");

	ck_assert_ptr_nonnull(mkdtemp(name));
	dir = mem_strdup(name);
	program = mem_strdup(given != NULL ? given : BUILDDIR "/twinpull");
	write_rows(0, ROWS, "w");
}

static void tear_down(void)
{
	char *command = mem_printf("rm -rf '%s'", dir);

	ck_assert_int_eq(system(command), 0);
	free(command);
	free(dir);
	free(program);
}

static struct term *start(const char *option)
{
	const char *const argv[] = { program, option, "long.csv", NULL };
	struct err e = ERR_INIT;
	const struct term_options o = { .argv = argv, .dir = dir, .cols = 100, .rows = 24,
					.utf8 = true, .err = &e };
	struct term *t = term_start(&o);

	ck_assert_msg(t != NULL, "%s", e.text);
	return t;
}

static void await_all(struct term *t)
{
	term_assert(t, term_wait_text(t, "long.csv whole log", TERM_MS));
	term_assert(t, term_wait_gone(t, "reading", TERM_MS));
	term_assert(t, term_wait_gone(t, "loading", TERM_MS));
}

static void quit(struct term *t)
{
	term_assert(t, term_keys(t, "q"));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	term_assert(t, term_tty_sane(t));
	term_free(t);
}

START_TEST(all_of_it_comes)
{
	struct term *t = start("--glyphs=ascii");

	await_all(t);
	term_assert(t, term_keys(t, ":lane Oil Temp<Enter>>"));
	term_assert(t, term_wait_text(t, "highest Oil Temp: A 131.5 at 3500.00 s", TERM_MS));
	quit(t);
}
END_TEST

/* What a key needs is loaded at once, whatever is under way. */
START_TEST(a_key_need_not_wait)
{
	struct term *t = start("--glyphs=ascii");

	term_assert(t, term_wait_text(t, "long.csv whole log", TERM_MS));
	term_assert(t, term_wait_gone(t, "reading", TERM_MS));
	term_assert(t, term_keys(t, ":lane Oil Temp<Enter>>"));
	term_assert(t, term_wait_text(t, "highest Oil Temp: A 131.5 at 3500.00 s", TERM_MS));
	await_all(t);
	quit(t);
}
END_TEST

START_TEST(it_ends_in_the_midst_of_it)
{
	struct term *t = start("--glyphs=ascii");

	if (_i == 0)
		term_assert(t, term_wait_text(t, "long.csv whole log", TERM_MS));
	else
		term_assert(t, term_wait_gone(t, "reading", TERM_MS));
	quit(t);
}
END_TEST

/* A long log that is being written: where the cursor stands at the end, new values come. */
START_TEST(the_end_of_it_is_followed)
{
	struct term *t = start("--follow");

	await_all(t);
	write_rows(ROWS, ROWS + 1, "a");
	term_assert(t, term_wait_text(t, "5250.00", TERM_MS));
	await_all(t);
	quit(t);
}
END_TEST

Suite *long_suite(void)
{
	Suite *s = suite_create("long");
	TCase *t = tcase_create("long");

	tcase_add_checked_fixture(t, set_up, tear_down);
	tcase_set_timeout(t, 120);
	tcase_add_test(t, all_of_it_comes);
	tcase_add_test(t, a_key_need_not_wait);
	tcase_add_loop_test(t, it_ends_in_the_midst_of_it, 0, 2);
	tcase_add_test(t, the_end_of_it_is_followed);
	suite_add_tcase(s, t);
	return s;
}
