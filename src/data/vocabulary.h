/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The vocabulary of channel names.  Words of the trade and of SAE J1930 and
 * J1979; where no standard is named, common practice, no source.
 */
#ifndef DATA_VOCABULARY_H
#define DATA_VOCABULARY_H

#include <stddef.h>

#include "data/name_words.h"

/* A word as the alias table has it, and its other spellings (blank between). */
struct vocabulary_term {
	const char *word;
	enum word_role role;
	const char *spellings;
};

/* A short name that stands for several words. */
struct vocabulary_short {
	const char *spelling;
	const char *words;
};

/* NULL when there is none of that spelling (n bytes, lower case). */
const struct vocabulary_term *vocabulary_term(const char *spelling, size_t n);
const struct vocabulary_short *vocabulary_short(const char *spelling, size_t n);

#endif
