/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A small hash table of words. */
#include "data/csv_words.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

void csv_words_release(struct csv_words *w)
{
	free(w->text);
	free(w->starts);
	free(w->slots);
	*w = (struct csv_words){ 0 };
}

bool csv_words_copy(struct csv_words *to, const struct csv_words *from)
{
	uint32_t number;
	size_t i;

	*to = (struct csv_words){ 0 };
	for (i = 0; i < from->count; i++) {
		const char *word = csv_words_text(from, (uint32_t)i);

		if (!csv_words_add(to, word, strlen(word), &number))
			return false;
	}
	return true;
}

const char *csv_words_text(const struct csv_words *w, uint32_t number)
{
	return w->text + w->starts[number];
}

/* FNV-1a, 64 bits (G. Fowler, L. C. Noll, K.-P. Vo); the constants are from memory. */
static uint64_t hash(const char *s, size_t n)
{
	uint64_t h = UINT64_C(14695981039346656037);
	size_t i;

	for (i = 0; i < n; i++)
		h = (h ^ (unsigned char)s[i]) * UINT64_C(1099511628211);
	return h;
}

/* The slot where s[n] is, or the free one where it belongs; some slot is free. */
static uint32_t *find_slot(const struct csv_words *w, const char *s, size_t n)
{
	size_t i = (size_t)hash(s, n) & (w->slot_count - 1);

	while (w->slots[i] != 0) {
		const char *word = csv_words_text(w, w->slots[i] - 1);

		if (strncmp(word, s, n) == 0 && word[n] == '\0')
			break;
		i = (i + 1) & (w->slot_count - 1);
	}
	return &w->slots[i];
}

/* Keeps at least half of the slots free. */
static bool make_slots(struct csv_words *w)
{
	uint32_t number;

	if (2 * (w->count + 1) <= w->slot_count)
		return true;
	free(w->slots);
	w->slot_count = w->slot_count == 0 ? 16 : 2 * w->slot_count;
	w->slots = calloc(w->slot_count, sizeof(*w->slots));
	if (w->slots == NULL) {
		w->slot_count = 0;
		return false;
	}
	for (number = 0; number < w->count; number++) {
		const char *word = csv_words_text(w, number);

		*find_slot(w, word, strlen(word)) = number + 1;
	}
	return true;
}

bool csv_words_add(struct csv_words *w, const char *s, size_t n, uint32_t *number)
{
	uint32_t *slot;

	if (w->count >= UINT32_MAX - 1 || !make_slots(w))
		return false;
	slot = find_slot(w, s, n);
	if (*slot == 0) {
		if (!mem_try_grow(&w->text, &w->text_room, w->text_length + n + 1, 1) ||
		    !mem_try_grow(&w->starts, &w->start_room, w->count + 1, sizeof(*w->starts)))
			return false;
		w->starts[w->count] = w->text_length;
		memcpy(w->text + w->text_length, s, n);
		w->text[w->text_length + n] = '\0';
		w->text_length += n + 1;
		*slot = (uint32_t)++w->count;
	}
	*number = *slot - 1;
	return true;
}
