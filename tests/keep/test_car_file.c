/* SPDX-License-Identifier: GPL-3.0-or-later */
/* car.ini, and the edge of a compressor map. */
#include <stddef.h>

#include "judge/car.h"
#include "keep/car_file.h"
#include "keep/ini_util.h"

Suite *car_file_suite(void);

static struct ini_place place;

static void begin(void)
{
	ini_setup(&place);
}

static void end(void)
{
	ini_teardown(&place);
}

static enum err_code read_text(struct car *c, const char *text, struct err *e)
{
	put_file(place.path, text);
	return car_read(c, place.path, e);
}

static void read_well(struct car *c, const char *text)
{
	struct err e = ERR_INIT;

	ck_assert_msg(read_text(c, text, &e) == ERR_NONE, "%s", e.text);
}

#define AT(member) offsetof(struct car, member)

/* Every number: its key, its place, its range. */
static const struct {
	const char *section;
	const char *key;
	size_t offset;
	const char *least, *below;
	const char *most, *above;
} numbers[] = {
	{ "car", "mass_kg", AT(mass_kg), "200", "199", "5000", "5001" },
	{ "car", "drag_area_m2", AT(drag_area_m2), "0.1", "0.09", "3", "3.1" },
	{ "car", "rolling", AT(rolling), "0.001", "0", "0.1", "1.2" },
	{ "car", "tyre_radius_m", AT(tyre_radius_m), "0.15", "0.1", "0.7", "300" },
	{ "car", "driveline_efficiency", AT(driveline_efficiency), "0.5", "0.4", "1", "92" },
	{ "car", "redline_rpm", AT(redline_rpm), "2000", "7", "20000", "20001" },
	{ "car", "displacement_l", AT(displacement_l), "0.2", "0.1", "10", "1998" },
	{ "car", "rotating_fixed", AT(rotating_fixed), "0", "-0.01", "0.5", "1" },
	{ "car", "rotating_engine", AT(rotating_engine), "0", "-0.01", "0.05", "1" },
	{ "car", "turbo_speed_rpm", AT(turbo_speed_rpm), "20000", "165", "400000", "400001" },
	{ "gears", "1", AT(gear[1]), "0.2", "0.1", "8", "9" },
	{ "gears", "10", AT(gear[10]), "0.2", "0", "8", "9" },
	{ "gears", "final", AT(final_drive), "0.5", "0.4", "10", "11" },
	{ "compressor", "pressure_ratio", AT(pressure_ratio), "1.1", "1", "8", "300" },
	{ "compressor", "inlet_loss_kpa", AT(inlet_loss_kpa), "0", "-1", "30", "31" },
	{ "compressor", "reference_c", AT(reference_c), "-20", "-21", "60", "298" },
	{ "compressor", "reference_kpa", AT(reference_kpa), "80", "1", "110", "1013" },
};

static double stored(const char *section, const char *key, const char *value, size_t offset,
		     enum err_code *code, struct err *e)
{
	char *text = mem_printf("[%s]\n%s = %s\n", section, key, value);
	struct car c;
	double got;

	car_init(&c);
	*code = read_text(&c, text, e);
	memcpy(&got, (const char *)&c + offset, sizeof got);
	car_release(&c);
	free(text);
	return got;
}

START_TEST(numbers_have_a_range)
{
	const char *const good[] = { numbers[_i].least, numbers[_i].most };
	const char *const bad[] = { numbers[_i].below, numbers[_i].above, "x", "", "1,5" };
	enum err_code code;
	struct err e = ERR_INIT;
	size_t i;

	for (i = 0; i < COUNT(good); i++) {
		ck_assert_double_eq(stored(numbers[_i].section, numbers[_i].key, good[i],
					   numbers[_i].offset, &code, &e), strtod(good[i], NULL));
		ck_assert_int_eq(code, ERR_NONE);
	}
	for (i = 0; i < COUNT(bad); i++) {
		const struct ini_mistake m = {
			bad[i], 2, i < 2 ? "it must lie from" : "is not a number",
		};

		stored(numbers[_i].section, numbers[_i].key, bad[i], numbers[_i].offset, &code, &e);
		ini_check_told(&place, &m, code, &e);
		ck_assert_ptr_nonnull(strstr(e.text, numbers[_i].key));
	}
	ck_assert_ptr_nonnull(strstr(e.text, "decimal mark"));
}
END_TEST

START_TEST(the_whole_of_it)
{
	struct car c;
	int i;

	car_init(&c);
	ck_assert(isnan(c.mass_kg) && isnan(c.gear[3]) && isnan(c.pressure_ratio));
	ck_assert_double_eq(c.reference_c, 25);
	ck_assert_double_eq(c.reference_kpa, 100);
	ck_assert_double_eq(c.inlet_loss_kpa, 0);
	read_well(&c, "[car]\nname = club\x1b[1m hatch\ninjection = Port\nmass_kg = 1080\n"
		      "[gears]\n1 = 3.5\n2 = 2\n4 = 1\nfinal = 4.06\n");
	ck_assert_str_eq(c.path, place.path);
	ck_assert_str_eq(c.name, "club [1m hatch");
	ck_assert_int_eq(c.injection, INJECTION_PORT);
	ck_assert_double_eq(c.gear[1], 3.5);
	ck_assert_double_eq(c.gear[4], 1);
	ck_assert(isnan(c.gear[3]));
	ck_assert_uint_eq(c.edge.n, 0);

	/* Another file: nothing of the first remains. */
	read_well(&c, "[car]\ninjection = direct\n");
	ck_assert_int_eq(c.injection, INJECTION_DIRECT);
	ck_assert_ptr_null(c.name);
	ck_assert(isnan(c.mass_kg));
	for (i = 0; i <= CAR_GEARS; i++)
		ck_assert(isnan(c.gear[i]));
	car_release(&c);
	ck_assert_ptr_null(c.path);
}
END_TEST

/* 1 lb = 0.45359237 kg. */
static const struct {
	const char *text;
	double flow[2];
} edges[] = {
	{ "edge = 1.5:0.2, 2.0:0.25\n", { 0.2, 0.25 } },
	{ "flow_unit = g/s\nedge = 1.5:200, 2.0:250\n", { 0.2, 0.25 } },
	{ "edge = 1.5 : 200,2.0:250\nflow_unit = g/s\n", { 0.2, 0.25 } },
	{ "edge = 1.5:30, 2.0:34\nflow_unit = lb/min\n", { 0.226796185, 0.25703567633333333 } },
};

START_TEST(edges_convert)
{
	char *text = mem_printf("[compressor]\n%s", edges[_i].text);
	struct car c;

	car_init(&c);
	read_well(&c, text);
	ck_assert_uint_eq(c.edge.n, 2);
	ck_assert_double_eq(c.edge.ratio[0], 1.5);
	ck_assert_double_eq(c.edge.ratio[1], 2.0);
	ck_assert_double_eq_tol(c.edge.flow[0], edges[_i].flow[0], 1e-12);
	ck_assert_double_eq_tol(c.edge.flow[1], edges[_i].flow[1], 1e-12);
	car_release(&c);
	free(text);
}
END_TEST

START_TEST(edge_flow_is_linear_and_ends)
{
	const struct car_edge none = { .n = 0 };
	const struct car_edge one = { 1, { 2 }, { 0.3 } };
	const struct car_edge edge = { 3, { 1.5, 2, 3 }, { 0.2, 0.26, 0.24 } };

	ck_assert(isnan(car_edge_flow(&none, 2)));
	ck_assert_double_eq(car_edge_flow(&one, 2), 0.3);
	ck_assert(isnan(car_edge_flow(&one, 2.1)));
	ck_assert(isnan(car_edge_flow(&edge, 1.49)) && isnan(car_edge_flow(&edge, 3.01)));
	ck_assert(isnan(car_edge_flow(&edge, NAN)));
	ck_assert_double_eq(car_edge_flow(&edge, 1.5), 0.2);
	ck_assert_double_eq_tol(car_edge_flow(&edge, 1.75), 0.23, 1e-12);
	ck_assert_double_eq(car_edge_flow(&edge, 2), 0.26);
	ck_assert_double_eq_tol(car_edge_flow(&edge, 2.5), 0.25, 1e-12);
	ck_assert_double_eq(car_edge_flow(&edge, 3), 0.24);
}
END_TEST

static const struct ini_mistake mistakes[] = {
	{ "[cars]\n", 1, "no section 'cars'; did you mean car?" },
	{ "[zzz]\n", 1, "use one of: car, gears, compressor." },
	{ "mass_kg = 1000\n", 1, "'mass_kg' is in no section; put [car] before it" },
	{ "[car]\nmass = 1000\n", 2, "did you mean mass_kg?" },
	{ "[gears]\nmass_kg = 1000\n", 2, "no key 'mass_kg'; use one of: 1, 2, 3," },
	{ "[gears]\n11 = 0.5\n", 2, "no key '11'" },
	{ "[car]\n[gears]\n[car]\n", 3, "already, on line 1" },
	{ "[car]\nmass_kg = 1000\nMass_kg = 1000\n", 3, "already, on line 2" },
	{ "[car]\nname =\n", 2, "name is empty" },
	{ "[car]\ninjection = both\n", 2, "neither port nor direct" },
	{ "[gears]\n3 = 1.4\n1 = 3.5\n4 = 1.5\n", 4, "Gear 4 is not longer than gear 3" },
	{ "[compressor]\nflow_unit = psi\n", 2, "no unit of mass flow; use kg/s" },
	{ "[compressor]\nflow_unit = L/min\n", 2, "no unit of mass flow" },
	{ "[compressor]\nedge = 1.5\n", 2, "'1.5' is not PRESSURE RATIO:FLOW" },
	{ "[compressor]\nedge =\n", 2, "is not PRESSURE RATIO:FLOW" },
	{ "[compressor]\nedge = 1.5:x\n", 2, "is not PRESSURE RATIO:FLOW" },
	{ "[compressor]\nedge = x:0.2\n", 2, "edge, pressure ratio: 'x' is not a number" },
	{ "[compressor]\nedge = 0.9:0.2\n", 2, "must lie from 1 to 8" },
	{ "[compressor]\nedge = 1.5:0.2,\n", 2, "'' is not PRESSURE" },
	{ "[compressor]\nedge = 1.5:0.2, 1.5:0.3\n", 2, "must rise" },
	{ "[compressor]\n\nedge = 1.5:200\n", 3, "a flow of 200 kg/s is out of reason" },
	{ "[compressor]\nedge = 1.5:0.2\nflow_unit = lb/min\n", 2, "a flow of 0.2 lb/min" },
	{ "[compressor]\nedge = 1.5:1e999\n", 2, "out of reason" },
	{ "[compressor]\nedge = 1:1,2:1,3:1,4:1,5:1,6:1,6.1:1,6.2:1,6.3:1,6.4:1,6.5:1,6.6:1,6.7:1,"
	  "6.8:1,6.9:1,7:1,8:1\n", 2, "more than 16 points" },
	{ "[car]\nmass_kg = 1000\nname\n", 3, "Neither a [SECTION]" },
};

START_TEST(a_bad_file_changes_nothing)
{
	struct car c, before;
	struct err e = ERR_INIT;
	enum err_code code;

	car_init(&c);
	read_well(&c, "[car]\nname = the first\n[compressor]\nedge = 2:0.2\n");
	before = c;
	code = read_text(&c, mistakes[_i].text, &e);
	ini_check_told(&place, &mistakes[_i], code, &e);
	ck_assert_mem_eq(&c, &before, sizeof c);
	ck_assert_int_eq(car_read(&c, place.path, NULL), ERR_FORMAT);
	ck_assert_int_eq(car_read(&c, "/nonexistent/car.ini", &e), ERR_IO);
	ck_assert_mem_eq(&c, &before, sizeof c);
	car_release(&c);
}
END_TEST

START_TEST(the_sample_is_read)
{
	struct err e = ERR_INIT;
	struct car v;

	car_init(&v);
	ck_assert_msg(car_read(&v, SRCDIR "/samples/car.ini", &e) == ERR_NONE, "%s", e.text);
	ck_assert_int_eq(v.injection, INJECTION_DIRECT);
	ck_assert_double_eq(v.gear[6], 0.76);
	ck_assert(isnan(v.gear[7]));
	ck_assert_uint_eq(v.edge.n, 6);
	car_release(&v);
}
END_TEST

Suite *car_file_suite(void)
{
	Suite *s = suite_create("car_file");
	TCase *t = tcase_create("car_file");

	tcase_add_checked_fixture(t, begin, end);
	tcase_add_loop_test(t, numbers_have_a_range, 0, COUNT(numbers));
	tcase_add_test(t, the_whole_of_it);
	tcase_add_loop_test(t, edges_convert, 0, COUNT(edges));
	tcase_add_test(t, edge_flow_is_linear_and_ends);
	tcase_add_loop_test(t, a_bad_file_changes_nothing, 0, COUNT(mistakes));
	tcase_add_test(t, the_sample_is_read);
	suite_add_tcase(s, t);
	return s;
}
