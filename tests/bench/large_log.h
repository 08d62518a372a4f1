/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Large invented logs, for measuring: a time at 100 Hz and 30 channels that wander. */
#ifndef TESTS_LARGE_LOG_H
#define TESTS_LARGE_LOG_H

#include <stdbool.h>
#include <stddef.h>

/* Writes at least `bytes` to path; `quoted`: every cell stands in quotes.  False: errno. */
bool large_log_write(const char *path, size_t bytes, bool quoted);

#endif
