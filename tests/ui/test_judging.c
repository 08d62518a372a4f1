/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The viewer on a pseudo-terminal while the checks run: it is there before them, keys act,
 * findings come when they are there, and it can be left at any moment.
 */
#include <check.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/path.h"
#include "term/harness.h"

Suite *judging_suite(void);

static char *dir;		/* temporary; the checks wait for a file in it */
static char *go;

static void set_up(void)
{
	char name[] = "/tmp/twinpull-judging.XXXXXX";

	ck_assert_ptr_nonnull(mkdtemp(name));
	dir = mem_strdup(name);
	go = path_join(dir, "go");
}

static void tear_down(void)
{
	unlink(go);
	ck_assert_int_eq(rmdir(dir), 0);
	free(go);
	free(dir);
}

static void let_go(void)
{
	ck_assert_int_eq(path_write_atomic(go, "", 0, NULL), ERR_NONE);
}

static void hold(void)
{
	ck_assert_int_eq(unlink(go), 0);
}

/* With the first picture on the screen. */
static struct term *start(void)
{
	const char *const argv[] = { BUILDDIR "/held_view", SRCDIR "/samples/before.csv",
				     SRCDIR "/samples/after.csv", NULL };
	struct err e = ERR_INIT;
	const struct term_options o = { .argv = argv, .dir = dir, .cols = 100, .rows = 24,
					.utf8 = true, .err = &e };
	struct term *t = term_start(&o);

	ck_assert_msg(t != NULL, "%s", e.text);
	term_assert(t, term_wait_text(t, "? help", TERM_MS));
	return t;
}

static void quit(struct term *t)
{
	term_assert(t, term_keys(t, "q"));
	term_assert(t, term_wait_exit(t, TERM_MS) == 0);
	term_assert(t, term_tty_sane(t));
	term_free(t);
}

static bool says(struct term *t, const char *text)
{
	return term_wait_text(t, text, 0);
}

START_TEST(the_picture_comes_first_and_keys_act)
{
	struct term *t = start();
	int row, before, after;

	term_assert(t, says(t, "judging"));
	term_assert(t, says(t, "Boost"));
	term_assert(t, !says(t, "finding,"));
	term_cursor(t, &row, &before);
	term_assert(t, term_keys(t, "<Right><Right>"));
	term_assert(t, term_pump(t, TERM_MS));
	term_cursor(t, &row, &after);
	term_assert(t, after == before + 2);
	term_assert(t, term_keys(t, "F"));
	term_assert(t, term_wait_text(t, "after.csv: being judged", TERM_MS));
	let_go();
	term_assert(t, term_wait_text(t, "the worst stop", TERM_MS));
	term_assert(t, term_keys(t, "<Esc>"));
	term_assert(t, term_wait_text(t, "5 stop", TERM_MS));
	term_assert(t, term_wait_gone(t, "judging", TERM_MS));
	quit(t);
}
END_TEST

/* What was found stays a moment, but not for long when the next is not known. */
START_TEST(a_change_is_shown_before_its_findings)
{
	struct term *t = start();

	let_go();
	term_assert(t, term_wait_text(t, "5 stop", TERM_MS));
	hold();
	term_assert(t, term_keys(t, "w"));
	term_assert(t, term_wait_text(t, "A and B are exchanged", TERM_MS));
	term_assert(t, term_wait_text(t, "judging", TERM_MS));
	term_assert(t, !says(t, "5 stop"));
	let_go();
	term_assert(t, term_wait_text(t, "5 stop", TERM_MS));
	quit(t);
}
END_TEST

START_TEST(it_is_left_while_it_is_judged)
{
	struct term *t = start();

	term_assert(t, says(t, "judging"));
	quit(t);
}
END_TEST

Suite *judging_suite(void)
{
	Suite *s = suite_create("judging");
	TCase *t = tcase_create("judging");

	tcase_add_checked_fixture(t, set_up, tear_down);
	tcase_set_timeout(t, 120);
	tcase_add_test(t, the_picture_comes_first_and_keys_act);
	tcase_add_test(t, a_change_is_shown_before_its_findings);
	tcase_add_test(t, it_is_left_while_it_is_judged);
	suite_add_tcase(s, t);
	return s;
}
