/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The bytes of a log, one block after another: a regular file read in place, standard
 * input kept in memory, or bytes that are in memory already.  What is compressed with
 * gzip (RFC 1952, any number of members) is told by its first bytes, not by its name,
 * and comes out unpacked.
 */
#ifndef DATA_CSV_INPUT_H
#define DATA_CSV_INPUT_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"
#include "data/csv_watch.h"

struct csv_input;

/*
 * Opens the file at path ("-": standard input, which is read to its end here, or to where
 * *stop, which may be NULL, says so).  ERR_IO when it cannot be read or is a directory,
 * ERR_MEMORY when there is no room.  On success *out is to be closed.
 */
enum err_code csv_input_open(const char *path, const struct csv_watch *stop,
			     struct csv_input **out, struct err *e);

/*
 * The same for a log that is still being written: its end is only the end for now.
 * ERR_USAGE for compressed data, which cannot be read before they are complete.
 */
enum err_code csv_input_open_growing(const char *path, struct csv_input **out, struct err *e);

/* Over n bytes that stay in place; `name` is for messages. */
struct csv_input *csv_input_memory(const char *name, const char *bytes, size_t n);

void csv_input_close(struct csv_input *in);

/*
 * Reads up to `want` bytes; *got is less only at the end.  ERR_IO; ERR_FORMAT for
 * compressed data that break off or are damaged, with how far they could be read.
 */
enum err_code csv_input_read(struct csv_input *in, char *to, size_t want, size_t *got,
			     struct err *e);

/* From the first byte again. */
enum err_code csv_input_rewind(struct csv_input *in, struct err *e);

/* Bytes in all where that is known beforehand, else 0. */
size_t csv_input_size(const struct csv_input *in);

/* Bytes as they are stored: those read so far, and all. */
size_t csv_input_at(const struct csv_input *in);
size_t csv_input_stored(const struct csv_input *in);

/* What became of a log that is being written, since it was read to its end. */
enum csv_growth {
	CSV_GROWTH_NONE,
	CSV_GROWTH_MORE,	/* there is more to read */
	CSV_GROWTH_ANEW,	/* another file is in its place, or it was cut or written over */
	CSV_GROWTH_OVER,	/* the pipe has ended */
};

enum csv_growth csv_input_growth(struct csv_input *in);

/* Readable when a pipe or terminal has more; -1 for a regular file. */
int csv_input_fd(const struct csv_input *in);

/* "standard input", or the path. */
const char *csv_input_name(const struct csv_input *in);

#endif
