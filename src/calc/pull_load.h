/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Full throttle where neither pedal nor throttle tells: by the load of the engine
 * and its mixture.  Internal to calc/pull.
 */
#ifndef CALC_PULL_LOAD_H
#define CALC_PULL_LOAD_H

#include "calc/pull_hunt.h"

/*
 * Pressure of the air outside, in kPa: barometric pressure, or what manifold pressure is
 * more than boost; the standard atmosphere where neither says.
 */
enum err_code load_air(const struct datalog *log, double *out, struct err *e);

/* Fills tops and lambda of a hunt whose rpm and drive are there. */
enum err_code load_init(struct hunt *h, struct err *e);
void load_release(struct hunt *h);

/*
 * Is the load between two times near the highest that this log has at such an engine
 * speed, and the mixture rich where it is known?  Looks at the upper half of the
 * engine speeds, as a turbo needs its time.
 */
bool load_is_full(const struct hunt *h, double from, double to);

#endif
