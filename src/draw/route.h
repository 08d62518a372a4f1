/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * In which order to write changed cells so that a terminal's cursor takes few bytes from
 * each to the next: a shortest path, in bytes, looked for and not proven.
 */
#ifndef DRAW_ROUTE_H
#define DRAW_ROUTE_H

#include <stdbool.h>
#include <stddef.h>

#define ROUTE_MOST 160		/* stops; more are left in the order that they have */

/* n cells beside each other that are written at once: the cursor is then at col + n. */
struct stop {
	int row;
	int col;
	int n;
};

/* What the terminal knows beside single steps, steps by n, and going to a row and column. */
struct route_means {
	bool to_row;		/* to a row of the same column */
	bool to_col;		/* to a column of the same row */
	bool steps;		/* by n in any direction */
};

/*
 * About how many bytes it takes to go from a place to another, by the sequences of ECMA-48;
 * from_row -1: from an unknown one.
 */
int route_bytes(const struct route_means *m, int from_row, int from_col, int to_row, int to_col);

/*
 * Writes the numbers of the stops in a good order, from the end of one stop to the beginning
 * of another, which are not of them; order[count].  NULL: from an unknown place, to any.
 */
void route_find(const struct route_means *m, const struct stop *from, const struct stop *to,
		const struct stop *stops, size_t count, size_t *order);

#endif
