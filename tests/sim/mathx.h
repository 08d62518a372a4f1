/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The few functions the simulator needs from a mathematics library, built from
 * + - * / and sqrt alone. Those are exactly defined by IEEE 754, so that a log is
 * the same, byte for byte, on every machine; exp() and sin() of the C library are
 * not. Accuracy: about 1e-13 relative for |x| below 700 (exp) or 1e4 (sine).
 */
#ifndef SIM_MATHX_H
#define SIM_MATHX_H

#include <stddef.h>

#include "exact.h"

#define MX_PI 3.14159265358979323846

double mx_exp(double x);
double mx_log(double x);           /* x > 0 */
double mx_pow(double x, double y); /* x > 0 */
double mx_sin(double x);

double mx_clamp(double x, double lo, double hi);

/* 0 at or below a, 1 at or above b, straight in between. */
double mx_ramp(double x, double a, double b);

/* One implicit Euler step of a first-order lag; never overshoots, whatever dt. */
double mx_lag(double x, double target, double dt, double tau);

/* Straight lines through n points with rising x; held outside. */
struct mx_point {
	double x, y;
};
double mx_table(const struct mx_point *points, size_t n, double x);

#endif
