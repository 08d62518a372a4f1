/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See check_cause.h. */
#include "judge/check_cause.h"

#define LAG_S 0.5
#define EFFECTS 6

/* What explains what where both are: common practice, no source.  CHECK_COUNT ends a row. */
static const struct {
	enum check_id cause;
	enum check_id effects[EFFECTS + 1];
} explains[] = {
	{ CHECK_BATTERY, { CHECK_FUEL_PRESSURE, CHECK_RAIL, CHECK_RAIL_FALLS, CHECK_COUNT } },
	{ CHECK_FUEL_PRESSURE, { CHECK_RAIL, CHECK_RAIL_FALLS, CHECK_LEAN, CHECK_LEAN_OF_TARGET,
				 CHECK_LEAN_TREND, CHECK_COUNT } },
	{ CHECK_RAIL, { CHECK_LEAN, CHECK_LEAN_OF_TARGET, CHECK_LEAN_TREND, CHECK_COUNT } },
	{ CHECK_RAIL_FALLS, { CHECK_LEAN, CHECK_LEAN_OF_TARGET, CHECK_LEAN_TREND, CHECK_COUNT } },
	{ CHECK_INJECTOR_DUTY, { CHECK_LEAN, CHECK_LEAN_OF_TARGET, CHECK_LEAN_TREND, CHECK_COUNT } },
	{ CHECK_LEAN, { CHECK_KNOCK, CHECK_KNOCK_ALL, CHECK_EXHAUST_TEMP, CHECK_COUNT } },
	{ CHECK_LEAN_OF_TARGET, { CHECK_KNOCK, CHECK_KNOCK_ALL, CHECK_EXHAUST_TEMP, CHECK_COUNT } },
	{ CHECK_RICH, { CHECK_MISFIRES, CHECK_HESITATION, CHECK_COUNT } },
	{ CHECK_RICH_ETHANOL, { CHECK_MISFIRES, CHECK_HESITATION, CHECK_COUNT } },
	{ CHECK_COOLER, { CHECK_INTAKE_TEMP, CHECK_INTAKE_RISE, CHECK_COUNT } },
	{ CHECK_INTAKE_TEMP, { CHECK_KNOCK, CHECK_KNOCK_ALL, CHECK_TIMING_OF_TARGET,
			       CHECK_TIMING_AGAINST, CHECK_COUNT } },
	{ CHECK_COOLANT_TEMP, { CHECK_KNOCK, CHECK_KNOCK_ALL, CHECK_TIMING_OF_TARGET,
				CHECK_TIMING_AGAINST, CHECK_COUNT } },
	{ CHECK_OIL_TEMP, { CHECK_OIL_PRESSURE, CHECK_COUNT } },
	{ CHECK_BOOST_OVER, { CHECK_KNOCK, CHECK_KNOCK_ALL, CHECK_MANIFOLD_PRESSURE,
			      CHECK_PRESSURE_RATIO, CHECK_TURBO_SPEED, CHECK_THROTTLE, CHECK_COUNT } },
	{ CHECK_BOOST_UNDER, { CHECK_WASTEGATE_STOP, CHECK_COUNT } },
	{ CHECK_KNOCK, { CHECK_TIMING_OF_TARGET, CHECK_TIMING_AGAINST, CHECK_COUNT } },
	{ CHECK_KNOCK_ALL, { CHECK_TIMING_OF_TARGET, CHECK_TIMING_AGAINST, CHECK_COUNT } },
	{ CHECK_THROTTLE, { CHECK_TORQUE_CUT, CHECK_HESITATION, CHECK_BOOST_FALLS,
			    CHECK_BOOST_UNDER, CHECK_COUNT } },
	{ CHECK_TIMING_OF_TARGET, { CHECK_TORQUE_CUT, CHECK_EXHAUST_TEMP, CHECK_COUNT } },
	{ CHECK_MISFIRES, { CHECK_HESITATION, CHECK_TORQUE_CUT, CHECK_COUNT } },
	{ CHECK_TORQUE_CUT, { CHECK_HESITATION, CHECK_COUNT } },
	{ CHECK_SLIP, { CHECK_TORQUE_CUT, CHECK_THROTTLE, CHECK_COUNT } },
};

static bool may_cause(enum check_id cause, enum check_id effect)
{
	size_t i, k;

	for (i = 0; i < sizeof explains / sizeof explains[0]; i++)
		for (k = 0; explains[i].cause == cause && explains[i].effects[k] != CHECK_COUNT; k++)
			if (explains[i].effects[k] == effect)
				return true;
	return false;
}

static bool precedes(const struct finding *cause, const struct finding *effect)
{
	return cause->pull == effect->pull && cause->from_s <= effect->from_s + LAG_S &&
	       cause->to_s >= effect->from_s - LAG_S;
}

void check_cause_find(struct check_report *r)
{
	size_t i, k;

	for (i = 0; i < r->count; i++) {
		struct finding *f = &r->findings[i];

		f->cause = NULL;
		for (k = 0; k < r->count && f->cause == NULL; k++)
			if (may_cause(r->findings[k].check->id, f->check->id) &&
			    precedes(&r->findings[k], f))
				f->cause = &r->findings[k];
	}
}
