/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Rows of short decimals, many at once: where all cells end is found first, then they
 * are read column by column.
 */
#ifndef DATA_CSV_GRID_H
#define DATA_CSV_GRID_H

#include <stddef.h>

#include "base/wide.h"
#include "data/csv_batcher.h"
#include "data/csv_sniff.h"

struct csv_grid;

/* By registers no wider than `wide`.  NULL when memory is out. */
struct csv_grid *csv_grid_new(const struct csv_dialect *d, enum wide wide);
void csv_grid_free(struct csv_grid *g);

/* Before a piece is split, of which the decimal mark is now known. */
void csv_grid_begin_piece(struct csv_grid *g, char decimal);

/*
 * Puts rows of the piece's text from..end, which consists of whole lines, into the batch
 * in hand, as long as they have nothing but short decimals and empty cells, and do not
 * change what its columns are.  Returns how many; *behind is set to where the next begins.
 * The caller counts them.  0 does not mean that the next row is none of those.
 */
size_t csv_grid_read(struct csv_grid *g, struct csv_batcher *b, const char *from,
		     const char *end, const char **behind);

#endif
