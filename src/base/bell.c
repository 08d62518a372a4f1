/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/bell.h"

#include <errno.h>
#include <fcntl.h>
#include <unistd.h>

static void set_up(int fd)
{
	fcntl(fd, F_SETFL, O_NONBLOCK);
	fcntl(fd, F_SETFD, FD_CLOEXEC);
}

bool bell_open(struct bell *b)
{
	int ends[2];

	if (pipe(ends) != 0)
		return false;
	set_up(ends[0]);
	set_up(ends[1]);
	*b = (struct bell){ ends[0], ends[1] };
	return true;
}

void bell_close(struct bell *b)
{
	if (b->hear >= 0)
		close(b->hear);
	if (b->ring >= 0)
		close(b->ring);
	*b = (struct bell)BELL_INIT;
}

void bell_ring(int ring)
{
	const int before = errno;

	(void)!write(ring, "", 1);	/* a full pipe has rung already */
	errno = before;
}

void bell_hush(const struct bell *b)
{
	char rung[64];

	while (read(b->hear, rung, sizeof rung) > 0)
		;
}
