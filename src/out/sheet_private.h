/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What sheet.c and sheet_text.c share, and nobody else. */
#ifndef OUT_SHEET_PRIVATE_H
#define OUT_SHEET_PRIVATE_H

#include <stdbool.h>
#include <stddef.h>

#include "out/sheet.h"

enum sheet_cell_kind {
	CELL_BLANK,
	CELL_TEXT,
	CELL_NUMBER,
	CELL_SIGNED,
};

struct sheet_cell {
	enum sheet_cell_kind kind;
	char *text;
	double number;
	int decimals;
};

struct sheet_column {
	char *name;
	enum sheet_side side;
	size_t least;		/* cells it may be cut to; 0: never cut */
	size_t group;		/* from 1; 0: none */
};

struct sheet_row {
	bool gap;
	char *note;		/* lines, or NULL */
};

struct sheet {
	struct sheet_column *columns;
	size_t column_count;
	size_t column_cap;
	char **groups;
	size_t group_count;
	size_t group_cap;
	size_t keys;
	struct sheet_row *rows;
	size_t row_count;
	size_t row_cap;
	struct sheet_cell *cells;	/* [row_count * column_count] */
	size_t cell_cap;
	size_t next;			/* the cell to fill */
};

#endif
