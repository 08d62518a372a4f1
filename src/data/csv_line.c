/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines of a CSV text. */
#include "data/csv_line.h"

#include <string.h>

size_t csv_line_length(const char *s, size_t n)
{
	const char *lf = memchr(s, '\n', n);
	const size_t length = lf != NULL ? (size_t)(lf - s) + 1 : n;
	const char *cr = memchr(s, '\r', length);

	if (cr == NULL || (lf != NULL && cr + 1 == lf))
		return length;
	return (size_t)(cr - s) + 1;
}

/* Where, from i on, the first character of the line that is not a blank stands. */
static size_t leading_blanks(const char *s, size_t i, size_t n, char separator)
{
	while (i < n && (s[i] == ' ' || s[i] == '\t') && s[i] != separator)
		i++;
	return i;
}

/* Length of the comment mark at s, 0 when there is none. */
static size_t comment_mark(const char *s, size_t n, char separator)
{
	size_t i = 0;

	if (n >= 2 && s[0] == '/' && s[1] == '/')
		return 2;
	while (i < n && (s[i] == '#' || s[i] == '%' || s[i] == ';') && s[i] != separator)
		i++;
	/* A separator right behind it: the mark is the name of the first column. */
	return i < n && s[i] == separator ? 0 : i;
}

enum csv_line_kind csv_line_begin(const char *s, size_t n, char separator, bool comments,
				  size_t *skip)
{
	size_t mark = 0;

	*skip = leading_blanks(s, 0, n, separator);
	if (comments) {
		mark = comment_mark(s + *skip, n - *skip, separator);
		*skip = leading_blanks(s, *skip + mark, n, separator);
	}
	if (*skip == n || s[*skip] == '\n' || s[*skip] == '\r')
		return CSV_LINE_BLANK;
	return mark > 0 ? CSV_LINE_COMMENT : CSV_LINE_ROW;
}
