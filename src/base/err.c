/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Errors: filling the caller's struct err. */
#include "base/err.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum err_code err_set(struct err *e, enum err_code code, const char *format, ...)
{
	va_list args;

	if (e == NULL)
		return code;
	e->code = code;
	va_start(args, format);
	vsnprintf(e->text, sizeof e->text, format, args);
	va_end(args);
	return code;
}

enum err_code err_errno(struct err *e, const char *path, const char *what)
{
	const int number = errno;
	const enum err_code code = number == ENOMEM ? ERR_MEMORY : ERR_IO;

	return err_set(e, code, "%s: %s: %s", path, what, strerror(number));
}
