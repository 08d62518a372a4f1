/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which rows of a sample are the header, the units and the first row of data. */
#ifndef DATA_CSV_LAYOUT_H
#define DATA_CSV_LAYOUT_H

#include "base/err.h"
#include "data/csv_sample.h"
#include "data/csv_sniff.h"

/*
 * Fills the lines, columns and row_cells of *out.  `header_line` as in csv_options.
 * ERR_FORMAT when no row is like the others, ERR_USAGE when the forced header line
 * is blank, not there or has no data below it.
 */
enum err_code csv_layout(const char *path, const struct csv_sample *s, enum csv_mark mark,
			 long header_line, struct csv_dialect *out, struct err *e);

#endif
