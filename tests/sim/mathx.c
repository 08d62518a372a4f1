/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See mathx.h. Series after range reduction; nothing here is fast or clever. */
#include "mathx.h"

#include <math.h>

#define LN2_HI 0.693147180369123816490
#define LN2_LO 1.90821492927058770002e-10

double mx_exp(double x)
{
	const double k = floor(x / (LN2_HI + LN2_LO) + 0.5);
	const double r = (x - k * LN2_HI) - k * LN2_LO;
	double term = 1.0, sum = 1.0;

	for (int i = 1; i <= 13; i++) {
		term *= r / i;
		sum += term;
	}
	return ldexp(sum, (int)k);
}

double mx_log(double x)
{
	int e;
	double m = frexp(x, &e);

	if (m < 0.70710678118654752) {
		m *= 2.0;
		e--;
	}
	const double s = (m - 1.0) / (m + 1.0);
	double power = s, sum = 0.0;
	for (int i = 1; i <= 23; i += 2) {
		sum += power / i;
		power *= s * s;
	}
	return 2.0 * sum + e * (LN2_HI + LN2_LO);
}

double mx_pow(double x, double y)
{
	return mx_exp(y * mx_log(x));
}

double mx_sin(double x)
{
	const double r = x - floor(x / (2.0 * MX_PI) + 0.5) * (2.0 * MX_PI);
	double term = r, sum = r;

	for (int i = 2; i <= 26; i += 2) {
		term *= -r * r / (i * (i + 1));
		sum += term;
	}
	return sum;
}

double mx_clamp(double x, double lo, double hi)
{
	return x < lo ? lo : x > hi ? hi : x;
}

double mx_ramp(double x, double a, double b)
{
	if (b <= a)
		return x >= a ? 1.0 : 0.0;
	return mx_clamp((x - a) / (b - a), 0.0, 1.0);
}

double mx_lag(double x, double target, double dt, double tau)
{
	return x + (target - x) * dt / (tau + dt);
}

double mx_table(const struct mx_point *points, size_t n, double x)
{
	if (x <= points[0].x)
		return points[0].y;
	for (size_t i = 1; i < n; i++) {
		if (x < points[i].x) {
			const double f = (x - points[i - 1].x) / (points[i].x - points[i - 1].x);
			return points[i - 1].y + f * (points[i].y - points[i - 1].y);
		}
	}
	return points[n - 1].y;
}
