/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Which encoding the bytes of a log are in, and turning them into UTF-8.
 *
 * Loggers write UTF-8, UTF-16 (ISO 10646) or ISO 8859-1; the last is what is left
 * when the bytes are text but not UTF-8.
 */
#ifndef DATA_CSV_ENCODING_H
#define DATA_CSV_ENCODING_H

#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"

enum csv_encoding {
	CSV_UTF8,
	CSV_LATIN1,
	CSV_UTF16LE,
	CSV_UTF16BE,
};

/*
 * The encoding of the n bytes; *bom is set to the length of the byte order mark.
 * UTF-16 is known by its mark, or by NUL in nearly every second byte.  A few
 * broken bytes among good UTF-8 do not make it ISO 8859-1.
 */
enum csv_encoding csv_sniff_encoding(const char *bytes, size_t n, size_t *bom);

/* Counts characters beyond ASCII and bytes that are not UTF-8. */
void csv_count_utf8(const char *bytes, size_t n, size_t *good, size_t *broken);

/* "UTF-16, low byte first" and so on, for a note. */
const char *csv_encoding_name(enum csv_encoding encoding);

/*
 * Appends the n bytes (without the mark) as UTF-8 to out.  Unpaired surrogates
 * become U+FFFD; bytes that are not UTF-8 in CSV_UTF8 are left for whoever keeps
 * the text.  NUL becomes a blank.  False when memory is out.
 */
bool csv_to_utf8(enum csv_encoding encoding, const char *bytes, size_t n, struct buf *out);

/*
 * NULL for text; otherwise in words what the bytes are rather ("a gzip archive"),
 * told by the first bytes or by too many control characters.
 */
const char *csv_not_text(const char *bytes, size_t n);

#endif
