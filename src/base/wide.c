/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What registers the machine has. */
#include "base/wide.h"

#if defined(WIDE_X86) && defined(__has_include)
#if __has_include(<sys/platform/x86.h>)
#include <sys/platform/x86.h>
#endif
#endif

/*
 * The C library has asked the processor already.  To ask again takes many microseconds
 * where a hypervisor answers.
 */
static enum wide widest(void)
{
#if defined(CPU_FEATURE_ACTIVE)
	if (!CPU_FEATURE_ACTIVE(AVX2))
		return WIDE_BASE;
	if (CPU_FEATURE_ACTIVE(AVX512F) && CPU_FEATURE_ACTIVE(AVX512BW) &&
	    CPU_FEATURE_ACTIVE(AVX512_VBMI2) && CPU_FEATURE_ACTIVE(POPCNT))
		return WIDE_AVX512;
	return WIDE_AVX2;
#else
	return WIDE_BASE;
#endif
}

enum wide wide_most(enum wide asked)
{
	const enum wide most = widest();

	return asked == WIDE_BEST || asked > most ? most : asked;
}
