/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The compressor against what its maker allows, and the charge air cooler behind it. */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/select.h"
#include "judge/check_fns.h"
#include "judge/check_help.h"
#include "judge/measure.h"

#define ZERO_C 273.15
#define LEAST_AIR_KPA 30.0	/* before the compressor: below, something is wrong */
#define HOT_K 40.0		/* over ambient: below, a cooler has nothing to do */

/* Pressure ratio of the compressor: outlet over inlet, both absolute; textbook, no source. */
static double pressure_ratio(double outlet_kpa, double inlet_kpa)
{
	return outlet_kpa / inlet_kpa;
}

/*
 * Corrected flow, m sqrt(T / Tref) / (p / pref): what the compressor would take in at its
 * map's reference state; textbook, no source.  Temperatures in degC, T and p at its inlet.
 */
static double corrected_flow(double flow, double temp_c, double pressure_kpa,
			     const struct car *car)
{
	return flow * sqrt((temp_c + ZERO_C) / (car->reference_c + ZERO_C)) /
	       (pressure_kpa / car->reference_kpa);
}

/* Share of the compressor's heat that the cooler takes out, in per cent; textbook, no source. */
static double effectiveness(double hot, double cooled, double air)
{
	return 100.0 * (hot - cooled) / (hot - air);
}

/* Median in the pull of what does not change in it; NaN where it is not known. */
static enum err_code load_constant(const struct scene *s, enum quantity_id id, const char *unit,
				   double *out, struct err *e)
{
	const struct channel *ch = help_channel(s, id);
	struct series v = SERIES_INIT;
	const enum err_code code = ch == NULL ? ERR_NONE : scene_load(s, ch, unit, &v, e);

	*out = code == ERR_NONE ? select_median(v.v, v.n) : NAN;
	series_release(&v);
	return code;
}

/* Absolute less gauge pressure: the air outside, as the controller has it. */
static enum err_code air_by_gauge(const struct scene *s, double *out, struct err *e)
{
	const struct channel *map = help_channel(s, Q_MAP);
	const struct channel *boost = help_channel(s, Q_BOOST);
	struct series a = SERIES_INIT, b = SERIES_INIT;
	enum err_code code = ERR_NONE;
	size_t i, n = 0;

	*out = NAN;
	if (map == NULL || boost == NULL)
		return ERR_NONE;
	code = scene_load(s, map, "kPa", &a, e);
	if (code == ERR_NONE)
		code = scene_load(s, boost, "kPa", &b, e);
	for (i = 0; code == ERR_NONE && i < a.n; i++) {
		const double air = a.v[i] - series_at(&b, a.t[i]);

		if (!isnan(air))
			a.v[n++] = air;
	}
	if (code == ERR_NONE)
		*out = select_median(a.v, n);
	series_release(&b);
	series_release(&a);
	return code;
}

/* Pressure at the compressor's inlet, kPa; NaN and a refusal where it is not known. */
static enum err_code load_inlet(const struct scene *s, double *out, struct measures *refusals,
				struct err *e)
{
	enum err_code code = load_constant(s, Q_BARO, "kPa", out, e);

	if (code == ERR_NONE && isnan(*out))
		code = air_by_gauge(s, out, e);
	if (code != ERR_NONE)
		return code;
	if (!isnan(s->car->inlet_loss_kpa))
		*out -= s->car->inlet_loss_kpa;
	if (*out > LEAST_AIR_KPA)
		return ERR_NONE;
	measures_refuse(refusals, "the pressure of the air before the compressor is not known");
	*out = NAN;
	return ERR_NONE;
}

/* Adds the series without its NaN; refuses with `why` where nothing is left. */
static void add_known(struct measures *out, const struct channel *ch, struct series *v,
		      enum check_relation relation, const char *why)
{
	measure_drop_missing(v);
	if (v->n > 0)
		measures_add(out, ch, v, relation, NULL);
	else
		measures_refuse(out, "%s", why);
}

static void refuse_unit(struct measures *out, const struct channel *ch, const char *unit)
{
	measures_refuse(out, "the unit of %s cannot be converted into %s", ch->name, unit);
}

enum err_code check_turbo_speed(const struct check *c, const struct scene *s,
				struct measures *out, struct err *e)
{
	const struct channel *ch = scene_need(c, 0, s);
	struct series v;
	enum err_code code;
	size_t i;

	if (!(s->car->turbo_speed_rpm > 0)) {
		measures_refuse(out, "the car file gives no turbo_speed_rpm");
		return ERR_NONE;
	}
	code = scene_load(s, ch, "rpm", &v, e);
	if (code != ERR_NONE)
		return code;
	for (i = 0; i < v.n; i++)
		v.v[i] *= 100.0 / s->car->turbo_speed_rpm;
	if (v.n > 0)
		measures_add(out, ch, &v, RELATION_NONE, NULL);
	else
		refuse_unit(out, ch, "rpm");
	series_release(&v);
	return ERR_NONE;
}

enum err_code check_pressure_ratio(const struct check *c, const struct scene *s,
				   struct measures *out, struct err *e)
{
	const struct channel *ch = scene_need(c, 0, s);
	struct series map;
	double inlet;
	enum err_code code;
	size_t i;

	if (!(s->car->pressure_ratio > 0)) {
		measures_refuse(out, "the car file gives no pressure_ratio");
		return ERR_NONE;
	}
	code = load_inlet(s, &inlet, out, e);
	if (code != ERR_NONE || isnan(inlet))
		return code;
	code = scene_load(s, ch, "kPa", &map, e);
	if (code != ERR_NONE)
		return code;
	for (i = 0; i < map.n; i++)
		map.v[i] = 100.0 * pressure_ratio(map.v[i], inlet) / s->car->pressure_ratio;
	if (map.n > 0)
		measures_add(out, ch, &map, RELATION_NONE, NULL);
	else
		refuse_unit(out, ch, "kPa");
	series_release(&map);
	return ERR_NONE;
}

/* Flow becomes per cent of the edge; NaN where the edge does not reach or MAP is not known. */
static void hold_against_edge(struct series *flow, const struct series *map, double inlet_kpa,
			      double air_c, const struct car *car)
{
	size_t i;

	for (i = 0; i < flow->n; i++) {
		const double ratio = pressure_ratio(series_at(map, flow->t[i]), inlet_kpa);
		const double edge = car_edge_flow(&car->edge, ratio);

		flow->v[i] = 100.0 * corrected_flow(flow->v[i], air_c, inlet_kpa, car) / edge;
	}
}

static enum err_code add_flow(const struct check *c, const struct scene *s, double inlet_kpa,
			      double air_c, struct measures *out, struct err *e)
{
	const struct channel *ch = scene_need(c, 0, s);
	struct series flow = SERIES_INIT, map = SERIES_INIT;
	enum err_code code = scene_load(s, ch, "kg/s", &flow, e);

	if (code == ERR_NONE)
		code = scene_load(s, scene_need(c, 1, s), "kPa", &map, e);
	if (code != ERR_NONE)
		goto out;
	if (flow.n == 0) {
		refuse_unit(out, ch, "kg/s");
		goto out;
	}
	hold_against_edge(&flow, &map, inlet_kpa, isnan(air_c) ? s->car->reference_c : air_c,
			  s->car);
	add_known(out, ch, &flow, RELATION_NONE,
		  "the pressure ratio is nowhere within the car file's compressor edge");
	if (out->count > 0 && isnan(air_c))
		out->list[0].detail =
			mem_printf("ambient temperature is not known, %.0f degC taken",
				   s->car->reference_c);
out:
	series_release(&map);
	series_release(&flow);
	return code;
}

enum err_code check_compressor_flow(const struct check *c, const struct scene *s,
				    struct measures *out, struct err *e)
{
	double inlet, air;
	enum err_code code;

	if (s->car->edge.n == 0) {
		measures_refuse(out, "the car file gives no compressor edge");
		return ERR_NONE;
	}
	code = load_inlet(s, &inlet, out, e);
	if (code != ERR_NONE || isnan(inlet))
		return code;
	code = load_constant(s, Q_AMBIENT_TEMP, "degC", &air, e);
	return code == ERR_NONE ? add_flow(c, s, inlet, air, out, e) : code;
}

enum err_code check_cooler(const struct check *c, const struct scene *s, struct measures *out,
			   struct err *e)
{
	const struct channel *ch = scene_need(c, 0, s);
	struct series hot = SERIES_INIT, cooled = SERIES_INIT;
	double air;
	enum err_code code = load_constant(s, Q_AMBIENT_TEMP, "degC", &air, e);
	size_t i;

	if (code == ERR_NONE)
		code = scene_load(s, ch, "degC", &hot, e);
	if (code == ERR_NONE)
		code = scene_load(s, scene_need(c, 1, s), "degC", &cooled, e);
	if (code != ERR_NONE)
		goto out;
	if (hot.n == 0 || cooled.n == 0 || isnan(air)) {
		refuse_unit(out, hot.n == 0 ? ch : scene_need(c, cooled.n == 0 ? 1 : 2, s), "degC");
		goto out;
	}
	for (i = 0; i < hot.n; i++)
		hot.v[i] = hot.v[i] - air < HOT_K
				   ? NAN
				   : effectiveness(hot.v[i], series_at(&cooled, hot.t[i]), air);
	add_known(out, ch, &hot, RELATION_NONE,
		  "the compressor nowhere heats the air by 40 degC over ambient");
out:
	series_release(&cooled);
	series_release(&hot);
	return code;
}
