/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bytes of a log. */
#include "data/csv_input.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/buf.h"
#include "base/mem.h"
#include "data/csv_gzip.h"

#define BLOCK ((size_t)256 << 10)

struct csv_input {
	char *name;
	int fd;			/* of a regular file; -1: the bytes are in memory */
	struct buf kept;	/* what standard input held */
	const char *bytes;	/* [size] */
	size_t size;		/* of the file or of the bytes */
	off_t at;
	struct csv_gzip *gzip;	/* NULL: not compressed */
};

const char *csv_input_name(const struct csv_input *in)
{
	return in->name;
}

size_t csv_input_size(const struct csv_input *in)
{
	return in->gzip == NULL ? in->size : 0;
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
	return in->gzip != NULL ? csv_gzip_restart(in->gzip, e) : ERR_NONE;
}

/* Looks at the first bytes, and unpacks from here on if they say so. */
static enum err_code begin(struct csv_input *in, struct err *e)
{
	char first[CSV_GZIP_MAGIC];
	size_t got;
	enum err_code code = read_stored(in, first, sizeof(first), &got, e);

	in->at = 0;
	if (code != ERR_NONE || !csv_gzip_is(first, got))
		return code;
	in->gzip = csv_gzip_new(in->name, read_stored, in);
	return in->gzip != NULL ? ERR_NONE
				: err_set(e, ERR_MEMORY, "%s: out of memory", in->name);
}

static struct csv_input *input_new(const char *name)
{
	struct csv_input *in = mem_alloc(sizeof(*in));

	in->name = mem_strdup(name);
	in->fd = -1;
	return in;
}

void csv_input_close(struct csv_input *in)
{
	if (in == NULL)
		return;
	csv_gzip_free(in->gzip);
	if (in->fd >= 0)
		close(in->fd);
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

/* Blocks until the end of the stream. */
static enum err_code keep_stream(int fd, const char *name, struct buf *out, struct err *e)
{
	ssize_t n;

	do {
		if (!mem_try_grow(&out->data, &out->cap, out->len + BLOCK + 1, 1))
			return err_set(e, ERR_MEMORY, "%s: out of memory after %zu bytes; is it "
				       "a log at all?", name, out->len);
		n = read(fd, out->data + out->len, BLOCK);
		if (n < 0 && errno == EINTR)
			continue;
		if (n < 0)
			return err_errno(e, name, "cannot read");
		out->len += (size_t)n;
	} while (n != 0);
	out->data[out->len] = '\0';
	return ERR_NONE;
}

static enum err_code open_path(const char *path, int *fd, struct err *e)
{
	if (strcmp(path, "-") == 0) {
		*fd = STDIN_FILENO;
		return ERR_NONE;
	}
	*fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
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
static enum err_code take_file(struct csv_input *in, int fd, struct err *e)
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
	code = keep_stream(fd, in->name, &in->kept, e);
	in->bytes = buf_text(&in->kept);
	in->size = in->kept.len;
	return code == ERR_NONE ? begin(in, e) : code;
}

enum err_code csv_input_open(const char *path, struct csv_input **out, struct err *e)
{
	struct csv_input *in;
	enum err_code code;
	int fd;

	*out = NULL;
	code = open_path(path, &fd, e);
	if (code != ERR_NONE)
		return code;
	in = input_new(fd == STDIN_FILENO ? "standard input" : path);
	code = take_file(in, fd, e);
	if (in->fd != fd && fd != STDIN_FILENO)
		close(fd);
	if (code == ERR_NONE)
		*out = in;
	else
		csv_input_close(in);
	return code;
}
