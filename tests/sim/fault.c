/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See fault.h. */
#include "fault.h"

#include <stdlib.h>
#include <string.h>

struct fault_def {
	const char *name;
	const char *unit; /* of the size */
	const char *what;
	double size, from, to, ramp; /* defaults; the range in rpm */
	double tau_s;                /* lag of the effect */
};

/* clang-format off */
static const struct fault_def defs[FAULT_COUNT] = {
	[FAULT_LEAN] = {"lean", "lambda", "mixture leaner than target", 0.10, 5500, 9000, 200,
		0.05},
	[FAULT_RICH] = {"rich", "lambda", "mixture richer than target", 0.08, 5000, 9000, 200,
		0.05},
	[FAULT_RAIL_SAG] = {"rail_sag", "share", "rail pressure below target", 0.2, 5500, 9000, 300,
		0.08},
	[FAULT_LOW_PRESSURE_SAG] = {"low_pressure_sag", "share", "low-side fuel pressure falls",
		0.25, 5000, 9000, 500, 0.10},
	[FAULT_KNOCK_CYL] = {"knock_cyl", "deg", "one cylinder's timing retarded", 5.5, 5100, 5300,
		30, 0.03},
	[FAULT_KNOCK_ALL] = {"knock_all", "deg", "all cylinders' timing retarded", 5.0, 4500, 5200,
		60, 0.03},
	[FAULT_TIMING_PULL] = {"timing_pull", "deg", "timing lower without knock retard", 4, 4500,
		9000, 200, 0.05},
	[FAULT_BOOST_OVER] = {"boost_over", "kPa", "boost above target", 25, 4000, 5500, 200, 0.08},
	[FAULT_BOOST_UNDER] = {"boost_under", "kPa", "boost below target", 30, 4000, 9000, 300,
		0.08},
	[FAULT_BOOST_OSC] = {"boost_osc", "kPa", "boost swings about its target, 2.5 Hz", 15, 4000,
		9000, 200, 0.05},
	[FAULT_BOOST_LEAK] = {"boost_leak", "share", "charge lost, duty goes up", 0.25, 2500, 9000,
		300, 0.10},
	[FAULT_THROTTLE_CLOSE] = {"throttle_close", "share", "throttle closes under full pedal",
		0.65, 5000, 6000, 100, 0.05},
	[FAULT_IAT_HIGH] = {"iat_high", "C", "intake air hotter", 30, 3000, 9000, 1500, 0.5},
	[FAULT_EGT_HIGH] = {"egt_high", "C", "exhaust gas hotter", 120, 4000, 9000, 1500, 0.8},
	[FAULT_COOLANT_HIGH] = {"coolant_high", "C", "coolant hotter", 25, 2000, 9000, 1000, 1.0},
	[FAULT_OIL_HOT] = {"oil_hot", "C", "oil hotter", 35, 2000, 9000, 1000, 1.0},
	[FAULT_OIL_LOW] = {"oil_low", "share", "oil pressure lost", 0.5, 5000, 9000, 300, 0.1},
	[FAULT_BATTERY_LOW] = {"battery_low", "V", "battery voltage lower", 2.2, 2000, 9000, 300,
		0.1},
	[FAULT_TRIM_HIGH] = {"trim_high", "%", "fuel trim far from zero", 18, 2000, 9000, 300, 0.2},
	[FAULT_INJECTOR_HIGH] = {"injector_high", "share", "injection time longer", 1.0, 4500, 9000,
		500, 0.1},
	[FAULT_SLIP_WHEEL] = {"slip_wheel", "share", "driven wheels spin faster than the road",
		0.10, 3500, 4200, 50, 0.08},
	[FAULT_SLIP_CLUTCH] = {"slip_clutch", "share", "clutch slips", 0.08, 4000, 5000, 50, 0.08},
	[FAULT_MISFIRE] = {"misfire", "share", "torque lost in bursts", 0.4, 5000, 5800, 50, 0.02},
	[FAULT_MAP_SATURATED] = {"map_saturated", "kPa", "manifold pressure sensor ends at size",
		230, 1, 9000, 1, 0},
	[FAULT_MAF_SATURATED] = {"maf_saturated", "g/s", "air mass sensor ends at size", 130, 1,
		9000, 1, 0},
	[FAULT_LAMBDA_STUCK] = {"lambda_stuck", "lambda", "lambda reads size", 0.85, 3000, 9000, 1,
		0},
	[FAULT_SPEED_LOST] = {"speed_lost", "-", "road speed reads zero (size 1)", 1, 4000, 5000, 1,
		0},
	[FAULT_PEDAL_STUCK] = {"pedal_stuck", "%", "pedal reads size", 30, 4000, 5000, 1, 0},
	[FAULT_DROPOUT] = {"dropout", "-", "every channel missing (size 1)", 1, 4000, 4400, 1, 0},
	[FAULT_TORQUE_CUT] = {"torque_cut", "share", "torque below what is asked for", 0.3, 4000,
		5000, 100, 0.05},
	[FAULT_MISFIRE_COUNT] = {"misfire_count", "1/s", "misfires are counted, torque stays", 20,
		4500, 5500, 50, 0.02},
	[FAULT_COOLER_POOR] = {"cooler_poor", "share", "the charge cooler's effectiveness lost", 0.5,
		1000, 9000, 100, 0.3},
	[FAULT_BOOST_OVERSHOOT] = {"boost_overshoot", "kPa", "one peak at the end of the spool", 40,
		1500, 9000, 50, 0.05},
	[FAULT_TURBO_FAST] = {"turbo_fast", "share", "the turbo turns faster", 0.1, 3500, 9000, 300,
		0.1},
};
/* clang-format on */

void fault_default(struct fault *fault, enum fault_id id)
{
	const struct fault_def *const def = &defs[id];

	*fault = (struct fault){
		.id = id,
		.from = def->from,
		.to = def->to,
		.ramp = def->ramp,
		.size = def->size,
		.cylinder = 3,
	};
}

/* A number at *text; moves on. The simulator never sets a locale. */
static bool take_number(const char **text, double *value)
{
	char *end;

	*value = strtod(*text, &end);
	if (end == *text)
		return false;
	*text = end;
	return true;
}

static bool parse_range(struct fault *fault, const char **text)
{
	if (**text != '@')
		return true;
	++*text;
	if (**text == 't') {
		fault->by_time = true;
		fault->ramp = 0.1;
		++*text;
	}
	if (!take_number(text, &fault->from) || **text != '-')
		return false;
	++*text;
	if (!take_number(text, &fault->to) || fault->to <= fault->from)
		return false;
	if (**text == '~') {
		++*text;
		return take_number(text, &fault->ramp) && fault->ramp >= 0;
	}
	return true;
}

bool fault_parse(struct fault *fault, const char *text)
{
	const size_t length = strcspn(text, "@:");
	double cylinder = 3;
	int id;

	for (id = 0; id < FAULT_COUNT; id++) {
		if (strlen(defs[id].name) == length && memcmp(defs[id].name, text, length) == 0)
			break;
	}
	if (id == FAULT_COUNT)
		return false;
	fault_default(fault, (enum fault_id)id);
	text += length;
	if (!parse_range(fault, &text))
		return false;
	if (*text == ':') {
		text++;
		if (!take_number(&text, &fault->size))
			return false;
	}
	if (*text == ':') {
		text++;
		if (!take_number(&text, &cylinder))
			return false;
	}
	fault->cylinder = (int)cylinder;
	return *text == '\0' && cylinder >= 1 && cylinder <= CAR_CYLINDERS;
}

static double envelope(const struct fault *f, const struct fault_where *w)
{
	const bool slip = f->id == FAULT_SLIP_WHEEL || f->id == FAULT_SLIP_CLUTCH;
	const double at = f->by_time ? w->t : slip ? w->road_rpm : w->rpm;

	if (!f->by_time && (w->pedal < 0.9 || !w->in_gear))
		return 0.0;
	if (at < f->from || at > f->to)
		return 0.0;
	/* At the very edge the envelope is tiny, not zero, so that the event has begun. */
	const double up = mx_ramp(at, f->from, f->from + f->ramp);
	const double down = 1.0 - mx_ramp(at, f->to - f->ramp, f->to);
	return mx_clamp(up < down ? up : down, 1e-6, 1.0);
}

void faults_step(struct faults *f, const struct fault_where *where, double dt)
{
	if (f->count == 0)
		return;
	memset(f->level, 0, sizeof f->level);
	memset(f->rate, 0, sizeof f->rate);
	memset(f->knock, 0, sizeof f->knock);
	for (int i = 0; i < f->count; i++) {
		struct fault *const fault = &f->list[i];
		const double share = envelope(fault, where);
		const double tau = defs[fault->id].tau_s;
		const double before = fault->smooth;

		fault->on = share > 0.0;
		fault->level = mx_lag(fault->level, share * fault->size, dt, tau);
		fault->smooth = mx_lag(fault->smooth, fault->level, dt, tau);
		if (fault->id == FAULT_KNOCK_CYL) {
			f->knock[fault->cylinder - 1] += fault->level;
		} else if (fault->id == FAULT_SLIP_WHEEL || fault->id == FAULT_SLIP_CLUTCH) {
			f->level[fault->id] += fault->smooth;
			f->rate[fault->id] += (fault->smooth - before) / dt;
		} else if (tau > 0) {
			f->level[fault->id] += fault->level;
		} else {
			f->level[fault->id] = fault->on ? fault->size : f->level[fault->id];
		}
	}
}

const char *fault_name(enum fault_id id)
{
	return defs[id].name;
}

void fault_list(FILE *out)
{
	fprintf(out, "%-17s %-7s %8s  %-11s %s\n", "fault", "size in", "default", "rpm range",
		"what");
	for (int i = 0; i < FAULT_COUNT; i++) {
		fprintf(out, "%-17s %-7s %8g  %4g-%-6g %s\n", defs[i].name, defs[i].unit,
			defs[i].size, defs[i].from, defs[i].to, defs[i].what);
	}
}
