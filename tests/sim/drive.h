/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the clutch to the road: gears, rotating masses, tyre slip, resistance. */
#ifndef SIM_DRIVE_H
#define SIM_DRIVE_H

#include <stdbool.h>

#include "air.h"
#include "car.h"
#include "fault.h"

struct road {
	double grade;        /* rise over run, mean */
	double wave, wave_m; /* amplitude and length of a gentle sine on top */
	double wind_ms;      /* head wind */
};

struct control {
	double pedal, brake; /* 0..1 */
	double clutch;       /* 0 open .. 1 shut */
	int gear;            /* 0 neutral */
};

struct drive {
	double v, accel, distance; /* of the car: m/s, m/s2, m */
	double engine_w, wheel_w;  /* rad/s */
	bool locked;               /* the clutch does not slip, faults aside */
	int gear;
	double slip, clutch_slip; /* shares, now */
	double creep;             /* the tyre's own small slip */
	double residue;           /* speed difference left when the clutch bit, share */
	double force;             /* of the tyres on the road, N, smoothed */
	double density;           /* of the air, kg/m3 */
	/* powers, kW */
	double engine_kw; /* brake torque x engine speed */
	double wheel_kw;  /* the same less the driveline's loss: what steady rollers would read */
	double tyre_kw; /* force on the road x road speed: accelerates the car, beats the resistance
			 */
	double road_kw; /* resistance x road speed */
	double grade;   /* under the car now */
};

void drive_init(struct drive *d, const struct car *car, const struct air *air, int gear,
		double rpm);

void drive_step(struct drive *d, const struct car *car, const struct road *road,
		const struct control *c, const struct faults *faults, double torque, double dt);

/* Engine rpm that the road asks for in the present gear, without slip. */
double drive_road_rpm(const struct drive *d, const struct car *car);

#endif
