/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests of the order in which changed cells are written. */
#include <check.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>

#include "draw/route.h"
#include "draw_util.h"

#define MOST 40

Suite *route_suite(void);

static const struct route_means all = { true, true, true };
static const struct route_means steps_only = { false, false, false };

static int length(const struct route_means *m, const struct stop *s, const size_t *order, size_t n)
{
	int row = -1, col = 0;
	int sum = 0;
	size_t i;

	for (i = 0; i < n; i++) {
		const struct stop *to = &s[order[i]];

		sum += route_bytes(m, row, col, to->row, to->col);
		row = to->row;
		col = to->col + to->n;
	}
	return sum;
}

static int length_as_given(const struct route_means *m, const struct stop *s, size_t n)
{
	size_t order[MOST];
	size_t i;

	for (i = 0; i < n; i++)
		order[i] = i;
	return length(m, s, order, n);
}

/* The length of the shortest of all orders; `order` holds 0 .. n-1. */
static int shortest(const struct stop *s, size_t *order, size_t fixed, size_t n)
{
	int best = INT_MAX;
	size_t i;

	if (fixed == n)
		return length(&all, s, order, n);
	for (i = fixed; i < n; i++) {
		const size_t a = order[fixed], b = order[i];
		int sum;

		order[fixed] = b;
		order[i] = a;
		sum = shortest(s, order, fixed + 1, n);
		best = sum < best ? sum : best;
		order[fixed] = a;
		order[i] = b;
	}
	return best;
}

/* Sequences of ECMA-48, counted by hand. */
START_TEST(bytes_of_a_way)
{
	static const struct { int row, col, to_row, to_col, bytes; } ways[] = {
		{ -1, 0, 4, 8, 6 },		/* ESC [ 5 ; 9 H */
		{ -1, 0, 11, 174, 9 },		/* ESC [ 12 ; 175 H */
		{ 3, 10, 3, 10, 0 },
		{ 3, 10, 3, 8, 2 },		/* two backspaces */
		{ 3, 10, 3, 11, 3 },		/* ESC [ C */
		{ 3, 10, 3, 15, 4 },		/* ESC [ 5 C */
		{ 3, 10, 5, 8, 4 },		/* two newlines, two backspaces */
		{ 3, 50, 3, 3, 4 },		/* ESC [ 4 G */
		{ 30, 50, 3, 50, 4 },		/* ESC [ 4 d */
	};
	size_t i;

	for (i = 0; i < sizeof ways / sizeof ways[0]; i++)
		ck_assert_int_eq(route_bytes(&all, ways[i].row, ways[i].col, ways[i].to_row,
					     ways[i].to_col), ways[i].bytes);
	ck_assert_int_eq(route_bytes(&steps_only, 3, 10, 3, 12), 6);	/* ESC [ C twice */
}
END_TEST

/* Two columns of cells in each row, as a cursor's line and numbers are. */
START_TEST(columns_are_written_one_by_one)
{
	struct stop s[MOST];
	size_t order[MOST];
	size_t i;

	for (i = 0; i < MOST; i++)
		s[i] = (struct stop){ (int)(i / 2), i % 2 == 0 ? 20 : 170, 1 };
	route_find(&all, NULL, NULL, s, MOST, order);
	for (i = 1; i < MOST / 2; i++)
		ck_assert_int_eq(s[order[i]].col, s[order[0]].col);
	ck_assert_int_le(length(&all, s, order, MOST), 8 + 19 * 2 + 9 + 19 * 2);
}
END_TEST

/* Of two that are as far from the beginning, the one near to the end comes last. */
START_TEST(ends_near_the_end)
{
	static const struct stop from = { 20, 50, 0 };
	static const struct stop ends[] = { { 0, 90, 0 }, { 40, 90, 0 } };
	static const struct stop s[] = { { 0, 89, 1 }, { 40, 89, 1 } };
	size_t order[2];

	route_find(&all, &from, &ends[_i], s, 2, order);
	ck_assert_uint_eq(order[1], (size_t)_i);
}
END_TEST

static size_t random_stops(uint64_t *state, struct stop *s, size_t n)
{
	size_t i;

	for (i = 0; i < n; i++)
		s[i] = (struct stop){ rnd_below(state, 50), 10 * rnd_below(state, 19),
				      1 + rnd_below(state, 3) };
	return n;
}

/* Every stop once, and never longer than as given. */
START_TEST(any_stops)
{
	uint64_t state = (uint64_t)_i;
	const struct route_means *m = _i % 2 == 0 ? &all : &steps_only;
	struct stop s[MOST];
	size_t order[MOST];
	const size_t n = random_stops(&state, s, (size_t)rnd_below(&state, MOST + 1));
	bool been[MOST] = { false };
	size_t i;

	route_find(m, NULL, NULL, s, n, order);
	for (i = 0; i < n; i++) {
		ck_assert_uint_lt(order[i], n);
		ck_assert(!been[order[i]]);
		been[order[i]] = true;
	}
	ck_assert_int_le(length(m, s, order, n), length_as_given(m, s, n));
}
END_TEST

/* Of few stops hardly longer than the best of all orders. */
START_TEST(few_stops_nearly_best)
{
	uint64_t state = (uint64_t)(1000 + _i);
	struct stop s[MOST];
	size_t order[MOST], any[MOST];
	const size_t n = random_stops(&state, s, 2 + (size_t)rnd_below(&state, 6));
	size_t i;

	for (i = 0; i < n; i++)
		any[i] = i;
	route_find(&all, NULL, NULL, s, n, order);
	ck_assert_int_le(length(&all, s, order, n), shortest(s, any, 0, n) + 4);
}
END_TEST

/* Too many to look for a better order: as they are. */
START_TEST(many_stops_stay)
{
	struct stop s[ROUTE_MOST + 1];
	size_t order[ROUTE_MOST + 1];
	uint64_t state = 5;
	size_t i;

	random_stops(&state, s, ROUTE_MOST + 1);
	route_find(&all, NULL, NULL, s, ROUTE_MOST + 1, order);
	for (i = 0; i <= ROUTE_MOST; i++)
		ck_assert_uint_eq(order[i], i);
}
END_TEST

Suite *route_suite(void)
{
	Suite *s = suite_create("route");
	TCase *t = tcase_create("route");

	tcase_add_test(t, bytes_of_a_way);
	tcase_add_test(t, columns_are_written_one_by_one);
	tcase_add_loop_test(t, ends_near_the_end, 0, 2);
	tcase_add_loop_test(t, any_stops, 0, 60);
	tcase_add_loop_test(t, few_stops_nearly_best, 0, 60);
	tcase_add_test(t, many_stops_stay);
	suite_add_tcase(s, t);
	return s;
}
