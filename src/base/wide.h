/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Wider registers than every machine of a kind has.  A loop over much data may exist
 * more than once, and which one runs is chosen by what the machine has.  They all give
 * the same results; the choice can be lowered, so that tests run every one.
 */
#ifndef BASE_WIDE_H
#define BASE_WIDE_H

enum wide {
	WIDE_BEST,		/* what the machine has; only asked for, never an answer */
	WIDE_BASE,		/* what every machine has that runs the program */
	WIDE_AVX2,
	WIDE_AVX512,		/* with VBMI2 */
	WIDE_KINDS
};

#if defined(__x86_64__) && defined(__GNUC__)
#define WIDE_X86 1
#define WIDE_FOR_AVX2 __attribute__((target("avx2")))
#define WIDE_FOR_AVX512 __attribute__((target("avx512f,avx512bw,avx512vbmi2,popcnt")))
#else
#define WIDE_FOR_AVX2
#endif

/* A loop to be compiled into each function that is for some registers. */
#if defined(__GNUC__)
#define WIDE_LOOP static inline __attribute__((always_inline))
#else
#define WIDE_LOOP static inline
#endif

/* The widest that there is, but no wider than asked for. */
enum wide wide_most(enum wide asked);

#endif
