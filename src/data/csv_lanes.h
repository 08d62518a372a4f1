/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * All rows of a log into its table, piece by piece, by as many threads as there are.
 *
 * Each thread takes the next piece of the source, splits it by itself and goes on with
 * another; whoever has finished the piece whose turn it is takes it into the table.
 * Pieces are taken in the order of the file, so the result is the same for any count
 * of threads.
 */
#ifndef DATA_CSV_LANES_H
#define DATA_CSV_LANES_H

#include "base/err.h"
#include "data/csv_sniff.h"
#include "data/csv_source.h"
#include "data/csv_table.h"

#define CSV_PIECE ((size_t)256 << 10)

/*
 * Reads the source from where it stands, the start of the text.  *good and *broken
 * receive what csv_count_utf8() makes of all stored bytes.
 */
enum err_code csv_lanes_read(struct csv_source *source, struct csv_table *t,
			     const struct csv_options *options, size_t *good, size_t *broken,
			     struct err *e);

#endif
