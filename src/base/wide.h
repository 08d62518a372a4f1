/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * WIDE before a function: it is compiled twice, and on a machine with wider registers
 * than every x86-64 has, the program takes the other one when it starts.  For plain
 * loops over much data; nothing else changes.  Where the compiler or the C library
 * cannot do so, or a sanitizer would trip over it, it means nothing.
 */
#ifndef BASE_WIDE_H
#define BASE_WIDE_H

#include <stddef.h>	/* any header: it tells the C library */

#if defined(__x86_64__) && defined(__GLIBC__) && defined(__GNUC__) && !defined(__clang__) && \
	!defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define WIDE __attribute__((target_clones("avx2", "default")))
#else
#define WIDE
#endif

#endif
