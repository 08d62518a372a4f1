/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a channel can measure: one const table.
 *
 * Terms are those of SAE J1930 / J1979 (ISO 15031-2, -5) and plain words of
 * the trade.
 */
#ifndef DATA_QUANTITY_H
#define DATA_QUANTITY_H

#include <stdbool.h>
#include <stddef.h>

#include "data/unit.h"

enum quantity_id {
	Q_NONE,			/* not recognised */
	Q_TIME,
	Q_RPM,			/* engine speed */
	Q_SPEED,		/* road speed */
	Q_GEAR,
	Q_GEAR_RATIO,		/* engine speed over road speed, rpm per km/h */
	Q_ACCEL,		/* along the car */
	Q_PEDAL,
	Q_THROTTLE,
	Q_THROTTLE_TARGET,
	Q_BOOST,		/* gauge */
	Q_BOOST_TARGET,		/* gauge */
	Q_BOOST_ERROR,		/* actual - target */
	Q_MAP,			/* manifold absolute pressure */
	Q_MAP_TARGET,
	Q_BARO,
	Q_EXHAUST_PRESSURE,
	Q_WASTEGATE,
	Q_TURBO_SPEED,
	Q_MAF,
	Q_LOAD,
	Q_LAMBDA,
	Q_LAMBDA_TARGET,
	Q_LAMBDA_ERROR,		/* actual - target */
	Q_AFR,			/* air-fuel ratio by mass */
	Q_AFR_TARGET,
	Q_TRIM_SHORT,
	Q_TRIM_LONG,
	Q_INJECTOR_TIME,
	Q_INJECTOR_DUTY,
	Q_RAIL_PRESSURE,
	Q_RAIL_TARGET,
	Q_FUEL_PRESSURE,	/* low-pressure side */
	Q_FUEL_RATE,
	Q_ETHANOL,
	Q_IGNITION,		/* degrees before top dead centre */
	Q_IGNITION_TARGET,
	Q_KNOCK_RETARD,		/* index: the cylinder, 0 for all */
	Q_KNOCK_LEVEL,
	Q_MISFIRES,
	Q_TORQUE,
	Q_TORQUE_TARGET,
	Q_POWER,
	Q_INTAKE_TEMP,
	Q_COOLER_OUT_TEMP,	/* charge air cooler outlet */
	Q_COMPRESSOR_OUT_TEMP,
	Q_AMBIENT_TEMP,
	Q_EGT,			/* index: the bank or cylinder */
	Q_COOLANT_TEMP,
	Q_OIL_TEMP,
	Q_OIL_PRESSURE,
	Q_GEARBOX_TEMP,
	Q_FUEL_TEMP,
	Q_HUMIDITY,
	Q_BATTERY,
	Q_DISTANCE,
	Q_LATITUDE,
	Q_LONGITUDE,
	Q_COUNT
};

#define DIM_BIT(dim) (1u << (dim))

struct quantity {
	enum quantity_id id;
	const char *key;	/* "boost": a short word for --channel and JSON */
	const char *title;	/* "boost pressure, gauge" */
	const char *term;	/* the J1979 short name, or NULL */
	enum dimension dim;
	unsigned also;		/* further dimensions that logs give it in: DIM_BIT()s */
	const char *unit;	/* assumed where the log gives none, for unit_find() */
	bool stepped;		/* held between samples, not interpolated */
	int lane;		/* order among the lanes shown first; 0: not shown first */
	double least_height;	/* a lane spans at least this, in `unit` (so that noise stays small) */
};

/* Never NULL: an unknown id gives the row of Q_NONE. */
const struct quantity *quantity_get(enum quantity_id id);

/* Can a channel of this quantity be in a unit of this dimension? */
bool quantity_takes(const struct quantity *q, enum dimension dim);

/*
 * As quantity_takes, but knows the ratios apart: a lambda is not in per cent, a
 * throttle not in parts of air to one of fuel.
 */
bool quantity_fits(const struct quantity *q, const struct unit *unit);

/* What this quantity is asked to be: Q_BOOST_TARGET of Q_BOOST; Q_NONE where there is none. */
enum quantity_id quantity_target(enum quantity_id id);

/* By key ("lambda_target"), case aside; NULL when there is none. */
const struct quantity *quantity_by_key(const char *key);

#endif
