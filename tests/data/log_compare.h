/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether two datalogs are the same, bit for bit. */
#ifndef TESTS_LOG_COMPARE_H
#define TESTS_LOG_COMPARE_H

#include <stdbool.h>
#include <stddef.h>

#include "data/datalog.h"

/* On a difference, what it is goes into text[n]. */
bool log_same(const struct datalog *a, const struct datalog *b, char *text, size_t n);

#endif
