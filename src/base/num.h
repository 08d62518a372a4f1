/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Numbers as text, whatever the locale.
 *
 * Reading is correctly rounded: the result is the one that strtod gives in
 * the C locale, bit for bit.  Short decimals take a fast path that is exact by
 * the usual proof (an integer below 2^53 times or over a power of ten that is
 * itself exact, up to 10^22, is rounded once).
 */
#ifndef BASE_NUM_H
#define BASE_NUM_H

#include <stdbool.h>
#include <stddef.h>

#define NUM_TEXT 40	/* room for any number that num_* prints, with its NUL */

/*
 * Parses all n bytes of s, blanks around them allowed, as a decimal number with
 * `decimal` ('.' or ',') as the decimal mark.  False, and *out untouched, when
 * they are anything else (empty, words, hexadecimal, inf, nan).  *decimals (may
 * be NULL) receives the count of digits behind the decimal mark; it is 0 where
 * the number has an exponent.
 */
bool num_parse(const char *s, size_t n, char decimal, double *out, int *decimals);

/* A whole number in [low, high] and below 2^53, nothing else in s ("1e3" and "2.0" are). */
bool num_parse_int(const char *s, long low, long high, long *out);

/* Fixed decimals, "-" for NaN, no "-0.0".  Returns out. */
char *num_fixed(char out[NUM_TEXT], double v, int decimals);

/* As num_fixed but with a sign, as for a difference; none for what rounds to 0. */
char *num_signed(char out[NUM_TEXT], double v, int decimals);

/* 17 significant digits at most, the fewest that read back as v; "" for NaN. */
char *num_exact(char out[NUM_TEXT], double v);

#endif
