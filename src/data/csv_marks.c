/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Finding separators: 64 bytes become 64 bits where the machine has an instruction for it. */
#include "data/csv_marks.h"

#if defined(__SSE2__) && defined(__GNUC__)	/* every x86-64 has SSE2 */
#include <emmintrin.h>

#define STEP 64

/* Bit i: text[i] is either of the two. */
static inline uint64_t mark_bits(const char *text, __m128i separator, __m128i feed)
{
	uint64_t bits = 0;
	int i;

	for (i = 0; i < STEP; i += 16) {
		const __m128i v = _mm_loadu_si128((const __m128i *)(text + i));
		const __m128i is_mark = _mm_or_si128(_mm_cmpeq_epi8(v, separator),
						     _mm_cmpeq_epi8(v, feed));

		bits |= (uint64_t)(unsigned)_mm_movemask_epi8(is_mark) << i;
	}
	return bits;
}

/* The marks in whole steps of the text; *to goes on behind them.  Returns how far it got. */
static size_t find_in_steps(const char *text, size_t n, char separator, uint16_t **to)
{
	const __m128i separators = _mm_set1_epi8(separator);
	const __m128i feeds = _mm_set1_epi8('\n');
	uint16_t *at = *to;
	size_t i;

	for (i = 0; i + STEP <= n; i += STEP) {
		uint64_t bits = mark_bits(text + i, separators, feeds);

		for (; bits != 0; bits &= bits - 1)
			*at++ = (uint16_t)(i + 1 + (size_t)__builtin_ctzll(bits));
	}
	*to = at;
	return i;
}
#else
static size_t find_in_steps(const char *text, size_t n, char separator, uint16_t **to)
{
	(void)text, (void)n, (void)separator, (void)to;
	return 0;
}
#endif

size_t csv_marks_find(const char *text, size_t n, char separator, uint16_t *marks)
{
	uint16_t *to = marks;
	size_t i;

	for (i = find_in_steps(text, n, separator, &to); i < n; i++)
		if (text[i] == separator || text[i] == '\n')
			*to++ = (uint16_t)(i + 1);
	return (size_t)(to - marks);
}
