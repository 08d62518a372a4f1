/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which unit a channel without one is in, by where its values lie. */
#include <math.h>
#include <string.h>

#include "data/settle.h"

#define ANY INFINITY
#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

/*
 * The first row of the quantity counts whose bounds hold the 1st (low) and the 99th
 * percentile (high).  Common practice, no source.
 */
struct guess {
	enum quantity_id ids[6];
	const char *unit;
	double low;		/* the 1st percentile is at least this */
	double high_from;	/* the 99th is at least this */
	double high;		/* and at most this */
};

static const struct guess guesses[] = {
	{ { Q_RPM }, "krpm", 0, 0, 20 },
	{ { Q_RPM }, "1/s", 0, 20, 350 },
	{ { Q_TURBO_SPEED }, "krpm", 0, 0, 400 },
	{ { Q_TURBO_SPEED }, "1/s", 0, 400, 5000 },
	{ { Q_ACCEL }, "g", -2.5, -ANY, 2.5 },

	{ { Q_PEDAL, Q_THROTTLE, Q_THROTTLE_TARGET, Q_WASTEGATE }, "1", -0.05, -ANY, 1.05 },
	{ { Q_INJECTOR_DUTY, Q_ETHANOL, Q_HUMIDITY }, "1", 0, 0.01, 1.05 },
	{ { Q_LOAD }, "1", 0, 0.01, 4 },
	{ { Q_LOAD }, "mg/stroke", 0, 300, ANY },

	/* Gauge: what the lowest value can be tells the units apart as well. */
	{ { Q_BOOST, Q_BOOST_TARGET, Q_BOOST_ERROR }, "bar", -1.1, -ANY, 4 },
	{ { Q_BOOST, Q_BOOST_TARGET, Q_BOOST_ERROR }, "psi", -16, -ANY, 50 },
	{ { Q_BOOST, Q_BOOST_TARGET, Q_BOOST_ERROR }, "kPa", -110, -ANY, 400 },
	{ { Q_BOOST, Q_BOOST_TARGET, Q_BOOST_ERROR }, "hPa", -1100, -ANY, 5000 },
	{ { Q_MAP, Q_MAP_TARGET, Q_EXHAUST_PRESSURE }, "MPa", 0, 0.05, 0.6 },
	{ { Q_MAP, Q_MAP_TARGET, Q_EXHAUST_PRESSURE }, "bar", -1.1, -ANY, 5 },
	{ { Q_MAP, Q_MAP_TARGET, Q_EXHAUST_PRESSURE }, "psi", -16, -ANY, 75 },
	{ { Q_MAP, Q_MAP_TARGET, Q_EXHAUST_PRESSURE }, "kPa", -110, -ANY, 600 },
	{ { Q_MAP, Q_MAP_TARGET, Q_EXHAUST_PRESSURE }, "hPa", -1100, -ANY, 6000 },
	{ { Q_MAP, Q_MAP_TARGET, Q_EXHAUST_PRESSURE }, "Pa", -ANY, 6000, ANY },
	{ { Q_BARO }, "MPa", 0.05, 0.05, 0.115 },
	{ { Q_BARO }, "bar", 0.5, 0.5, 1.15 },
	{ { Q_BARO }, "psi", 7, 7, 16 },
	{ { Q_BARO }, "inHg", 15, 15, 33 },
	{ { Q_BARO }, "kPa", 50, 50, 115 },
	{ { Q_BARO }, "hPa", 500, 500, 1150 },
	{ { Q_BARO }, "Pa", 50e3, 50e3, 115e3 },
	{ { Q_RAIL_PRESSURE, Q_RAIL_TARGET }, "MPa", 0, 8, 50 },
	{ { Q_RAIL_PRESSURE, Q_RAIL_TARGET }, "bar", 0, -ANY, 500 },
	{ { Q_RAIL_PRESSURE, Q_RAIL_TARGET }, "psi", 0, 500, 5000 },
	{ { Q_RAIL_PRESSURE, Q_RAIL_TARGET }, "kPa", 0, 5000, 50e3 },
	{ { Q_RAIL_PRESSURE, Q_RAIL_TARGET }, "hPa", 0, 50e3, ANY },
	{ { Q_FUEL_PRESSURE, Q_OIL_PRESSURE }, "bar", -1, -ANY, 14 },
	{ { Q_FUEL_PRESSURE, Q_OIL_PRESSURE }, "psi", -14, 14, 160 },
	{ { Q_FUEL_PRESSURE, Q_OIL_PRESSURE }, "kPa", -100, 160, 1500 },
	{ { Q_FUEL_PRESSURE, Q_OIL_PRESSURE }, "hPa", -1000, 1500, 15e3 },

	{ { Q_COOLANT_TEMP }, "degC", -40, -ANY, 135 },
	{ { Q_COOLANT_TEMP }, "degF", -40, 135, 270 },
	{ { Q_OIL_TEMP, Q_GEARBOX_TEMP }, "degC", -40, -ANY, 160 },
	{ { Q_OIL_TEMP, Q_GEARBOX_TEMP }, "degF", -40, 160, 340 },
	{ { Q_COOLANT_TEMP, Q_OIL_TEMP, Q_GEARBOX_TEMP }, "K", 230, 230, 450 },
	{ { Q_AMBIENT_TEMP }, "degC", -40, -ANY, 50 },
	{ { Q_AMBIENT_TEMP }, "degF", -40, 50, 130 },
	{ { Q_INTAKE_TEMP, Q_COOLER_OUT_TEMP, Q_FUEL_TEMP }, "degC", -40, -ANY, 75 },
	{ { Q_INTAKE_TEMP, Q_COOLER_OUT_TEMP, Q_FUEL_TEMP }, "degF", 60, 75, 220 },
	{ { Q_INTAKE_TEMP, Q_COOLER_OUT_TEMP, Q_FUEL_TEMP }, "degC", -40, 75, 120 },
	{ { Q_AMBIENT_TEMP, Q_INTAKE_TEMP, Q_COOLER_OUT_TEMP, Q_FUEL_TEMP }, "K",
	  230, 230, 400 },
	{ { Q_EGT }, "degC", -40, -ANY, 1100 },
	{ { Q_EGT }, "degF", -40, 1100, 2200 },

	{ { Q_MAF }, "g/s", 0, -ANY, 700 },
	{ { Q_MAF }, "kg/h", 0, 700, 3000 },
	{ { Q_INJECTOR_TIME }, "s", 0, 1e-5, 0.05 },
	{ { Q_INJECTOR_TIME }, "ms", 0, -ANY, 60 },
	{ { Q_INJECTOR_TIME }, "us", 0, 60, ANY },
	{ { Q_BATTERY }, "V", 0, -ANY, 60 },
	{ { Q_BATTERY }, "mV", 0, 1000, 60e3 },
};

/* What a log in units of the US has; asked before the others. */
static const struct guess us_guesses[] = {
	{ { Q_SPEED }, "mph", -1, -ANY, 300 },
	{ { Q_TORQUE, Q_TORQUE_TARGET }, "lbf ft", -ANY, -ANY, ANY },
	{ { Q_POWER }, "hp", -ANY, -ANY, ANY },
	{ { Q_AMBIENT_TEMP }, "degF", -40, 35, 130 },
	{ { Q_INTAKE_TEMP, Q_COOLER_OUT_TEMP, Q_FUEL_TEMP }, "degF", -40, 50, 250 },
	{ { Q_COOLANT_TEMP, Q_OIL_TEMP, Q_GEARBOX_TEMP }, "degF", -40, 110, 340 },
	{ { Q_EGT, Q_COMPRESSOR_OUT_TEMP }, "degF", -40, -ANY, 2200 },
	{ { Q_MAF }, "lb/min", 0, -ANY, 100 },
};

/* Units that only the one or the other habit has. */
static const struct {
	const char *unit;
	bool us;
} habits[] = {
	{ "degF", true }, { "mph", true }, { "lbf ft", true },
	{ "degC", false }, { "km/h", false }, { "Nm", false },
};

static bool is_for(const struct guess *g, enum quantity_id id)
{
	size_t i;

	for (i = 0; i < sizeof(g->ids) / sizeof(g->ids[0]); i++)
		if (g->ids[i] == id)
			return true;
	return false;
}

/* The unit of the first row for the quantity that holds the values, or NULL. */
static const struct unit *first_guess(const struct guess *rows, size_t n, enum quantity_id id,
				      const struct values *v)
{
	size_t i;

	for (i = 0; i < n; i++)
		if (is_for(&rows[i], id) && v->low >= rows[i].low &&
		    v->high >= rows[i].high_from && v->high <= rows[i].high)
			return unit_find(rows[i].unit, NULL);
	return NULL;
}

const struct unit *settle_unit(const struct quantity *q, const struct values *v, bool us)
{
	const struct unit *unit = NULL;

	if (q->id == Q_NONE || q->unit == NULL)
		return NULL;
	if (v->n > 0 && us)
		unit = first_guess(us_guesses, LENGTH(us_guesses), q->id, v);
	if (v->n > 0 && unit == NULL)
		unit = first_guess(guesses, LENGTH(guesses), q->id, v);
	return unit != NULL ? unit : unit_find(q->unit, NULL);
}

/* The unit that speaks for a habit: given, or a hot engine's temperature without one. */
static const struct unit *telling_unit(const struct channel *ch)
{
	const enum quantity_id id = ch->quantity->id;
	const struct unit *fahrenheit = unit_find("degF", NULL);
	struct values v;

	if (ch->unit != NULL || (id != Q_COOLANT_TEMP && id != Q_OIL_TEMP))
		return ch->unit;
	values_look(&v, ch->column);
	return settle_unit(ch->quantity, &v, false) == fahrenheit ? fahrenheit : NULL;
}

bool settle_is_us(const struct datalog *log)
{
	bool found = false;
	size_t i;
	size_t k;

	for (i = 0; i < log->channel_count; i++) {
		const struct unit *unit = telling_unit(&log->channels[i]);

		for (k = 0; unit != NULL && k < LENGTH(habits); k++) {
			if (strcmp(unit->ascii, habits[k].unit) != 0)
				continue;
			if (!habits[k].us)
				return false;
			found = true;
		}
	}
	return found;
}
