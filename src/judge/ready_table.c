/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The questions, a row each, in the order in which they are asked.  What is asked and what
 * passes is common practice, no source, unless the request's file says otherwise.
 */
#include "judge/ready_case.h"

const struct ready_row ready_table[] = {
	{ "pull", false, ready_pull,
	  "Drive one full-throttle pull in one gear, from low engine speed up, and log it whole." },
	{ "gear", true, ready_gear,
	  "Repeat the pull in one gear; log the gear or the road speed." },
	{ "from_rpm", true, ready_from,
	  "Begin lower: roll in the gear below the asked engine speed, then press the pedal down." },
	{ "to_rpm", true, ready_to,
	  "Stay on the pedal up to the asked engine speed." },
	{ "pedal", true, ready_pedal,
	  "Repeat the pull with the foot on the floor from its begin to its end." },
	{ "gear_change", true, ready_gear_change,
	  "Stay in one gear over the whole range." },
	{ "slip", true, ready_slip,
	  "Use a higher gear or a better surface; if the wheels did not spin, look at the clutch." },
	{ "limiter", true, ready_limiter,
	  "Find out why it cuts so low; then repeat the pull." },

	{ "rate", false, ready_rate,
	  "Log fewer channels, or at a higher rate; 20 Hz or more for knock and boost." },
	{ "regular", false, ready_regular,
	  "Give the logger less to do, or use one with its own clock." },
	{ "skew", true, ready_skew,
	  "Log fewer channels at a time; values of one row do not belong to one moment." },
	{ "gaps", true, ready_gaps,
	  "Check the connection and the logger's storage, then repeat the pull." },
	{ "repeats", false, ready_repeats,
	  "Set the logger's rate to that at which new values come." },
	{ "clock", false, ready_clock,
	  "Start the logger once, before the pull, and let it run to its end." },

	{ "channels", false, ready_channels,
	  "Add them to the logger's list." },
	{ "saturated", true, ready_saturated,
	  "Log a sensor or a channel with more range, then judge again." },
	{ "stuck", true, ready_stuck,
	  "Check that sensor and its channel in the logger." },

	{ "coolant", true, ready_coolant,
	  "Bring the engine to its working temperature first; let it cool where it is too hot." },
	{ "oil", true, ready_oil,
	  "Drive until the oil is warm; it takes longer than the coolant. Let it cool if too hot." },
	{ "intake", true, ready_intake,
	  "Wait for the intake air to come into the window, rolling and not standing." },
	{ "heat_soak", true, ready_heat_soak,
	  "Roll for a few minutes at light load before the pull: the charge cooler sheds its heat." },
	{ "battery", true, ready_battery,
	  "Check the alternator, its belt and the leads before judging fuel pressure or injectors." },
	{ "ethanol", true, ready_ethanol,
	  "Use the fuel that the calibration is made for, or tell the calibrator." },
};

const size_t ready_table_count = sizeof ready_table / sizeof ready_table[0];
