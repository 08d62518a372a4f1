/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * WIDE before a function with loops over numbers: it is compiled twice, the second time
 * for processors that take four doubles at once, and the right one is chosen when the
 * program starts.  Both do the same operations in the same order, so that results are
 * the same to the bit (no products are fused with sums).
 */
#ifndef BASE_WIDE_H
#define BASE_WIDE_H

#if defined(__x86_64__) && defined(__gnu_linux__) && defined(__GNUC__) && \
	!defined(__clang__) && !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define WIDE __attribute__((target_clones("avx2", "default")))
#else
#define WIDE
#endif

#endif
