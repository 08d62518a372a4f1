/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Taking pieces into a table, one after another in the order of the file. */
#ifndef DATA_CSV_MERGE_H
#define DATA_CSV_MERGE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"
#include "data/csv_piece.h"
#include "data/csv_rows.h"
#include "data/csv_table.h"

struct csv_merge {
	struct csv_table *table;
	struct csv_rows *rows;	/* for what was not split */
	bool libcsv;
	size_t line;		/* of the log, from 1: the first of the next piece */
	struct buf carry;	/* text of a quoted row that the next piece goes on with */
	size_t good;		/* characters, see csv_piece.h */
	size_t broken;
};

/* `libcsv` as for csv_rows_new().  False when memory is out; to be released either way. */
bool csv_merge_init(struct csv_merge *m, struct csv_table *t, bool libcsv);
void csv_merge_release(struct csv_merge *m);

/* False when memory is out. */
bool csv_merge_piece(struct csv_merge *m, const struct csv_piece *p);

/*
 * Reads the text that waits for the next piece into a copy of m's table, as if the log
 * ended here.  False when memory is out.
 */
bool csv_merge_as_ended(const struct csv_merge *m, struct csv_table *copy);

/*
 * Reads rows of a piece with libcsv until the row to come would be on `line` or behind
 * it; *at is set to where that is in the piece's text, its length when all is taken.
 */
bool csv_merge_lead(struct csv_merge *m, const struct csv_piece *p, size_t line, size_t *at);

#endif
