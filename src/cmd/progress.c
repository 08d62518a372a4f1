/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How far reading is. */
#include "cmd/progress.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "base/buf.h"
#include "base/path.h"
#include "base/text.h"
#include "base/ticks.h"

#define PATIENCE_S 0.5
#define EVERY_S 0.1
#define NAME_CELLS 32
#define BAR_CELLS 20
#define LINE_CELLS 79		/* what may have been written, and is taken away again */

void progress_init(struct progress *p)
{
	*p = (struct progress){ ticks_now(), 0.0, isatty(STDERR_FILENO) != 0 };
}

static void put(const struct buf *line)
{
	(void)!write(STDERR_FILENO, line->data, line->len);
}

static void put_bar(struct buf *out, double share)
{
	int i;

	buf_printf(out, "%3.0f %% [", 100.0 * share);
	for (i = 0; i < BAR_CELLS; i++)
		buf_putc(out, i < (int)(BAR_CELLS * share) ? '=' : ' ');
	buf_puts(out, "] ");
}

static bool is_time(struct progress *p)
{
	const double t = p->on ? ticks_now() : 0.0;

	if (!p->on || t - p->begun < PATIENCE_S || t - p->drawn < EVERY_S)
		return false;
	p->drawn = t;
	return true;
}

static void put_name(struct buf *out, const char *name)
{
	struct buf clean = BUF_INIT;

	name = strcmp(name, "-") == 0 ? "standard input" : path_basename(name);
	text_sanitise(&clean, name, strlen(name));
	buf_add(out, buf_text(&clean), text_fit(buf_text(&clean), NAME_CELLS));
	buf_release(&clean);
}

void progress_show(struct progress *p, const char *name, size_t bytes, size_t size)
{
	struct buf line = BUF_INIT;

	if (!is_time(p))
		return;
	buf_puts(&line, "\rreading ");
	put_name(&line, name);
	buf_putc(&line, ' ');
	if (size > 0)
		put_bar(&line, bytes < size ? (double)bytes / (double)size : 1.0);
	buf_printf(&line, "%zu MB", bytes / 1000000);
	put(&line);
	buf_release(&line);
}

void progress_wait(struct progress *p, const char *name, bool is_there)
{
	struct buf line = BUF_INIT;
	size_t n;

	if (!is_time(p))
		return;
	buf_puts(&line, is_there ? "\rwaiting for rows in " : "\rwaiting for ");
	put_name(&line, name);
	buf_puts(&line, is_there ? "; Ctrl-C ends" : ", which is not there; Ctrl-C ends");
	n = text_width(buf_text(&line));
	buf_printf(&line, "%*s", n < LINE_CELLS ? (int)(LINE_CELLS - n) : 0, "");
	put(&line);
	buf_release(&line);
}

void progress_clear(struct progress *p)
{
	struct buf line = BUF_INIT;

	if (p->drawn > 0.0) {
		buf_printf(&line, "\r%*s\r", LINE_CELLS, "");
		put(&line);
	}
	p->drawn = 0.0;
	buf_release(&line);
}
