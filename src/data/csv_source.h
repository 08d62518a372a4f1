/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The text of a log in pieces of whole lines, as they come out of an input.
 *
 * Pieces are cut in the bytes as they are stored, so that a piece can be turned into
 * UTF-8 by itself, by whoever works on it.
 */
#ifndef DATA_CSV_SOURCE_H
#define DATA_CSV_SOURCE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"
#include "base/err.h"
#include "data/csv_encoding.h"
#include "data/csv_input.h"

struct csv_source {
	struct csv_input *in;
	enum csv_encoding encoding;
	struct buf ahead;	/* stored bytes that were read but not given out */
	size_t ahead_at;
	bool ended;		/* the input has no more, for now if it grows */
	bool grows;		/* the input may have more later: no piece is the last one */
};

/* Zeroed is new, but for the input, which is the caller's. */
void csv_source_init(struct csv_source *s, struct csv_input *in);
void csv_source_release(struct csv_source *s);

/* After the input was put back to its first byte; the encoding stays. */
void csv_source_restart(struct csv_source *s);

/*
 * Reads until at least n bytes lie ahead (s->ahead from s->ahead_at on), or to the
 * end.
 */
enum err_code csv_source_look(struct csv_source *s, size_t n, struct err *e);

/* Whether no more than n bytes are left, as far as it is known. */
bool csv_source_is_all(const struct csv_source *s, size_t n);

/* Drops bytes from what lies ahead: the mark of the encoding. */
void csv_source_skip(struct csv_source *s, size_t n);

/*
 * The next piece into *out: whole lines, as near to `want` bytes as they allow, at
 * most once an empty one; *last is set with the last.  Where the input grows, no piece
 * is the last: with s->ended there is no more now, and a line without its end stays
 * ahead.  ERR_FORMAT for a line that is longer than any log's.
 */
enum err_code csv_source_next(struct csv_source *s, size_t want, struct buf *out, bool *last,
			      struct err *e);

/* Puts bytes back in front of what lies ahead. */
enum err_code csv_source_put_back(struct csv_source *s, const char *bytes, size_t n,
				  struct err *e);

/*
 * Turns a piece into UTF-8 without NUL.  *text points into `piece` (which is changed
 * in place) or into `room`; a line end stands behind it.  False when memory is out.
 */
bool csv_source_decode(enum csv_encoding encoding, bool last, struct buf *piece,
		       struct buf *room, char **text, size_t *n);

#endif
