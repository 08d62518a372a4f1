/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading digits side by side. */
#include "data/csv_digits.h"

#include <string.h>

#include "data/packed.h"

#define WINDOW CSV_DIGITS_WINDOW
#define SHORT CSV_DIGITS_SHORT

/*
 * A pair of bytes is left + 256 * right as a number of 16 bits.  Times 10 * 256 + 1,
 * of which 16 bits are left, it is 256 * (10 * left + right) + left.
 */
#define LEFT_TENFOLD (10 * 256 + 1)
#define LEFT_ALONE 256		/* right is 0 */

/* Digits among the window's bytes from..to. */
static int count_digits(const struct csv_digits_shape *s, size_t from, size_t to)
{
	int n = 0;

	for (; from < to; from++)
		n += s->limit[from] > 0;
	return n;
}

static int power_of_ten(int k)
{
	return (int)packed_power(k);
}

/* The weight of what stands left of the window's bytes from..to. */
static int weight_before(const struct csv_digits_shape *s, size_t from, size_t to)
{
	return power_of_ten(count_digits(s, from, to));
}

static void set_weights(struct csv_digits_shape *s)
{
	size_t i;

	for (i = 0; i < WINDOW; i += 2)
		s->bytes[i / 2] = s->limit[i + 1] > 0 ? LEFT_TENFOLD : LEFT_ALONE;
	for (i = 0; i < WINDOW; i += 4) {
		s->pairs[i / 2] = (int16_t)weight_before(s, i + 2, i + 4);
		s->pairs[i / 2 + 1] = 1;
	}
	for (i = 0; i < WINDOW; i += 8) {
		s->quads[i / 4] = (int16_t)weight_before(s, i + 4, i + 8);
		s->quads[i / 4 + 1] = 1;
	}
	s->high = weight_before(s, WINDOW / 2, WINDOW);
}

static void set_literal(struct csv_digits_shape *s, size_t from_end, char c)
{
	s->pattern[WINDOW - from_end] = (uint8_t)c;
	s->limit[WINDOW - from_end] = 0;
	s->minus[WINDOW - from_end] = 0;
}

void csv_digits_shape_init(struct csv_digits_shape *s, enum csv_digits_end end, char separator,
			   char decimal, int decimals)
{
	const size_t behind = end == CSV_DIGITS_CRLF ? 2 : 1;

	s->least = behind + 1 + (decimals > 0 ? (size_t)decimals : 0);
	memset(s->pattern, '0', sizeof(s->pattern));
	memset(s->limit, 9, sizeof(s->limit));
	memset(s->minus, '-', sizeof(s->minus));
	set_literal(s, 1, end == CSV_DIGITS_SEPARATOR ? separator : '\n');
	if (end == CSV_DIGITS_CRLF)
		set_literal(s, 2, '\r');
	if (decimals > 0)
		set_literal(s, behind + (size_t)decimals + 1, decimal);
	set_weights(s);
}

#if defined(__SSE2__) && defined(__GNUC__)	/* every x86-64 has SSE2 */
#include <emmintrin.h>

/* From any of its bytes on: first those to clear, then those to keep. */
static const uint8_t keep[2 * WINDOW] = {
	[WINDOW] = 255, 255, 255, 255, 255, 255, 255, 255,
	255, 255, 255, 255, 255, 255, 255, 255,
};

/* The same for the first byte to keep alone. */
static const uint8_t first[2 * WINDOW] = { [WINDOW] = 255 };

/* The shape in registers: of the whole window, or twice its last 8 bytes. */
struct shape {
	__m128i pattern;
	__m128i limit;
	__m128i minus;
	__m128i bytes;
	__m128i pairs;
	__m128i quads;
};

bool csv_digits_can(void)
{
	return true;
}

static inline __m128i load(const void *p)
{
	return _mm_loadu_si128(p);
}

/* Eight bytes of each. */
static inline __m128i load_both(const void *low, const void *high)
{
	return _mm_castpd_si128(_mm_loadh_pd(_mm_castsi128_pd(_mm_loadl_epi64(low)), high));
}

static inline __m128i load_twice(const void *p)
{
	return load_both(p, p);
}

static inline bool any(__m128i v)
{
	return _mm_movemask_epi8(_mm_cmpeq_epi8(v, _mm_setzero_si128())) != 0xffff;
}

static struct shape short_shape(const struct csv_digits_shape *s)
{
	const size_t from = WINDOW - SHORT;
	int quads;

	memcpy(&quads, s->quads + from / 4, sizeof(quads));
	return (struct shape){
		.pattern = load_twice(s->pattern + from), .limit = load_twice(s->limit + from),
		.minus = load_twice(s->minus + from), .bytes = load_twice(s->bytes + from / 2),
		.pairs = load_twice(s->pairs + from / 2), .quads = _mm_set1_epi32(quads),
	};
}

static struct shape long_shape(const struct csv_digits_shape *s)
{
	return (struct shape){
		.pattern = load(s->pattern), .limit = load(s->limit), .minus = load(s->minus),
		.bytes = load(s->bytes), .pairs = load(s->pairs), .quads = load_twice(s->quads),
	};
}

/* Digits, one a byte, become numbers of four bytes each. */
static inline __m128i join_quads(const struct shape *s, __m128i digits)
{
	const __m128i pairs = _mm_srli_epi16(_mm_mullo_epi16(digits, s->bytes), 8);

	return _mm_madd_epi16(pairs, s->pairs);
}

/* ... and those numbers of eight bytes each. */
static inline __m128i join_eights(const struct shape *s, __m128i low, __m128i high)
{
	return _mm_madd_epi16(_mm_packs_epi32(join_quads(s, low), join_quads(s, high)), s->quads);
}

/*
 * Bytes of cells as digits, 0 where a literal stands as it should and before the cell;
 * *bad collects bits of what is wrong.  `keeps` are the cell's bytes; `firsts` those
 * that may be a minus, and *minus which of them are.
 */
static inline __m128i to_digits(const struct shape *s, __m128i bytes, __m128i keeps,
				__m128i firsts, __m128i *minus, __m128i *bad)
{
	__m128i digits = _mm_and_si128(_mm_xor_si128(bytes, s->pattern), keeps);

	*minus = _mm_and_si128(_mm_cmpeq_epi8(bytes, s->minus), firsts);
	digits = _mm_andnot_si128(*minus, digits);
	*bad = _mm_or_si128(*bad, _mm_subs_epu8(digits, s->limit));
	return digits;
}

/* Negates those of four whose halves of 8 bytes in a or b have any bit; a -0 is bad. */
static inline __m128i negate(__m128i v, __m128i a, __m128i b, __m128i *bad)
{
	const __m128 low = _mm_shuffle_ps(_mm_castsi128_ps(a), _mm_castsi128_ps(b), 0x88);
	const __m128 high = _mm_shuffle_ps(_mm_castsi128_ps(a), _mm_castsi128_ps(b), 0xdd);
	const __m128i zero = _mm_setzero_si128();
	const __m128i plus = _mm_cmpeq_epi32(_mm_castps_si128(_mm_or_ps(low, high)), zero);
	const __m128i minus = _mm_xor_si128(plus, _mm_set1_epi32(-1));

	*bad = _mm_or_si128(*bad, _mm_and_si128(_mm_cmpeq_epi32(v, zero), minus));
	return _mm_sub_epi32(_mm_xor_si128(v, minus), minus);
}

/* Bytes of a cell and its end beyond the least; huge when they are fewer. */
static inline size_t bytes_more(const uint16_t *mark, size_t least)
{
	return (size_t)mark[0] - mark[-1] - least;
}

/* Inline, for it is quick only with `is_signed` known. */
static inline size_t read_short(const struct csv_digits_shape *shape,
				const struct csv_digits_column *c, size_t row, size_t to,
				int32_t *out, const bool is_signed)
{
	const struct shape s = short_shape(shape);
	const size_t least = shape->least;
	const size_t most = SHORT - least;
	const char *text = c->text - (SHORT - 1);
	const uint8_t *kept = keep + WINDOW - SHORT + least;
	const uint8_t *firsts = first + WINDOW - SHORT + least;
	const uint16_t *m = c->marks + row * c->step;

	for (; row + 4 <= to; row += 4, m += 4 * c->step) {
		const uint16_t *m1 = m + c->step;
		const uint16_t *m2 = m1 + c->step;
		const uint16_t *m3 = m2 + c->step;
		const size_t n = bytes_more(m, least);
		const size_t n1 = bytes_more(m1, least);
		const size_t n2 = bytes_more(m2, least);
		const size_t n3 = bytes_more(m3, least);
		__m128i bad = _mm_setzero_si128();
		__m128i firsts_low = bad, firsts_high = bad, minus_low, minus_high, low, high, v;

		if (n > most || n1 > most || n2 > most || n3 > most)
			break;
		if (is_signed) {
			firsts_low = load_both(firsts + n, firsts + n1);
			firsts_high = load_both(firsts + n2, firsts + n3);
		}
		low = to_digits(&s, load_both(text + *m, text + *m1),
				load_both(kept + n, kept + n1), firsts_low, &minus_low, &bad);
		high = to_digits(&s, load_both(text + *m2, text + *m3),
				 load_both(kept + n2, kept + n3), firsts_high, &minus_high, &bad);
		v = join_eights(&s, low, high);
		if (is_signed)
			v = negate(v, minus_low, minus_high, &bad);
		if (any(bad))
			break;
		_mm_storeu_si128((__m128i *)(out + row), v);
	}
	return row;
}

/* A cell of so many bytes with its end, in the whole window; false when it does not fit. */
static inline bool read_long(const struct shape *s, int64_t weight, const char *end, size_t bytes,
			     int32_t *out)
{
	__m128i bad = _mm_setzero_si128();
	__m128i minus, digits, halves;
	int64_t v;

	digits = to_digits(s, load(end - (WINDOW - 1)), load(keep + bytes), load(first + bytes),
			   &minus, &bad);
	halves = join_eights(s, digits, digits);
	v = _mm_cvtsi128_si32(halves) * weight +
	    _mm_cvtsi128_si32(_mm_shuffle_epi32(halves, 1));
	if (any(bad) || v > PACKED_LIMIT || (v == 0 && any(minus)))
		return false;
	*out = (int32_t)(any(minus) ? -v : v);
	return true;
}

static size_t read_longs(const struct csv_digits_shape *shape, const struct csv_digits_column *c,
			 size_t row, size_t to, int32_t *out)
{
	const struct shape s = long_shape(shape);
	const uint16_t *m = c->marks + row * c->step;

	for (; row < to; row++, m += c->step) {
		const size_t more = bytes_more(m, shape->least);

		if (more > WINDOW - shape->least ||
		    !read_long(&s, shape->high, c->text + *m, more + shape->least, out + row))
			break;
	}
	return row;
}

size_t csv_digits_read(const struct csv_digits_shape *s, const struct csv_digits_column *c,
		       size_t from, size_t to, int32_t *out)
{
	if (c->is_long || s->least > SHORT)
		return read_longs(s, c, from, to, out);
	return c->is_signed ? read_short(s, c, from, to, out, true)
			    : read_short(s, c, from, to, out, false);
}
#else
bool csv_digits_can(void)
{
	return false;
}

size_t csv_digits_read(const struct csv_digits_shape *s, const struct csv_digits_column *c,
		       size_t from, size_t to, int32_t *out)
{
	(void)s, (void)c, (void)to, (void)out;
	return from;
}
#endif
