/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Packed blocks give back what went in, bit for bit, in few bytes. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "data/column.h"
#include "data/packed.h"

Suite *packed_suite(void);

#define MOST 2000

/* xorshift64* (S. Vigna, 2016). */
static uint32_t draw(uint64_t *state)
{
	*state ^= *state >> 12;
	*state ^= *state << 25;
	*state ^= *state >> 27;
	return (uint32_t)(*state * UINT64_C(2685821657736338717) >> 32);
}

static bool same_bits(double a, double b)
{
	return (isnan(a) && isnan(b)) || memcmp(&a, &b, sizeof(a)) == 0;
}

static void check_block(const struct packed *p, const double *v, size_t n)
{
	double out[MOST];
	size_t samples = 0;
	size_t i;

	ck_assert_uint_eq(p->count, n);
	packed_get(p, 0, n, out);
	for (i = 0; i < n; i++) {
		double one;

		packed_get(p, i, 1, &one);
		ck_assert_msg(same_bits(out[i], v[i]) && same_bits(one, v[i]),
			      "%zu: %.17g, not %.17g", i, out[i], v[i]);
		samples += !isnan(v[i]);
	}
	ck_assert_uint_eq(p->samples, samples);
}

static struct packed pack(const double *v, size_t n)
{
	int32_t scratch[MOST];
	struct packed p;

	ck_assert(packed_doubles(&p, v, n, scratch, NULL, NULL));
	check_block(&p, v, n);
	return p;
}

static const struct {
	double v[6];
	uint8_t width;
	const char *what;
} cases[] = {
	{ { 7, 7, 7, 7, 7, 7 }, 0, "a constant" },
	{ { NAN, NAN, NAN, NAN, NAN, NAN }, 0, "nothing" },
	{ { 0, 0, 0, 0, 0, 0 }, 0, "zeros" },
	{ { -0.0, -0.0, -0.0, -0.0, -0.0, -0.0 }, 1, "negative zeros" },
	{ { 0, -0.0, NAN, 0, -0.0, 0 }, 1, "zeros of both signs" },
	{ { 5, NAN, 5, 5, 5, 5 }, 1, "a constant with a gap" },
	{ { 0, 253, 1, 2, 3, 4 }, 1, "the most of a byte" },
	{ { 0, 254, 1, 2, 3, 4 }, 2, "too much for a byte" },
	{ { -0.1, 25.2, 0.1, NAN, 1, 2 }, 1, "decimals" },
	{ { 1.5, 1.25, 1.125, 1, NAN, -1.5 }, 2, "mixed decimals" },
	{ { 0, 65533, 1, 2, 3, 4 }, 2, "the most of two bytes" },
	{ { 0, 65534, 1, 2, 3, 4 }, 4, "too much for two bytes" },
	{ { 0, 2e9, 1, 2, 3, 4 }, 4, "the most of four bytes" },
	{ { 0, 2000000001, 1, 2, 3, 4 }, 8, "too much for four bytes" },
	{ { 1923456789.123, 1923456789.223, 1923456789.323, 1923456789.4, NAN, 1923456790 }, 2,
	  "seconds since 1970" },
	{ { 4503599627370495, 4503599627370494, 4503599627370493, 4503599627370492, NAN,
	    4503599627370300 }, 1, "near 2^52" },
	{ { 4503599627370496, 1, 2, 3, 4, 5 }, 8, "2^52" },
	{ { 1e300, 1, 2, 3, 4, 5 }, 8, "huge" },
	{ { 1.0 / 3, 1, 2, 3, 4, 5 }, 8, "no decimal" },
	{ { 1e-9, 2e-9, 0, 3e-9, NAN, -0.0 }, 1, "nine decimals" },
	{ { 1e-10, 1, 2, 3, 4, 5 }, 8, "ten decimals" },
	{ { INFINITY, 1, 2, 3, 4, 5 }, 8, "infinity" },
};

START_TEST(widths)
{
	size_t i;

	for (i = 0; i < sizeof(cases) / sizeof(cases[0]); i++) {
		struct packed p = pack(cases[i].v, 6);

		ck_assert_msg(p.width == cases[i].width, "%s: %d bytes, not %d", cases[i].what,
			      p.width, cases[i].width);
		free(p.data);
	}
}
END_TEST

/* Random decimals are those that reading their text gives, and never stay doubles. */
START_TEST(decimals_are_those_of_their_text)
{
	uint64_t state = 20310512;
	int round;

	for (round = 0; round < 300; round++) {
		const int decimals = (int)(draw(&state) % 7);
		const uint32_t range = 1u << draw(&state) % 20;
		const int32_t base = (int32_t)(draw(&state) % 2000000) - 1000000;
		const size_t n = 1 + draw(&state) % MOST;
		double v[MOST];
		char text[NUM_TEXT];
		struct packed p;
		size_t i;

		for (i = 0; i < n; i++) {
			const int32_t whole = base + (int32_t)(draw(&state) % range);

			num_fixed(text, whole / packed_power(decimals), decimals);
			ck_assert(num_parse(text, strlen(text), '.', &v[i], NULL));
			if (draw(&state) % 64 == 0)
				v[i] = NAN;
		}
		p = pack(v, n);
		ck_assert_uint_lt(p.width, 8);
		free(p.data);
	}
}
END_TEST

START_TEST(ints_with_specials)
{
	static const int32_t ints[] = { 15, PACKED_MISSING, PACKED_MINUS_ZERO, -20,
					PACKED_LIMIT, -PACKED_LIMIT };
	static const double v[] = { 1.5, NAN, -0.0, -2.0, 2e8, -2e8 };
	struct pool *pool = pool_new();
	struct pool_share share = { NULL, 0 };
	struct packed p;
	size_t n;

	for (n = 1; n <= 6; n++) {
		ck_assert(packed_ints(&p, ints, n, 1, pool, &share));
		check_block(&p, v, n);
	}
	ck_assert(packed_ints(&p, ints + 1, 1, 1, pool, &share));
	check_block(&p, v + 1, 1);
	pool_free(pool);
}
END_TEST

/* Blocks and pushed rows in any order and of any length. */
START_TEST(columns_of_blocks)
{
	uint64_t state = 7;
	int round;

	for (round = 0; round < 60; round++) {
		struct pool *pool = pool_new();
		struct pool_share share = { NULL, 0 };
		struct column *c = column_new();
		double *v = mem_array(40 * MOST, sizeof(*v));
		double *out = mem_array(40 * MOST, sizeof(*out));
		struct column_walk walk;
		size_t rows = 0;
		size_t wrong = 0;	/* an assertion a value would take minutes */
		size_t i;
		int part;

		for (part = 0; part < 30; part++) {
			const size_t n = draw(&state) % (part % 3 == 0 ? MOST : 80);
			int32_t scratch[MOST];
			struct packed p;

			for (i = 0; i < n; i++)
				v[rows + i] = draw(&state) % 9 == 0 ? NAN
					    : (draw(&state) % 5000) / 10.0;
			if (draw(&state) % 2 == 0) {
				ck_assert(packed_doubles(&p, v + rows, n, scratch, pool, &share));
				ck_assert(column_append(c, &p));
			} else {
				for (i = 0; i < n; i++)
					wrong += !column_push(c, v[rows + i]);
			}
			rows += n;
		}
		if (round % 2 == 0)
			ck_assert(column_seal(c));
		ck_assert_uint_eq(column_rows(c), rows);
		column_get(c, 0, rows, out);
		column_walk_init(&walk, c);
		for (i = 0; i < rows; i++) {
			double step;

			wrong += !same_bits(v[i], out[i]) || !same_bits(v[i], column_at(c, i));
			wrong += !column_walk_next(&walk, &step) || !same_bits(step, v[i]);
		}
		ck_assert(!column_walk_next(&walk, out));
		for (i = 0; i < 50 && rows > 0; i++) {
			const size_t from = draw(&state) % rows;
			const size_t n = draw(&state) % (rows - from + 1);
			size_t k;

			column_get(c, from, n, out);
			for (k = 0; k < n; k++)
				wrong += !same_bits(v[from + k], out[k]);
		}
		ck_assert_uint_eq(wrong, 0);
		free(v);
		free(out);
		column_free(c);
		pool_free(pool);
	}
}
END_TEST

Suite *packed_suite(void)
{
	Suite *s = suite_create("packed");
	TCase *tc = tcase_create("packed");

	tcase_set_timeout(tc, 60);
	tcase_add_test(tc, widths);
	tcase_add_test(tc, decimals_are_those_of_their_text);
	tcase_add_test(tc, ints_with_specials);
	tcase_add_test(tc, columns_of_blocks);
	suite_add_tcase(s, tc);
	return s;
}
