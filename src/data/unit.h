/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Units of measurement, and conversion between those of one dimension.
 *
 * Factors follow from the exact definitions (lb = 0.45359237 kg, in = 0.0254 m,
 * g0 = 9.80665 m/s2, ...): NIST SP 811 (2008) appendix B, NIST Handbook 44
 * appendix C; inches of mercury are the conventional ones (13595.1 kg/m3).
 * hp is the mechanical horsepower of 550 ft lbf/s, PS the metric one of
 * 75 kgf m/s.  Gallons are those of the US.
 */
#ifndef DATA_UNIT_H
#define DATA_UNIT_H

#include <stdbool.h>
#include <stddef.h>

enum dimension {
	DIM_NONE,		/* a count, a state, a number without a unit */
	DIM_RATIO,		/* 1 and per cent */
	DIM_TIME,		/* s */
	DIM_ANGULAR_SPEED,	/* rpm is the base here, as the trade has it */
	DIM_SPEED,		/* m/s */
	DIM_ACCELERATION,	/* m/s2 */
	DIM_LENGTH,		/* m */
	DIM_MASS,		/* kg */
	DIM_PRESSURE,		/* Pa */
	DIM_TEMPERATURE,	/* K */
	DIM_MASS_FLOW,		/* kg/s */
	DIM_VOLUME_FLOW,	/* m3/s */
	DIM_ANGLE,		/* degrees are the base here */
	DIM_VOLTAGE,		/* V */
	DIM_CURRENT,		/* A */
	DIM_TORQUE,		/* N m */
	DIM_POWER,		/* W */
	DIM_FREQUENCY,		/* Hz */
	DIM_MASS_PER_TURN,	/* kg a revolution */
	DIM_MASS_PER_STROKE,	/* kg a working stroke; how many a turn depends on the engine */
	DIM_COUNT
};

struct unit {
	const char *name;	/* as shown, UTF-8: "°C" */
	const char *ascii;	/* as shown without UTF-8: "degC" */
	enum dimension dim;
	double factor;		/* base = value * factor + offset */
	double offset;
	int decimals;		/* that read well in this unit */
};

enum unit_system {
	UNITS_FILE,	/* as the log has them */
	UNITS_METRIC,
	UNITS_US,
};

/*
 * The unit that a text from a log means ("kPa", "KPA", "degC", "°C", "deg C",
 * "1/min", "psig", ...), or NULL.  Letter case decides only where it must
 * (mV is not MV).  A trailing gauge or absolute word ("psi(a)", "bar abs",
 * "psig", "kPa gauge") is taken off; *gauge (may be NULL) becomes +1 for gauge,
 * -1 for absolute, 0 where the text says neither.
 */
const struct unit *unit_find(const char *text, int *gauge);

/* A value of `from` in `to`; NaN when the dimensions differ or either is NULL. */
double unit_convert(double v, const struct unit *from, const struct unit *to);

/* The same of v[n], in place. */
void unit_convert_all(double *v, size_t n, const struct unit *from, const struct unit *to);

/* As unit_convert for a difference of two values: no offset. */
double unit_convert_delta(double v, const struct unit *from, const struct unit *to);

/*
 * The unit of this dimension that the system prefers; NULL for UNITS_FILE, and
 * where a change would help nobody (ratios, times, volts: an injector's
 * milliseconds stay milliseconds).
 */
const struct unit *unit_preferred(enum dimension dim, enum unit_system system);

/* The unit that values of this dimension are converted through, "s" for DIM_TIME. */
const char *unit_base_name(enum dimension dim);

/* The whole table, for tests and for `twinpull channels --help`. */
size_t unit_count(void);
const struct unit *unit_by_index(size_t i);

#endif
