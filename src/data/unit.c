/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Units: one table of factors and spellings, and looking a text up in it. */
#include "data/unit.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/text.h"

/* Exact by definition. */
#define LB 0.45359237		/* kg */
#define INCH 0.0254		/* m */
#define FOOT 0.3048		/* m */
#define MILE 1609.344		/* m */
#define G0 9.80665		/* m/s2 */
#define GALLON 3.785411784e-3	/* m3, US */
#define ATM 101325.0		/* Pa */
#define HG 13595.1		/* kg/m3, conventional density of mercury */
#define H2O 1000.0		/* kg/m3, conventional density of water */
#define PI 3.14159265358979323846

#define SPELLING 32		/* room for the longest spelling, with its NUL */

/*
 * `spellings` holds further ways to write the unit, as normalise() leaves them;
 * both names count as well.
 */
struct unit_row {
	struct unit unit;
	const char *spellings;
};

static const struct unit_row table[] = {
	{ { "count", "count", DIM_NONE, 1, 0, 0 }, "counts cnt" },

	{ { "%", "%", DIM_RATIO, 0.01, 0, 1 }, "percent pct percentage" },
	{ { "1", "1", DIM_RATIO, 1, 0, 3 }, "ratio fraction" },
	{ { ":1", ":1", DIM_RATIO, 1, 0, 2 }, "afr a/f to1 kg/kg g/g" },
	{ { "λ", "lambda", DIM_RATIO, 1, 0, 3 }, "lam" },

	{ { "s", "s", DIM_TIME, 1, 0, 3 },
	  "sec secs second seconds hh:mm:ss h:mm:ss mm:ss hh:mm:ssfff hh:mm:sssss mm:ssf" },
	{ { "ms", "ms", DIM_TIME, 1e-3, 0, 1 },
	  "msec msecs millisecond milliseconds millis" },
	{ { "µs", "us", DIM_TIME, 1e-6, 0, 0 },
	  "usec usecs microsecond microseconds micros" },
	{ { "min", "min", DIM_TIME, 60, 0, 2 }, "mins minute minutes" },
	{ { "h", "h", DIM_TIME, 3600, 0, 3 }, "hr hrs hour hours" },

	{ { "rpm", "rpm", DIM_ANGULAR_SPEED, 1, 0, 0 },
	  "1/min min1 rev/min revs/min r/min /min rpms" },
	{ { "krpm", "krpm", DIM_ANGULAR_SPEED, 1000, 0, 2 },
	  "1000rpm rpmx1000 rpm1000 k1/min" },
	{ { "1/s", "1/s", DIM_ANGULAR_SPEED, 60, 0, 2 }, "rev/s revs/s r/s rps s1" },
	{ { "rad/s", "rad/s", DIM_ANGULAR_SPEED, 30 / PI, 0, 1 }, "rads1" },
	{ { "°/s", "deg/s", DIM_ANGULAR_SPEED, 1.0 / 6, 0, 1 }, "deg/sec dps" },

	{ { "m/s", "m/s", DIM_SPEED, 1, 0, 2 }, "m/sec mps" },
	{ { "km/h", "km/h", DIM_SPEED, 1 / 3.6, 0, 1 },
	  "kmh kph km/hr kmph kmhr kmh1 kilometersperhour kilometresperhour" },
	{ { "mph", "mph", DIM_SPEED, MILE / 3600, 0, 1 },
	  "mi/h mi/hr miles/h miles/hr milesperhour" },
	{ { "kn", "kn", DIM_SPEED, 1852.0 / 3600, 0, 1 }, "kt kts knot knots" },
	{ { "ft/s", "ft/s", DIM_SPEED, FOOT, 0, 1 }, "ft/sec fps" },

	{ { "m/s²", "m/s2", DIM_ACCELERATION, 1, 0, 2 }, "m/s/s ms2 m/sec2 mps2" },
	{ { "g", "g", DIM_ACCELERATION, G0, 0, 3 }, "gs gee gforce" },
	{ { "ft/s²", "ft/s2", DIM_ACCELERATION, FOOT, 0, 1 }, "ft/s/s ft/sec2" },

	{ { "m", "m", DIM_LENGTH, 1, 0, 1 }, "meter meters metre metres" },
	{ { "km", "km", DIM_LENGTH, 1000, 0, 3 },
	  "kilometer kilometers kilometre kilometres" },
	{ { "cm", "cm", DIM_LENGTH, 0.01, 0, 1 }, "" },
	{ { "mm", "mm", DIM_LENGTH, 1e-3, 0, 1 }, "" },
	{ { "in", "in", DIM_LENGTH, INCH, 0, 2 }, "inch inches" },
	{ { "ft", "ft", DIM_LENGTH, FOOT, 0, 1 }, "foot feet" },
	{ { "yd", "yd", DIM_LENGTH, 3 * FOOT, 0, 1 }, "yard yards" },
	{ { "mi", "mi", DIM_LENGTH, MILE, 0, 3 }, "mile miles" },

	{ { "kg", "kg", DIM_MASS, 1, 0, 1 }, "kilogram kilograms" },
	{ { "lb", "lb", DIM_MASS, LB, 0, 1 }, "lbs pound pounds lbm" },

	{ { "Pa", "Pa", DIM_PRESSURE, 1, 0, 0 }, "pascal pascals" },
	{ { "hPa", "hPa", DIM_PRESSURE, 100, 0, 0 }, "hectopascal hectopascals" },
	{ { "kPa", "kPa", DIM_PRESSURE, 1000, 0, 1 }, "kilopascal kilopascals" },
	{ { "MPa", "MPa", DIM_PRESSURE, 1e6, 0, 2 }, "megapascal megapascals" },
	{ { "bar", "bar", DIM_PRESSURE, 1e5, 0, 2 }, "bars" },
	{ { "mbar", "mbar", DIM_PRESSURE, 100, 0, 0 }, "millibar millibars mb" },
	{ { "psi", "psi", DIM_PRESSURE, LB * G0 / (INCH * INCH), 0, 1 },
	  "lb/in2 lbf/in2 lb/sqin lbf/sqin lbs/in2" },
	{ { "inHg", "inHg", DIM_PRESSURE, INCH * HG * G0, 0, 2 }, "inmercury" },
	{ { "inH₂O", "inH2O", DIM_PRESSURE, INCH * H2O * G0, 0, 1 }, "inwater inwc" },
	{ { "mmHg", "mmHg", DIM_PRESSURE, 1e-3 * HG * G0, 0, 0 }, "" },
	{ { "torr", "torr", DIM_PRESSURE, ATM / 760, 0, 0 }, "" },
	{ { "kgf/cm²", "kgf/cm2", DIM_PRESSURE, G0 / 1e-4, 0, 2 },
	  "kg/cm2 kp/cm2 kgcm2 kgfcm2" },
	{ { "atm", "atm", DIM_PRESSURE, ATM, 0, 3 }, "atmosphere atmospheres" },

	{ { "°C", "degC", DIM_TEMPERATURE, 1, 273.15, 1 },
	  "c celsius celcius centigrade degreec degreesc degcelsius degreecelsius "
	  "degreescelsius" },
	{ { "°F", "degF", DIM_TEMPERATURE, 5.0 / 9, 459.67 * 5 / 9, 0 },
	  "f fahrenheit degreef degreesf degfahrenheit degreefahrenheit "
	  "degreesfahrenheit" },
	{ { "K", "K", DIM_TEMPERATURE, 1, 0, 1 }, "kelvin degk" },

	{ { "kg/s", "kg/s", DIM_MASS_FLOW, 1, 0, 4 }, "kg/sec kgs" },
	{ { "kg/min", "kg/min", DIM_MASS_FLOW, 1.0 / 60, 0, 2 }, "" },
	{ { "kg/h", "kg/h", DIM_MASS_FLOW, 1.0 / 3600, 0, 1 }, "kg/hr kgh kgph" },
	{ { "g/s", "g/s", DIM_MASS_FLOW, 1e-3, 0, 1 },
	  "g/sec gm/s gm/sec gms/sec grams/s grams/sec gramspersecond" },
	{ { "g/min", "g/min", DIM_MASS_FLOW, 1e-3 / 60, 0, 1 }, "gm/min" },
	{ { "mg/s", "mg/s", DIM_MASS_FLOW, 1e-6, 0, 1 }, "mg/sec" },
	{ { "lb/min", "lb/min", DIM_MASS_FLOW, LB / 60, 0, 2 },
	  "lbs/min lbmin lbm/min" },
	{ { "lb/h", "lb/h", DIM_MASS_FLOW, LB / 3600, 0, 1 },
	  "lb/hr lbs/h lbs/hr lbm/h lbm/hr pph" },

	{ { "m³/s", "m3/s", DIM_VOLUME_FLOW, 1, 0, 4 }, "m3/sec" },
	{ { "m³/h", "m3/h", DIM_VOLUME_FLOW, 1.0 / 3600, 0, 1 }, "m3/hr" },
	{ { "L/h", "L/h", DIM_VOLUME_FLOW, 1e-3 / 3600, 0, 1 },
	  "l/hr lph litres/hour liters/hour litres/h liters/h" },
	{ { "L/min", "L/min", DIM_VOLUME_FLOW, 1e-3 / 60, 0, 2 }, "lpm" },
	{ { "gal/h", "gal/h", DIM_VOLUME_FLOW, GALLON / 3600, 0, 2 },
	  "gal/hr gph usgal/h usgal/hr gallons/hour gallons/h" },
	{ { "gal/min", "gal/min", DIM_VOLUME_FLOW, GALLON / 60, 0, 3 }, "gpm usgal/min" },
	{ { "cc/min", "cc/min", DIM_VOLUME_FLOW, 1e-6 / 60, 0, 0 },
	  "cm3/min ml/min ccm ccpm ccmin" },
	{ { "ft³/min", "ft3/min", DIM_VOLUME_FLOW, FOOT * FOOT * FOOT / 60, 0, 0 }, "cfm" },

	{ { "°", "deg", DIM_ANGLE, 1, 0, 1 },
	  "degree degrees degs degca degcrank degreescrank crankdeg crankdegrees btdc "
	  "degkw degbtdc degreesbtdc degreebtdc dbtdc degcrk" },
	{ { "rad", "rad", DIM_ANGLE, 180 / PI, 0, 3 }, "radian radians" },

	{ { "V", "V", DIM_VOLTAGE, 1, 0, 2 }, "volt volts vdc" },
	{ { "mV", "mV", DIM_VOLTAGE, 1e-3, 0, 0 }, "millivolt millivolts" },

	{ { "A", "A", DIM_CURRENT, 1, 0, 2 }, "amp amps ampere amperes" },
	{ { "mA", "mA", DIM_CURRENT, 1e-3, 0, 1 }, "milliamp milliamps" },

	{ { "Nm", "Nm", DIM_TORQUE, 1, 0, 0 },
	  "newtonmeter newtonmeters newtonmetre newtonmetres" },
	{ { "lbf ft", "lbf ft", DIM_TORQUE, LB * G0 * FOOT, 0, 0 },
	  "lbft ftlb lbsft ftlbs ftlbf lb/ft ft/lb lbs/ft ft/lbs footpound footpounds "
	  "poundfoot poundfeet poundsfeet" },
	{ { "lbf in", "lbf in", DIM_TORQUE, LB * G0 * INCH, 0, 0 }, "lbin inlb inlbs inlbf" },
	{ { "kgf m", "kgf m", DIM_TORQUE, G0, 0, 1 }, "kgm mkg mkgf kpm mkp" },

	{ { "W", "W", DIM_POWER, 1, 0, 0 }, "watt watts" },
	{ { "kW", "kW", DIM_POWER, 1000, 0, 1 }, "kilowatt kilowatts" },
	{ { "hp", "hp", DIM_POWER, 550 * FOOT * LB * G0, 0, 0 },
	  "bhp whp horsepower" },
	{ { "PS", "PS", DIM_POWER, 75 * G0, 0, 0 }, "metrichp hpmetric hpm cv" },

	{ { "Hz", "Hz", DIM_FREQUENCY, 1, 0, 1 }, "hertz" },
	{ { "kHz", "kHz", DIM_FREQUENCY, 1000, 0, 3 }, "kilohertz" },

	{ { "g/rev", "g/rev", DIM_MASS_PER_TURN, 1e-3, 0, 2 }, "gm/rev grams/rev" },
	{ { "mg/rev", "mg/rev", DIM_MASS_PER_TURN, 1e-6, 0, 0 }, "" },
	{ { "g/stroke", "g/stroke", DIM_MASS_PER_STROKE, 1e-3, 0, 3 },
	  "g/str g/stk g/cyl g/cylinder" },
	{ { "mg/stroke", "mg/stroke", DIM_MASS_PER_STROKE, 1e-6, 0, 0 },
	  "mg/str mg/stk mg/st mg/cyl mg/cylinder mg/cycle" },
};

#define COUNT (sizeof(table) / sizeof(table[0]))

/* Texts in which the letter case says that it is another unit, or none. */
static const char *const refused[] = {
	"MV", "Mv",	/* megavolt */
	"mPa",		/* millipascal */
	"kN",		/* kilonewton */
	"k",		/* thousands */
};

/* What characters outside ASCII, and a few inside, stand for in a unit. */
static const struct {
	uint32_t cp;
	const char *plain;
} characters[] = {
	{ 0x00b0, "deg" }, { 0x00ba, "deg" }, { 0x02da, "deg" },
	{ TEXT_REPLACEMENT, "deg" },	/* what a broken degree sign has become */
	{ 0x2103, "degc" }, { 0x2109, "degf" }, { 0x212a, "k" },
	{ 0x00b2, "2" }, { 0x00b3, "3" }, { 0x00b9, "1" }, { 0x2082, "2" },
	{ 0x00b5, "u" }, { 0x03bc, "u" }, { 0x03bb, "lambda" }, { 0x039b, "lambda" },
	{ 0x2044, "/" }, { 0x2215, "/" }, { '"', "in" }, { 0x2033, "in" },

	/* Blanks, dots, dashes, signs of multiplication and brackets say nothing. */
	{ ' ', "" }, { '.', "" }, { '*', "" }, { '-', "" }, { '^', "" }, { ',', "" },
	{ '(', "" }, { ')', "" }, { '[', "" }, { ']', "" }, { '{', "" }, { '}', "" },
	{ 0x00a0, "" }, { 0x2009, "" }, { 0x202f, "" }, { 0x00b7, "" }, { 0x22c5, "" },
	{ 0x2022, "" }, { 0x00d7, "" }, { 0x2010, "" }, { 0x2011, "" }, { 0x2013, "" },
	{ 0x2212, "" }, { 0x207b, "" },
	{ 0x00c2, "" },		/* before a degree sign that was decoded twice */
};

/* Endings that say what a pressure is measured from; the longer first. */
static const struct {
	const char *ending;
	int gauge;
} references[] = {
	{ "absolute", -1 }, { "abs", -1 }, { "a", -1 },
	{ "relative", 1 }, { "gauge", 1 }, { "gage", 1 }, { "rel", 1 }, { "g", 1 },
};

static const struct {
	enum dimension dim;
	const char *base;	/* factor 1, offset 0 */
	const char *metric;
	const char *us;
} dimensions[] = {
	{ DIM_NONE, "", NULL, NULL },
	{ DIM_RATIO, "1", NULL, NULL },
	{ DIM_TIME, "s", NULL, NULL },
	{ DIM_ANGULAR_SPEED, "rpm", "rpm", "rpm" },
	{ DIM_SPEED, "m/s", "km/h", "mph" },
	{ DIM_ACCELERATION, "m/s2", "m/s2", "g" },
	{ DIM_LENGTH, "m", "m", "ft" },
	{ DIM_MASS, "kg", "kg", "lb" },
	{ DIM_PRESSURE, "Pa", "kPa", "psi" },
	{ DIM_TEMPERATURE, "K", "degC", "degF" },
	{ DIM_MASS_FLOW, "kg/s", "g/s", "lb/min" },
	{ DIM_VOLUME_FLOW, "m3/s", "L/h", "gal/h" },
	{ DIM_ANGLE, "deg", "deg", "deg" },
	{ DIM_VOLTAGE, "V", NULL, NULL },
	{ DIM_CURRENT, "A", NULL, NULL },
	{ DIM_TORQUE, "Nm", "Nm", "lbf ft" },
	{ DIM_POWER, "W", "kW", "hp" },
	{ DIM_FREQUENCY, "Hz", NULL, NULL },
	{ DIM_MASS_PER_TURN, "kg/rev", NULL, NULL },
	{ DIM_MASS_PER_STROKE, "kg/stroke", NULL, NULL },
};

#define LENGTH(a) (sizeof(a) / sizeof((a)[0]))

/* What stands for the character; NULL for one that no unit has. */
static const char *plain_character(uint32_t cp)
{
	size_t i;

	for (i = 0; i < LENGTH(characters); i++)
		if (characters[i].cp == cp)
			return characters[i].plain;
	return NULL;
}

static bool is_kept(uint32_t cp)
{
	return (cp >= 'a' && cp <= 'z') || (cp >= '0' && cp <= '9') ||
	       cp == '/' || cp == '%' || cp == ':';
}

/*
 * Lower case, without what says nothing; `low_line` stands for '_' (0: nothing).
 * False when a character is in no unit, and when too much or nothing remains.
 */
static bool normalise(char out[SPELLING], const char *text, char low_line)
{
	const size_t n = strlen(text);
	size_t used = 0;
	size_t i = 0;
	uint32_t cp;

	out[0] = '\0';
	while (i < n) {
		char one[2] = { '\0', '\0' };
		const char *add = one;
		size_t len;

		i += text_decode(text + i, n - i, &cp);
		if (cp >= 'A' && cp <= 'Z')
			cp += 'a' - 'A';
		if (cp == '_')
			one[0] = low_line;
		else if (is_kept(cp))
			one[0] = (char)cp;
		else
			add = plain_character(cp);
		len = add == NULL ? SPELLING : strlen(add);
		if (used + len >= SPELLING)
			return false;
		memcpy(out + used, add, len + 1);
		used += len;
	}
	return used > 0;
}

/* Is it the unit's own name?  Most are ruled out by their first letter. */
static bool is_own_name(const struct unit *u, const char *spelling)
{
	const char first = u->ascii[0];
	char own[SPELLING];

	if ((first >= 'A' && first <= 'Z' ? first - 'A' + 'a' : first) != spelling[0])
		return false;
	return normalise(own, u->ascii, 0) && strcmp(own, spelling) == 0;
}

static const struct unit *find_spelling(const char *spelling)
{
	const size_t n = strlen(spelling);
	size_t i;

	for (i = 0; i < COUNT; i++)
		if (is_own_name(&table[i].unit, spelling) ||
		    text_has_word(table[i].spellings, spelling, n))
			return &table[i].unit;
	return NULL;
}

static bool is_refused(const char *text)
{
	size_t i;

	for (i = 0; i < LENGTH(refused); i++)
		if (strcmp(text, refused[i]) == 0)
			return true;
	return false;
}

/* "psig", "barabs": the pressure without its ending. */
static const struct unit *find_referenced(char *spelling, int *gauge)
{
	const size_t n = strlen(spelling);
	size_t i;

	for (i = 0; i < LENGTH(references); i++) {
		const size_t len = strlen(references[i].ending);
		const struct unit *u;

		if (len >= n || strcmp(spelling + n - len, references[i].ending) != 0)
			continue;
		spelling[n - len] = '\0';
		u = find_spelling(spelling);
		if (u != NULL && u->dim == DIM_PRESSURE) {
			*gauge = references[i].gauge;
			return u;
		}
		memcpy(spelling + n - len, references[i].ending, len);
	}
	return NULL;
}

const struct unit *unit_find(const char *text, int *gauge)
{
	char spelling[SPELLING];
	const struct unit *u;
	int reference = 0;

	if (gauge != NULL)
		*gauge = 0;
	if (text == NULL || is_refused(text))
		return NULL;
	/* "g_s", where a name has no room for '/', comes before "gs". */
	u = normalise(spelling, text, '/') ? find_spelling(spelling) : NULL;
	if (u == NULL && normalise(spelling, text, 0)) {
		u = find_spelling(spelling);
		if (u == NULL)
			u = find_referenced(spelling, &reference);
	}
	if (gauge != NULL)
		*gauge = reference;
	return u;
}

double unit_convert(double v, const struct unit *from, const struct unit *to)
{
	if (from == NULL || to == NULL || from->dim != to->dim)
		return NAN;
	if (from->factor == to->factor && from->offset == to->offset)
		return v;
	return (v * from->factor + (from->offset - to->offset)) / to->factor;
}

void unit_convert_all(double *v, size_t n, const struct unit *from, const struct unit *to)
{
	double factor, shift, whole;
	size_t i;

	if (from == NULL || to == NULL || from->dim != to->dim) {
		for (i = 0; i < n; i++)
			v[i] = NAN;
		return;
	}
	if (from->factor == to->factor && from->offset == to->offset)
		return;
	factor = from->factor;
	shift = from->offset - to->offset;
	whole = to->factor;
	for (i = 0; i < n; i++)
		v[i] = (v[i] * factor + shift) / whole;
}

double unit_convert_delta(double v, const struct unit *from, const struct unit *to)
{
	if (from == NULL || to == NULL || from->dim != to->dim)
		return NAN;
	return from->factor == to->factor ? v : v * from->factor / to->factor;
}

const struct unit *unit_preferred(enum dimension dim, enum unit_system system)
{
	size_t i;

	if (system == UNITS_FILE)
		return NULL;
	for (i = 0; i < LENGTH(dimensions); i++)
		if (dimensions[i].dim == dim)
			return unit_find(system == UNITS_US ? dimensions[i].us :
					 dimensions[i].metric, NULL);
	return NULL;
}

const char *unit_base_name(enum dimension dim)
{
	size_t i;

	for (i = 0; i < LENGTH(dimensions); i++)
		if (dimensions[i].dim == dim)
			return dimensions[i].base;
	return "";
}

size_t unit_count(void)
{
	return COUNT;
}

const struct unit *unit_by_index(size_t i)
{
	return i < COUNT ? &table[i].unit : NULL;
}
