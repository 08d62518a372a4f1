/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines of a CSV text: where they end, and which are blank or comments. */
#ifndef DATA_CSV_LINE_H
#define DATA_CSV_LINE_H

#include <stdbool.h>
#include <stddef.h>

enum csv_line_kind {
	CSV_LINE_BLANK,
	CSV_LINE_COMMENT,
	CSV_LINE_ROW,
};

/* Length of the line at s with its end: LF, CRLF, CR or the end of the n > 0 bytes. */
size_t csv_line_length(const char *s, size_t n);

/*
 * What the line of n bytes is; *skip are the blanks and the comment mark before its
 * cells.  `comments`: lines that begin with #, %, //, or ; where that does not
 * separate, are comments.
 */
enum csv_line_kind csv_line_begin(const char *s, size_t n, char separator, bool comments,
				  size_t *skip);

#endif
