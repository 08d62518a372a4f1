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
#include "data/csv_merge.h"
#include "data/csv_sniff.h"
#include "data/csv_source.h"

/*
 * Reads the source from where it stands, the start of the text or a line of it, to its
 * end, or to its end for now.  The pieces go through m into its table.  options->watch
 * looks on, with `reading` for what is there so far; *stopped says that it ended the
 * reading.
 */
enum err_code csv_lanes_read(struct csv_source *source, struct csv_merge *m,
			     const struct csv_options *options,
			     const struct csv_reading *reading, bool *stopped, struct err *e);

#endif
