/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Finding separators.  Comparing makes one bit of a byte, and a table tells where the
 * set ones of 8 bits are: no branch depends on the text.
 */
#include "data/csv_marks.h"

#if defined(__SSE2__) && defined(__GNUC__)	/* every x86-64 has SSE2 */
#include <emmintrin.h>

#define STEP 16

/* Puts the places of the bits, 8 at most, behind `before`; returns behind them. */
static inline uint16_t *put_places(uint16_t *to, const struct csv_marks *m, unsigned bits,
				   __m128i before)
{
	const __m128i places = *(const __m128i *)m->places[bits];

	_mm_storeu_si128((__m128i *)to, _mm_add_epi16(places, before));
	return to + m->counts[bits];
}

/* The marks in whole steps of the text; *to goes on behind them.  Returns how far it got. */
static size_t find_in_steps(const struct csv_marks *m, const char *text, size_t n, uint16_t **to)
{
	const __m128i separator = _mm_set1_epi8(m->separator);
	const __m128i feed = _mm_set1_epi8('\n');
	const __m128i eight = _mm_set1_epi16(8);
	__m128i before = _mm_setzero_si128();
	uint16_t *at = *to;
	size_t i;

	for (i = 0; i + STEP <= n; i += STEP) {
		const __m128i v = _mm_loadu_si128((const __m128i *)(text + i));
		const __m128i is_mark = _mm_or_si128(_mm_cmpeq_epi8(v, separator),
						     _mm_cmpeq_epi8(v, feed));
		const unsigned bits = (unsigned)_mm_movemask_epi8(is_mark);

		at = put_places(at, m, bits & 255, before);
		before = _mm_add_epi16(before, eight);
		at = put_places(at, m, bits >> 8, before);
		before = _mm_add_epi16(before, eight);
	}
	*to = at;
	return i;
}
#else
static size_t find_in_steps(const struct csv_marks *m, const char *text, size_t n, uint16_t **to)
{
	(void)m, (void)text, (void)n, (void)to;
	return 0;
}
#endif

void csv_marks_init(struct csv_marks *m, char separator)
{
	unsigned bits;
	unsigned i;

	m->separator = separator;
	for (bits = 0; bits < 256; bits++) {
		m->counts[bits] = 0;
		for (i = 0; i < 8; i++)
			if ((bits >> i & 1) != 0)
				m->places[bits][m->counts[bits]++] = (uint16_t)(i + 1);
	}
}

size_t csv_marks_find(const struct csv_marks *m, const char *text, size_t n, uint16_t *marks)
{
	uint16_t *to = marks;
	size_t i;

	for (i = find_in_steps(m, text, n, &to); i < n; i++)
		if (text[i] == m->separator || text[i] == '\n')
			*to++ = (uint16_t)(i + 1);
	return (size_t)(to - marks);
}
