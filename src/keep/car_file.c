/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * car.ini.  The ranges tell a slip of the pen or of the unit from a car; they are common
 * practice, no source.
 */
#include "keep/car_file.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/ini.h"
#include "base/mem.h"
#include "base/num.h"
#include "base/text.h"
#include "data/unit.h"
#include "keep/field.h"

#define FLOW_UNIT "kg/s"
#define LEAST_FLOW 0.005		/* kg/s */
#define MOST_FLOW 3.0

struct reader {
	struct car car;
	const struct unit *flow_unit;
};

static enum err_code set_injection(const struct field *f, void *into, const char *value,
				   struct err *why)
{
	struct reader *r = into;

	if (text_casecmp(value, "port") == 0)
		r->car.injection = INJECTION_PORT;
	else if (text_casecmp(value, "direct") == 0)
		r->car.injection = INJECTION_DIRECT;
	else
		return err_set(why, ERR_FORMAT, "%s: '%s' is neither port nor direct; use one of "
			       "them or leave the line out.", f->key, value);
	return ERR_NONE;
}

static enum err_code set_flow_unit(const struct field *f, void *into, const char *value,
				   struct err *why)
{
	struct reader *r = into;
	const struct unit *unit = unit_find(value, NULL);

	if (unit == NULL || unit->dim != DIM_MASS_FLOW)
		return err_set(why, ERR_FORMAT, "%s: '%s' is no unit of mass flow; use kg/s, g/s "
			       "or lb/min.", f->key, value);
	r->flow_unit = unit;
	return ERR_NONE;
}

/* One "RATIO:FLOW" of n bytes; the flow in the file's unit. */
static enum err_code add_edge_point(const struct field *f, struct car_edge *edge,
				    const char *text, size_t n, struct err *why)
{
	const char *colon = memchr(text, ':', n);
	const size_t at = edge->n;
	enum err_code code;

	if (at == CAR_EDGE_POINTS)
		return err_set(why, ERR_FORMAT, "%s: more than %d points; leave some out.", f->key,
			       CAR_EDGE_POINTS);
	if (colon == NULL ||
	    !num_parse(colon + 1, n - (size_t)(colon + 1 - text), '.', &edge->flow[at], NULL))
		return err_set(why, ERR_FORMAT, "%s: '%.*s' is not PRESSURE RATIO:FLOW; write "
			       "1.8:0.21, 2.2:0.24 (the decimal mark is a point).", f->key,
			       (int)n, text);
	code = field_parse(&edge->ratio[at], f, "edge, pressure ratio", text,
			   (size_t)(colon - text), why);
	if (code != ERR_NONE)
		return code;
	if (at > 0 && edge->ratio[at] <= edge->ratio[at - 1])
		return err_set(why, ERR_FORMAT, "%s: '%.*s': pressure ratios must rise from point "
			       "to point; put them in order.", f->key, (int)n, text);
	edge->n++;
	return ERR_NONE;
}

static enum err_code set_edge(const struct field *f, void *into, const char *value,
			      struct err *why)
{
	struct car_edge *edge = &((struct reader *)into)->car.edge;
	enum err_code code = ERR_NONE;

	while (code == ERR_NONE) {
		const size_t n = strcspn(value, ",");

		code = add_edge_point(f, edge, value, n, why);
		if (value[n] == '\0')
			break;
		value += n + 1;
	}
	return code;
}

#define NUMBER(section, key, member, least, most) \
	{ section, key, field_number, offsetof(struct reader, car.member), least, most }
#define GEAR(number) NUMBER("gears", #number, gear[number], 0.2, 8.0)

static const struct field fields[] = {
	{ "car", "name", field_text, offsetof(struct reader, car.name), 0, 0 },
	NUMBER("car", "mass_kg", mass_kg, 200, 5000),
	NUMBER("car", "drag_area_m2", drag_area_m2, 0.1, 3),
	NUMBER("car", "rolling", rolling, 0.001, 0.1),
	NUMBER("car", "tyre_radius_m", tyre_radius_m, 0.15, 0.7),
	NUMBER("car", "driveline_efficiency", driveline_efficiency, 0.5, 1),
	NUMBER("car", "rotating_fixed", rotating_fixed, 0, 0.5),
	NUMBER("car", "rotating_engine", rotating_engine, 0, 0.05),
	NUMBER("car", "redline_rpm", redline_rpm, 2000, 20000),
	NUMBER("car", "displacement_l", displacement_l, 0.2, 10),
	{ "car", "injection", set_injection, 0, 0, 0 },
	NUMBER("car", "turbo_speed_rpm", turbo_speed_rpm, 20000, 400000),
	GEAR(1), GEAR(2), GEAR(3), GEAR(4), GEAR(5),
	GEAR(6), GEAR(7), GEAR(8), GEAR(9), GEAR(10),
	NUMBER("gears", "final", final_drive, 0.5, 10),
	NUMBER("compressor", "pressure_ratio", pressure_ratio, 1.1, 8),
	NUMBER("compressor", "inlet_loss_kpa", inlet_loss_kpa, 0, 30),
	NUMBER("compressor", "reference_c", reference_c, -20, 60),
	NUMBER("compressor", "reference_kpa", reference_kpa, 80, 110),
	{ "compressor", "flow_unit", set_flow_unit, 0, 0, 0 },
	{ "compressor", "edge", set_edge, 0, 1, 8 },
};

/* The line of a key that is in the file. */
static size_t line_of(const struct ini *ini, const char *section, const char *key)
{
	size_t i;

	for (i = 0; i < ini->count; i++)
		if (text_casecmp(ini->sections[i].name, section) == 0)
			return ini_find(&ini->sections[i], key)->line;
	return 0;
}

static enum err_code convert_edge(struct reader *r, const struct ini *ini, struct err *e)
{
	struct car_edge *edge = &r->car.edge;
	const struct unit *to = unit_find(FLOW_UNIT, NULL);
	char least[NUM_TEXT], most[NUM_TEXT], got[NUM_TEXT];
	size_t i;

	for (i = 0; i < edge->n; i++) {
		const double flow = edge->flow[i];

		edge->flow[i] = unit_convert(flow, r->flow_unit, to);
		if (edge->flow[i] >= LEAST_FLOW && edge->flow[i] <= MOST_FLOW)
			continue;
		return ini_error(ini, line_of(ini, "compressor", "edge"), e, "edge: a flow of %s "
				 "%s is out of reason; it must lie from %s to %s %s (flow_unit "
				 "says which unit).", num_exact(got, flow), r->flow_unit->ascii,
				 num_exact(least, LEAST_FLOW), num_exact(most, MOST_FLOW), to->ascii);
	}
	return ERR_NONE;
}

static enum err_code check_gears(const struct car *c, const struct ini *ini, struct err *e)
{
	char key[NUM_TEXT];
	int before = 0;
	int i;

	for (i = 1; i <= CAR_GEARS; i++) {
		if (isnan(c->gear[i]))
			continue;
		if (before > 0 && c->gear[i] >= c->gear[before])
			return ini_error(ini, line_of(ini, "gears", num_fixed(key, i, 0)), e,
					 "Gear %d is not longer than gear %d; its ratio must be "
					 "smaller.", i, before);
		before = i;
	}
	return ERR_NONE;
}

enum err_code car_read(struct car *c, const char *path, struct err *e)
{
	struct reader r = { .flow_unit = unit_find(FLOW_UNIT, NULL) };
	struct ini ini = INI_INIT;
	enum err_code code;

	car_init(&r.car);
	code = ini_read(&ini, path, e);
	if (code == ERR_NONE)
		code = fields_read(&ini, fields, sizeof fields / sizeof fields[0], &r, e);
	if (code == ERR_NONE)
		code = convert_edge(&r, &ini, e);
	if (code == ERR_NONE)
		code = check_gears(&r.car, &ini, e);
	if (code == ERR_NONE) {
		car_release(c);
		*c = r.car;
		c->path = mem_strdup(path);
	} else {
		car_release(&r.car);
	}
	ini_release(&ini);
	return code;
}
