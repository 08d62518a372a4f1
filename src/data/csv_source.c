/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pieces of whole lines. */
#include "data/csv_source.h"

#include <string.h>

#include "base/mem.h"

#define LONGEST_LINE ((size_t)256 << 20)
#define END_MARK 0x1a		/* SUB: some systems end a text with it */

void csv_source_init(struct csv_source *s, struct csv_input *in)
{
	*s = (struct csv_source){ .in = in };
}

void csv_source_release(struct csv_source *s)
{
	buf_release(&s->ahead);
}

void csv_source_restart(struct csv_source *s)
{
	s->ahead.len = s->ahead_at = 0;
	s->ended = false;
}

static size_t ahead(const struct csv_source *s)
{
	return s->ahead.len - s->ahead_at;
}

static enum err_code no_memory(const struct csv_source *s, struct err *e)
{
	return err_set(e, ERR_MEMORY, "%s: out of memory; close other programs, or cut the log",
		       csv_input_name(s->in));
}

static enum err_code read_more(struct csv_source *s, size_t n, struct buf *out, struct err *e)
{
	enum err_code code;
	size_t got;

	if (s->ended)
		return ERR_NONE;
	if (!mem_try_grow(&out->data, &out->cap, out->len + n + 1, 1))
		return no_memory(s, e);
	code = csv_input_read(s->in, out->data + out->len, n, &got, e);
	out->len += got;
	s->ended = got < n;
	return code;
}

enum err_code csv_source_look(struct csv_source *s, size_t n, struct err *e)
{
	if (ahead(s) >= n)
		return ERR_NONE;
	return read_more(s, n - ahead(s), &s->ahead, e);
}

bool csv_source_is_all(const struct csv_source *s, size_t n)
{
	return s->ended && ahead(s) <= n;
}

void csv_source_skip(struct csv_source *s, size_t n)
{
	s->ahead_at += n;
}

enum err_code csv_source_put_back(struct csv_source *s, const char *bytes, size_t n,
				  struct err *e)
{
	const size_t left = ahead(s);

	if (n > s->ahead_at) {
		if (!mem_try_grow(&s->ahead.data, &s->ahead.cap, n + left + 1, 1))
			return no_memory(s, e);
		memmove(s->ahead.data + n, s->ahead.data + s->ahead_at, left);
		s->ahead.len = n + left;
		s->ahead_at = n;
	}
	s->ahead_at -= n;
	if (n > 0)
		memcpy(s->ahead.data + s->ahead_at, bytes, n);
	return ERR_NONE;
}

/* Bytes of a character: two for UTF-16. */
static size_t char_size(enum csv_encoding encoding)
{
	return encoding == CSV_UTF16LE || encoding == CSV_UTF16BE ? 2 : 1;
}

/* Whether the character at s is c. */
static bool is_char(enum csv_encoding encoding, const char *s, char c)
{
	if (encoding == CSV_UTF16LE)
		return s[0] == c && s[1] == '\0';
	if (encoding == CSV_UTF16BE)
		return s[0] == '\0' && s[1] == c;
	return s[0] == c;
}

/*
 * Length of the whole lines among the n bytes, behind which more may follow: a CR at
 * their end may be half a line end.
 */
static size_t whole_lines(enum csv_encoding encoding, const char *s, size_t n)
{
	const size_t size = char_size(encoding);
	size_t i;

	n -= n % size;
	for (i = n; i >= size; i -= size)
		if (is_char(encoding, s + i - size, '\n'))
			return i;
	for (i = n; i >= 2 * size; i -= size)
		if (is_char(encoding, s + i - 2 * size, '\r'))
			return i - size;
	return 0;
}

/* Moves up to n of the bytes that lie ahead to `out`; with their room if it is larger. */
static bool take_ahead(struct csv_source *s, size_t n, struct buf *out)
{
	n = n < ahead(s) ? n : ahead(s);
	if (out->len == 0 && n == s->ahead.len && s->ahead.cap > out->cap) {
		const struct buf taken = s->ahead;

		s->ahead = *out;
		*out = taken;
		return true;
	}
	if (!mem_try_grow(&out->data, &out->cap, out->len + n + 1, 1))
		return false;
	if (n > 0)
		memcpy(out->data + out->len, s->ahead.data + s->ahead_at, n);
	out->len += n;
	s->ahead_at += n;
	if (ahead(s) == 0)
		s->ahead.len = s->ahead_at = 0;
	return true;
}

enum err_code csv_source_next(struct csv_source *s, size_t want, struct buf *out, bool *last,
			      struct err *e)
{
	enum err_code code = ERR_NONE;
	size_t lines = 0;
	bool stuck = false;	/* behind a line that is still being written */

	out->len = 0;
	*last = false;
	for (; code == ERR_NONE && lines == 0 && !*last && !stuck; want = 2 * want) {
		if (out->len > LONGEST_LINE)
			return err_set(e, ERR_FORMAT, "%s: it has a line of more than %zu MB; is "
				       "it a log at all?", csv_input_name(s->in),
				       LONGEST_LINE >> 20);
		if (!take_ahead(s, want - out->len, out))
			return no_memory(s, e);
		if (out->len < want)
			code = read_more(s, want - out->len, out, e);
		stuck = s->ended && ahead(s) == 0;
		*last = stuck && !s->grows;
		lines = *last ? out->len : whole_lines(s->encoding, out->data, out->len);
	}
	if (code == ERR_NONE && lines < out->len) {
		code = csv_source_put_back(s, out->data + lines, out->len - lines, e);
		out->len = lines;
	}
	return code;
}

/* NUL becomes a blank, as in csv_to_utf8(). */
static void blank_nul(char *s, size_t n)
{
	char *at = s;

	while ((at = memchr(at, '\0', (size_t)(s + n - at))) != NULL)
		*at = ' ';
}

bool csv_source_decode(enum csv_encoding encoding, bool last, struct buf *piece,
		       struct buf *room, char **text, size_t *n)
{
	struct buf *from = piece;

	if (encoding == CSV_UTF8) {
		if (piece->len > 0)
			blank_nul(piece->data, piece->len);
	} else {
		from = room;
		room->len = 0;
		if (!csv_to_utf8(encoding, piece->data, piece->len, room))
			return false;
	}
	*text = from->data;
	*n = from->len;
	while (last && *n > 0 && (*text)[*n - 1] == END_MARK)
		(*n)--;
	(*text)[*n] = '\n';
	return true;
}
