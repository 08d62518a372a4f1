/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Channels computed from others, wherever their inputs are in the log and the
 * log does not have them itself.
 *
 *   gauge boost         absolute pressure - barometric pressure
 *   absolute pressure   gauge boost + barometric pressure
 *   lambda              air-fuel ratio / 14.7 (a gauge's petrol scale; the target likewise)
 *   boost error         boost - boost target          lambda error likewise
 *   gear ratio          engine speed / road speed, rpm per km/h
 *   acceleration        least-squares slope of road speed over half a second, m/s2
 *   injector duty       opening time / (120000 ms / rpm): four strokes, one opening a cycle
 */
#ifndef CALC_DERIVE_H
#define CALC_DERIVE_H

#include "base/err.h"
#include "data/datalog.h"

/* What a gauge that shows petrol's air-fuel ratio counts as lambda 1. */
#define DERIVE_GAUGE_STOICH 14.7

/* Adds what can be derived.  Fails only for memory. */
enum err_code derive_all(struct datalog *log, struct err *e);

#endif
