/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The driver: a list of moves, carried out one after another. */
#ifndef SIM_DRIVER_H
#define SIM_DRIVER_H

#include <stdbool.h>

#include "car.h"
#include "drive.h"
#include "rng.h"

enum move_kind {
	MOVE_IDLE,    /* stand in neutral for `dur` s */
	MOVE_HOLD,    /* keep the road speed of `value` rpm for `dur` s */
	MOVE_PRESS,   /* pedal to `value` within `ramp` s, until `until` rpm, or `dur` s */
	MOVE_BURST,   /* like PRESS with the pedal down, for a rise of `until` rpm */
	MOVE_LIMITER, /* like PRESS with the pedal down, until `dur` s after the first cut */
	MOVE_LIFT,    /* pedal off within `ramp` s, until below `until` rpm, or `dur` s */
	MOVE_BRAKE,   /* brake with share `value` until below `until` rpm */
	MOVE_SHIFT,   /* to `gear` within `dur` s; then pedal `value` */
	MOVE_FLAT,    /* the same with the pedal left down and the ignition cut */
	MOVE_STOP,    /* brake to a standstill */
	MOVE_LAUNCH   /* from rest in first gear up to `until` rpm with pedal `value` */
};

struct move {
	enum move_kind kind;
	int gear;
	double value, until, dur, ramp;
};

#define PLAN_MAX 400

struct plan {
	struct move move[PLAN_MAX];
	int count;
	int start_gear;
	double start_rpm;
};

struct driver {
	const struct plan *plan;
	int at;
	double t;                    /* s in this move */
	double from_pedal, from_rpm; /* when the move began */
	double integral, tremor;     /* of the speed holding foot */
	double limiter_t;            /* s since the first cut in this move, < 0 before */
	struct control out;
	bool flat_cut; /* ignition cut of a flat shift */
	bool done;
	struct rng rng;
};

struct driver_view {
	double rpm, road_rpm, v;
	bool limiter, locked;
};

void driver_init(struct driver *d, const struct plan *plan, uint64_t seed);
void driver_step(struct driver *d, const struct car *car, const struct driver_view *see, double dt);

#endif
