/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A piece of a log, and what our own splitter made of it without knowing the rows
 * before: batches of rows that count whatever came before, rows that only their turn
 * can tell about, and what libcsv has to read.
 *
 * Pieces are split by any number of threads at the same time; csv_merge.h takes them
 * in the order of the file.  What a batch was made with is noted in it.  Where the
 * rows before turn out to say something else, the batch is read again by libcsv: the
 * result never depends on who was faster.
 */
#ifndef DATA_CSV_PIECE_H
#define DATA_CSV_PIECE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"
#include "data/clock.h"
#include "data/csv_cells.h"
#include "data/csv_table.h"
#include "data/packed.h"

/* A cell that is not a plain number, in a batch. */
struct csv_odd_ref {
	uint32_t column;
	uint32_t row;		/* of the batch */
	uint32_t line;		/* of the piece, from 0 */
	uint32_t at;		/* in its text */
	uint32_t length;
	unsigned char kind;	/* enum csv_cell_kind */
};

struct csv_batch {
	size_t rows;
	size_t columns;		/* its first of csv_piece.columns, one for each of the table */
	size_t odd;		/* its first of csv_piece.odd */
	size_t odd_count;
	bool fractions;		/* some number has one */
	struct csv_tally ragged;	/* lines of the piece, from 0 */
	struct csv_tally comments;
};

enum csv_item_kind {
	CSV_ITEM_BATCH,
	CSV_ITEM_ROW,		/* a line that needs to know the rows before it */
	CSV_ITEM_REST,		/* everything from here on is for libcsv */
};

struct csv_item {
	enum csv_item_kind kind;
	size_t at;		/* where it begins in the text */
	size_t length;		/* of a row */
	size_t line;		/* of the piece, from 0 */
	struct csv_batch batch;
};

struct csv_piece {
	struct buf raw;		/* as it is stored */
	struct buf room;	/* for the text, where that is something else */
	char *text;		/* UTF-8 without NUL, terminated by a line end */
	size_t length;
	bool last;		/* of the log */
	size_t lines;		/* unless an item is left to libcsv */
	size_t good;		/* characters beyond ASCII, as UTF-8 */
	size_t broken;		/* bytes that are not UTF-8 */
	char decimal;		/* the mark with which it was split */
	bool decimal_sure;

	struct csv_item *items;
	size_t item_count;
	size_t item_room;
	struct csv_batch_column *columns;
	size_t column_count;
	size_t column_room;
	struct csv_odd_ref *odd;
	size_t odd_count;
	size_t odd_room;
};

/* Zeroed is new. */
void csv_piece_release(struct csv_piece *p);

/* Forgets what was made of the piece before; leaves all of it to libcsv. */
void csv_piece_clear(struct csv_piece *p);
bool csv_piece_leave(struct csv_piece *p);

#endif
