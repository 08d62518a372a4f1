/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Channels computed from others: one table of recipes. */
#include "calc/derive.h"

#include <math.h>
#include <stdlib.h>

#include "base/crew.h"
#include "base/mem.h"
#include "calc/samples.h"

#define SLOPE_HALF 0.2501	/* s to either side of a slope, and a little for rounded times */
#define MANY_ROWS 20000		/* from here on threads are worth their while */
#define LANES 4			/* slopes computed side by side */
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

/* The later ones take what the first FIRST_ROUND give. */
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

#define FIRST_ROUND 5
#define RECIPES (sizeof recipes / sizeof recipes[0])

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

/* The samples first .. last-1. */
struct stretch {
	size_t first;
	size_t last;
};

/* Moves on to the samples within half a second of time t, which never falls. */
static void move_on(const struct series *s, double t, struct stretch *w)
{
	while (w->first < s->n && s->t[w->first] < t - SLOPE_HALF)
		w->first++;
	if (w->last < w->first)
		w->last = w->first;
	while (w->last < s->n && s->t[w->last] <= t + SLOPE_HALF)
		w->last++;
}

/*
 * Least-squares slopes over n samples, each of `lanes` one sample on; NaN with fewer than
 * three.  Side by side, because each sum alone waits for its additions.
 */
static inline void slopes(const double *t, const double *v, size_t n, size_t lanes, double *out)
{
	double mt[LANES] = { 0.0 }, mv[LANES] = { 0.0 };
	double stt[LANES] = { 0.0 }, stv[LANES] = { 0.0 };
	size_t i, k;

	for (i = 0; i < n; i++)
		for (k = 0; k < lanes; k++) {
			mt[k] += t[i + k];
			mv[k] += v[i + k];
		}
	for (k = 0; k < lanes; k++) {
		mt[k] /= (double)n;
		mv[k] /= (double)n;
	}
	for (i = 0; i < n; i++)
		for (k = 0; k < lanes; k++) {
			stt[k] += (t[i + k] - mt[k]) * (t[i + k] - mt[k]);
			stv[k] += (t[i + k] - mt[k]) * (v[i + k] - mv[k]);
		}
	for (k = 0; k < lanes; k++)
		out[k] = n < 3 || !(stt[k] > 0.0) ? NAN : stv[k] / stt[k];
}

/* The slope around each sample. */
static void slope_all(const struct series *s, double *out)
{
	struct stretch w[LANES];
	struct stretch now = { 0, 0 };
	size_t lanes;
	size_t i, k;

	for (i = 0; i < s->n; i += lanes) {
		bool even = true;

		lanes = s->n - i < LANES ? s->n - i : LANES;
		for (k = 0; k < lanes; k++) {
			move_on(s, s->t[i + k], &now);
			w[k] = now;
			even = even && now.first == w[0].first + k && now.last == w[0].last + k;
		}
		if (even && lanes == LANES)
			slopes(s->t + w[0].first, s->v + w[0].first, w[0].last - w[0].first,
			       LANES, out + i);
		else
			for (k = 0; k < lanes; k++)
				slopes(s->t + w[k].first, s->v + w[k].first, w[k].last - w[k].first,
				       1, out + i + k);
	}
}

/* The recipe where x has a sample: nothing is made up between.  y may lie between two. */
static void compute(const struct recipe *r, const struct inputs *in, double *out)
{
	const struct series *x = &in->sx;
	struct series_walk walk = { &in->sy, 0 };
	size_t i;

	if (r->fn == NULL) {
		slope_all(x, out);
		return;
	}
	for (i = 0; i < x->n; i++)
		out[i] = r->fn(x->v[i], r->y == Q_NONE ? 0.0 : series_walk_at(&walk, x->t[i]));
}

/* A column with v[] where x has its samples; NULL when memory is out. */
static struct column *fill(const struct column *x, const double *v)
{
	struct column *c = column_new();
	struct column_walk walk;
	double at;

	column_walk_init(&walk, x);
	while (column_walk_next(&walk, &at))
		if (!column_push(c, isnan(at) ? at : *v++)) {
			column_free(c);
			return NULL;
		}
	return c;
}

static struct column *make_column(const struct recipe *r, const struct inputs *in)
{
	double *v = mem_try_large(in->sx.n, sizeof *v);
	struct column *c = NULL;

	if (v != NULL) {
		compute(r, in, v);
		c = fill(in->x->column, v);
	}
	free(v);
	return c;
}

/* Has every row a value, and a time behind that of the row before? */
static bool is_whole(const struct datalog *log, const struct inputs *in)
{
	size_t standing = 0;
	size_t i;

	if (column_samples(in->x->column) < log->rows ||
	    (in->y != NULL && column_samples(in->y->column) < log->rows))
		return false;
	for (i = 1; i < log->rows; i++)
		standing += !(log->time[i] > log->time[i - 1]);
	return standing == 0 && log->rows > 1;
}

/* The same where row goes with row, as nearly always: nothing has to be copied or sought. */
static struct column *make_whole(const struct datalog *log, const struct recipe *r,
				 const struct inputs *in)
{
	const struct samples x = samples_of_channel(log, in->x, 0, log->rows - 1,
						    wanted_unit(in->x, r->x_unit, NULL));
	const struct samples y = in->y == NULL ? x :
		samples_of_channel(log, in->y, 0, log->rows - 1,
				   wanted_unit(in->y, r->y_unit, in->x->unit));
	double at_x[SAMPLES_BLOCK], at_y[SAMPLES_BLOCK];
	struct column *c = column_new();
	size_t first, n, i;

	for (first = 0; first < log->rows; first += n) {
		const double *vx, *vy;

		n = log->rows - first < SAMPLES_BLOCK ? log->rows - first : SAMPLES_BLOCK;
		vx = samples_get(&x, first, n, at_x);
		vy = in->y == NULL ? NULL : samples_get(&y, first, n, at_y);
		for (i = 0; i < n; i++)
			if (!column_push(c, r->fn(vx[i], vy == NULL ? 0.0 : vy[i]))) {
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

/* A recipe at work: nothing of the log changes yet. */
struct job {
	const struct datalog *log;
	const struct recipe *recipe;
	struct inputs in;
	struct column *column;	/* what came out; NULL where nothing was to do */
	enum err_code code;
	struct err e;
};

static bool is_of_use(const struct job *j)
{
	const struct recipe *r = j->recipe;

	return datalog_find(j->log, r->out) == NULL && j->in.x != NULL &&
	       (r->y == Q_NONE || j->in.y != NULL) && units_fit(r, j->in.x, j->in.y);
}

static void follow_recipe(void *job)
{
	struct job *j = job;
	const struct recipe *r = j->recipe;

	j->in.x = datalog_find(j->log, r->x);
	j->in.y = r->y == Q_NONE ? NULL : datalog_find(j->log, r->y);
	if (!is_of_use(j))
		return;
	if (r->fn != NULL && is_whole(j->log, &j->in)) {
		j->column = make_whole(j->log, r, &j->in);
	} else {
		j->code = load_inputs(&j->in, j->log, r, &j->e);
		if (j->code == ERR_NONE)
			j->column = make_column(r, &j->in);
	}
	if (j->code == ERR_NONE && j->column == NULL)
		j->code = err_set(&j->e, ERR_MEMORY, "%s: out of memory for the derived "
				  "channel '%s'", j->log->path, r->name);
	series_release(&j->in.sx);
	series_release(&j->in.sy);
}

/* Adds what a recipe gave, and consumes it; channels x and y of the log were its inputs. */
static void serve(struct datalog *log, const struct recipe *r, struct column *c, size_t x, size_t y)
{
	struct channel *ch;

	if (column_samples(c) == 0) {
		column_free(c);
		return;
	}
	ch = datalog_add(log, r->name, "", c);
	describe(ch, r, &log->channels[x], r->y == Q_NONE ? NULL : &log->channels[y]);
}

/* Recipes first .. first+n-1, none of which takes what another gives. */
static enum err_code derive_round(struct datalog *log, size_t first, size_t n, struct err *e)
{
	const struct channel *const channels = log->channels;
	struct job *jobs = mem_array(n, sizeof *jobs);
	enum err_code code = ERR_NONE;
	size_t x[RECIPES], y[RECIPES];
	size_t i;

	for (i = 0; i < n; i++) {
		jobs[i].log = log;
		jobs[i].recipe = &recipes[first + i];
	}
	if (log->rows >= MANY_ROWS)
		crew_run(follow_recipe, jobs, sizeof *jobs, n);
	for (i = 0; i < n; i++) {
		if (log->rows < MANY_ROWS)
			follow_recipe(&jobs[i]);
		/* adding channels moves the others */
		x[i] = jobs[i].in.x == NULL ? 0 : (size_t)(jobs[i].in.x - channels);
		y[i] = jobs[i].in.y == NULL ? 0 : (size_t)(jobs[i].in.y - channels);
	}
	for (i = 0; i < n; i++) {
		if (code == ERR_NONE && jobs[i].code != ERR_NONE) {
			code = jobs[i].code;
			if (e != NULL)
				*e = jobs[i].e;
		}
		if (code == ERR_NONE && jobs[i].column != NULL)
			serve(log, jobs[i].recipe, jobs[i].column, x[i], y[i]);
		else
			column_free(jobs[i].column);
	}
	free(jobs);
	return code;
}

enum err_code derive_all(struct datalog *log, struct err *e)
{
	enum err_code code;

	if (log->rows == 0)
		return ERR_NONE;
	code = derive_round(log, 0, FIRST_ROUND, e);
	if (code == ERR_NONE)
		code = derive_round(log, FIRST_ROUND, RECIPES - FIRST_ROUND, e);
	return code;
}
