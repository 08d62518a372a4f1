/* SPDX-License-Identifier: GPL-3.0-or-later */
/* In which order to write changed cells. */
#include "draw/route.h"

#include <limits.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

#define LONGEST_PART 4		/* stops that are moved to another place of the order at once */
#define MOST_ROUNDS 8

static int digits(int n)
{
	return n < 10 ? 1 : n < 100 ? 2 : n < 1000 ? 3 : 5;
}

static int least(int a, int b)
{
	return a < b ? a : b;
}

/* "ESC [ n X", without the n where it is 1. */
static int steps_bytes(const struct route_means *m, int n)
{
	return n == 1 ? 3 : m->steps ? 3 + digits(n) : 3 * n;
}

static int along_bytes(const struct route_means *m, int from, int to)
{
	int bytes = to == from ? 0 : to > from ? steps_bytes(m, to - from) :
		least(from - to, steps_bytes(m, from - to));

	return m->to_col ? least(bytes, 3 + digits(to + 1)) : bytes;
}

static int down_bytes(const struct route_means *m, int from, int to)
{
	int bytes = to == from ? 0 : to < from ? steps_bytes(m, from - to) :
		least(to - from, steps_bytes(m, to - from));

	return m->to_row ? least(bytes, 3 + digits(to + 1)) : bytes;
}

int route_bytes(const struct route_means *m, int from_row, int from_col, int to_row, int to_col)
{
	const int straight = 4 + digits(to_row + 1) + digits(to_col + 1);

	return from_row < 0 ? straight :
		least(straight, down_bytes(m, from_row, to_row) + along_bytes(m, from_col, to_col));
}

/* All ways: bytes[from][to], where count stands for the beginning and for the end. */
struct ways {
	size_t count;
	uint8_t *bytes;
};

static int way(const struct ways *w, size_t from, size_t to)
{
	return w->bytes[from * (w->count + 1) + to];
}

static uint8_t bytes_between(const struct route_means *m, const struct stop *from,
			     const struct stop *to)
{
	return to == NULL ? 0 : (uint8_t)route_bytes(m, from == NULL ? -1 : from->row,
		from == NULL ? 0 : from->col + from->n, to->row, to->col);
}

static void fill_ways(struct ways *w, const struct route_means *m, const struct stop *from,
		      const struct stop *to, const struct stop *stops)
{
	size_t i, k;

	for (i = 0; i <= w->count; i++)
		for (k = 0; k <= w->count; k++)
			w->bytes[i * (w->count + 1) + k] =
				bytes_between(m, i < w->count ? &stops[i] : from,
					      k < w->count ? &stops[k] : to);
}

static int length(const struct ways *w, const size_t *order)
{
	int sum = way(w, order[w->count - 1], w->count);
	size_t i;

	for (i = 0; i < w->count; i++)
		sum += way(w, i == 0 ? w->count : order[i - 1], order[i]);
	return sum;
}

/* Always to the nearest that is left. */
static void go_to_nearest(const struct ways *w, size_t *order)
{
	bool *been = mem_array(w->count + 1, sizeof *been);
	size_t at = w->count;
	size_t i, k;

	for (i = 0; i < w->count; i++) {
		size_t best = SIZE_MAX;

		for (k = 0; k < w->count; k++)
			if (!been[k] && (best == SIZE_MAX || way(w, at, k) < way(w, at, best)))
				best = k;
		been[best] = true;
		order[i] = at = best;
	}
	free(been);
}

/* Stop number i of the order; the beginning before the first, the end after the last. */
static size_t stop_at(const struct ways *w, const size_t *order, size_t i)
{
	return i == 0 || i > w->count ? w->count : order[i - 1];
}

/* What it saves to put stops first .. last (from 1 on) behind stop `behind`, not one of them. */
static int saved(const struct ways *w, const size_t *order, size_t first, size_t last, size_t behind)
{
	const size_t before = stop_at(w, order, first - 1);
	const size_t after = stop_at(w, order, last + 1);
	const size_t a = order[first - 1];
	const size_t z = order[last - 1];
	const size_t left = stop_at(w, order, behind);
	const size_t right = stop_at(w, order, behind + 1);

	return way(w, before, a) + way(w, z, after) + way(w, left, right) -
		way(w, before, after) - way(w, left, a) - way(w, z, right);
}

static void move_part(size_t *order, size_t first, size_t last, size_t behind)
{
	size_t part[LONGEST_PART];
	const size_t n = last - first + 1;

	memcpy(part, &order[first - 1], n * sizeof *part);
	if (behind < first) {
		memmove(&order[behind + n], &order[behind], (first - 1 - behind) * sizeof *order);
		memcpy(&order[behind], part, n * sizeof *part);
	} else {
		memmove(&order[first - 1], &order[last], (behind - last) * sizeof *order);
		memcpy(&order[behind - n], part, n * sizeof *part);
	}
}

/* Moves the part from `first` on to where that saves most; false where nothing does. */
static bool better_place(const struct ways *w, size_t *order, size_t first, size_t last)
{
	int most = 0;
	size_t best = 0;
	size_t behind;

	for (behind = 0; behind <= w->count; behind++) {
		int more;

		if (behind + 1 >= first && behind <= last)
			continue;
		more = saved(w, order, first, last, behind);
		if (more > most) {
			most = more;
			best = behind;
		}
	}
	if (most > 0)
		move_part(order, first, last, best);
	return most > 0;
}

static void improve(const struct ways *w, size_t *order)
{
	bool better = true;
	int rounds;

	for (rounds = 0; better && rounds < MOST_ROUNDS; rounds++) {
		size_t first, n;

		better = false;
		for (n = 1; n <= LONGEST_PART; n++)
			for (first = 1; first + n <= w->count + 1; first++)
				better |= better_place(w, order, first, first + n - 1);
	}
}

void route_find(const struct route_means *m, const struct stop *from, const struct stop *to,
		const struct stop *stops, size_t count, size_t *order)
{
	struct ways w = { count, NULL };
	size_t *other;
	size_t i;

	for (i = 0; i < count; i++)
		order[i] = i;
	if (count < 2 || count > ROUTE_MOST)
		return;
	w.bytes = mem_array((count + 1) * (count + 1), 1);
	other = mem_array(count, sizeof *other);
	fill_ways(&w, m, from, to, stops);
	go_to_nearest(&w, other);
	improve(&w, order);
	improve(&w, other);
	if (length(&w, other) < length(&w, order))
		memcpy(order, other, count * sizeof *order);
	free(other);
	free(w.bytes);
}
