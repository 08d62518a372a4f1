/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading a whole file or standard input. */
#include "data/csv_file.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/mem.h"

#define BLOCK ((size_t)256 << 10)

static enum err_code open_log(const char *path, int *fd, struct err *e)
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

/* Blocks until the end of the file; the size is only a hint. */
static enum err_code read_blocks(int fd, const char *path, struct buf *out, struct err *e)
{
	ssize_t n;

	do {
		if (!mem_try_grow(&out->data, &out->cap, out->len + BLOCK + 1, 1))
			return err_set(e, ERR_MEMORY, "%s: out of memory after %zu bytes; is it "
				       "a log at all?", path, out->len);
		n = read(fd, out->data + out->len, BLOCK);
		if (n < 0 && errno == EINTR)
			continue;
		if (n < 0)
			return err_errno(e, path, "cannot read");
		out->len += (size_t)n;
	} while (n != 0);
	out->data[out->len] = '\0';
	return ERR_NONE;
}

enum err_code csv_file_read(const char *path, struct buf *out, struct err *e)
{
	const char *name = strcmp(path, "-") == 0 ? "standard input" : path;
	enum err_code code;
	struct stat st;
	int fd;

	code = open_log(path, &fd, e);
	if (code != ERR_NONE)
		return code;
	if (fstat(fd, &st) == 0 && S_ISDIR(st.st_mode))
		code = err_set(e, ERR_IO, "%s: it is a directory; name a log in it", name);
	else if (fstat(fd, &st) == 0 && S_ISREG(st.st_mode) && st.st_size > 0 &&
		 !mem_try_grow(&out->data, &out->cap, (size_t)st.st_size + BLOCK + 1, 1))
		code = err_set(e, ERR_MEMORY, "%s: out of memory for %lld bytes", name,
			       (long long)st.st_size);
	else
		code = read_blocks(fd, name, out, e);
	if (fd != STDIN_FILENO)
		close(fd);
	return code;
}
