/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * See plan.h. The order in which C evaluates arguments is open, so no call and
 * no initialiser here draws twice: the same seed must mean the same plan
 * whatever the compiler. Full-throttle stretches are either clearly pulls (well over
 * 1200 rpm) or clearly not (well under), so that a test need not argue.
 */
#include "plan.h"

struct planner {
	struct plan *plan;
	const struct plan_wish *wish;
	const struct car *car;
	struct rng rng;
	int gear; /* engaged at this point of the plan */
};

static void add(struct planner *p, struct move m)
{
	if (p->plan->count < PLAN_MAX)
		p->plan->move[p->plan->count++] = m;
}

static void hold(struct planner *p, double rpm, double dur)
{
	add(p, (struct move){.kind = MOVE_HOLD, .value = rpm, .dur = dur});
}

static void lift(struct planner *p, double until, double dur)
{
	add(p, (struct move){.kind = MOVE_LIFT,
			     .until = until,
			     .dur = dur,
			     .ramp = rng_range(&p->rng, 0.06, 0.18)});
}

static void brake(struct planner *p, double until)
{
	add(p, (struct move){
		       .kind = MOVE_BRAKE, .until = until, .value = rng_range(&p->rng, 0.2, 0.5)});
}

static void shift(struct planner *p, int gear, double pedal)
{
	add(p, (struct move){.kind = MOVE_SHIFT,
			     .gear = gear,
			     .value = pedal,
			     .dur = rng_range(&p->rng, 0.55, 0.9)});
	p->gear = gear;
}

/* Pedal down at the present speed; lifts at to_rpm, or bounces off the limiter if 0. */
static void full(struct planner *p, double to_rpm)
{
	if (to_rpm > 0) {
		add(p, (struct move){.kind = MOVE_PRESS,
				     .value = 1,
				     .until = to_rpm,
				     .dur = 26,
				     .ramp = p->wish->press_s});
		return;
	}
	const double held = rng_range(&p->rng, 0.02, 0.9);
	add(p, (struct move){.kind = MOVE_LIMITER,
			     .ramp = p->wish->press_s,
			     .dur = p->wish->held_s >= 0 ? p->wish->held_s : held});
}

/* Down from the top of a pull to an easy speed. */
static void slow_down(struct planner *p, double rpm)
{
	lift(p, rpm + 300, rng_range(&p->rng, 0.8, 2.0));
	brake(p, rpm);
}

/* From wherever it is into `gear` at about `rpm` of that gear. */
static void settle_in(struct planner *p, int gear, double rpm)
{
	const double v = car_speed_at(p->car, gear, rpm);

	brake(p, car_rpm_at(p->car, p->gear, v));
	while (p->gear != gear)
		shift(p, p->gear < gear ? p->gear + 1 : p->gear - 1, 0.15);
	hold(p, rpm, rng_range(&p->rng, 2, 4));
}

static void pull_once(struct planner *p, double to_rpm)
{
	full(p, to_rpm);
	slow_down(p, rng_range(&p->rng, 2300, 2900));
}

static void change_pull(struct planner *p, bool flat)
{
	const int up = p->gear < p->car->gears ? p->gear + 1 : p->gear;
	const double at = p->car->limit_rpm - rng_range(&p->rng, 150, 500);

	full(p, at);
	if (up == p->gear) {
		slow_down(p, 2500);
		return;
	}
	if (flat) {
		add(p, (struct move){.kind = MOVE_FLAT,
				     .gear = up,
				     .dur = rng_range(&p->rng, 0.25, 0.4)});
		p->gear = up;
	} else {
		shift(p, up, 0.6);
	}
	full(p, p->car->limit_rpm - rng_range(&p->rng, 50, 150));
	slow_down(p, rng_range(&p->rng, 2300, 2900));
}

static void lift_pull(struct planner *p, double to_rpm)
{
	full(p, rng_range(&p->rng, 3700, 4500));
	add(p, (struct move){.kind = MOVE_LIFT,
			     .until = 0,
			     .dur = rng_range(&p->rng, 0.35, 0.9),
			     .ramp = 0.08});
	pull_once(p, to_rpm);
}

/* Full throttle for a rise of a few hundred rpm only. */
static void burst(struct planner *p)
{
	add(p, (struct move){.kind = MOVE_BURST,
			     .until = rng_range(&p->rng, 250, 750),
			     .dur = 8,
			     .ramp = p->wish->press_s});
	lift(p, 0, rng_range(&p->rng, 0.5, 1.5));
}

/* Part throttle, somewhere from `least` to `most`, up to an engine speed. */
static void brisk(struct planner *p, double least, double most, double until)
{
	add(p, (struct move){.kind = MOVE_PRESS,
			     .value = rng_range(&p->rng, least, most),
			     .ramp = 0.35,
			     .until = until,
			     .dur = 12});
}

/* One bit of everyday driving below 75 % pedal; may change gear. */
static void traffic_bit(struct planner *p)
{
	const double rpm = rng_range(&p->rng, 1700, 3000);

	switch (rng_below(&p->rng, 6)) {
	case 0:
		hold(p, rpm, rng_range(&p->rng, 3, 9));
		break;
	case 1: /* brisk, not full */
		brisk(p, 0.3, 0.72, rng_range(&p->rng, 3300, 5000));
		lift(p, 1700, rng_range(&p->rng, 1, 4));
		break;
	case 2:
		lift(p, 1500, rng_range(&p->rng, 2, 5));
		hold(p, rpm, 3);
		break;
	case 3:
		brake(p, rng_range(&p->rng, 1500, 2000));
		hold(p, rpm, rng_range(&p->rng, 2, 5));
		break;
	case 4:
		if (p->gear < p->car->gears - 1)
			shift(p, p->gear + 1, 0.2);
		hold(p, 0.8 * rpm, rng_range(&p->rng, 2, 5));
		break;
	default:
		if (p->gear > 2) {
			brake(p, 1900);
			shift(p, p->gear - 1, 0.15);
		}
		hold(p, rpm, rng_range(&p->rng, 2, 4));
		break;
	}
}

static void stop_and_go(struct planner *p)
{
	add(p, (struct move){.kind = MOVE_STOP});
	add(p, (struct move){.kind = MOVE_IDLE, .dur = rng_range(&p->rng, 3, 12)});
	add(p, (struct move){
		       .kind = MOVE_LAUNCH, .value = rng_range(&p->rng, 0.2, 0.4), .until = 2600});
	p->gear = 1;
	for (int g = 2; g <= 3; g++) {
		shift(p, g, rng_range(&p->rng, 0.25, 0.4));
		brisk(p, 0.25, 0.4, rng_range(&p->rng, 2500, 3200));
	}
}

static void traffic(struct planner *p, int bits)
{
	for (int i = 0; i < bits; i++) {
		if (rng_chance(&p->rng, 0.12))
			stop_and_go(p);
		else
			traffic_bit(p);
	}
}

/* Pulls of every kind with traffic between them. */
static void mixed_drive(struct planner *p)
{
	const int bits = (int)(p->wish->minutes * 60 / 11);
	const int pulls = p->wish->pulls >= 0 ? p->wish->pulls : 2 + rng_below(&p->rng, 5);

	stop_and_go(p);
	for (int i = 0; i < pulls; i++) {
		const int gear = p->wish->gear - (rng_chance(&p->rng, 0.5) && p->wish->gear > 2);
		const double from = rng_range(&p->rng, 1800, 2400);
		traffic(p, bits / (pulls + 1));
		settle_in(p, gear, from);
		switch (i % 4) {
		case 1:
			burst(p);
			traffic(p, 1);
			settle_in(p, gear, from);
			pull_once(p, p->car->limit_rpm - rng_range(&p->rng, 50, 300));
			break;
		case 2:
			change_pull(p, false);
			break;
		case 3: /* broken off half-way: a pull, but not to the top */
			pull_once(p, rng_range(&p->rng, 4300, 5200));
			break;
		default:
			pull_once(p, rng_chance(&p->rng, 0.3)
					     ? 0
					     : p->car->limit_rpm - rng_range(&p->rng, 50, 300));
			break;
		}
	}
	traffic(p, bits / (pulls + 1));
	add(p, (struct move){.kind = MOVE_STOP});
	add(p, (struct move){.kind = MOVE_IDLE, .dur = 5});
}

static void around(struct planner *p)
{
	const struct plan_wish *const w = p->wish;

	hold(p, w->from_rpm, w->before_s);
	switch (w->scenario) {
	case SCENARIO_LIMITER:
		pull_once(p, 0);
		break;
	case SCENARIO_TWO:
		pull_once(p, w->to_rpm);
		settle_in(p, w->gear, w->from_rpm);
		pull_once(p, w->to_rpm);
		break;
	case SCENARIO_GEARCHANGE:
		change_pull(p, false);
		break;
	case SCENARIO_FLATSHIFT:
		change_pull(p, true);
		break;
	case SCENARIO_SHORT_LIFT:
		lift_pull(p, w->to_rpm);
		break;
	case SCENARIO_ABORTED:
		burst(p);
		break;
	case SCENARIO_TRAFFIC:
		traffic(p, 8);
		break;
	default:
		pull_once(p, w->to_rpm);
		break;
	}
	hold(p, rng_range(&p->rng, 2000, 2500), w->after_s);
}

void plan_make(struct plan *plan, const struct plan_wish *wish, const struct car *car,
	       uint64_t seed)
{
	struct planner p = {.plan = plan, .wish = wish, .car = car, .gear = wish->gear};

	rng_seed(&p.rng, seed, RNG_ROAD);
	*plan = (struct plan){.start_gear = wish->gear, .start_rpm = wish->from_rpm};
	if (wish->scenario == SCENARIO_DRIVE) {
		plan->start_gear = 0;
		add(&p, (struct move){.kind = MOVE_IDLE, .dur = 4});
		mixed_drive(&p);
	} else {
		around(&p);
	}
}
