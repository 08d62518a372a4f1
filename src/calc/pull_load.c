/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Full throttle by the load of the engine and its mixture. */
#include "calc/pull_load.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/select.h"

#define STANDARD_AIR 101.325	/* kPa: standard atmosphere, ISO 2533 */
/* All common practice, no source. */
#define LEAST_AIR 60.0		/* kPa: outside air is between these */
#define MOST_AIR 110.0
#define LOAD_SHARE 0.92		/* of the highest load at that engine speed */
#define RICH_LAMBDA 0.92	/* a petrol engine at full throttle is richer */
#define BAND_RPM 250.0
#define BANDS 64

struct load_tops {
	double top[BANDS];	/* highest load, by engine speed in steps of BAND_RPM */
};

static bool is_air(double kpa)
{
	return kpa > LEAST_AIR && kpa < MOST_AIR;
}

/* Median of what absolute pressure is more than gauge pressure; consumes map. */
static double between(struct series *map, const struct series *boost)
{
	struct series_walk walk = { boost, 0 };
	size_t n = 0;
	size_t i;

	for (i = 0; i < map->n; i++) {
		const double gauge = series_walk_at(&walk, map->t[i]);

		if (!isnan(gauge))
			map->v[n++] = map->v[i] - gauge;
	}
	return select_median(map->v, n);
}

enum err_code load_air(const struct datalog *log, double *out, struct err *e)
{
	struct series baro = SERIES_INIT, map = SERIES_INIT, boost = SERIES_INIT;
	enum err_code code = hunt_load(&baro, log, Q_BARO, "kPa", e);

	*out = select_median(baro.v, baro.n);
	if (code == ERR_NONE && !is_air(*out)) {
		code = hunt_load(&map, log, Q_MAP, "kPa", e);
		if (code == ERR_NONE)
			code = hunt_load(&boost, log, Q_BOOST, "kPa", e);
		if (code == ERR_NONE)
			*out = between(&map, &boost);
	}
	if (!is_air(*out))
		*out = STANDARD_AIR;
	series_release(&baro);
	series_release(&map);
	series_release(&boost);
	return code;
}

/* The band of an engine speed; the outermost for what is beyond. */
static size_t band(double rpm)
{
	const double at = rpm / BAND_RPM;

	return at >= 1.0 ? (size_t)fmin(at, BANDS - 1.0) : 0;
}

enum err_code load_init(struct hunt *h, struct err *e)
{
	const struct series *d = &h->drive;
	struct series_walk walk = { &h->rpm, 0 };
	size_t i;

	h->tops = mem_alloc(sizeof *h->tops);
	for (i = 0; i < d->n; i++) {
		const double rpm = series_walk_at(&walk, d->t[i]);

		if (!isnan(rpm) && d->v[i] > h->tops->top[band(rpm)])
			h->tops->top[band(rpm)] = d->v[i];
	}
	return hunt_load(&h->lambda, h->log, Q_LAMBDA, NULL, e);
}

void load_release(struct hunt *h)
{
	free(h->tops);
	series_release(&h->lambda);
}

/* Is the mixture rich for some time between the two, or unknown? */
static bool is_rich(const struct hunt *h, double from, double to)
{
	const struct series *l = &h->lambda;
	size_t rich = 0;
	size_t n = 0;
	size_t i;

	for (i = series_lower(l, from); i < l->n && l->t[i] <= to; i++, n++)
		rich += l->v[i] < RICH_LAMBDA;
	return n == 0 || rich > n / 8;
}

bool load_is_full(const struct hunt *h, double from, double to)
{
	const struct series *d = &h->drive;
	const double middle = 0.5 * (series_at(&h->rpm, from) + series_at(&h->rpm, to));
	size_t i;

	if (!is_rich(h, from, to))
		return false;
	for (i = series_lower(d, from); i < d->n && d->t[i] <= to; i++) {
		const double rpm = series_at(&h->rpm, d->t[i]);

		if (rpm < middle || isnan(rpm))
			continue;
		if (d->v[i] >= LOAD_SHARE * h->tops->top[band(rpm)])
			return true;
	}
	return false;
}
