/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * See channel.h. Names are plain trade words or the short names of SAE J1979;
 * coarse steps are the J1979 scalings (from memory). Other figures are common
 * practice, no source.
 */
#include "channel.h"

#include <string.h>

/* clang-format off */
static const struct unit units[] = {
	{FAM_RPM, "rpm", NULL, 1, 0, 0},
	{FAM_RPM, "1/min", NULL, 1, 0, 0},
	{FAM_PERCENT, "%", NULL, 1, 0, 0},
	{FAM_SPEED, "km/h", NULL, 1, 0, 0},
	{FAM_SPEED, "mph", NULL, 1 / 1.609344, 0, 0},
	{FAM_SPEED, "m/s", NULL, 1 / 3.6, 0, 1},
	{FAM_PRESSURE, "kPa", NULL, 1, 0, 0},
	{FAM_PRESSURE, "bar", NULL, 0.01, 0, 2},
	{FAM_PRESSURE, "psi", NULL, 1 / 6.894757293168361, 0, 1},
	{FAM_PRESSURE, "hPa", NULL, 10, 0, -1},
	{FAM_PRESSURE, "mbar", NULL, 10, 0, -1},
	{FAM_PRESSURE, "MPa", NULL, 0.001, 0, 3},
	{FAM_TEMP, "C", "\xc2\xb0" "C", 1, 0, 0},
	{FAM_TEMP, "F", "\xc2\xb0" "F", 1.8, 32, 0},
	{FAM_ANGLE, "deg", "\xc2\xb0", 1, 0, 0},
	{FAM_FLOW, "g/s", NULL, 1, 0, 0},
	{FAM_FLOW, "kg/h", NULL, 3.6, 0, 0},
	{FAM_FLOW, "lb/min", NULL, 60 / 453.59237, 0, 1},
	{FAM_MS, "ms", NULL, 1, 0, 0},
	{FAM_VOLT, "V", NULL, 1, 0, 0},
	{FAM_TORQUE, "Nm", NULL, 1, 0, 0},
	{FAM_TORQUE, "lbf ft", NULL, 1 / 1.3558179483314004, 0, 0},
	{FAM_ACCEL, "g", NULL, 1, 0, 0},
	{FAM_ACCEL, "m/s2", "m/s\xc2\xb2", 9.80665, 0, -1},
	{FAM_LAMBDA, "", NULL, 1, 0, 0},
	{FAM_AFR, ":1", NULL, 1, 0, 0},
	{FAM_KRPM, "krpm", NULL, 1, 0, 0},
	{FAM_KRPM, "rpm", NULL, 1000, 0, -3},
	{FAM_NONE, "", NULL, 1, 0, 0},
	{FAM_STATUS, "", NULL, 1, 0, 0},
};
/* clang-format on */

static const char *const status_words[] = {"closed loop", "open loop", "fuel cut"};

#define AT(field) offsetof(struct world, field)
/* No end to what is shown. */
#define ANY -1e6, 1e6

/* clang-format off */
static const struct channel channels[] = {
	{"rpm", FAM_RPM, {"Engine Speed", "RPM", "engine_rpm", "Revs"},
		AT(engine.rpm), 1, 1.5, 0.25, 0, 9000, 0, "rpm", "rpm", "acdk"},
	{"pedal", FAM_PERCENT, {"Accelerator Pedal", "APP_D", "pedal", "Pedal Position"},
		AT(derived.pedal), 100, 0.04, 100.0 / 255, 0, 100, 1, "%", "%", "acdk"},
	{"throttle", FAM_PERCENT, {"Throttle Position", "TP", "throttle", "Throttle"},
		AT(engine.throttle), 100, 0.08, 100.0 / 255, 0, 100, 1, "%", "%", "acdk"},
	{"speed", FAM_SPEED, {"Vehicle Speed", "VSS", "vehicle_speed", "Road Speed"},
		AT(derived.speed), 3.6, 0.04, 1, 0, 500, 1, "km/h", "mph", "acdk"},
	{"wheel_speed", FAM_SPEED, {"Driven Wheel Speed", "WHEEL_SPD", "wheel_speed_driven",
		"Wheel Speed"}, AT(derived.wheel_speed), 3.6, 0.06, 0.5, 0, 500, 1, "km/h", "mph",
		"ac"},
	{"gear", FAM_NONE, {"Gear", "GEAR", "gear", "Gear Position"},
		AT(derived.gear), 1, 0, 0, ANY, 0, "", "", "ac"},
	{"map", FAM_PRESSURE, {"Manifold Absolute Pressure", "MAP", "map", "Manifold Pressure"},
		AT(derived.map), 1, 0.35, 1, 0, 655, 1, "kPa", "psi", "acdk"},
	{"boost", FAM_PRESSURE, {"Boost Pressure", "BOOST", "boost", "Boost"},
		AT(derived.boost), 1, 0.35, 1, ANY, 1, "kPa", "psi", "ac"},
	{"boost_target", FAM_PRESSURE, {"Boost Pressure Target", "BOOST_TGT", "boost_target",
		"Boost Target"}, AT(engine.boost_target), 1, 0, 1, ANY, 1, "kPa", "psi", "ac"},
	{"charge", FAM_PRESSURE, {"Charge Pressure Before Throttle", "BP_A_ACT",
		"charge_pressure_abs", "Charge Pipe Pressure"}, AT(engine.pre), 1, 0.35, 1, 0, 655,
		1, "kPa", "psi", "ad"},
	{"charge_target", FAM_PRESSURE, {"Charge Pressure Target", "BP_A_CMD",
		"charge_pressure_abs_target", "Charge Pipe Target"}, AT(derived.charge_target), 1,
		0, 1, 0, 655, 1, "kPa", "psi", "ad"},
	{"baro", FAM_PRESSURE, {"Barometric Pressure", "BARO", "baro", "Baro"},
		AT(air.pressure_kpa), 1, 0.03, 1, 0, 255, 1, "kPa", "psi", "acd"},
	{"wastegate", FAM_PERCENT, {"Wastegate Duty", "WG_A_CMD", "wastegate_duty", "Wastegate"},
		AT(engine.duty), 100, 0, 100.0 / 255, 0, 100, 1, "%", "%", "acd"},
	{"maf", FAM_FLOW, {"Mass Air Flow", "MAF", "maf", "Air Mass"},
		AT(derived.maf), 1, 0.4, 0.01, 0, 655, 1, "g/s", "lb/min", "acd"},
	{"load", FAM_PERCENT, {"Engine Load", "LOAD_ABS", "engine_load", "Load"},
		AT(derived.load), 1, 0.3, 100.0 / 255, 0, 400, 1, "%", "%", "acd"},
	{"lambda", FAM_LAMBDA, {"Lambda", "EQ_RAT11", "lambda", "Lambda Sensor"},
		AT(derived.lambda), 1, 0.0025, 0.001, ANY, 3, "", "", "acdk"},
	{"lambda_target", FAM_LAMBDA, {"Lambda Target", "EQ_RAT", "lambda_target",
		"Lambda Desired"}, AT(engine.lambda_target), 1, 0, 0.001, ANY, 3, "", "", "acd"},
	{"afr", FAM_AFR, {"Air Fuel Ratio", "AFR", "afr", "AFR"},
		AT(derived.lambda), 14.7, 0.035, 0.1, ANY, 2, ":1", ":1", "a"},
	{"afr_target", FAM_AFR, {"Air Fuel Ratio Target", "AFR_TGT", "afr_target", "AFR Target"},
		AT(engine.lambda_target), 14.7, 0, 0.1, ANY, 2, ":1", ":1", "a"},
	{"trim_short", FAM_PERCENT, {"Short Term Fuel Trim", "SHRTFT1", "fuel_trim_short",
		"Short Term Trim"}, AT(derived.trim_short), 1, 0.15, 100.0 / 128, ANY, 1, "%", "%",
		"acd"},
	{"trim_long", FAM_PERCENT, {"Long Term Fuel Trim", "LONGFT1", "fuel_trim_long",
		"Long Term Trim"}, AT(engine.trim_long), 1, 0, 100.0 / 128, ANY, 1, "%", "%",
		"acd"},
	{"ignition", FAM_ANGLE, {"Ignition Timing", "SPARKADV", "ignition_timing", "Timing"},
		AT(engine.spark), 1, 0.08, 0.5, ANY, 1, "deg", "deg", "acd"},
	{"knock1", FAM_ANGLE, {"Knock Retard Cyl 1", "KNOCK_RET1", "knock_retard_1",
		"Cyl 1 Knock Retard"}, AT(engine.knock[0]), 1, 0, 0.5, ANY, 2, "deg", "deg", "acd"},
	{"knock2", FAM_ANGLE, {"Knock Retard Cyl 2", "KNOCK_RET2", "knock_retard_2",
		"Cyl 2 Knock Retard"}, AT(engine.knock[1]), 1, 0, 0.5, ANY, 2, "deg", "deg", "acd"},
	{"knock3", FAM_ANGLE, {"Knock Retard Cyl 3", "KNOCK_RET3", "knock_retard_3",
		"Cyl 3 Knock Retard"}, AT(engine.knock[2]), 1, 0, 0.5, ANY, 2, "deg", "deg", "acd"},
	{"knock4", FAM_ANGLE, {"Knock Retard Cyl 4", "KNOCK_RET4", "knock_retard_4",
		"Cyl 4 Knock Retard"}, AT(engine.knock[3]), 1, 0, 0.5, ANY, 2, "deg", "deg", "acd"},
	{"knock_volt", FAM_VOLT, {"Knock Sensor", "KS", "knock_sensor", "Knock Level"},
		AT(engine.knock_noise), 1, 0.02, 0.02, 0, 5, 2, "V", "V", "ac"},
	{"inj_time", FAM_MS, {"Injection Time", "INJ_PW", "injection_time", "Injector Pulse Width"},
		AT(engine.injection_ms), 1, 0.01, 0.05, 0, 99, 2, "ms", "ms", "acd"},
	{"inj_duty", FAM_PERCENT, {"Injector Duty", "INJ_DC", "injector_duty",
		"Injector Duty Cycle"}, AT(derived.injector_duty), 1, 0.1, 0.5, 0, 400, 1, "%", "%",
		"ac"},
	{"rail", FAM_PRESSURE, {"Fuel Rail Pressure", "FRP_A", "rail_pressure", "Rail Pressure"},
		AT(engine.rail), 1, 60, 10, 0, 65535, -1, "bar", "psi", "acd"},
	{"rail_target", FAM_PRESSURE, {"Fuel Rail Pressure Target", "FRP_A_CMD",
		"rail_pressure_target", "Rail Target"}, AT(engine.rail_target), 1, 0, 10, ANY, -1,
		"bar", "psi", "acd"},
	{"low_side", FAM_PRESSURE, {"Low Side Fuel Pressure", "FP_LOW", "fuel_pressure_low",
		"Low Pressure Fuel"}, AT(engine.low_side), 1, 2, 3, 0, 2000, 0, "bar", "psi", "ac"},
	{"iat", FAM_TEMP, {"Intake Air Temperature", "IAT", "intake_temp", "Intake Temp"},
		AT(engine.iat), 1, 0.08, 1, ANY, 1, "C", "F", "acdk"},
	{"inlet", FAM_TEMP, {"Compressor Inlet Temperature", "TCA_CINT", "compressor_inlet_temp",
		"Compressor Inlet Temp"}, AT(engine.inlet_c), 1, 0.05, 1, ANY, 1, "C", "F", "a"},
	{"ambient", FAM_TEMP, {"Ambient Air Temperature", "AAT", "ambient_temp",
		"Outside Air Temp"}, AT(air.temp_c), 1, 0, 1, ANY, 1, "C", "F", "acd"},
	{"coolant", FAM_TEMP, {"Coolant Temperature", "ECT", "coolant_temp", "Water Temp"},
		AT(engine.coolant), 1, 0.08, 1, ANY, 1, "C", "F", "acdk"},
	{"oil_temp", FAM_TEMP, {"Oil Temperature", "EOT", "oil_temp", "Oil Temp"},
		AT(engine.oil), 1, 0.08, 1, ANY, 1, "C", "F", "acd"},
	{"oil_pressure", FAM_PRESSURE, {"Oil Pressure", "EOP", "oil_pressure", "Oil Press"},
		AT(engine.oil_pressure), 1, 3, 5, 0, 2000, 0, "bar", "psi", "ac"},
	{"egt", FAM_TEMP, {"Exhaust Gas Temperature", "EGT11", "egt", "EGT"},
		AT(engine.egt), 1, 0.8, 1, ANY, 0, "C", "F", "ac"},
	{"battery", FAM_VOLT, {"Battery Voltage", "VPWR", "battery_voltage", "Battery"},
		AT(engine.battery), 1, 0.015, 0.1, 0, 20, 2, "V", "V", "acd"},
	{"torque", FAM_TORQUE, {"Engine Torque", "TORQUE", "engine_torque", "Torque"},
		AT(engine.torque), 1, 1.0, 1, ANY, 0, "Nm", "lbf ft", "ac"},
	{"accel", FAM_ACCEL, {"Longitudinal Acceleration", "ACCEL_X", "accel_x", "Long Accel"},
		AT(derived.accel_g), 1, 0.008, 0.01, ANY, 3, "g", "g", "ac"},
	{"turbo", FAM_KRPM, {"Turbo Speed", "TCA_RPM", "turbo_speed", "Turbine Speed"},
		AT(derived.turbo_krpm), 1, 0.2, 1, 0, 400, 1, "krpm", "krpm", "a"},
	{"cam", FAM_ANGLE, {"Intake Cam Angle", "CAM_IN", "cam_angle_in", "Intake Cam"},
		AT(derived.cam_deg), 1, 0.15, 0.5, 0, 90, 1, "deg", "deg", "a"},
	{"lateral", FAM_ACCEL, {"Lateral Acceleration", "ACCEL_Y", "accel_y", "Lateral Accel"},
		AT(derived.lateral_g), 1, 0.008, 0.01, ANY, 3, "g", "g", "a"},
	{"fuel_level", FAM_PERCENT, {"Fuel Level", "FLI", "fuel_level", "Tank Level"},
		AT(derived.fuel_level), 1, 0, 100.0 / 255, 0, 100, 1, "%", "%", "ad"},
	{"ethanol", FAM_PERCENT, {"Ethanol Content", "ALCH_PCT", "ethanol", "Ethanol"},
		AT(derived.ethanol), 1, 0, 100.0 / 255, 0, 100, 1, "%", "%", "a"},
	{"brake", FAM_NONE, {"Brake Switch", "BRAKE_SW", "brake_switch", "Brake"},
		AT(derived.brake_switch), 1, 0, 0, ANY, 0, "", "", "a"},
	{"clutch", FAM_NONE, {"Clutch Switch", "CLUTCH_SW", "clutch_switch", "Clutch"},
		AT(derived.clutch_switch), 1, 0, 0, ANY, 0, "", "", "a"},
	{"fuel_status", FAM_STATUS, {"Fuel System Status", "FUELSYS1", "fuel_system_status",
		"Fuel Loop"}, AT(derived.fuel_status), 1, 0, 0, ANY, 0, "", "", "acd"},
	/* Of no set but "full": logs of the other sets stay what they were. */
	{"ignition_target", FAM_ANGLE, {"Ignition Timing Target", "SPARK_TGT",
		"ignition_timing_target", "Timing Target"}, AT(engine.spark_base), 1, 0, 0.5, ANY,
		1, "deg", "deg", ""},
	{"torque_request", FAM_TORQUE, {"Engine Torque Request", "TQ_DD",
		"engine_torque_request", "Torque Request"}, AT(engine.torque_asked), 1, 0, 1, ANY,
		0, "Nm", "lbf ft", ""},
	{"misfires", FAM_NONE, {"Misfire Count", "MISFIRE_CNT", "misfire_count", "Misfires"},
		AT(derived.misfires), 1, 0, 0, ANY, 0, "", "", ""},
	{"compressor_out", FAM_TEMP, {"Compressor Outlet Temperature", "COMP_OUT_TEMP",
		"compressor_outlet_temp", "Compressor Outlet Temp"}, AT(engine.compressor_out), 1,
		0.3, 1, ANY, 1, "C", "F", ""},
	{"cooler_out", FAM_TEMP, {"Charge Cooler Outlet Temperature", "CACT",
		"charge_cooler_outlet_temp", "Charge Cooler Outlet Temp"}, AT(engine.cooler_out), 1,
		0.1, 1, ANY, 1, "C", "F", ""},
};
/* clang-format on */

static const struct {
	const char *name;
	char letter;
} sets[] = {{"all", 'a'}, {"club", 'c'}, {"drive", 'd'}, {"core", 'k'},
	    {"full", '\0'}}; /* every string has it, at its end */

size_t channel_count(void)
{
	return sizeof channels / sizeof *channels;
}

const struct channel *channel_at(size_t i)
{
	return &channels[i];
}

const struct channel *channel_find(const char *id, size_t length)
{
	for (size_t i = 0; i < channel_count(); i++) {
		if (strlen(channels[i].id) == length && memcmp(channels[i].id, id, length) == 0)
			return &channels[i];
	}
	return NULL;
}

bool channel_in_set(const struct channel *c, const char *set, size_t length)
{
	for (size_t i = 0; i < sizeof sets / sizeof *sets; i++) {
		if (strlen(sets[i].name) == length && memcmp(sets[i].name, set, length) == 0)
			return strchr(c->sets, sets[i].letter) != NULL;
	}
	return false;
}

const struct unit *unit_at(enum family family, int n)
{
	for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
		if (units[i].family == family && n-- == 0)
			return &units[i];
	}
	return NULL;
}

const struct unit *unit_find(enum family family, const char *label)
{
	const struct unit *u = unit_at(family, 0);

	for (int i = 0; unit_at(family, i) != NULL; i++) {
		if (strcmp(unit_at(family, i)->label, label) == 0)
			u = unit_at(family, i);
	}
	return u;
}

const char *channel_status_word(double value)
{
	return status_words[value < 0.5 ? 0 : value < 1.5 ? 1 : 2];
}
