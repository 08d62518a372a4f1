/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Unpacking gzip data (RFC 1952) as they are read, one member behind the other. */
#ifndef DATA_CSV_GZIP_H
#define DATA_CSV_GZIP_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"

#define CSV_GZIP_MAGIC 2	/* bytes by which it is known */

/* Gives up to `want` stored bytes; fewer only at their end. */
typedef enum err_code csv_gzip_source(void *data, char *to, size_t want, size_t *got,
				      struct err *e);

struct csv_gzip;

bool csv_gzip_is(const char *first, size_t n);

/* `name` is for messages and must stay; NULL when memory is out. */
struct csv_gzip *csv_gzip_new(const char *name, csv_gzip_source *source, void *data);
void csv_gzip_free(struct csv_gzip *z);

/* After the source was put back to its first byte. */
enum err_code csv_gzip_restart(struct csv_gzip *z, struct err *e);

/*
 * Unpacks up to `want` bytes, fewer only at the end.  ERR_FORMAT with the count of
 * bytes that could be unpacked when the data break off, are damaged, or are followed
 * by something that is neither another member nor zeros.
 */
enum err_code csv_gzip_read(struct csv_gzip *z, char *to, size_t want, size_t *got,
			    struct err *e);

#endif
