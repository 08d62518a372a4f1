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

#if defined(WIDE_X86)	/* and every one has SSE2 */
#include <immintrin.h>

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

/* The shape in wider registers, four times its last 8 bytes. */
struct wide_shape {
	__m256i pattern;
	__m256i limit;
	__m256i minus;
	__m256i bytes;		/* 10 and 1, or what comes to the same */
	__m256i pairs;
	__m256i quads;
};

WIDE_FOR_AVX2 static inline __m256i load_four_times(const void *p)
{
	return _mm256_broadcastq_epi64(_mm_loadl_epi64(p));
}

WIDE_FOR_AVX2 static struct wide_shape wide_shape(const struct csv_digits_shape *s)
{
	const size_t from = WINDOW - SHORT;
	uint8_t bytes[SHORT];
	int quads;
	size_t i;

	for (i = 0; i < SHORT; i += 2) {
		bytes[i] = s->limit[from + i + 1] > 0 ? 10 : 1;
		bytes[i + 1] = 1;
	}
	memcpy(&quads, s->quads + from / 4, sizeof(quads));
	return (struct wide_shape){
		.pattern = load_four_times(s->pattern + from),
		.limit = load_four_times(s->limit + from),
		.minus = load_four_times(s->minus + from), .bytes = load_four_times(bytes),
		.pairs = load_four_times(s->pairs + from / 2), .quads = _mm256_set1_epi32(quads),
	};
}

/* Four bytes each of eight places, `step` apart. */
WIDE_FOR_AVX2 static inline __m256i load_eight_ints(const uint16_t *m, size_t step)
{
	int v[8];
	size_t i;

	for (i = 0; i < 8; i++)
		memcpy(&v[i], m + i * step, sizeof(v[i]));
	return _mm256_setr_epi32(v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7]);
}

/*
 * Eight bytes each up to the marks of rows a, a + 1, a + 4 and a + 5, of eight at m: so
 * they are in order again when they are numbers.
 */
WIDE_FOR_AVX2 static inline __m256i load_cells(const char *text, const uint16_t *m, size_t step,
					       size_t a)
{
	const uint16_t *low = m + a * step;
	const uint16_t *high = low + 4 * step;

	return _mm256_inserti128_si256(
		_mm256_castsi128_si256(load_both(text + *low, text + low[step])),
		load_both(text + *high, text + high[step]), 1);
}

/* As to_digits(), of cells before which so many bits are to clear, and then join_quads(). */
WIDE_FOR_AVX2 static inline __m256i wide_quads(const struct wide_shape *s, __m256i bytes,
					       __m256i before, const bool is_signed,
					       __m256i *minus, __m256i *bad)
{
	const __m256i keeps = _mm256_sllv_epi64(_mm256_set1_epi64x(-1), before);
	const __m256i firsts = _mm256_sllv_epi64(_mm256_set1_epi64x(255), before);
	__m256i digits = _mm256_and_si256(_mm256_xor_si256(bytes, s->pattern), keeps);

	if (is_signed) {
		*minus = _mm256_and_si256(_mm256_cmpeq_epi8(bytes, s->minus), firsts);
		digits = _mm256_andnot_si256(*minus, digits);
	}
	*bad = _mm256_or_si256(*bad, _mm256_subs_epu8(digits, s->limit));
	return _mm256_madd_epi16(_mm256_maddubs_epi16(digits, s->bytes), s->pairs);
}

/* As negate(), of eight. */
WIDE_FOR_AVX2 static inline __m256i wide_negate(__m256i v, __m256i a, __m256i b, __m256i *bad)
{
	const __m256i zero = _mm256_setzero_si256();
	const __m256 plus_a = _mm256_castsi256_ps(_mm256_cmpeq_epi64(a, zero));
	const __m256 plus_b = _mm256_castsi256_ps(_mm256_cmpeq_epi64(b, zero));
	const __m256i plus = _mm256_castps_si256(_mm256_shuffle_ps(plus_a, plus_b, 0x88));
	const __m256i minus = _mm256_xor_si256(plus, _mm256_set1_epi32(-1));

	*bad = _mm256_or_si256(*bad, _mm256_and_si256(_mm256_cmpeq_epi32(v, zero), minus));
	return _mm256_sub_epi32(_mm256_xor_si256(v, minus), minus);
}

/*
 * As read_short(), eight cells at a time.  Two marks make an int, of which the halves
 * differ by the cell's bytes; the bytes to keep are shifted to where they are.
 */
WIDE_FOR_AVX2 WIDE_LOOP size_t read_short_wide(const struct csv_digits_shape *shape,
					       const struct csv_digits_column *c, size_t row,
					       size_t to, int32_t *out, const bool is_signed)
{
	const struct wide_shape s = wide_shape(shape);
	const __m256i least = _mm256_set1_epi32((int)shape->least);
	const __m256i most = _mm256_set1_epi32(SHORT);
	const __m256i half = _mm256_set1_epi32(UINT16_MAX);
	const __m256i zero = _mm256_setzero_si256();
	const char *text = c->text - (SHORT - 1);
	const uint16_t *m = c->marks + row * c->step;

	for (; row + 8 <= to; row += 8, m += 8 * c->step) {
		const __m256i pairs = load_eight_ints(m - 1, c->step);
		const __m256i bytes = _mm256_sub_epi32(_mm256_srli_epi32(pairs, 16),
						       _mm256_and_si256(pairs, half));
		const __m256i bits = _mm256_slli_epi32(_mm256_sub_epi32(most, bytes), 3);
		const __m256i low_bits = _mm256_unpacklo_epi32(bits, zero);
		const __m256i high_bits = _mm256_unpackhi_epi32(bits, zero);
		__m256i bad = _mm256_or_si256(_mm256_cmpgt_epi32(bytes, most),
					      _mm256_cmpgt_epi32(least, bytes));
		__m256i minus_low = zero, minus_high = zero, low, high, v;

		low = wide_quads(&s, load_cells(text, m, c->step, 0), low_bits, is_signed,
				 &minus_low, &bad);
		high = wide_quads(&s, load_cells(text, m, c->step, 2), high_bits, is_signed,
				  &minus_high, &bad);
		v = _mm256_madd_epi16(_mm256_packs_epi32(low, high), s.quads);
		if (is_signed)
			v = wide_negate(v, minus_low, minus_high, &bad);
		if (!_mm256_testz_si256(bad, bad))
			break;
		_mm256_storeu_si256((__m256i *)(out + row), v);
	}
	return row;
}

WIDE_FOR_AVX2 static size_t read_unsigned_avx2(const struct csv_digits_shape *shape,
					       const struct csv_digits_column *c, size_t row,
					       size_t to, int32_t *out)
{
	return read_short_wide(shape, c, row, to, out, false);
}

WIDE_FOR_AVX2 static size_t read_signed_avx2(const struct csv_digits_shape *shape,
					     const struct csv_digits_column *c, size_t row,
					     size_t to, int32_t *out)
{
	return read_short_wide(shape, c, row, to, out, true);
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
	/* Of the eight where that stops, four may fit. */
	if (c->wide >= WIDE_AVX2) {
		from = c->is_signed ? read_signed_avx2(s, c, from, to, out)
				    : read_unsigned_avx2(s, c, from, to, out);
		to = from + 8 < to ? from + 8 : to;
	}
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
