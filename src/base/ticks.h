/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Time that passes, for waiting and for measuring; no time of day. */
#ifndef BASE_TICKS_H
#define BASE_TICKS_H

/* Seconds since some moment; never falls. */
double ticks_now(void);

#endif
