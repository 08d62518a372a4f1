/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bytes of a log. */
#include "data/csv_input.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/buf.h"
#include "base/mem.h"
#include "data/csv_gzip.h"

#define BLOCK ((size_t)256 << 10)
#define LEAST_ROOM 4		/* NUL bytes */
#define MOST_NUL ((size_t)1 << 20)	/* that a stream may begin with: it may have no end */
#define ASK_MS 100		/* how often it is asked whether to go on waiting */
#define SEEN 64			/* bytes by which a file that was written over is known */

struct csv_input {
	char *name;
	int fd;			/* of a regular file; -1: the bytes are in memory */
	struct buf kept;	/* what standard input held */
	const char *bytes;	/* [size] */
	size_t size;		/* of the file or of the bytes */
	off_t at;
	struct csv_gzip *gzip;	/* NULL: not compressed */
	bool grows;
	int stream;		/* that more of the bytes in memory may come from, or -1 */
	char seen[SEEN];	/* the last bytes read of a file that grows */
	size_t seen_count;
};

const char *csv_input_name(const struct csv_input *in)
{
	return in->name;
}

size_t csv_input_size(const struct csv_input *in)
{
	return in->gzip == NULL ? in->size : 0;
}

size_t csv_input_at(const struct csv_input *in)
{
	return (size_t)in->at;
}

size_t csv_input_stored(const struct csv_input *in)
{
	return in->size;
}

int csv_input_fd(const struct csv_input *in)
{
	return in->stream;
}

/* Keeps the last bytes of those n, which were read to the end of what was kept before. */
static void keep_seen(struct csv_input *in, const char *bytes, size_t n)
{
	const size_t old = n >= SEEN ? 0 : in->seen_count < SEEN - n ? in->seen_count : SEEN - n;

	memmove(in->seen, in->seen + in->seen_count - old, old);
	n = n < SEEN ? n : SEEN;
	memcpy(in->seen + old, bytes - n, n);
	in->seen_count = old + n;
}

/*
 * Gives NUL bytes at the end back: some loggers make room for a file before they write
 * it.  A few may be halves of UTF-16.
 */
static void leave_room(struct csv_input *in, const char *bytes, size_t *got)
{
	size_t n = *got;

	while (n > 0 && bytes[n - 1] == '\0')
		n--;
	if (*got - n < LEAST_ROOM)
		return;
	in->at -= (off_t)(*got - n);
	*got = n;
}

/* The bytes as they are stored; a csv_gzip_source. */
static enum err_code read_stored(void *data, char *to, size_t want, size_t *got, struct err *e)
{
	struct csv_input *in = data;

	*got = 0;
	if (in->fd < 0) {
		const size_t left = in->size - (size_t)in->at;

		*got = want < left ? want : left;
		if (*got > 0)
			memcpy(to, in->bytes + in->at, *got);
		in->at += (off_t)*got;
		return ERR_NONE;
	}
	while (*got < want) {
		const ssize_t n = pread(in->fd, to + *got, want - *got, in->at);

		if (n < 0 && errno == EINTR)
			continue;
		if (n < 0)
			return err_errno(e, in->name, "cannot read");
		if (n == 0)
			break;
		*got += (size_t)n;
		in->at += n;
	}
	if (in->grows)
		leave_room(in, to, got);
	if (in->grows && *got > 0)
		keep_seen(in, to + *got, *got);
	return ERR_NONE;
}

enum err_code csv_input_read(struct csv_input *in, char *to, size_t want, size_t *got,
			     struct err *e)
{
	if (in->gzip != NULL)
		return csv_gzip_read(in->gzip, to, want, got, e);
	return read_stored(in, to, want, got, e);
}

enum err_code csv_input_rewind(struct csv_input *in, struct err *e)
{
	in->at = 0;
	in->seen_count = 0;
	return in->gzip != NULL ? csv_gzip_restart(in->gzip, e) : ERR_NONE;
}

/* Looks at the first bytes, and unpacks from here on if they say so. */
static enum err_code begin(struct csv_input *in, struct err *e)
{
	char first[CSV_GZIP_MAGIC];
	size_t got;
	enum err_code code = read_stored(in, first, sizeof(first), &got, e);

	in->at = 0;
	in->seen_count = 0;
	if (code != ERR_NONE || !csv_gzip_is(first, got))
		return code;
	if (in->grows)
		return err_set(e, ERR_USAGE, "%s: a compressed log cannot be followed while it is "
			       "written; open it when it is complete", in->name);
	in->gzip = csv_gzip_new(in->name, read_stored, in);
	return in->gzip != NULL ? ERR_NONE
				: err_set(e, ERR_MEMORY, "%s: out of memory", in->name);
}

static struct csv_input *input_new(const char *name)
{
	struct csv_input *in = mem_alloc(sizeof(*in));

	in->name = mem_strdup(name);
	in->fd = in->stream = -1;
	return in;
}

void csv_input_close(struct csv_input *in)
{
	if (in == NULL)
		return;
	csv_gzip_free(in->gzip);
	if (in->fd >= 0)
		close(in->fd);
	if (in->stream >= 0 && in->stream != STDIN_FILENO)
		close(in->stream);
	buf_release(&in->kept);
	free(in->name);
	free(in);
}

struct csv_input *csv_input_memory(const char *name, const char *bytes, size_t n)
{
	struct csv_input *in = input_new(name);

	in->bytes = bytes;
	in->size = n;
	if (begin(in, NULL) == ERR_NONE)
		return in;
	csv_input_close(in);
	return NULL;
}

/* Reads a block of the stream behind what is kept; *n is 0 at its end. */
static enum err_code keep_block(struct csv_input *in, int fd, ssize_t *n, struct err *e)
{
	struct buf *kept = &in->kept;

	if (!mem_try_grow(&kept->data, &kept->cap, kept->len + BLOCK + 1, 1))
		return err_set(e, ERR_MEMORY, "%s: out of memory after %zu bytes; is it a log at "
			       "all?", in->name, kept->len);
	*n = read(fd, kept->data + kept->len, BLOCK);
	if (*n < 0 && errno != EINTR && errno != EAGAIN)
		return err_errno(e, in->name, "cannot read");
	if (*n > 0)
		kept->len += (size_t)*n;
	kept->data[kept->len] = '\0';
	in->bytes = kept->data;
	in->size = kept->len;
	return ERR_NONE;
}

static bool is_nul(const char *bytes, size_t n)
{
	return bytes[0] == '\0' && memcmp(bytes, bytes + 1, n - 1) == 0;
}

/* Blocks until the end of the stream, or until it is enough. */
static enum err_code keep_stream(struct csv_input *in, int fd, const struct csv_watch *stop,
				 struct err *e)
{
	enum err_code code = ERR_NONE;
	ssize_t n = 1;

	while (code == ERR_NONE && n != 0) {
		const struct csv_progress p = { in->size, 0, 0 };
		struct pollfd more = { fd, POLLIN, 0 };

		if (stop != NULL && !stop->step(stop->data, &p, NULL))
			break;
		if (poll(&more, 1, stop == NULL ? -1 : ASK_MS) > 0)
			code = keep_block(in, fd, &n, e);
		if (code == ERR_NONE && in->size >= MOST_NUL && is_nul(in->bytes, MOST_NUL))
			code = err_set(e, ERR_FORMAT, "%s: it begins with %d MB of NUL bytes; it is no "
				       "log", in->name, (int)(MOST_NUL >> 20));
	}
	return code;
}

/* A pipe that nobody writes to yet must not hold up whoever wants to end that. */
static enum err_code open_path(const char *path, int *fd, struct err *e)
{
	if (strcmp(path, "-") == 0) {
		*fd = STDIN_FILENO;
		return ERR_NONE;
	}
	*fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
	if (*fd >= 0)
		return ERR_NONE;
	if (errno == ENOENT || errno == ENOTDIR)
		return err_set(e, ERR_IO, "%s: there is no such file; check the name and the "
			       "folder", path);
	if (errno == EACCES)
		return err_set(e, ERR_IO, "%s: no permission to read it; check its owner and "
			       "mode with ls -l", path);
	return err_errno(e, path, "cannot open");
}

/* A regular file is read in place, from its start; pipes and terminals are kept. */
static enum err_code take_file(struct csv_input *in, int fd, const struct csv_watch *stop,
			       struct err *e)
{
	enum err_code code;
	struct stat st;

	if (fstat(fd, &st) != 0)
		return err_errno(e, in->name, "cannot read");
	if (S_ISDIR(st.st_mode))
		return err_set(e, ERR_IO, "%s: it is a directory; name a log in it", in->name);
	if (S_ISREG(st.st_mode) && fd != STDIN_FILENO) {
		in->fd = fd;
		in->size = st.st_size > 0 ? (size_t)st.st_size : 0;
		return begin(in, e);
	}
	in->bytes = buf_text(&in->kept);
	if (in->grows) {
		in->stream = fd;
		return ERR_NONE;
	}
	code = keep_stream(in, fd, stop, e);
	return code == ERR_NONE ? begin(in, e) : code;
}

static enum err_code open_input(const char *path, bool grows, const struct csv_watch *stop,
				struct csv_input **out, struct err *e)
{
	struct csv_input *in;
	enum err_code code;
	int fd;

	*out = NULL;
	code = open_path(path, &fd, e);
	if (code != ERR_NONE)
		return code;
	in = input_new(fd == STDIN_FILENO ? "standard input" : path);
	in->grows = grows;
	code = take_file(in, fd, stop, e);
	if (in->fd != fd && in->stream != fd && fd != STDIN_FILENO)
		close(fd);
	if (code == ERR_NONE)
		*out = in;
	else
		csv_input_close(in);
	return code;
}

enum err_code csv_input_open(const char *path, const struct csv_watch *stop,
			     struct csv_input **out, struct err *e)
{
	return open_input(path, false, stop, out, e);
}

enum err_code csv_input_open_growing(const char *path, struct csv_input **out, struct err *e)
{
	return open_input(path, true, NULL, out, e);
}

static enum csv_growth stream_growth(struct csv_input *in)
{
	const size_t before = in->size;
	struct pollfd p = { in->stream, POLLIN, 0 };
	ssize_t n = 1;

	while (n > 0 && in->size - before < BLOCK && poll(&p, 1, 0) > 0)
		if (keep_block(in, in->stream, &n, NULL) != ERR_NONE)
			return CSV_GROWTH_OVER;
	if (in->size > before)
		return CSV_GROWTH_MORE;
	return n == 0 ? CSV_GROWTH_OVER : CSV_GROWTH_NONE;
}

/* Room that the logger made but has not written to yet. */
static bool is_room(const struct csv_input *in)
{
	char next[SEEN];
	ssize_t n = pread(in->fd, next, sizeof(next), in->at);

	while (n > 0 && next[n - 1] == '\0')
		n--;
	return n <= 0;
}

/* Whether the bytes before in->at are still those that were read. */
static bool is_as_read(const struct csv_input *in)
{
	char now[SEEN];
	const ssize_t n = pread(in->fd, now, in->seen_count, in->at - (off_t)in->seen_count);

	return n == (ssize_t)in->seen_count && memcmp(now, in->seen, in->seen_count) == 0;
}

enum csv_growth csv_input_growth(struct csv_input *in)
{
	struct stat open_file;
	struct stat named;

	if (in->stream >= 0)
		return stream_growth(in);
	if (in->fd < 0 || fstat(in->fd, &open_file) != 0)
		return CSV_GROWTH_NONE;
	/* Without a name for a moment: the logger is about to begin another file. */
	if (stat(in->name, &named) == 0 &&
	    (named.st_dev != open_file.st_dev || named.st_ino != open_file.st_ino))
		return CSV_GROWTH_ANEW;
	in->size = (size_t)open_file.st_size;
	if (open_file.st_size > 0 && (open_file.st_size < in->at || !is_as_read(in)))
		return CSV_GROWTH_ANEW;
	return open_file.st_size > in->at && !is_room(in) ? CSV_GROWTH_MORE : CSV_GROWTH_NONE;
}
