/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See air.h. */
#include "air.h"

#include "mathx.h"

double air_density(const struct air *air)
{
	const double t = air->temp_c;
	const double vapour = 0.6112 * mx_exp(17.62 * t / (243.12 + t)) * air->humidity_pct / 100.0;
	const double kelvin = t + 273.15;

	return 1000.0 *
	       ((air->pressure_kpa - vapour) / (287.05 * kelvin) + vapour / (461.5 * kelvin));
}
