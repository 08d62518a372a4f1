/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The checks, in the order in which they run: one table row each in check_table.c. */
#ifndef JUDGE_CHECK_ID_H
#define JUDGE_CHECK_ID_H

enum check_id {
	/* mixture */
	CHECK_LEAN,			/* lambda under load */
	CHECK_LEAN_OF_TARGET,		/* lambda over its target */
	CHECK_LEAN_TREND,		/* lambda rising with engine speed */
	CHECK_RICH,
	CHECK_RICH_ETHANOL,		/* the same with ethanol fuel */
	CHECK_RICH_OF_TARGET,
	CHECK_TRIMS,			/* fuel trims before and after the pull */
	/* knock and timing */
	CHECK_KNOCK,			/* any one cylinder */
	CHECK_KNOCK_ODD,		/* one cylinder apart from the others */
	CHECK_KNOCK_ALL,		/* all cylinders at once */
	CHECK_TIMING_OF_TARGET,
	CHECK_TIMING_AGAINST,		/* behind the baseline's at the same speed and load */
	/* fuel supply */
	CHECK_RAIL,			/* below target */
	CHECK_RAIL_FALLS,		/* below its own highest, where there is no target */
	CHECK_FUEL_PRESSURE,		/* low side */
	CHECK_INJECTOR_DUTY,
	/* boost */
	CHECK_MANIFOLD_PRESSURE,	/* over a stated limit */
	CHECK_BOOST_OVER,
	CHECK_BOOST_OVERSHOOT,		/* at the end of the spool */
	CHECK_BOOST_UNDER,
	CHECK_BOOST_FALLS,		/* with engine speed, where there is no target */
	CHECK_BOOST_SWING,
	CHECK_WASTEGATE_STOP,
	CHECK_TURBO_SPEED,
	CHECK_COMPRESSOR_FLOW,		/* against the edge of the map */
	CHECK_PRESSURE_RATIO,
	/* air path and torque */
	CHECK_THROTTLE,			/* closing under a pedal that is down */
	CHECK_TORQUE_CUT,		/* torque below what is asked for */
	CHECK_HESITATION,		/* dips of acceleration */
	CHECK_MISFIRES,			/* counted by the engine controller */
	CHECK_SLIP,			/* wheels or clutch */
	CHECK_LIMITER,
	/* heat */
	CHECK_INTAKE_TEMP,
	CHECK_INTAKE_RISE,
	CHECK_COOLER,			/* effectiveness of the charge air cooler */
	CHECK_EXHAUST_TEMP,
	CHECK_COOLANT_TEMP,
	CHECK_OIL_TEMP,
	/* oil and supply */
	CHECK_OIL_PRESSURE,
	CHECK_OIL_FALLS,		/* while engine speed rises */
	CHECK_BATTERY,
	/* sensors */
	CHECK_MAP_FLAT,			/* manifold pressure at its sensor's end */
	CHECK_MAF_FLAT,			/* air mass flow likewise */
	CHECK_COUNT
};

#endif
