/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Finding separators.  Comparing makes one bit of a byte, and a table tells where the
 * set ones of 8 bits are: no branch depends on the text.
 */
#include "data/csv_marks.h"

#include "base/wide.h"

#if defined(WIDE_X86)	/* and every one has SSE2 */
#include <immintrin.h>

#define STEP 16
#define WIDE_STEP 64

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

/* Numbers of the 64 bits from 1, 32 of them; the rest is 0. */
WIDE_FOR_AVX512 static inline __m512i places_of(__mmask64 bits)
{
	const __m512i ones = _mm512_set1_epi8(1);
	static const uint8_t numbers[WIDE_STEP] = {
		0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15,
		16, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26, 27, 28, 29, 30, 31,
		32, 33, 34, 35, 36, 37, 38, 39, 40, 41, 42, 43, 44, 45, 46, 47,
		48, 49, 50, 51, 52, 53, 54, 55, 56, 57, 58, 59, 60, 61, 62, 63,
	};

	return _mm512_maskz_compress_epi8(bits, _mm512_add_epi8(_mm512_loadu_si512(numbers),
								ones));
}

/* As find_in_steps(), without the table. */
WIDE_FOR_AVX512 static size_t find_in_wide_steps(const struct csv_marks *m, const char *text,
						 size_t n, uint16_t **to)
{
	const __m512i separator = _mm512_set1_epi8(m->separator);
	const __m512i feed = _mm512_set1_epi8('\n');
	uint16_t *at = *to;
	size_t i;

	for (i = 0; i + WIDE_STEP <= n; i += WIDE_STEP) {
		const __m512i v = _mm512_loadu_si512(text + i);
		const __mmask64 bits = _mm512_cmpeq_epi8_mask(v, separator) |
				       _mm512_cmpeq_epi8_mask(v, feed);
		const __m512i before = _mm512_set1_epi16((short)i);
		const __m512i places = places_of(bits);
		const int count = __builtin_popcountll(bits);

		/* Half of them at once: hardly any text has more. */
		_mm512_storeu_si512(at, _mm512_add_epi16(before, _mm512_cvtepu8_epi16(
						_mm512_castsi512_si256(places))));
		if (count > WIDE_STEP / 2)
			_mm512_storeu_si512(at + WIDE_STEP / 2,
					    _mm512_add_epi16(before, _mm512_cvtepu8_epi16(
						_mm512_extracti64x4_epi64(places, 1))));
		at += count;
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

#define find_in_wide_steps find_in_steps
#endif

void csv_marks_init(struct csv_marks *m, char separator, enum wide wide)
{
	unsigned bits;
	unsigned i;

	m->separator = separator;
	m->wide = wide_most(wide);
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

	i = m->wide == WIDE_AVX512 ? find_in_wide_steps(m, text, n, &to)
				   : find_in_steps(m, text, n, &to);
	for (; i < n; i++)
		if (text[i] == m->separator || text[i] == '\n')
			*to++ = (uint16_t)(i + 1);
	return (size_t)(to - marks);
}
