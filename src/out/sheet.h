/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A sheet: a table of typed cells, filled row by row and written as aligned
 * text for people or as CSV for programs.
 *
 * Text shows numbers with the decimals asked for and "-" where there is none;
 * CSV shows them with all their digits and leaves the field empty.  A sheet that
 * is wider than the line is cut into blocks of whole groups of columns, each
 * with the key columns in front.
 */
#ifndef OUT_SHEET_H
#define OUT_SHEET_H

#include <stddef.h>

#include "base/buf.h"
#include "out/style.h"

enum sheet_side {
	SHEET_LEFT,
	SHEET_RIGHT,
};

struct sheet;

struct sheet *sheet_new(void);
void sheet_free(struct sheet *s);

/*
 * Columns come before the first row.  When the text is wider than the line, cells of
 * a flexible column are cut in their middle, down to `least`.  When no column has a
 * name there is no header line.
 */
void sheet_column(struct sheet *s, const char *name, enum sheet_side side);
void sheet_column_flex(struct sheet *s, const char *name, enum sheet_side side, size_t least);

/* The columns added from here on stand under one heading and are never parted. */
void sheet_group(struct sheet *s, const char *heading);

/* The columns so far are keys: repeated at the left of every block. */
void sheet_keys_end(struct sheet *s);

/* Begins a row; then one call for each of its cells.  Cells not given are blank. */
void sheet_row(struct sheet *s);
void sheet_text(struct sheet *s, const char *text);
void sheet_count(struct sheet *s, size_t n);
void sheet_number(struct sheet *s, double v, int decimals);
void sheet_signed(struct sheet *s, double v, int decimals);	/* with its sign always */
void sheet_blank(struct sheet *s);	/* nothing, in text as well */

/* Text only: a blank line above the row just begun; a line below it, indented, folded. */
void sheet_gap(struct sheet *s);
void sheet_note(struct sheet *s, const char *text);

void sheet_to_text(const struct sheet *s, const struct out_style *style, struct buf *out);

/* A header line and a line for each row, CRLF behind each (RFC 4180, section 2). */
void sheet_to_csv(const struct sheet *s, struct buf *out);

/*
 * "Knock retard cylinder 3" in 16 cells: "Knock ret..der 3", because it is the end
 * that tells such names apart.  The caller frees it.
 */
char *sheet_shorten(const char *text, size_t most);

/* Appends `text` folded between words at `width` cells, each line indented. */
void sheet_fold(struct buf *out, const char *text, size_t indent, size_t width);

#endif
