/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a channel can measure: the table and two ways to look in it. */
#include "data/quantity.h"

#include "base/text.h"

#define FLOWS (DIM_BIT(DIM_VOLUME_FLOW) | DIM_BIT(DIM_MASS_FLOW))
#define CHARGE (DIM_BIT(DIM_MASS_PER_TURN) | DIM_BIT(DIM_MASS_PER_STROKE))
#define ANGLE DIM_BIT(DIM_ANGLE)
#define RATIO DIM_BIT(DIM_RATIO)
#define VOLTS DIM_BIT(DIM_VOLTAGE)

/*
 * In the order of enum quantity_id.  The lanes: what tells first whether the
 * engine was safe, then what explains it, then where it was in the pull.  Lane
 * order and least heights are common practice, no source.
 */
static const struct quantity table[Q_COUNT] = {
	{ Q_NONE, "none", "not recognised", NULL,
	  DIM_NONE, 0, NULL, false, 0, 0 },
	{ Q_TIME, "time", "time", "RUNTM",
	  DIM_TIME, 0, "s", false, 0, 1 },
	{ Q_RPM, "rpm", "engine speed", "RPM",
	  DIM_ANGULAR_SPEED, DIM_BIT(DIM_FREQUENCY), "rpm", false, 11, 500 },
	{ Q_SPEED, "speed", "road speed", "VSS",
	  DIM_SPEED, 0, "km/h", false, 25, 20 },
	{ Q_GEAR, "gear", "gear", NULL,
	  DIM_NONE, 0, NULL, true, 26, 2 },
	{ Q_GEAR_RATIO, "gear_ratio", "engine speed over road speed", NULL,
	  DIM_NONE, 0, NULL, false, 0, 5 },
	{ Q_ACCEL, "accel", "acceleration along the car", NULL,
	  DIM_ACCELERATION, 0, "m/s2", false, 27, 2 },
	{ Q_PEDAL, "pedal", "accelerator pedal position", "APP_D",
	  DIM_RATIO, ANGLE, "%", false, 12, 20 },
	{ Q_THROTTLE, "throttle", "throttle position", "TP",
	  DIM_RATIO, ANGLE, "%", false, 13, 20 },
	{ Q_THROTTLE_TARGET, "throttle_target", "throttle position, target", "TAC_PCT",
	  DIM_RATIO, ANGLE, "%", false, 0, 20 },
	{ Q_BOOST, "boost", "boost pressure, gauge", "BP_A_ACT",
	  DIM_PRESSURE, 0, "kPa", false, 1, 50 },
	{ Q_BOOST_TARGET, "boost_target", "boost pressure, gauge, target", "BP_A_CMD",
	  DIM_PRESSURE, 0, "kPa", false, 15, 50 },
	{ Q_BOOST_ERROR, "boost_error", "boost pressure, actual minus target", NULL,
	  DIM_PRESSURE, 0, "kPa", false, 0, 20 },
	{ Q_MAP, "map", "manifold absolute pressure", "MAP",
	  DIM_PRESSURE, 0, "kPa", false, 2, 50 },
	{ Q_MAP_TARGET, "map_target", "manifold absolute pressure, target", NULL,
	  DIM_PRESSURE, 0, "kPa", false, 16, 50 },
	{ Q_BARO, "baro", "barometric pressure", "BARO",
	  DIM_PRESSURE, 0, "kPa", false, 0, 5 },
	{ Q_EXHAUST_PRESSURE, "exhaust_pressure", "exhaust pressure", "EP1",
	  DIM_PRESSURE, 0, "kPa", false, 22, 50 },
	{ Q_WASTEGATE, "wastegate", "wastegate drive or position", "WG_A_ACT",
	  DIM_RATIO, ANGLE | DIM_BIT(DIM_LENGTH), "%", false, 14, 20 },
	{ Q_TURBO_SPEED, "turbo_speed", "turbocharger speed", "TCA_RPM",
	  DIM_ANGULAR_SPEED, DIM_BIT(DIM_FREQUENCY), "rpm", false, 17, 20000 },
	{ Q_MAF, "maf", "air mass flow", "MAF",
	  DIM_MASS_FLOW, 0, "g/s", false, 18, 20 },
	{ Q_LOAD, "load", "engine load", "LOAD_ABS",
	  DIM_RATIO, CHARGE, "%", false, 28, 20 },
	{ Q_LAMBDA, "lambda", "lambda", "EQ_RAT11",
	  DIM_RATIO, 0, "lambda", false, 3, 0.2 },
	{ Q_LAMBDA_TARGET, "lambda_target", "lambda, target", "EQ_RAT",
	  DIM_RATIO, 0, "lambda", false, 0, 0.2 },
	{ Q_LAMBDA_ERROR, "lambda_error", "lambda, actual minus target", NULL,
	  DIM_RATIO, 0, "lambda", false, 0, 0.1 },
	{ Q_AFR, "afr", "air-fuel ratio by mass", NULL,
	  DIM_RATIO, 0, ":1", false, 4, 3 },
	{ Q_AFR_TARGET, "afr_target", "air-fuel ratio by mass, target", NULL,
	  DIM_RATIO, 0, ":1", false, 0, 3 },
	{ Q_TRIM_SHORT, "trim_short", "short term fuel trim", "SHRTFT1",
	  DIM_RATIO, 0, "%", false, 23, 20 },
	{ Q_TRIM_LONG, "trim_long", "long term fuel trim", "LONGFT1",
	  DIM_RATIO, 0, "%", false, 24, 20 },
	{ Q_INJECTOR_TIME, "injector_time", "injector pulse width", NULL,
	  DIM_TIME, 0, "ms", false, 0, 2 },
	{ Q_INJECTOR_DUTY, "injector_duty", "injector duty", NULL,
	  DIM_RATIO, 0, "%", false, 19, 20 },
	{ Q_RAIL_PRESSURE, "rail_pressure", "fuel rail pressure", "FRP_A",
	  DIM_PRESSURE, 0, "kPa", false, 7, 2000 },
	{ Q_RAIL_TARGET, "rail_target", "fuel rail pressure, target", "FRP_A_CMD",
	  DIM_PRESSURE, 0, "kPa", false, 0, 2000 },
	{ Q_FUEL_PRESSURE, "fuel_pressure", "fuel pressure, low side", "FRP",
	  DIM_PRESSURE, 0, "kPa", false, 8, 100 },
	{ Q_FUEL_RATE, "fuel_rate", "fuel rate", "FUEL_RATE",
	  DIM_VOLUME_FLOW, FLOWS, "L/h", false, 0, 10 },
	{ Q_ETHANOL, "ethanol", "ethanol content", "ALCH_PCT",
	  DIM_RATIO, 0, "%", true, 0, 10 },
	{ Q_IGNITION, "ignition", "ignition advance before top dead centre", "SPARKADV",
	  DIM_ANGLE, 0, "deg", false, 5, 10 },
	{ Q_IGNITION_TARGET, "ignition_target", "ignition advance, target", NULL,
	  DIM_ANGLE, 0, "deg", false, 0, 10 },
	{ Q_KNOCK_RETARD, "knock_retard", "knock retard", NULL,
	  DIM_ANGLE, 0, "deg", false, 6, 4 },
	{ Q_KNOCK_LEVEL, "knock_level", "knock level", NULL,
	  DIM_NONE, VOLTS | RATIO, NULL, false, 21, 1 },
	{ Q_MISFIRES, "misfires", "misfires counted", NULL,
	  DIM_NONE, 0, NULL, true, 0, 2 },
	{ Q_TORQUE, "torque", "engine torque", "TQ_ACT",
	  DIM_TORQUE, RATIO, "Nm", false, 29, 50 },
	{ Q_TORQUE_TARGET, "torque_target", "engine torque, target", "TQ_DD",
	  DIM_TORQUE, RATIO, "Nm", false, 0, 50 },
	{ Q_POWER, "power", "power", NULL,
	  DIM_POWER, 0, "kW", false, 30, 20 },
	{ Q_INTAKE_TEMP, "intake_temp", "intake air temperature", "IAT",
	  DIM_TEMPERATURE, 0, "degC", false, 9, 10 },
	{ Q_COOLER_OUT_TEMP, "cooler_out_temp", "charge air cooler outlet temperature", "CACT",
	  DIM_TEMPERATURE, 0, "degC", false, 10, 10 },
	{ Q_COMPRESSOR_OUT_TEMP, "compressor_out_temp", "compressor outlet temperature",
	  "TCA_COUTT", DIM_TEMPERATURE, 0, "degC", false, 31, 20 },
	{ Q_AMBIENT_TEMP, "ambient_temp", "ambient air temperature", "AAT",
	  DIM_TEMPERATURE, 0, "degC", false, 0, 10 },
	{ Q_EGT, "egt", "exhaust gas temperature", "EGT11",
	  DIM_TEMPERATURE, 0, "degC", false, 20, 100 },
	{ Q_COOLANT_TEMP, "coolant_temp", "coolant temperature", "ECT",
	  DIM_TEMPERATURE, 0, "degC", false, 32, 10 },
	{ Q_OIL_TEMP, "oil_temp", "oil temperature", "EOT",
	  DIM_TEMPERATURE, 0, "degC", false, 33, 10 },
	{ Q_OIL_PRESSURE, "oil_pressure", "oil pressure", "EOP",
	  DIM_PRESSURE, 0, "kPa", false, 34, 100 },
	{ Q_GEARBOX_TEMP, "gearbox_temp", "gearbox temperature", NULL,
	  DIM_TEMPERATURE, 0, "degC", false, 0, 10 },
	{ Q_FUEL_TEMP, "fuel_temp", "fuel temperature", "FRT_A",
	  DIM_TEMPERATURE, 0, "degC", false, 0, 10 },
	{ Q_HUMIDITY, "humidity", "relative humidity", NULL,
	  DIM_RATIO, 0, "%", false, 0, 10 },
	{ Q_BATTERY, "battery", "battery voltage", "VPWR",
	  DIM_VOLTAGE, 0, "V", false, 35, 1 },
	{ Q_DISTANCE, "distance", "distance", NULL,
	  DIM_LENGTH, 0, "m", false, 0, 100 },
	{ Q_LATITUDE, "latitude", "latitude", NULL,
	  DIM_ANGLE, 0, "deg", false, 0, 0.01 },
	{ Q_LONGITUDE, "longitude", "longitude", NULL,
	  DIM_ANGLE, 0, "deg", false, 0, 0.01 },
};

const struct quantity *quantity_get(enum quantity_id id)
{
	const int i = (int)id;

	return i >= 0 && i < Q_COUNT ? &table[i] : &table[Q_NONE];
}

bool quantity_takes(const struct quantity *q, enum dimension dim)
{
	return q->dim == dim || (q->also & DIM_BIT(dim)) != 0;
}

/* Lambda and air-fuel ratio: ratios that are never shown in per cent. */
static bool is_mixture(const struct quantity *q)
{
	return q->id >= Q_LAMBDA && q->id <= Q_AFR_TARGET;
}

bool quantity_fits(const struct quantity *q, const struct unit *unit)
{
	if (!quantity_takes(q, unit->dim))
		return false;
	if (is_mixture(q))
		return unit->dim != DIM_RATIO || unit->factor == 1;
	return unit->dim != DIM_RATIO ||
	       (unit != unit_find(":1", NULL) && unit != unit_find("lambda", NULL));
}

enum quantity_id quantity_target(enum quantity_id id)
{
	static const struct {
		enum quantity_id of;
		enum quantity_id target;
	} targets[] = {
		{ Q_BOOST, Q_BOOST_TARGET },
		{ Q_MAP, Q_MAP_TARGET },
		{ Q_LAMBDA, Q_LAMBDA_TARGET },
		{ Q_AFR, Q_AFR_TARGET },
		{ Q_RAIL_PRESSURE, Q_RAIL_TARGET },
		{ Q_IGNITION, Q_IGNITION_TARGET },
		{ Q_THROTTLE, Q_THROTTLE_TARGET },
		{ Q_TORQUE, Q_TORQUE_TARGET },
	};
	size_t i;

	for (i = 0; i < sizeof targets / sizeof targets[0]; i++)
		if (targets[i].of == id)
			return targets[i].target;
	return Q_NONE;
}

const struct quantity *quantity_by_key(const char *key)
{
	int i;

	for (i = 0; i < Q_COUNT; i++)
		if (text_casecmp(table[i].key, key) == 0)
			return &table[i];
	return NULL;
}
