/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Marks between thousands. */
#include "data/csv_group.h"

#include <stdbool.h>
#include <string.h>

#include "base/num.h"

#define LONGEST 40	/* bytes; no number is longer */

/* The marks in use; those of ISO 31-0 are blanks, the others are common practice. */
static const char *const marks[] = {
	".", ",", "'", " ", "\xc2\xa0", "\xe2\x80\xaf", "\xe2\x80\x99",
};

static size_t count_digits(const char *s, size_t n)
{
	size_t i = 0;

	while (i < n && s[i] >= '0' && s[i] <= '9')
		i++;
	return i;
}

/* The mark at s, or NULL. */
static const char *mark_at(const char *s, size_t n)
{
	size_t i;

	for (i = 0; i < sizeof(marks) / sizeof(marks[0]); i++)
		if (n >= strlen(marks[i]) && memcmp(s, marks[i], strlen(marks[i])) == 0)
			return marks[i];
	return NULL;
}

/*
 * Copies the digits of the groups at s, of which the first has `first` digits, to
 * *to; returns how many bytes they take, 0 when the groups are none.
 */
static size_t join_groups(const char *s, size_t n, size_t first, const char *mark, char **to,
			  size_t *groups)
{
	const size_t size = strlen(mark);
	size_t at = first;

	memcpy(*to, s, first);
	*to += first;
	for (*groups = 0; n - at >= size && memcmp(s + at, mark, size) == 0; ++*groups) {
		if (count_digits(s + at + size, n - at - size) != 3)
			break;
		memcpy(*to, s + at + size, 3);
		*to += 3;
		at += size + 3;
	}
	return *groups > 0 ? at : 0;
}

enum csv_group csv_group_parse(const char *s, size_t n, char decimal, double *out,
			       int *decimals)
{
	const size_t sign = n > 0 && (*s == '-' || *s == '+');
	const size_t first = count_digits(s + sign, n - sign);
	char plain[LONGEST + 1];
	char *to = plain;
	const char *mark;
	size_t groups;
	size_t taken;

	if (n > LONGEST || first < 1 || first > 3 || s[sign] == '0')
		return CSV_GROUP_NONE;
	mark = mark_at(s + sign + first, n - sign - first);
	if (mark == NULL)
		return CSV_GROUP_NONE;
	if (sign > 0)
		*to++ = *s;
	taken = sign + join_groups(s + sign, n - sign, first, mark, &to, &groups);
	if (groups == 0 || (mark[0] == decimal && (groups < 2 || taken < n)))
		return CSV_GROUP_NONE;
	if (taken < n) {
		if (s[taken] != decimal || count_digits(s + taken + 1, n - taken - 1) !=
						   n - taken - 1 || n - taken < 2)
			return CSV_GROUP_NONE;
		memcpy(to, s + taken, n - taken);
		to += n - taken;
	}
	if (!num_parse(plain, (size_t)(to - plain), decimal, out, decimals))
		return CSV_GROUP_NONE;
	return groups == 1 && taken == n && (*mark == '.' || *mark == ',') ? CSV_GROUP_UNSURE
									   : CSV_GROUP_SURE;
}
