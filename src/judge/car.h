/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What is known of the car that a log cannot say.  All of it may be unknown: NaN, 0
 * or NULL.  keep/car_file.h reads it from car.ini.
 */
#ifndef JUDGE_CAR_H
#define JUDGE_CAR_H

#include <stddef.h>

#define CAR_GEARS 10
#define CAR_EDGE_POINTS 16

enum car_injection {
	INJECTION_UNKNOWN,	/* direct where rail pressure is logged */
	INJECTION_PORT,
	INJECTION_DIRECT,
};

/* The right-hand edge of a compressor map: the most flow at each pressure ratio. */
struct car_edge {
	size_t n;
	double ratio[CAR_EDGE_POINTS];	/* rising */
	double flow[CAR_EDGE_POINTS];	/* kg/s, corrected to the reference below */
};

struct car {
	char *path;			/* of the file; NULL: none was read */
	char *name;
	double mass_kg;			/* with driver and fuel */
	double drag_area_m2;
	double rolling;
	double tyre_radius_m;
	double driveline_efficiency;
	double rotating_fixed;
	double rotating_engine;
	double redline_rpm;
	double displacement_l;
	enum car_injection injection;
	double gear[CAR_GEARS + 1];	/* ratio of gear 1 .. CAR_GEARS; NaN unknown */
	double final_drive;

	double turbo_speed_rpm;		/* the highest allowed */
	double pressure_ratio;		/* the highest allowed */
	double inlet_loss_kpa;		/* between the air outside and the compressor; 0 */
	double reference_c;		/* of corrected flow; 25 degC and 100 kPa */
	double reference_kpa;
	struct car_edge edge;
};

/* Everything unknown, but the loss and the reference as said above. */
void car_init(struct car *c);
void car_release(struct car *c);

/* The edge's flow at a pressure ratio, linear between points; NaN outside of them. */
double car_edge_flow(const struct car_edge *edge, double ratio);

#endif
