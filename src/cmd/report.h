/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Messages on standard error, and getting the result out. */
#ifndef CMD_REPORT_H
#define CMD_REPORT_H

#include "base/buf.h"
#include "base/err.h"

/* "twinpull: ..." and a line end; control characters become blanks. */
void report(const char *format, ...) ERR_PRINTF(1, 2);

/* Reports the error; returns EXIT_TROUBLE. */
int report_trouble(const struct err *e);

/*
 * Writes the result to the file `path`, or to standard output for NULL and "-".
 * A regular file is replaced as a whole.  Reports what goes wrong (a full disk, a
 * closed pipe) and returns EXIT_TROUBLE then, otherwise EXIT_FINE.
 */
int report_result(const struct buf *out, const char *path);

#endif
