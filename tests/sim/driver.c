/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See driver.h. Each move is one function; all set d->out and say when they end. */
#include "driver.h"

#include <math.h>

void driver_init(struct driver *d, const struct plan *plan, uint64_t seed)
{
	*d = (struct driver){.plan = plan, .limiter_t = -1, .integral = 0.15};
	d->out = (struct control){.pedal = 0.15, .clutch = 1, .gear = plan->start_gear};
	if (plan->start_gear == 0)
		d->out = (struct control){.brake = 0.3};
	rng_seed(&d->rng, seed, RNG_DRIVER);
}

static void press(struct driver *d, double goal, double ramp)
{
	const double f = ramp > 0 ? mx_clamp(d->t / ramp, 0, 1) : 1;

	d->out.pedal = f >= 1 ? goal : d->from_pedal + (goal - d->from_pedal) * f;
}

static bool move_idle(struct driver *d, const struct move *m)
{
	d->out = (struct control){.brake = 0.3};
	return d->t >= m->dur;
}

/* A foot that holds the speed, not quite steadily. */
static bool move_hold(struct driver *d, const struct car *car, const struct move *m,
		      const struct driver_view *see, double dt)
{
	const double want = car_speed_at(car, d->out.gear, m->value);
	const double error = want - see->v;

	d->tremor = mx_lag(d->tremor, 0, dt, 0.8) + 0.0008 * rng_normal(&d->rng);
	d->integral = mx_clamp(d->integral + 0.03 * error * dt, 0, 0.5);
	const double goal = mx_clamp(d->integral + 0.10 * error + d->tremor, 0, 0.6);
	const double step = 1.2 * dt;
	d->out.pedal = mx_clamp(goal, d->out.pedal - step, d->out.pedal + step);
	d->out.brake = error < -2.0 ? 0.15 : 0;
	return d->t >= m->dur;
}

static bool move_press(struct driver *d, const struct move *m, const struct driver_view *see)
{
	press(d, m->value, m->ramp);
	return see->rpm >= m->until || d->t >= m->dur;
}

static bool move_burst(struct driver *d, const struct move *m, const struct driver_view *see)
{
	press(d, 1, m->ramp);
	return see->rpm >= d->from_rpm + m->until || d->t >= m->dur;
}

static bool move_limiter(struct driver *d, const struct move *m, const struct driver_view *see,
			 double dt)
{
	press(d, 1, m->ramp);
	if (see->limiter && d->limiter_t < 0)
		d->limiter_t = 0;
	else if (d->limiter_t >= 0)
		d->limiter_t += dt;
	return d->limiter_t >= m->dur || d->t > 26;
}

static bool move_lift(struct driver *d, const struct move *m, const struct driver_view *see)
{
	press(d, 0, m->ramp);
	return d->t >= m->ramp && (see->rpm < m->until || d->t >= m->dur);
}

static bool move_brake(struct driver *d, const struct move *m, const struct driver_view *see)
{
	press(d, 0, 0.12);
	d->out.brake = m->value * mx_ramp(d->t, 0.15, 0.5);
	if (see->road_rpm >= m->until && d->t < 30)
		return false;
	d->out.brake = 0;
	return true;
}

/* Off the pedal, clutch, lever, clutch, back on the pedal. */
static bool move_shift(struct driver *d, const struct move *m, const struct driver_view *see)
{
	const double f = d->t / m->dur;

	if (f < 0.45) {
		press(d, 0, 0.10);
		d->out.clutch = 1 - mx_ramp(f, 0.08, 0.2);
		return false;
	}
	d->out.gear = m->gear;
	d->out.clutch = mx_ramp(f, 0.5, 0.85);
	d->out.pedal = m->value * mx_ramp(f, 0.65, 1.0);
	d->integral = m->value;
	return f >= 1 && (see->locked || d->t > m->dur + 1);
}

static bool move_flat(struct driver *d, const struct move *m, const struct driver_view *see)
{
	const double f = d->t / m->dur;

	d->out.pedal = 1;
	d->flat_cut = f < 0.75;
	d->out.clutch = f < 0.5 ? 1 - mx_ramp(f, 0.0, 0.15) : mx_ramp(f, 0.55, 0.9);
	if (f >= 0.45)
		d->out.gear = m->gear;
	return f >= 1 && (see->locked || d->t > m->dur + 1);
}

static bool move_stop(struct driver *d, const struct driver_view *see)
{
	press(d, 0, 0.15);
	d->out.brake = 0.35 * mx_ramp(d->t, 0.1, 0.6);
	if (see->road_rpm < 1100)
		d->out.clutch = 0;
	if (see->v > 0.01 && d->t < 40)
		return false;
	d->out = (struct control){.brake = 0.3};
	return true;
}

static bool move_launch(struct driver *d, const struct move *m, const struct driver_view *see)
{
	d->out.gear = 1;
	d->out.brake = 0;
	d->out.clutch = see->locked ? 1
				    : 0.25 * mx_ramp(d->t, 0.2, 1.5) +
					      0.75 * mx_ramp(see->road_rpm, 500, 1300);
	press(d, m->value, 1.2);
	d->integral = m->value;
	return (see->locked && see->rpm >= m->until) || d->t > 15;
}

static bool step_move(struct driver *d, const struct car *car, const struct move *m,
		      const struct driver_view *see, double dt)
{
	switch (m->kind) {
	case MOVE_IDLE:
		return move_idle(d, m);
	case MOVE_HOLD:
		return move_hold(d, car, m, see, dt);
	case MOVE_PRESS:
		return move_press(d, m, see);
	case MOVE_BURST:
		return move_burst(d, m, see);
	case MOVE_LIMITER:
		return move_limiter(d, m, see, dt);
	case MOVE_LIFT:
		return move_lift(d, m, see);
	case MOVE_BRAKE:
		return move_brake(d, m, see);
	case MOVE_SHIFT:
		return move_shift(d, m, see);
	case MOVE_FLAT:
		return move_flat(d, m, see);
	case MOVE_STOP:
		return move_stop(d, see);
	case MOVE_LAUNCH:
		return move_launch(d, m, see);
	}
	return true;
}

void driver_step(struct driver *d, const struct car *car, const struct driver_view *see, double dt)
{
	d->flat_cut = false;
	if (d->done)
		return;
	if (!step_move(d, car, &d->plan->move[d->at], see, dt)) {
		d->t += dt;
		return;
	}
	d->at++;
	d->t = 0;
	d->limiter_t = -1;
	d->from_pedal = d->out.pedal;
	d->from_rpm = see->rpm;
	d->done = d->at >= d->plan->count;
}
