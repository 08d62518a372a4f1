/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Header cells split into the name of a channel and its unit. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "data/recognise.h"

Suite *recognise_split_suite(void);

static const struct {
	const char *header;
	const char *name;
	const char *unit;
} headers[] = {
	{ "Boost (psi)", "Boost", "psi" }, { "Boost [psi]", "Boost", "psi" },
	{ "Boost {psi}", "Boost", "psi" }, { "Boost(psi)", "Boost", "psi" },
	{ "Boost_psi", "Boost", "psi" }, { "Boost psi", "Boost", "psi" },
	{ "Boost, psi", "Boost", "psi" }, { "Boost-psi", "Boost", "psi" },
	{ "Boost/psi", "Boost", "psi" }, { "Boost - psi", "Boost", "psi" },
	{ "BoostKPa", "Boost", "KPa" }, { "  Boost ( psi ) ", "Boost", "psi" },
	{ "Boost (psi (g))", "Boost", "psi (g)" }, { "Boost bar abs", "Boost", "bar abs" },
	{ "ENGINE_RPM ()", "ENGINE_RPM", "" }, { "ENGINE_RPM", "ENGINE_RPM", "" },
	{ "RPM", "RPM", "" }, { "Engine RPM", "Engine RPM", "" }, { "Turbo RPM", "Turbo RPM", "" },
	{ "Engine RPM[RPM]", "Engine RPM", "RPM" }, { "Engine speed RPM", "Engine speed", "RPM" },
	{ "Speed km/h", "Speed", "km/h" }, { "Speed_km_h", "Speed", "km_h" },
	{ "Speed (GPS) [km/h]", "Speed (GPS)", "km/h" }, { "Speed (GPS)", "Speed (GPS)", "" },
	{ "Speed (GPS) km/h", "Speed (GPS)", "km/h" },
	{ "MAP_kPa", "MAP", "kPa" }, { "MAP V", "MAP V", "" }, { "MAP (V)", "MAP", "V" },
	{ "Oil Temp °C", "Oil Temp", "°C" }, { "Oil Temp°C", "Oil Temp", "°C" },
	{ "Oil Temp C", "Oil Temp", "C" }, { "OilTempC", "OilTemp", "C" },
	{ "Vitamin C", "Vitamin C", "" }, { "Model T", "Model T", "" },
	{ "Lambda (λ)", "Lambda", "λ" }, { "Knock (deg) cyl 2", "Knock cyl 2", "deg" },
	{ "Gear Ratio", "Gear Ratio", "" }, { "Air Fuel Ratio", "Air Fuel Ratio", "" },
	{ "Knock count", "Knock count", "" }, { "Target AFR", "Target AFR", "" },
	{ "Long G", "Long", "G" }, { "Accel X g", "Accel X", "g" },
	{ "Torque lb-ft", "Torque", "lb-ft" }, { "Torque (N·m)", "Torque", "N·m" },
	{ "Engine speed 1/min", "Engine speed", "1/min" }, { "EGT (1)", "EGT (1)", "" },
	{ "Injector Duty (Cyl 1) [%]", "Injector Duty (Cyl 1)", "%" },
	{ "Injector Duty %", "Injector Duty", "%" }, { "Duty%", "Duty", "%" },
	{ "Knock Retard 1", "Knock Retard 1", "" }, { "Counter (events)", "Counter", "events" },
	{ "Slope [rpm/s]", "Slope", "rpm/s" }, { "A/C", "A/C", "" }, { "A/F", "A/F", "" },
	{ "Boost (actual)", "Boost (actual)", "" }, { "Time(s)", "Time", "s" },
	{ "Timestamp(ms)", "Timestamp", "ms" }, { "Time_ms", "Time", "ms" },
	{ "Time [hh:mm:ss.fff]", "Time", "hh:mm:ss.fff" }, { "", "", "" }, { "   ", "", "" },
	{ "()", "()", "" }, { "[psi]", "[psi]", "psi" }, { "psi", "psi", "" }, { "%", "%", "" },
	{ "_", "_", "" }, { ")(", ")(", "" }, { "Boost (psi", "Boost", "(psi" },
	{ "Boost psi)", "Boost", "psi)" }, { "((psi))", "((psi))", "(psi)" },
	{ "x (psi) (kPa)", "x (psi)", "kPa" },
};

START_TEST(splits_name_and_unit)
{
	char *name;
	char *unit;

	recognise_split(headers[_i].header, &name, &unit);
	ck_assert_msg(strcmp(name, headers[_i].name) == 0, "'%s' name '%s', want '%s'",
		      headers[_i].header, name, headers[_i].name);
	ck_assert_msg(strcmp(unit, headers[_i].unit) == 0, "'%s' unit '%s', want '%s'",
		      headers[_i].header, unit, headers[_i].unit);
	free(name);
	free(unit);
}
END_TEST

/* Bytes of all kinds: both parts come back, and nothing is read beyond the end. */
START_TEST(takes_any_bytes)
{
	char header[24];
	unsigned seed = 12345;
	int run;

	for (run = 0; run < 4000; run++) {
		static const char set[] = "()[]{}_-/ ,.%1aZC\xc2\xb0\xce\xbb\xff\x80psiV";
		char *name;
		char *unit;
		size_t i;

		for (i = 0; i < sizeof(header) - 1; i++) {
			seed = seed * 1103515245u + 12345u;
			header[i] = set[(seed >> 16) % (sizeof(set) - 1)];
		}
		header[(seed >> 8) % sizeof(header)] = '\0';
		header[sizeof(header) - 1] = '\0';
		recognise_split(header, &name, &unit);
		ck_assert_uint_le(strlen(name), strlen(header));
		ck_assert_uint_le(strlen(unit), strlen(header));
		recognise_name(name);
		free(name);
		free(unit);
	}
}
END_TEST

Suite *recognise_split_suite(void)
{
	Suite *s = suite_create("recognise_split");
	TCase *t = tcase_create("split");

	tcase_add_loop_test(t, splits_name_and_unit, 0, sizeof(headers) / sizeof(headers[0]));
	tcase_add_test(t, takes_any_bytes);
	suite_add_tcase(s, t);
	return s;
}
