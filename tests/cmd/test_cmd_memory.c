/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log that does not fit into memory: words and an exit code, never a crash. */
#include <check.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

#include "base/mem.h"
#include "logs.h"

Suite *cmd_memory_suite(void);

/* A sanitizer's own memory is far above any limit. */
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define LIMITS_WORK false
#else
#define LIMITS_WORK true
#endif

#define ROWS 300000
#define LEAST ((rlim_t)8 << 20)		/* of address space: the program itself starts in it */
#define MOST ((rlim_t)512 << 20)

/* Some 24 MB of numbers that nothing can pack. */
static void write_large(const struct place *p, const char *name)
{
	char *path = place_path(p, name);
	FILE *f = fopen(path, "w");
	unsigned long state = 20310512;
	int row;
	int i;

	ck_assert_ptr_nonnull(f);
	fputs("Time,RPM,Boost,Lambda,Load\n", f);
	for (row = 0; row < ROWS; row++) {
		fprintf(f, "%d.%02d", row / 20, row % 20 * 5);
		for (i = 0; i < 4; i++) {
			state = state * 6364136223846793005ul + 1442695040888963407ul;
			fprintf(f, ",%lu.%014lu", state >> 52, (state >> 8) % 100000000000000ul);
		}
		fputc('\n', f);
	}
	ck_assert_int_eq(fclose(f), 0);
	free(path);
}

/* The program under a limit of its address space, as `ulimit -v` sets it. */
static struct ran run_limited(const struct place *p, rlim_t bytes)
{
	struct rlimit limit;
	rlim_t before;
	struct ran r;

	ck_assert_int_eq(getrlimit(RLIMIT_AS, &limit), 0);
	before = limit.rlim_cur;
	limit.rlim_cur = bytes;
	ck_assert_int_eq(setrlimit(RLIMIT_AS, &limit), 0);
	r = RUN(p, "channels", "large.csv");
	limit.rlim_cur = before;
	ck_assert_int_eq(setrlimit(RLIMIT_AS, &limit), 0);
	return r;
}

/* From far too little to enough, in small steps. */
START_TEST(test_limits)
{
	struct place p = place_make();
	rlim_t bytes;
	int refused = 0;
	int fine = 0;

	if (!LIMITS_WORK) {
		place_remove(&p);
		return;
	}
	write_large(&p, "large.csv");
	for (bytes = LEAST; bytes < MOST && fine < 2; bytes += bytes / 12) {
		struct ran r = run_limited(&p, bytes);

		/* Below some limit the dynamic linker cannot even start the program. */
		if (r.status == 127) {
			ran_release(&r);
			continue;
		}
		ck_assert_msg(r.status == 0 || r.status == 2, "%lu MB: exit %d, \"%s\"",
			      (unsigned long)(bytes >> 20), r.status, r.err);
		if (r.status != 0) {
			ck_assert_msg(strstr(r.err, "out of memory") != NULL, "%s", r.err);
			ck_assert_str_eq(r.out, "");
			refused++;
		} else {
			fine++;
		}
		ran_release(&r);
	}
	ck_assert_int_ge(refused, 4);
	ck_assert_int_eq(fine, 2);
	place_remove(&p);
}
END_TEST

Suite *cmd_memory_suite(void)
{
	Suite *s = suite_create("cmd_memory");
	TCase *t = tcase_create("memory");

	tcase_set_timeout(t, 120);
	tcase_add_test(t, test_limits);
	suite_add_tcase(s, t);
	return s;
}
