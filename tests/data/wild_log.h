/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Random logs of any dialect and with any fault, from a seed: for tests that compare
 * two ways of reading and need no truth.
 */
#ifndef TESTS_WILD_LOG_H
#define TESTS_WILD_LOG_H

#include <stdint.h>

#include "base/buf.h"

/* Appends the bytes of log `seed`. */
void wild_log(uint64_t seed, struct buf *out);

#endif
