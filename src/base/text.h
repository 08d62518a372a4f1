/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * UTF-8 text: decoding, width on a terminal, and making foreign text safe to
 * print.  Widths are in terminal cells; they need no locale.
 */
#ifndef BASE_TEXT_H
#define BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"

#define TEXT_REPLACEMENT 0xfffdu	/* stands for a byte that is not UTF-8 */

/*
 * Decodes one character of the n > 0 bytes at s into *cp; returns how many
 * bytes it took.  An invalid byte takes one and gives TEXT_REPLACEMENT.
 */
size_t text_decode(const char *s, size_t n, uint32_t *cp);

/* Encodes cp; returns the count of bytes (1 to 4), not terminated. */
size_t text_encode(uint32_t cp, char out[4]);

bool text_is_utf8(const char *s, size_t n);

/* Cells of one character: 0 combining or control, 2 wide, otherwise 1. */
int text_char_width(uint32_t cp);
size_t text_width(const char *s);

/* Bytes of s that fit into `cells` cells, never cutting a character. */
size_t text_fit(const char *s, size_t cells);

/*
 * Appends s without control characters (C0, DEL, C1: each becomes a blank), and
 * with invalid bytes replaced, so that a file can never send the terminal an
 * escape sequence.  Also turns line ends, and marks that turn
 * the direction of text, into blanks.
 */
void text_sanitise(struct buf *out, const char *s, size_t n);

/* The same line by line: the line ends stay. */
void text_sanitise_lines(struct buf *out, const char *s);

/* Appends s cut or padded with blanks to exactly `cells` cells. */
void text_pad(struct buf *out, const char *s, size_t cells);

/*
 * Appends s, cut in its middle to at most `cells` cells with ".." in place of what
 * is left out: the ends of names tell them apart.
 */
void text_squeeze(struct buf *out, const char *s, size_t cells);

/* Replaces each non-ASCII character by a plain one ("°" by "deg", others "?"). */
void text_to_ascii(struct buf *out, const char *s);

/* ASCII case-insensitive comparison; 0 when equal. */
int text_casecmp(const char *a, const char *b);

/* Length of the word at s, up to a blank or the end, and with the blanks behind it. */
size_t text_word(const char *s);
size_t text_word_step(const char *s);

/* Whether word[n] is one of the words, with blanks between them, of the list. */
bool text_has_word(const char *list, const char *word, size_t n);

/* True when every blank-separated word of `needle` occurs in `hay`, case aside. */
bool text_matches(const char *hay, const char *needle);

#endif
