/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * See truth.h. A run starts at the instant the pedal is fully down with the
 * clutch shut in a gear; it ends where the pedal leaves the floor, the clutch
 * opens, or the limiter first cuts. After a cut the pedal must come up first.
 */
#include "truth.h"

#define FLOOR 0.995

void truth_init(struct truth *truth)
{
	truth->runs = truth->events = 0;
	truth->in_run = false;
	truth->armed = true;
	for (int i = 0; i < FAULT_MAX; i++)
		truth->open[i] = -1;
}

static void end_run(struct truth *truth, const struct world *w, enum truth_end end)
{
	struct truth_run *const run = &truth->run[truth->runs];

	truth->in_run = false;
	run->to_s = w->t;
	run->to_rpm = w->engine.rpm;
	run->end = end;
	const double rise = run->to_rpm - run->from_rpm;
	run->kind = rise >= TRUTH_PULL_RPM   ? TRUTH_PULL
		    : rise > TRUTH_BURST_RPM ? TRUTH_EDGE
					     : TRUTH_BURST;
	if (truth->runs < TRUTH_MAX - 1 && run->to_s > 0)
		truth->runs++;
}

static void watch_run(struct truth *truth, const struct world *w)
{
	const struct control *const c = &w->driver.out;
	const bool down = c->pedal >= FLOOR;
	const bool engaged = w->drive.locked && w->drive.gear > 0;

	if (truth->in_run) {
		if (w->engine.limiter) {
			end_run(truth, w, TRUTH_LIMITER);
			truth->armed = false;
		} else if (!engaged) {
			end_run(truth, w, TRUTH_GEARCHANGE);
		} else if (!down) {
			end_run(truth, w, TRUTH_LIFT);
		}
		return;
	}
	if (c->pedal < 0.9)
		truth->armed = true;
	if (!down || !engaged || !truth->armed || w->engine.limiter)
		return;
	truth->in_run = true;
	truth->run[truth->runs] = (struct truth_run){
		.from_s = w->t,
		.from_rpm = w->engine.rpm,
		.gear = w->drive.gear,
		.ratio = car_ratio(&w->car, w->drive.gear),
	};
}

static void end_event(struct truth *truth, int fault, const struct world *w)
{
	struct truth_event *const event = &truth->event[truth->open[fault]];

	event->to_s = w->t;
	event->to_rpm = w->engine.rpm;
	truth->open[fault] = -1;
}

/* A sensor that ends at some value does harm only where the value is beyond. */
static bool acts(const struct fault *f, const struct world *w)
{
	if (f->id == FAULT_MAP_SATURATED)
		return f->on && w->engine.map > f->size;
	if (f->id == FAULT_MAF_SATURATED)
		return f->on && w->engine.maf > f->size;
	return f->on;
}

static void watch_faults(struct truth *truth, const struct world *w)
{
	for (int i = 0; i < w->faults.count; i++) {
		const struct fault *const f = &w->faults.list[i];

		if (acts(f, w) && truth->open[i] < 0 && truth->events < TRUTH_MAX) {
			truth->open[i] = truth->events;
			truth->event[truth->events++] = (struct truth_event){
				.fault = i,
				.from_s = w->t,
				.from_rpm = w->engine.rpm,
			};
		} else if (!acts(f, w) && truth->open[i] >= 0) {
			end_event(truth, i, w);
		}
		if (truth->open[i] >= 0) {
			struct truth_event *const event = &truth->event[truth->open[i]];
			if (f->level > event->peak)
				event->peak = f->level;
		}
	}
}

void truth_step(struct truth *truth, const struct world *w)
{
	if (w->t < 0)
		return;
	watch_run(truth, w);
	watch_faults(truth, w);
}

void truth_finish(struct truth *truth, const struct world *w)
{
	if (truth->in_run)
		end_run(truth, w, TRUTH_LOG_END);
	for (int i = 0; i < FAULT_MAX; i++) {
		if (truth->open[i] >= 0)
			end_event(truth, i, w);
	}
}
