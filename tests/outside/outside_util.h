/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the tests against outside references share: reading their data. */
#ifndef TESTS_OUTSIDE_UTIL_H
#define TESTS_OUTSIDE_UTIL_H

#include "base/base_util.h"
#include "base/num.h"

#define OUTSIDE_DATA SRCDIR "/tests/outside/data/"

#define MOST_NUMBERS 10000

/* The numbers of a file, separated by commas or line ends; words are skipped. */
static inline size_t read_numbers(const char *name, double *out, size_t room)
{
	char *path = mem_printf("%s%s", OUTSIDE_DATA, name);
	struct buf text = BUF_INIT;
	struct err e = ERR_INIT;
	size_t n = 0;
	char *p;

	ck_assert_msg(path_read_all(path, &text, &e) == ERR_NONE, "%s", e.text);
	for (p = strtok(text.data, ",\r\n"); p != NULL; p = strtok(NULL, ",\r\n")) {
		ck_assert_uint_lt(n, room);
		n += num_parse(p, strlen(p), '.', &out[n], NULL);
	}
	buf_release(&text);
	free(path);
	return n;
}

/* An assertion on a share of the wanted value; a wanted 0 must be met exactly. */
#define CHECK_RELATIVE(got, want, tolerance) do { \
	const double got_ = (got); \
	const double want_ = (want); \
	\
	ck_assert_msg(relative(got_, want_) <= (tolerance), \
		      #got " is %.17g, not %.17g: off by %.2g of it", got_, want_, \
		      relative(got_, want_)); \
} while (0)

#endif
