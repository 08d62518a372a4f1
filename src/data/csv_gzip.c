/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Unpacking gzip data with zlib. */
#include "data/csv_gzip.h"

#include <limits.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#include "base/mem.h"

#define STORED_BLOCK ((size_t)64 << 10)
#define GZIP_WINDOW (15 + 16)	/* zlib: the largest window, gzip framing */

struct csv_gzip {
	const char *name;
	csv_gzip_source *source;
	void *data;
	z_stream stream;
	bool between;		/* a member has ended, the next has not begun */
	bool source_ended;
	bool ended;
	unsigned long long unpacked;
	char stored[STORED_BLOCK];
};

bool csv_gzip_is(const char *first, size_t n)
{
	return n >= CSV_GZIP_MAGIC && memcmp(first, "\x1f\x8b", CSV_GZIP_MAGIC) == 0;
}

struct csv_gzip *csv_gzip_new(const char *name, csv_gzip_source *source, void *data)
{
	struct csv_gzip *z = malloc(sizeof(*z));

	if (z == NULL)
		return NULL;
	memset(z, 0, offsetof(struct csv_gzip, stored));
	z->name = name;
	z->source = source;
	z->data = data;
	if (inflateInit2(&z->stream, GZIP_WINDOW) != Z_OK) {
		free(z);
		return NULL;
	}
	return z;
}

void csv_gzip_free(struct csv_gzip *z)
{
	if (z == NULL)
		return;
	inflateEnd(&z->stream);
	free(z);
}

static enum err_code no_memory(const struct csv_gzip *z, struct err *e)
{
	return err_set(e, ERR_MEMORY, "%s: out of memory after unpacking %llu bytes", z->name,
		       z->unpacked);
}

enum err_code csv_gzip_restart(struct csv_gzip *z, struct err *e)
{
	if (inflateReset(&z->stream) != Z_OK)
		return no_memory(z, e);
	z->stream.avail_in = 0;
	z->between = z->source_ended = z->ended = false;
	z->unpacked = 0;
	return ERR_NONE;
}

static enum err_code broken(const struct csv_gzip *z, const char *how, struct err *e)
{
	return err_set(e, ERR_FORMAT, "%s: its gzip data %s after %llu bytes of text; copy it "
		       "from the logger again, or save what can be unpacked with gzip -dc",
		       z->name, how, z->unpacked);
}

/* Moves what is left to the front of the block and fills it up. */
static enum err_code refill(struct csv_gzip *z, struct err *e)
{
	const size_t left = z->stream.avail_in;
	enum err_code code;
	size_t got;

	if (z->source_ended)
		return ERR_NONE;
	if (left > 0)
		memmove(z->stored, z->stream.next_in, left);
	code = z->source(z->data, z->stored + left, STORED_BLOCK - left, &got, e);
	if (code != ERR_NONE)
		return code;
	z->source_ended = got < STORED_BLOCK - left;
	z->stream.next_in = (Bytef *)z->stored;
	z->stream.avail_in = (uInt)(left + got);
	return ERR_NONE;
}

/* Behind a member: another one, zeros that fill up a block, or the end. */
static enum err_code next_member(struct csv_gzip *z, struct err *e)
{
	enum err_code code;

	for (;;) {
		if (z->stream.avail_in < CSV_GZIP_MAGIC && !z->source_ended) {
			code = refill(z, e);
			if (code != ERR_NONE)
				return code;
		}
		if (z->stream.avail_in == 0 || *z->stream.next_in != '\0')
			break;
		z->stream.next_in++;
		z->stream.avail_in--;
	}
	if (z->stream.avail_in == 0) {
		z->ended = true;
		return ERR_NONE;
	}
	if (!csv_gzip_is((const char *)z->stream.next_in, z->stream.avail_in))
		return broken(z, "are followed by something else", e);
	z->between = false;
	return inflateReset(&z->stream) == Z_OK ? ERR_NONE : no_memory(z, e);
}

/* Unpacks some bytes to next_out. */
static enum err_code unpack(struct csv_gzip *z, struct err *e)
{
	const uInt room = z->stream.avail_out;
	int result = inflate(&z->stream, Z_NO_FLUSH);

	z->unpacked += room - z->stream.avail_out;
	if (result == Z_STREAM_END)
		z->between = true;
	else if (result == Z_MEM_ERROR)
		return no_memory(z, e);
	else if (result != Z_OK && result != Z_BUF_ERROR)
		return broken(z, "are damaged", e);
	else if (z->stream.avail_in == 0 && z->source_ended && z->stream.avail_out > 0)
		return broken(z, "break off", e);
	return ERR_NONE;
}

enum err_code csv_gzip_read(struct csv_gzip *z, char *to, size_t want, size_t *got,
			    struct err *e)
{
	enum err_code code = ERR_NONE;

	if (want > UINT_MAX / 2)
		want = UINT_MAX / 2;
	z->stream.next_out = (Bytef *)to;
	z->stream.avail_out = (uInt)want;
	while (code == ERR_NONE && z->stream.avail_out > 0 && !z->ended) {
		if (z->between) {
			code = next_member(z, e);
			continue;
		}
		if (z->stream.avail_in == 0)
			code = refill(z, e);
		if (code == ERR_NONE)
			code = unpack(z, e);
	}
	*got = want - z->stream.avail_out;
	return code;
}
