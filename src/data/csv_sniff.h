/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Guessing the dialect of a log from its first rows: separator, decimal mark,
 * where the header and the units row are, which line is the first row.  Every
 * guess can be forced (struct csv_options) and is reported.
 */
#ifndef DATA_CSV_SNIFF_H
#define DATA_CSV_SNIFF_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "base/wide.h"
#include "data/csv_watch.h"

/* Who splits the rows of data; what is read is the same. */
enum csv_reader {
	CSV_READER_AUTO,	/* libcsv the first rows and odd quotes, our own the rest */
	CSV_READER_STRAIGHT,	/* our own splitter from the first row of data on */
	CSV_READER_LIBCSV,	/* libcsv everything */
};

/* What the user forces; zeroed means: guess everything. */
struct csv_options {
	char separator;		/* any ASCII character but a quote or line end; 0: guess */
	char decimal;		/* '.' ',' or 0: guess */
	long header_line;	/* line of the file from 1; 0 guess; -1 there is none */
	const char *time_name;	/* header of the time column, or NULL */
	double rate;		/* rows a second for a log without time; 0: not given */
	enum csv_reader reader;
	unsigned threads;	/* that read at the same time; 0: as many as there are cores */
	size_t piece;		/* bytes that a thread takes at once; 0: what is best */
	enum wide wide;		/* registers that are used at most */
	const struct csv_watch *watch;	/* looks on; NULL: nobody does */
};

struct csv_dialect {
	char separator;
	char decimal;
	bool decimal_sure;	/* false: no number with a fraction was among the first rows */
	bool comments;		/* lines with a comment mark are skipped: see csv_rows.h */
	size_t header_line;	/* from 1; 0 when there is no header */
	size_t units_line;	/* from 1; 0 when there is none */
	size_t first_line;	/* of the data, from 1 */
	size_t columns;		/* of the header, or of the data where those are more */
	size_t row_cells;	/* of most rows of data */
};

/*
 * Looks at the first rows of the n bytes of UTF-8 of `path` (for messages).
 *
 * The separator and decimal mark are those with which most cells are numbers, on
 * rows of one length, and no cell hides another separator.  The header is the row
 * of words above the first row of numbers that is as long, a units row is one below
 * it (or above) whose cells are mostly units.  ERR_FORMAT with the line and what to
 * do when nothing looks like columns of numbers; ERR_USAGE for a forced header line
 * that is not there.
 */
enum err_code csv_sniff(const char *path, const char *text, size_t n,
			const struct csv_options *options, struct csv_dialect *out,
			struct err *e);

/*
 * The same over the first n bytes of a log.  *more says that it goes on behind them;
 * it is left true, and *out of no use, when they are too few to tell as much as all of
 * the log would.
 */
enum err_code csv_sniff_head(const char *path, const char *text, size_t n, bool *more,
			     const struct csv_options *options, struct csv_dialect *out,
			     struct err *e);

#endif
