/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the tests of the lower floors share: random numbers, a folder of their own. */
#ifndef TESTS_BASE_UTIL_H
#define TESTS_BASE_UTIL_H

#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/buf.h"
#include "base/err.h"
#include "base/mem.h"
#include "base/path.h"

#define COUNT(a) (sizeof(a) / sizeof((a)[0]))

#define NOBODY 65534		/* a user without rights, where tests run as root */

/* SplitMix64 (Steele, Lea and Flood 2014; constants from memory). */
static inline uint64_t rng_next(uint64_t *state)
{
	uint64_t z = *state += 0x9e3779b97f4a7c15u;

	z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
	z = (z ^ z >> 27) * 0x94d049bb133111ebu;
	return z ^ z >> 31;
}

/* 0 <= x < n */
static inline int rng_below(uint64_t *state, int n)
{
	return (int)(rng_next(state) % (uint64_t)n);
}

static inline double rng_range(uint64_t *state, double low, double high)
{
	return low + (high - low) * (double)(rng_next(state) >> 11) / 9007199254740992.0;
}

/* A number of either sign and any size from 10^-span to 10^span. */
static inline double rng_magnitude(uint64_t *state, double span)
{
	const double v = pow(10.0, rng_range(state, -span, span));

	return rng_next(state) & 1 ? -v : v;
}

/* |a - b| as a share of b. */
static inline double relative(double a, double b)
{
	return a == b ? 0.0 : fabs(a - b) / fabs(b);
}

/* A new folder that anybody may write to, for the caller to free. */
static inline char *new_folder(void)
{
	const char *tmp = getenv("TMPDIR");
	char *dir = mem_printf("%s/twinpull-test.XXXXXX", tmp != NULL ? tmp : "/tmp");

	ck_assert_ptr_nonnull(mkdtemp(dir));
	return dir;
}

/* Removes a folder of new_folder() with all in it, and frees its name. */
static inline void drop_folder(char *dir)
{
	char *command = mem_printf("chmod -R u+rwX '%s' && rm -rf '%s'", dir, dir);

	ck_assert_int_eq(system(command), 0);
	free(command);
	free(dir);
}

static inline void put_file(const char *path, const char *text)
{
	FILE *f = fopen(path, "wb");

	ck_assert_ptr_nonnull(f);
	ck_assert_uint_eq(fwrite(text, 1, strlen(text), f), strlen(text));
	ck_assert_int_eq(fclose(f), 0);
}

/* The whole file, for the caller to free; "" when there is none. */
static inline char *get_file(const char *path)
{
	struct buf b = BUF_INIT;

	if (path_exists(path))
		ck_assert_int_eq(path_read_all(path, &b, NULL), ERR_NONE);
	return buf_take(&b);
}

/*
 * Runs fn(arg) in a child process without root's rights, so that permissions
 * count; true when it returned true.
 */
static inline bool as_nobody(bool (*fn)(void *), void *arg)
{
	int status;
	pid_t child;

	fflush(NULL);
	child = fork();
	ck_assert_int_ge(child, 0);
	if (child == 0) {
		const char *answer = "exit 2";

		if (geteuid() != 0 || (setgid(NOBODY) == 0 && setuid(NOBODY) == 0))
			answer = fn(arg) ? "exit 0" : "exit 1";
		/* an end that has no memory checker count the parent's memory as lost */
		execl("/bin/sh", "sh", "-c", answer, (char *)NULL);
		_exit(2);
	}
	ck_assert_int_eq(waitpid(child, &status, 0), child);
	return WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

#endif
