/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Channels computed from others: one table of recipes. */
#include "calc/derive.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "calc/series.h"

#define SLOPE_HALF 0.2501	/* s to either side of a slope, and a little for rounded times */
#define CRAWL_KMH 5.0		/* below: the ratio says nothing */

/* x and y are the inputs at one time, in the recipe's units; y is 0 for one input. */
typedef double (*recipe_fn)(double x, double y);

static double sum(double x, double y)
{
	return x + y;
}

static double difference(double x, double y)
{
	return x - y;
}

static double to_lambda(double x, double y)
{
	(void)y;
	return x / DERIVE_GAUGE_STOICH;
}

static double rpm_per_kmh(double x, double y)
{
	return y > CRAWL_KMH ? x / y : NAN;
}

/* x in ms, y in rpm: a four-stroke cycle lasts 120000 / rpm ms. */
static double duty(double x, double y)
{
	return y > 0.0 ? 100.0 * x * y / 120000.0 : NAN;
}

/* Inputs are taken in the units named; without one both, and the result, in x's own. */
struct recipe {
	enum quantity_id out;
	enum quantity_id x;
	enum quantity_id y;	/* Q_NONE: one input; for a slope see derive_slope() */
	recipe_fn fn;		/* NULL: the slope of x over time */
	const char *x_unit;	/* NULL: its own, and y in the same */
	const char *y_unit;
	const char *out_unit;	/* NULL: x's own */
	const char *name;
};

static const struct recipe recipes[] = {
	{ Q_BOOST, Q_MAP, Q_BARO, difference, NULL, NULL, NULL, "boost" },
	{ Q_MAP, Q_BOOST, Q_BARO, sum, NULL, NULL, NULL, "manifold pressure" },
	{ Q_BOOST_TARGET, Q_MAP_TARGET, Q_BARO, difference, NULL, NULL, NULL, "boost target" },
	{ Q_LAMBDA, Q_AFR, Q_NONE, to_lambda, NULL, NULL, "lambda", "lambda" },
	{ Q_LAMBDA_TARGET, Q_AFR_TARGET, Q_NONE, to_lambda, NULL, NULL, "lambda",
	  "lambda target" },
	{ Q_BOOST_ERROR, Q_BOOST, Q_BOOST_TARGET, difference, NULL, NULL, NULL, "boost error" },
	{ Q_LAMBDA_ERROR, Q_LAMBDA, Q_LAMBDA_TARGET, difference, NULL, NULL, NULL,
	  "lambda error" },
	{ Q_GEAR_RATIO, Q_RPM, Q_SPEED, rpm_per_kmh, "rpm", "km/h", NULL, "gear ratio" },
	{ Q_ACCEL, Q_SPEED, Q_NONE, NULL, "m/s", NULL, "m/s2", "acceleration" },
	{ Q_INJECTOR_DUTY, Q_INJECTOR_TIME, Q_RPM, duty, "ms", "rpm", "%", "injector duty" },
};

struct inputs {
	const struct channel *x;
	const struct channel *y;
	struct series sx;
	struct series sy;
};

static const struct unit *wanted_unit(const struct channel *ch, const char *name,
				      const struct unit *otherwise)
{
	const struct unit *to = name == NULL ? otherwise : unit_find(name, NULL);

	return to != NULL && ch->unit != NULL && ch->unit->dim == to->dim ? to : NULL;
}

static enum err_code load_inputs(struct inputs *in, const struct datalog *log,
				 const struct recipe *r, struct err *e)
{
	enum err_code code = series_load(&in->sx, log, in->x, 0, log->rows - 1,
					 wanted_unit(in->x, r->x_unit, NULL), e);

	if (code == ERR_NONE && in->y != NULL)
		code = series_load(&in->sy, log, in->y, 0, log->rows - 1,
				   wanted_unit(in->y, r->y_unit, in->x->unit), e);
	return code;
}

/* Least-squares slope of s around time t; NaN with fewer than three samples. */
static double slope_at(const struct series *s, double t)
{
	const size_t first = series_lower(s, t - SLOPE_HALF);
	double n = 0.0, mt = 0.0, mv = 0.0, stt = 0.0, stv = 0.0;
	size_t last = first;
	size_t i;

	for (; last < s->n && s->t[last] <= t + SLOPE_HALF; last++) {
		n += 1.0;
		mt += s->t[last];
		mv += s->v[last];
	}
	mt /= n;
	mv /= n;
	for (i = first; i < last; i++) {
		stt += (s->t[i] - mt) * (s->t[i] - mt);
		stv += (s->t[i] - mt) * (s->v[i] - mv);
	}
	return n < 3.0 || !(stt > 0.0) ? NAN : stv / stt;
}

/* The recipe where x has a sample: nothing is made up between.  y may lie between two. */
static double compute(const struct recipe *r, const struct inputs *in, double x, double t)
{
	if (r->fn == NULL)
		return slope_at(&in->sx, t);
	return r->fn(x, r->y == Q_NONE ? 0.0 : series_at(&in->sy, t));
}

static struct column *fill(const struct datalog *log, const struct recipe *r,
			   const struct inputs *in)
{
	struct column *c = column_new();
	struct column_walk walk;
	size_t sample = 0;
	size_t row;
	double v;

	column_walk_init(&walk, in->x->column);
	for (row = 0; column_walk_next(&walk, &v); row++) {
		if (!isnan(v))
			v = compute(r, in, in->sx.v[sample++], log->time[row]);
		if (!column_push(c, v)) {
			column_free(c);
			return NULL;
		}
	}
	return c;
}

static void describe(struct channel *ch, const struct recipe *r, const struct channel *x,
		     const struct channel *y)
{
	free(ch->name);
	ch->name = mem_strdup(r->name);
	free(ch->why);
	ch->why = y == NULL ? mem_printf("derived from '%s'", x->name) :
		mem_printf("derived from '%s' and '%s'", x->name, y->name);
	ch->quantity = quantity_get(r->out);
	ch->unit = r->out_unit != NULL ? unit_find(r->out_unit, NULL) :
		r->out == Q_GEAR_RATIO ? NULL : x->unit;
	ch->derived = true;
}

/* A lambda without a unit and one in a unit of no dimension go together. */
static bool units_fit(const struct recipe *r, const struct channel *x, const struct channel *y)
{
	if (r->x_unit != NULL && wanted_unit(x, r->x_unit, NULL) == NULL)
		return false;
	if (y == NULL)
		return true;
	if (r->y_unit != NULL)
		return wanted_unit(y, r->y_unit, NULL) != NULL;
	return (x->unit == NULL && y->unit == NULL) ||
	       (x->unit != NULL && y->unit != NULL && x->unit->dim == y->unit->dim);
}

static enum err_code derive(struct datalog *log, const struct recipe *r, struct err *e)
{
	struct inputs in = { datalog_find(log, r->x), datalog_find(log, r->y), SERIES_INIT,
			     SERIES_INIT };
	enum err_code code;
	struct column *column;

	if (r->y == Q_NONE)
		in.y = NULL;
	else if (in.y == NULL)
		return ERR_NONE;
	if (datalog_find(log, r->out) != NULL || in.x == NULL || !units_fit(r, in.x, in.y))
		return ERR_NONE;
	code = load_inputs(&in, log, r, e);
	if (code != ERR_NONE)
		goto out;
	column = fill(log, r, &in);
	if (column == NULL) {
		code = err_set(e, ERR_MEMORY, "%s: out of memory for the derived channel '%s'",
			       log->path, r->name);
		goto out;
	}
	if (column_samples(column) > 0) {
		const size_t x = (size_t)(in.x - log->channels);
		const size_t y = in.y == NULL ? x : (size_t)(in.y - log->channels);
		struct channel *ch = datalog_add(log, r->name, "", column);

		describe(ch, r, &log->channels[x], in.y == NULL ? NULL : &log->channels[y]);
	} else {
		column_free(column);
	}
out:
	series_release(&in.sx);
	series_release(&in.sy);
	return code;
}

enum err_code derive_all(struct datalog *log, struct err *e)
{
	enum err_code code = ERR_NONE;
	size_t i;

	if (log->rows == 0)
		return ERR_NONE;
	for (i = 0; i < sizeof recipes / sizeof recipes[0] && code == ERR_NONE; i++)
		code = derive(log, &recipes[i], e);
	return code;
}
