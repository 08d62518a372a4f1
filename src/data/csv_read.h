/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Reading a log: bytes to columns.  libcsv is the grammar of record (RFC 4180
 * quoting); what stands in the cells is decided here.
 *
 * The result has raw names and units, columns, times and notes; it has not been
 * through recognise_all() yet, except that the time column has been found.
 */
#ifndef DATA_CSV_READ_H
#define DATA_CSV_READ_H

#include "base/err.h"
#include "data/csv_sniff.h"
#include "data/datalog.h"

/*
 * Reads the file at path ("-": standard input), which may be compressed with gzip;
 * options may be NULL.  On success *out is the caller's to free, otherwise it is NULL.
 * Errors (no such file, a directory, empty, binary, damaged gzip data, no numeric
 * column, a single row, out of memory) name the file, the line and column where there
 * is one, and a way out.  ERR_DATA where there may yet be numbers behind what is there.
 */
enum err_code csv_read(const char *path, const struct csv_options *options,
		       struct datalog **out, struct err *e);

/* The same from memory; `name` is for messages, and the path of the log. */
enum err_code csv_read_memory(const char *name, const char *bytes, size_t n,
			      const struct csv_options *options, struct datalog **out,
			      struct err *e);

#endif
