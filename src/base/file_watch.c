/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Being told when a file changes: inotify, or nothing. */
#include "base/file_watch.h"

#if defined(__linux__)
#include <limits.h>
#include <sys/inotify.h>
#include <unistd.h>

int file_watch_open(const char *path)
{
	const int fd = inotify_init1(IN_NONBLOCK | IN_CLOEXEC);

	if (fd >= 0 && inotify_add_watch(fd, path, IN_MODIFY | IN_ATTRIB | IN_MOVE_SELF |
					 IN_DELETE_SELF) < 0) {
		close(fd);
		return -1;
	}
	return fd;
}

void file_watch_clear(int fd)
{
	_Alignas(struct inotify_event) char told[sizeof(struct inotify_event) + NAME_MAX + 1];

	while (read(fd, told, sizeof(told)) > 0)
		;
}

#else

int file_watch_open(const char *path)
{
	(void)path;
	return -1;
}

void file_watch_clear(int fd)
{
	(void)fd;
}

#endif
