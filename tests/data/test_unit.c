/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Units: factors against their definitions, spellings, conversion. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "data/quantity.h"
#include "data/unit.h"

Suite *unit_suite(void);

#define REL 1e-12

/*
 * NIST SP 811 (2008) appendix B and NIST Handbook 44 appendix C; the figures follow
 * from the exact definitions lb = 0.45359237 kg, in = 0.0254 m, ft = 0.3048 m,
 * g0 = 9.80665 m/s2, US gallon = 231 in3, conventional mercury 13595.1 kg/m3.
 */
static const struct {
	double value;
	const char *from;
	const char *to;
	double want;
} factors[] = {
	{ 1, "psi", "Pa", 6894.757293168362 },
	{ 1, "psi", "bar", 0.06894757293168362 },
	{ 1, "psi", "inHg", 2.036020677317793 },
	{ 1, "bar", "kPa", 100 },
	{ 1, "inHg", "Pa", 3386.388640341 },
	{ 1, "mmHg", "Pa", 133.322387415 },
	{ 1, "torr", "Pa", 133.3223684210526 },
	{ 101.325, "kPa", "psi", 14.69594877551345 },
	{ 101.325, "kPa", "inHg", 29.92125557974848 },
	{ 1, "atm", "Pa", 101325 },
	{ 1, "kgf/cm2", "Pa", 98066.5 },
	{ 1, "hp", "W", 745.6998715822702 },
	{ 1, "PS", "W", 735.49875 },
	{ 1, "hp", "PS", 1.0138696654242163 },
	{ 1, "lbf ft", "Nm", 1.3558179483314004 },
	{ 250, "lbf ft", "Nm", 338.9544870828501 },
	{ 300, "hp", "kW", 223.7099614746811 },
	{ 300, "hp", "PS", 304.16089962726496 },
	{ 1, "mph", "m/s", 0.44704 },
	{ 1, "mph", "km/h", 1.609344 },
	{ 1, "km/h", "m/s", 0.2777777777777778 },
	{ 1, "kn", "km/h", 1.852 },
	{ 1, "lb/min", "g/s", 7.559872833333333 },
	{ 1, "kg/h", "g/s", 0.2777777777777778 },
	{ 1, "gal/h", "L/h", 3.785411784 },
	{ 1, "cc/min", "L/h", 0.06 },
	{ 402.336, "m", "mi", 0.25 },
	{ 201.168, "m", "mi", 0.125 },
	{ 60, "ft", "m", 18.288 },
	{ 200, "degF", "degC", 93.33333333333333 },
	{ 95, "degC", "degF", 203 },
	{ -40, "degF", "degC", -40 },
	{ 0, "degC", "K", 273.15 },
	{ 1, "g", "m/s2", 9.80665 },
	{ 1, "krpm", "rpm", 1000 },
	{ 1, "1/s", "rpm", 60 },
	{ 1, "rad/s", "rpm", 9.549296585513720 },
	{ 180, "deg", "rad", 3.141592653589793 },
	{ 1, "lb", "kg", 0.45359237 },
	{ 1, "%", "1", 0.01 },
	{ 14.7, "afr", "1", 14.7 },
	{ 1, "min", "ms", 60000 },
	{ 1, "h", "s", 3600 },
	{ 1, "mg/stroke", "g/stroke", 1e-3 },
	{ 250, "mV", "V", 0.25 },
};

static const struct unit *need_unit(const char *text)
{
	const struct unit *u = unit_find(text, NULL);

	ck_assert_msg(u != NULL, "unit '%s' not found", text);
	return u;
}

START_TEST(converts_as_defined)
{
	const double got = unit_convert(factors[_i].value, need_unit(factors[_i].from),
					need_unit(factors[_i].to));

	ck_assert_msg(fabs(got - factors[_i].want) <= REL * fabs(factors[_i].want),
		      "%.17g %s is %.17g %s, want %.17g", factors[_i].value, factors[_i].from,
		      got, factors[_i].to, factors[_i].want);
}
END_TEST

/* 400 N m at 5000 rpm are 209.4395102393195 kW: P = M omega, in the table's own bases. */
START_TEST(torque_and_speed_make_power)
{
	const double w = 400 * need_unit("Nm")->factor * 5000 / need_unit("rad/s")->factor;

	ck_assert_double_eq_tol(w / need_unit("kW")->factor, 209.4395102393195, 1e-10);
	ck_assert_double_eq_tol(w / need_unit("hp")->factor, 280.8630096648915, 1e-10);
}
END_TEST

static const struct {
	const char *text;
	const char *unit;
	int gauge;
} spellings[] = {
	{ "kPa", "kPa", 0 }, { "KPA", "kPa", 0 }, { "kpa", "kPa", 0 }, { " kPa ", "kPa", 0 },
	{ "kPa abs", "kPa", -1 }, { "kPa(abs)", "kPa", -1 }, { "kPa absolute", "kPa", -1 },
	{ "kPag", "kPa", 1 }, { "kPa gauge", "kPa", 1 }, { "kPa (rel)", "kPa", 1 },
	{ "psi", "psi", 0 }, { "PSI", "psi", 0 }, { "psia", "psi", -1 }, { "psig", "psi", 1 },
	{ "PSI (g)", "psi", 1 }, { "psi(a)", "psi", -1 }, { "psi abs.", "psi", -1 },
	{ "psi_g", "psi", 1 }, { "lb/in²", "psi", 0 }, { "lbf/in^2", "psi", 0 },
	{ "bar", "bar", 0 }, { "Bar", "bar", 0 }, { "bar abs", "bar", -1 }, { "bara", "bar", -1 },
	{ "barg", "bar", 1 }, { "bar(g)", "bar", 1 }, { "mbar", "mbar", 0 }, { "MBAR", "mbar", 0 },
	{ "mbar abs", "mbar", -1 }, { "hPa", "hPa", 0 }, { "MPa", "MPa", 0 }, { "MPA", "MPa", 0 },
	{ "Mpa", "MPa", 0 }, { "Pa", "Pa", 0 }, { "inHg", "inHg", 0 }, { "in Hg", "inHg", 0 },
	{ "\"Hg", "inHg", 0 }, { "in.Hg", "inHg", 0 }, { "inHg abs", "inHg", -1 },
	{ "mmHg", "mmHg", 0 }, { "mm Hg", "mmHg", 0 }, { "torr", "torr", 0 }, { "atm", "atm", 0 },
	{ "kg/cm2", "kgf/cm2", 0 }, { "kgf/cm²", "kgf/cm2", 0 }, { "inH2O", "inH2O", 0 },

	{ "degC", "degC", 0 }, { "deg C", "degC", 0 }, { "deg. C", "degC", 0 },
	{ "°C", "degC", 0 }, { "ºC", "degC", 0 }, { "° C", "degC", 0 }, { "C", "degC", 0 },
	{ "℃", "degC", 0 }, { "c", "degC", 0 }, { "celsius", "degC", 0 },
	{ "Celsius", "degC", 0 }, { "degrees C", "degC", 0 }, { "deg_c", "degC", 0 },
	{ "Deg Celsius", "degC", 0 }, { "\xef\xbf\xbd" "C", "degC", 0 }, { "Â°C", "degC", 0 },
	{ "°F", "degF", 0 }, { "deg F", "degF", 0 }, { "F", "degF", 0 },
	{ "Fahrenheit", "degF", 0 }, { "K", "K", 0 }, { "kelvin", "K", 0 },

	{ "km/h", "km/h", 0 }, { "kmh", "km/h", 0 }, { "KPH", "km/h", 0 }, { "kph", "km/h", 0 },
	{ "km/hr", "km/h", 0 }, { "Km/H", "km/h", 0 }, { "km_h", "km/h", 0 },
	{ "mph", "mph", 0 }, { "MPH", "mph", 0 }, { "mi/h", "mph", 0 }, { "m/s", "m/s", 0 },
	{ "knots", "kn", 0 }, { "kts", "kn", 0 }, { "kn", "kn", 0 }, { "ft/s", "ft/s", 0 },
	{ "m/s2", "m/s2", 0 }, { "m/s²", "m/s2", 0 }, { "m/s^2", "m/s2", 0 },
	{ "m/s/s", "m/s2", 0 }, { "m s-2", "m/s2", 0 }, { "m_s2", "m/s2", 0 },
	{ "g", "g", 0 }, { "G", "g", 0 }, { "gs", "g", 0 },

	{ "rpm", "rpm", 0 }, { "RPM", "rpm", 0 }, { "1/min", "rpm", 0 }, { "min-1", "rpm", 0 },
	{ "min^-1", "rpm", 0 }, { "rev/min", "rpm", 0 }, { "r/min", "rpm", 0 },
	{ "/min", "rpm", 0 }, { "krpm", "krpm", 0 }, { "rpm x 1000", "krpm", 0 },
	{ "1/s", "1/s", 0 }, { "rev/s", "1/s", 0 }, { "Hz", "Hz", 0 }, { "rad/s", "rad/s", 0 },

	{ "Nm", "Nm", 0 }, { "N·m", "Nm", 0 }, { "N m", "Nm", 0 }, { "N.m", "Nm", 0 },
	{ "N*m", "Nm", 0 }, { "NM", "Nm", 0 }, { "ft-lb", "lbf ft", 0 }, { "lb-ft", "lbf ft", 0 },
	{ "lbft", "lbf ft", 0 }, { "ft lbs", "lbf ft", 0 }, { "lbf·ft", "lbf ft", 0 },
	{ "ft.lb", "lbf ft", 0 }, { "lb ft", "lbf ft", 0 }, { "ft-lbf", "lbf ft", 0 },
	{ "kgf m", "kgf m", 0 }, { "kW", "kW", 0 }, { "KW", "kW", 0 }, { "hp", "hp", 0 },
	{ "HP", "hp", 0 }, { "bhp", "hp", 0 }, { "PS", "PS", 0 }, { "ps", "PS", 0 },
	{ "W", "W", 0 },

	{ "g/s", "g/s", 0 }, { "g/sec", "g/s", 0 }, { "gm/s", "g/s", 0 }, { "g_s", "g/s", 0 },
	{ "kg/h", "kg/h", 0 }, { "kg/hr", "kg/h", 0 }, { "lb/min", "lb/min", 0 },
	{ "lbs/min", "lb/min", 0 }, { "kg/s", "kg/s", 0 }, { "g/min", "g/min", 0 },
	{ "mg/stroke", "mg/stroke", 0 }, { "mg/stk", "mg/stroke", 0 },
	{ "mg/cyl", "mg/stroke", 0 }, { "g/rev", "g/rev", 0 },
	{ "L/h", "L/h", 0 }, { "l/h", "L/h", 0 }, { "L/hr", "L/h", 0 }, { "lph", "L/h", 0 },
	{ "gal/h", "gal/h", 0 }, { "gph", "gal/h", 0 }, { "cc/min", "cc/min", 0 },
	{ "cm³/min", "cc/min", 0 }, { "ml/min", "cc/min", 0 }, { "cfm", "ft3/min", 0 },

	{ "deg", "deg", 0 }, { "°", "deg", 0 }, { "degrees", "deg", 0 }, { "BTDC", "deg", 0 },
	{ "° BTDC", "deg", 0 }, { "°BTDC", "deg", 0 }, { "deg BTDC", "deg", 0 },
	{ "°CA", "deg", 0 }, { "deg CA", "deg", 0 }, { "°crank", "deg", 0 }, { "rad", "rad", 0 },

	{ "V", "V", 0 }, { "volts", "V", 0 }, { "Volt", "V", 0 }, { "mV", "mV", 0 },
	{ "mv", "mV", 0 }, { "A", "A", 0 }, { "mA", "mA", 0 }, { "amps", "A", 0 },

	{ "%", "%", 0 }, { "percent", "%", 0 }, { "pct", "%", 0 }, { "PCT", "%", 0 },
	{ "lambda", "lambda", 0 }, { "λ", "lambda", 0 }, { "Lambda", "lambda", 0 },
	{ "AFR", ":1", 0 }, { "afr", ":1", 0 }, { ":1", ":1", 0 }, { "ratio", "1", 0 },

	{ "s", "s", 0 }, { "sec", "s", 0 }, { "Seconds", "s", 0 }, { "S", "s", 0 },
	{ "ms", "ms", 0 }, { "MS", "ms", 0 }, { "msec", "ms", 0 }, { "µs", "us", 0 },
	{ "μs", "us", 0 }, { "us", "us", 0 }, { "min", "min", 0 }, { "h", "h", 0 },
	{ "hh:mm:ss.fff", "s", 0 }, { "m", "m", 0 }, { "km", "km", 0 }, { "ft", "ft", 0 },
	{ "mi", "mi", 0 }, { "miles", "mi", 0 }, { "kg", "kg", 0 }, { "lbs", "lb", 0 },
};

START_TEST(reads_spellings)
{
	int gauge = 9;
	const struct unit *u = unit_find(spellings[_i].text, &gauge);

	ck_assert_msg(u != NULL, "'%s' not found", spellings[_i].text);
	ck_assert_msg(strcmp(u->ascii, spellings[_i].unit) == 0, "'%s' is %s, want %s",
		      spellings[_i].text, u->ascii, spellings[_i].unit);
	ck_assert_msg(gauge == spellings[_i].gauge, "'%s' gauge %d", spellings[_i].text, gauge);
}
END_TEST

static const char *const not_units[] = {
	"", " ", "-", "...", "()", "MV", "mPa", "kN", "k", "foo", "boost", "gps", "ppm", "psi2",
	"1000", "12", "2", "Gear", "on/off", "a very long text that is surely not a unit at all",
	"degCA%", "g abs", "degC abs", "s gauge", "x", "\xff\xfe", "°°", "rpm/s",
};

START_TEST(refuses_what_is_no_unit)
{
	int gauge = 9;
	const struct unit *u = unit_find(not_units[_i], &gauge);

	ck_assert_msg(u == NULL, "'%s' is %s", not_units[_i], u == NULL ? "" : u->ascii);
	ck_assert_int_eq(gauge, 0);
}
END_TEST

START_TEST(null_is_no_unit)
{
	ck_assert_ptr_null(unit_find(NULL, NULL));
	ck_assert(isnan(unit_convert(1, NULL, need_unit("s"))));
	ck_assert(isnan(unit_convert(1, need_unit("s"), NULL)));
	ck_assert(isnan(unit_convert_delta(1, NULL, NULL)));
	ck_assert_ptr_null(unit_by_index(unit_count()));
}
END_TEST

START_TEST(every_unit_has_its_own_names)
{
	size_t i;

	for (i = 0; i < unit_count(); i++) {
		const struct unit *u = unit_by_index(i);
		const char *c;

		ck_assert_msg(unit_find(u->name, NULL) == u, "%s is another unit", u->name);
		ck_assert_msg(unit_find(u->ascii, NULL) == u, "%s is another unit", u->ascii);
		ck_assert_msg(u->factor > 0 && u->decimals >= 0 && u->decimals <= 6, "%s",
			      u->ascii);
		for (c = u->ascii; *c != '\0'; c++)
			ck_assert_msg((unsigned char)*c < 0x80, "%s", u->ascii);
	}
}
END_TEST

START_TEST(converts_there_and_back)
{
	static const double values[] = { -40, 0, 0.1, 1, 98.7, 12345.678 };
	size_t i;
	size_t j;
	size_t k;

	for (i = 0; i < unit_count(); i++) {
		for (j = 0; j < unit_count(); j++) {
			const struct unit *a = unit_by_index(i);
			const struct unit *b = unit_by_index(j);

			if (a->dim != b->dim) {
				ck_assert(isnan(unit_convert(1, a, b)));
				continue;
			}
			for (k = 0; k < sizeof(values) / sizeof(values[0]); k++) {
				const double v = values[k];
				const double back = unit_convert(unit_convert(v, a, b), b, a);

				/* Temperatures lose what the offset swallows. */
				ck_assert_double_eq_tol(back, v, 1e-13 * (fabs(v) + 500));
			}
		}
	}
}
END_TEST

START_TEST(same_unit_changes_nothing)
{
	const double v = 0.1 + 0.2;

	ck_assert(unit_convert(v, need_unit("psi"), need_unit("psi")) == v);
	ck_assert(unit_convert(v, need_unit("degF"), need_unit("degF")) == v);
	ck_assert(unit_convert(v, need_unit("hPa"), need_unit("mbar")) == v);
	ck_assert(isnan(unit_convert(NAN, need_unit("psi"), need_unit("kPa"))));
}
END_TEST

/* A rise of 18 degrees Fahrenheit is one of 10 kelvin. */
START_TEST(differences_have_no_offset)
{
	const struct unit *f = need_unit("degF");
	const struct unit *c = need_unit("degC");

	ck_assert_double_eq_tol(unit_convert_delta(18, f, c), 10, 1e-12);
	ck_assert_double_eq_tol(unit_convert_delta(10, c, f), 18, 1e-12);
	ck_assert(unit_convert_delta(5, c, need_unit("K")) == 5);
	ck_assert(isnan(unit_convert_delta(1, c, need_unit("s"))));
}
END_TEST

/* A revolution holds as many strokes as the engine wants: no factor is right. */
START_TEST(a_stroke_is_no_turn)
{
	ck_assert(isnan(unit_convert(1, need_unit("mg/stroke"), need_unit("g/rev"))));
	ck_assert(isnan(unit_convert(1, need_unit("Hz"), need_unit("1/s"))));
}
END_TEST

static const struct {
	enum dimension dim;
	const char *metric;
	const char *us;
} preferred[] = {
	{ DIM_PRESSURE, "kPa", "psi" },
	{ DIM_TEMPERATURE, "degC", "degF" },
	{ DIM_SPEED, "km/h", "mph" },
	{ DIM_TORQUE, "Nm", "lbf ft" },
	{ DIM_POWER, "kW", "hp" },
	{ DIM_MASS_FLOW, "g/s", "lb/min" },
	{ DIM_VOLUME_FLOW, "L/h", "gal/h" },
	{ DIM_LENGTH, "m", "ft" },
	{ DIM_MASS, "kg", "lb" },
	{ DIM_ANGULAR_SPEED, "rpm", "rpm" },
	{ DIM_ANGLE, "deg", "deg" },
	{ DIM_NONE, NULL, NULL },
	{ DIM_RATIO, NULL, NULL },
	{ DIM_TIME, NULL, NULL },
	{ DIM_VOLTAGE, NULL, NULL },
};

START_TEST(prefers_units_of_a_system)
{
	const enum dimension dim = preferred[_i].dim;

	ck_assert_ptr_null(unit_preferred(dim, UNITS_FILE));
	ck_assert_ptr_eq(unit_preferred(dim, UNITS_METRIC),
			 unit_find(preferred[_i].metric, NULL));
	ck_assert_ptr_eq(unit_preferred(dim, UNITS_US), unit_find(preferred[_i].us, NULL));
}
END_TEST

START_TEST(preferred_units_are_of_their_dimension)
{
	int dim;
	int system;

	for (dim = 0; dim < DIM_COUNT; dim++)
		for (system = UNITS_METRIC; system <= UNITS_US; system++) {
			const struct unit *u = unit_preferred((enum dimension)dim,
							      (enum unit_system)system);

			ck_assert(u == NULL || u->dim == (enum dimension)dim);
		}
}
END_TEST

Suite *unit_suite(void)
{
	Suite *s = suite_create("unit");
	TCase *t = tcase_create("unit");

	tcase_add_loop_test(t, converts_as_defined, 0, sizeof(factors) / sizeof(factors[0]));
	tcase_add_test(t, torque_and_speed_make_power);
	tcase_add_loop_test(t, reads_spellings, 0, sizeof(spellings) / sizeof(spellings[0]));
	tcase_add_loop_test(t, refuses_what_is_no_unit, 0,
			    sizeof(not_units) / sizeof(not_units[0]));
	tcase_add_test(t, null_is_no_unit);
	tcase_add_test(t, every_unit_has_its_own_names);
	tcase_add_test(t, converts_there_and_back);
	tcase_add_test(t, same_unit_changes_nothing);
	tcase_add_test(t, differences_have_no_offset);
	tcase_add_test(t, a_stroke_is_no_turn);
	tcase_add_loop_test(t, prefers_units_of_a_system, 0,
			    sizeof(preferred) / sizeof(preferred[0]));
	tcase_add_test(t, preferred_units_are_of_their_dimension);
	suite_add_tcase(s, t);
	return s;
}
