/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The distinct words of a column, numbered from 0 in the order they came. */
#ifndef DATA_CSV_WORDS_H
#define DATA_CSV_WORDS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Zeroed is empty. */
struct csv_words {
	char *text;		/* each word terminated, one behind the other */
	size_t text_length;
	size_t text_room;
	size_t *starts;		/* [count] */
	size_t start_room;
	size_t count;
	uint32_t *slots;	/* [slot_count] a word's number plus 1, or 0; open addressing */
	size_t slot_count;	/* a power of two, or 0 */
};

void csv_words_release(struct csv_words *w);

/* False when memory is out; *to is to be released either way. */
bool csv_words_copy(struct csv_words *to, const struct csv_words *from);

/* The number of the word s[n] (no NUL in it), added if it is new; false: no memory. */
bool csv_words_add(struct csv_words *w, const char *s, size_t n, uint32_t *number);

const char *csv_words_text(const struct csv_words *w, uint32_t number);

#endif
