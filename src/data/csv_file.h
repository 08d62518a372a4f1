/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bytes of a log: a file or standard input, whole. */
#ifndef DATA_CSV_FILE_H
#define DATA_CSV_FILE_H

#include "base/buf.h"
#include "base/err.h"

/*
 * Appends the bytes of the file at path ("-": standard input) to out.  ERR_IO when it
 * cannot be read or is a directory, ERR_MEMORY when there is no room.
 */
enum err_code csv_file_read(const char *path, struct buf *out, struct err *e);

#endif
