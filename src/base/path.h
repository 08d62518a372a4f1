/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Files: reading one whole, replacing one safely, and where the XDG Base
 * Directory Specification (version 0.8) wants configuration and state.
 */
#ifndef BASE_PATH_H
#define BASE_PATH_H

#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"
#include "base/err.h"

enum path_base {
	PATH_CONFIG,	/* $XDG_CONFIG_HOME/twinpull, or ~/.config/twinpull */
	PATH_STATE,	/* $XDG_STATE_HOME/twinpull, or ~/.local/state/twinpull */
};

/*
 * The program's own directory below `base`, for the caller to free; not created.
 * NULL when neither variable nor HOME gives an absolute path (relative ones are
 * ignored, as the specification asks).
 */
char *path_xdg(enum path_base base);

char *path_join(const char *dir, const char *name);

/* The last component; points into path. */
const char *path_basename(const char *path);

/* "." for a path without a directory; for the caller to free. */
char *path_dirname(const char *path);

/* The current directory; for the caller to free; "" when it cannot be told. */
char *path_current(void);

bool path_exists(const char *path);
bool path_dir_writable(const char *dir);

/* Creates dir and what is missing above it. */
enum err_code path_make_dirs(const char *dir, struct err *e);

/* All of the n bytes at data, in as many turns as it takes; false, with errno, if not. */
bool path_write_to(int fd, const char *data, size_t n);

/* Appends the whole file to out. */
enum err_code path_read_all(const char *path, struct buf *out, struct err *e);

/*
 * Replaces the file at path by the n bytes at data: temporary file beside it,
 * fsync, rename.  Either the old file or the new one is there at any moment,
 * whatever fails.  A symbolic link is written through, not replaced; the mode
 * of an existing file is kept.
 */
enum err_code path_write_atomic(const char *path, const char *data, size_t n, struct err *e);

#endif
