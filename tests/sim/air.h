/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The air of the day: what the weather does to density, and so to drag. */
#ifndef SIM_AIR_H
#define SIM_AIR_H

struct air {
	double temp_c;
	double pressure_kpa;
	double humidity_pct; /* relative, over water */
};

/*
 * Density of moist air, kg/m3. Vapour pressure by the Magnus form of the WMO
 * Guide to Instruments (WMO-No. 8): 0.6112 kPa exp(17.62 t / (243.12 + t));
 * gas constants 287.05 and 461.5 J/(kg K). Constants from memory.
 */
double air_density(const struct air *air);

#endif
