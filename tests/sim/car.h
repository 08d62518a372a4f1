/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The car: what does not change during a log. All cars are invented. Figures
 * are round numbers typical of their kind (common practice, no source).
 */
#ifndef SIM_CAR_H
#define SIM_CAR_H

#include <stdint.h>

#include "mathx.h"

#define CAR_MAX_GEARS 6
#define CAR_CYLINDERS 4
#define CAR_TARGET_POINTS 5

enum car_kind {
	CAR_SMALL, /* the club hatchback as it was: small turbo */
	CAR_LARGE, /* the same with the larger turbo */
	CAR_ANY    /* drawn from the seed */
};

struct turbo {
	double flow_ref;       /* exhaust flow in g/s at which half of `cap` is to be had */
	double cap_kpa;        /* gauge pressure it could make with the wastegate shut */
	double choke_flow;     /* g/s above which the compressor fades */
	double tau_s;          /* lag at flow_ref; longer below, shorter above */
	double gain, integral; /* of the boost controller, share of duty per kPa (and second) */
	double lead_s;         /* how far ahead the controller looks; less of it overshoots more */
	double gate_s;         /* lag of the wastegate; more of it overshoots and swings more */
	struct mx_point target[CAR_TARGET_POINTS]; /* rpm -> gauge kPa at full pedal */
};

struct car {
	double mass_kg; /* with driver and fuel */
	double drag_area_m2;
	double rolling; /* coefficient */
	double tyre_radius_m;
	/*
	 * Rotating parts, as a share of the mass: fixed (wheels) and per squared
	 * engine-to-wheel ratio (engine side), so that the effective mass is
	 * m (1 + fixed + engine N^2). Gillespie, Fundamentals of Vehicle Dynamics,
	 * SAE 1992, ch. 2, quoted second-hand: 0.04 and 0.0025.
	 */
	double rotating_fixed, rotating_engine;
	double efficiency; /* clutch to hub */
	int gears;
	double gear[CAR_MAX_GEARS + 1]; /* [1..gears] */
	double final;
	double idle_rpm, limit_rpm;
	double displacement_l;
	double rail_top_kpa; /* rail pressure target at full load */
	struct turbo turbo;
};

void car_init(struct car *car, enum car_kind kind, uint64_t seed);

/* Engine revolutions per wheel revolution; 0 in neutral. */
double car_ratio(const struct car *car, int gear);

/* Engine rpm at road speed v (m/s) in a gear, without slip. */
double car_rpm_at(const struct car *car, int gear, double v);
double car_speed_at(const struct car *car, int gear, double rpm);

#endif
