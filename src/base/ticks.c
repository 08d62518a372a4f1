/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Time that passes. */
#include "base/ticks.h"

#include <time.h>

double ticks_now(void)
{
	struct timespec t;

	clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}
