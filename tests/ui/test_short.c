/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The viewer where memory is short: from far too little to enough, in small steps, it works
 * or says why it does not, and leaves the terminal as it was.
 */
#include <check.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/path.h"
#include "term/harness.h"

Suite *short_suite(void);

/* A sanitizer's own memory is far above any limit. */
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define LIMITS_WORK 0
#else
#define LIMITS_WORK 1
#endif

#define LEAST_KB 8000ul
#define MOST_KB 500000ul

static struct term *start(unsigned long kb)
{
	const char *given = getenv("TWINPULL");
	char *line = mem_printf("ulimit -v %lu; exec '%s' before.csv after.csv", kb,
				given != NULL ? given : BUILDDIR "/twinpull");
	const char *const argv[] = { "sh", "-c", line, NULL };
	const struct term_options o = { .argv = argv, .dir = SRCDIR "/samples", .cols = 200,
					.rows = 50, .utf8 = true };
	struct term *t = term_start(&o);

	ck_assert_ptr_nonnull(t);
	free(line);
	return t;
}

/* The exit code; findings, statistics and the picture are asked for before. */
static int use(struct term *t)
{
	if (term_wait_text(t, "? help", TERM_MS) && term_wait_gone(t, "judging", TERM_MS) &&
	    term_keys(t, "F") && term_wait_text(t, "A screening aid", TERM_MS) &&
	    term_keys(t, "<Esc>s") && term_wait_text(t, "time mean", TERM_MS))
		term_keys(t, "<Esc>q");
	return term_wait_exit(t, TERM_MS);
}

START_TEST(it_works_or_says_why_not)
{
	unsigned long kb;
	int refused = 0;
	int fine = 0;

	for (kb = LEAST_KB; kb < MOST_KB && fine < 4; kb += kb / 24) {
		struct term *t = start(kb);
		const int status = use(t);

		if (status == 127) {		/* too little for the dynamic linker */
			term_free(t);
			continue;
		}
		if (status == 0) {
			fine++;
		} else {
			refused++;
			term_assert(t, status == 2);
			term_assert(t, term_wait_text(t, "twinpull: ", TERM_MS));
			term_assert(t, term_wait_text(t, "memory", TERM_MS));
		}
		term_assert(t, term_tty_sane(t));
		term_assert(t, !term_alt_screen(t));
		term_assert(t, term_cursor_visible(t));
		term_free(t);
	}
	ck_assert_int_ge(refused, 4);
	ck_assert_int_eq(fine, 4);
}
END_TEST

Suite *short_suite(void)
{
	Suite *s = suite_create("short");
	TCase *t = tcase_create("memory");

	tcase_set_timeout(t, 240);
	if (LIMITS_WORK)
		tcase_add_test(t, it_works_or_says_why_not);
	suite_add_tcase(s, t);
	return s;
}
