/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files: whole reads, safe replacement, XDG directories. */
#include "base/path.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/mem.h"

#define MOST_LINKS 40		/* one leading to the next, as Linux allows */

static const struct {
	const char *variable;
	const char *below_home;
} xdg[] = {
	[PATH_CONFIG] = { "XDG_CONFIG_HOME", ".config" },
	[PATH_STATE] = { "XDG_STATE_HOME", ".local/state" },
};

char *path_xdg(enum path_base base)
{
	const char *dir = getenv(xdg[base].variable);
	const char *home = getenv("HOME");

	if (dir != NULL && dir[0] == '/')
		return path_join(dir, "twinpull");
	if (home != NULL && home[0] == '/')
		return mem_printf("%s/%s/twinpull", home, xdg[base].below_home);
	return NULL;
}

char *path_join(const char *dir, const char *name)
{
	const size_t n = strlen(dir);

	return mem_printf("%s%s%s", dir, n > 0 && dir[n - 1] == '/' ? "" : "/", name);
}

const char *path_basename(const char *path)
{
	const char *slash = strrchr(path, '/');

	return slash == NULL ? path : slash + 1;
}

char *path_dirname(const char *path)
{
	const char *slash = strrchr(path, '/');

	if (slash == NULL)
		return mem_strdup(".");
	return mem_strndup(path, slash == path ? 1 : (size_t)(slash - path));
}

char *path_current(void)
{
	char *room = NULL;
	size_t size = 256;

	for (;;) {
		room = realloc(room, size);
		if (room == NULL)
			return mem_strdup("");
		if (getcwd(room, size) != NULL)
			return room;
		if (errno != ERANGE) {
			free(room);
			return mem_strdup("");
		}
		size *= 2;
	}
}

bool path_exists(const char *path)
{
	struct stat st;

	return stat(path, &st) == 0;
}

bool path_dir_writable(const char *dir)
{
	return access(dir, W_OK | X_OK) == 0;
}

enum err_code path_make_dirs(const char *dir, struct err *e)
{
	char *copy = mem_strdup(dir);
	enum err_code code = ERR_NONE;
	struct stat st;
	char *p = copy;

	while (code == ERR_NONE && *p != '\0') {
		char kept;

		p += strspn(p, "/");
		p += strcspn(p, "/");
		kept = *p;
		*p = '\0';
		if (mkdir(copy, 0777) != 0 && errno != EEXIST)
			code = err_errno(e, copy, "cannot create the directory");
		*p = kept;
	}
	if (code == ERR_NONE && (stat(dir, &st) != 0 || !S_ISDIR(st.st_mode)))
		code = err_set(e, ERR_IO, "%s: is not a directory", dir);
	free(copy);
	return code;
}

enum err_code path_read_all(const char *path, struct buf *out, struct err *e)
{
	enum err_code code = ERR_NONE;
	char block[16384];
	ssize_t n;
	int fd = open(path, O_RDONLY | O_CLOEXEC);

	if (fd < 0)
		return err_errno(e, path, "cannot open");
	while ((n = read(fd, block, sizeof block)) != 0) {
		if (n < 0 && errno == EINTR)
			continue;
		if (n < 0) {
			code = err_errno(e, path, "cannot read");
			break;
		}
		buf_add(out, block, (size_t)n);
	}
	close(fd);
	return code;
}

bool path_write_to(int fd, const char *data, size_t n)
{
	while (n > 0) {
		const ssize_t done = write(fd, data, n);

		if (done >= 0) {
			data += done;
			n -= (size_t)done;
		} else if (errno == EAGAIN) {
			struct pollfd p = { fd, POLLOUT, 0 };

			poll(&p, 1, -1);	/* others made it so: a terminal is shared */
		} else if (errno != EINTR) {
			return false;
		}
	}
	return true;
}

/* The mode the new file should have: the old file's, or the umask's choice. */
static mode_t wanted_mode(const char *path)
{
	struct stat st;
	mode_t mask;

	if (stat(path, &st) == 0)
		return st.st_mode & 07777;
	mask = umask(0);
	umask(mask);
	return 0666 & ~mask;
}

/*
 * What symbolic links at path lead to, though it may not be there yet (realpath()
 * wants it to be); for the caller to free.  NULL and errno set when they go round.
 */
static char *behind_links(const char *path)
{
	char *at = mem_strdup(path);
	char link[PATH_MAX];
	int hops;

	for (hops = 0; hops < MOST_LINKS; hops++) {
		const ssize_t n = readlink(at, link, sizeof link - 1);
		char *dir;

		if (n < 0)
			return at;
		link[n] = '\0';
		dir = path_dirname(at);
		free(at);
		at = link[0] == '/' ? mem_strdup(link) : path_join(dir, link);
		free(dir);
	}
	free(at);
	errno = ELOOP;
	return NULL;
}

enum err_code path_write_atomic(const char *path, const char *data, size_t n, struct err *e)
{
	char *target = behind_links(path);
	char *temporary = NULL;
	enum err_code code = ERR_NONE;
	int fd;

	if (target == NULL)
		return err_errno(e, path, "cannot write");
	temporary = mem_printf("%s.XXXXXX", target);
	fd = mkstemp(temporary);
	if (fd < 0) {
		code = err_errno(e, target, "cannot write beside it");
		goto out;
	}
	if (!path_write_to(fd, data, n) || fchmod(fd, wanted_mode(target)) != 0 ||
	    fsync(fd) != 0)
		code = err_errno(e, target, "cannot write");
	if (close(fd) != 0 && code == ERR_NONE)
		code = err_errno(e, target, "cannot write");
	if (code == ERR_NONE && rename(temporary, target) != 0)
		code = err_errno(e, target, "cannot replace");
	if (code != ERR_NONE)
		unlink(temporary);
out:
	free(temporary);
	free(target);
	return code;
}
