/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Messages on standard error, and getting the result out. */
#include "cmd/report.h"

#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/path.h"
#include "base/text.h"
#include "cmd/cmd.h"

void report(const char *format, ...)
{
	struct buf line = BUF_INIT;
	char text[2048];
	va_list args;

	va_start(args, format);
	vsnprintf(text, sizeof text, format, args);
	va_end(args);
	buf_puts(&line, "twinpull: ");
	text_sanitise(&line, text, strlen(text));
	buf_putc(&line, '\n');
	/* nobody is left to tell when standard error itself fails */
	(void)!path_write_to(STDERR_FILENO, line.data, line.len);
	buf_release(&line);
}

int report_trouble(const struct err *e)
{
	report("%s", e->text);
	return EXIT_TROUBLE;
}

/* Devices and pipes are written to; replacing them would be a disaster. */
static enum err_code write_special(const char *path, const struct buf *out, struct err *e)
{
	enum err_code code = ERR_NONE;
	const int fd = open(path, O_WRONLY | O_CLOEXEC);

	if (fd < 0)
		return err_errno(e, path, "cannot open");
	if (!path_write_to(fd, buf_text(out), out->len))
		code = err_errno(e, path, "cannot write");
	if (close(fd) != 0 && code == ERR_NONE)
		code = err_errno(e, path, "cannot write");
	return code;
}

static enum err_code write_result(const struct buf *out, const char *path, struct err *e)
{
	struct stat st;

	if (path == NULL || strcmp(path, "-") == 0) {
		if (!path_write_to(STDOUT_FILENO, buf_text(out), out->len))
			return err_errno(e, "standard output", "cannot write");
		if (close(STDOUT_FILENO) != 0)
			return err_errno(e, "standard output", "cannot write");
		return ERR_NONE;
	}
	if (stat(path, &st) == 0 && S_ISDIR(st.st_mode))
		return err_set(e, ERR_IO, "%s: is a directory; name a file to write", path);
	if (stat(path, &st) == 0 && !S_ISREG(st.st_mode))
		return write_special(path, out, e);
	return path_write_atomic(path, buf_text(out), out->len, e);
}

int report_result(const struct buf *out, const char *path)
{
	struct err e = ERR_INIT;

	return write_result(out, path, &e) == ERR_NONE ? EXIT_FINE : report_trouble(&e);
}
