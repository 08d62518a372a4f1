/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Settling by the values what name and unit leave open. */
#include "data/settle.h"

#include <math.h>
#include <stdlib.h>

#include "base/num.h"

#define NEAR_ZERO 10.0		/* kPa: no engine that runs pulls its manifold lower */
#define BELOW_ZERO (-3.0)	/* kPa: no absolute pressure is lower, sensor error allowed */
#define STANDARD_AIR 101.325	/* kPa, where the log has no barometric pressure */
#define CLEAR_BOOST 40.0	/* kPa above it: enough to tell gauge from absolute */
#define CLEARLY 0.5		/* so many times closer to what was measured */
#define VERY_CLEARLY 0.1
#define LOW_SIDE 1500.0		/* kPa: feed pumps stay below, rails of direct injection above */
#define SLOW_TURBO 9000.0	/* rpm: in a pull every turbocharger is faster */
#define FRP_LOW_SIDE 765.0	/* kPa: the most that SAE J1979 PID 0A can say */

/* One channel being settled. */
struct job {
	struct settle *s;
	struct channel *ch;
	struct values v;
	bool unit_given;
	int gauge;		/* as from unit_find() */
	struct buf *why;
};

/* A pressure as the values tell it. */
enum reading {
	READING_OPEN,
	READING_GAUGE,
	READING_ABSOLUTE,
};

static void add_number(struct buf *why, double v)
{
	char text[NUM_TEXT];

	buf_puts(why, num_fixed(text, v, fabs(v) < 10 ? 2 : fabs(v) < 100 ? 1 : 0));
}

/* "about 100 kPa" in the channel's own unit. */
static void add_value(struct buf *why, double v, const struct unit *unit)
{
	add_number(why, v);
	if (unit != NULL)
		buf_printf(why, unit->name[0] == '%' ? "%s" : " %s", unit->name);
}

static double in_kpa(double v, const struct unit *unit)
{
	return unit_convert(v, unit, unit_find("kPa", NULL));
}

/* Barometric pressure in kPa, from the log where it has a sensible one. */
static double barometric(const struct settle *s)
{
	const struct channel *ch = datalog_find(s->log, Q_BARO);
	double kpa;

	if (ch == NULL)
		return STANDARD_AIR;
	kpa = in_kpa(settle_look(s, ch).mid, ch->unit);
	return kpa > 50 && kpa < 115 ? kpa : STANDARD_AIR;
}

static void set_quantity(struct job *j, enum quantity_id id)
{
	j->ch->quantity = quantity_get(id);
}

/* The absolute or the gauge quantity of the same place. */
static enum quantity_id charge_quantity(const struct channel *ch, enum reading reading)
{
	const enum quantity_id id = ch->quantity->id;
	const bool target = id == Q_BOOST_TARGET || id == Q_MAP_TARGET;

	if (reading == READING_ABSOLUTE)
		return target ? Q_MAP_TARGET : Q_MAP;
	return target ? Q_BOOST_TARGET : Q_BOOST;
}

static enum reading expected(const struct channel *ch)
{
	return ch->quantity->id == Q_MAP || ch->quantity->id == Q_MAP_TARGET ?
	       READING_ABSOLUTE : READING_GAUGE;
}

static const char *reading_word(enum reading reading)
{
	return reading == READING_ABSOLUTE ? "absolute" : "gauge";
}

/* A charge pressure without a unit that is one atmosphere at low load: in which unit? */
static const struct unit *one_atmosphere(double level, double high)
{
	static const struct {
		const char *unit;
		double from;
		double to;
		double high;	/* no higher in the pull */
	} windows[] = {
		{ "bar", 0.88, 1.07, 5 },
		{ "psi", 12.8, 15.6, 75 },
		{ "MPa", 0.088, 0.107, 0.5 },
		{ "kPa", 88, 107, 500 },
		{ "hPa", 880, 1070, 5000 },
	};
	size_t i;

	for (i = 0; i < sizeof(windows) / sizeof(windows[0]); i++)
		if (level >= windows[i].from && level <= windows[i].to &&
		    high <= windows[i].high)
			return unit_find(windows[i].unit, NULL);
	return NULL;
}

/* The value at low load; NaN when the log does not show any. */
static double level_at_low_load(const struct job *j)
{
	struct values idle;

	if (!j->s->has_low) {
		low_load_init(&j->s->low, j->s->log);
		j->s->has_low = true;
	}
	if (j->s->low.is == NULL)
		return NAN;
	values_look_at(&idle, j->ch->column, &j->s->low);
	return idle.mid;
}

/* What the values say of a charge pressure, and in words why. */
static enum reading read_charge(const struct job *j)
{
	const struct unit *unit = j->ch->unit;
	const double low = in_kpa(j->v.low, unit);
	const double level = level_at_low_load(j);
	const double air = barometric(j->s);

	if (low < BELOW_ZERO) {
		buf_puts(j->why, "; falls to ");
		add_value(j->why, j->v.low, unit);
		return READING_GAUGE;
	}
	if (!isnan(level)) {
		buf_puts(j->why, "; about ");
		add_value(j->why, level, unit);
		buf_puts(j->why, " at low load");
		return in_kpa(level, unit) < NEAR_ZERO ? READING_GAUGE : READING_ABSOLUTE;
	}
	if (low < 0.85 * air || low > 1.3 * air)
		return READING_OPEN;
	buf_puts(j->why, "; never below ");
	add_value(j->why, j->v.low, unit);
	return READING_ABSOLUTE;
}

/* The measured charge pressure that a target can be held against, or NULL. */
static const struct channel *measured_charge(const struct settle *s)
{
	const struct channel *boost = datalog_find(s->log, Q_BOOST);
	const struct channel *ch = boost != NULL ? boost : datalog_find(s->log, Q_MAP);

	return ch != NULL && ch->unit != NULL && ch->unit->dim == DIM_PRESSURE ? ch : NULL;
}

/*
 * A target is what its name says unless the other reading comes clearly closer, at
 * the top of the pull, to what was measured.  (A leak holds the measured one down.)
 */
static enum reading read_target(const struct job *j)
{
	const struct channel *measured = measured_charge(j->s);
	const double air = barometric(j->s);
	const double top = in_kpa(j->v.high, j->ch->unit);
	struct values m;
	double gauge;
	double off_gauge;
	double off_absolute;
	double clearly;

	if (measured == NULL || in_kpa(j->v.low, j->ch->unit) < BELOW_ZERO)
		return read_charge(j);
	m = settle_look(j->s, measured);
	gauge = in_kpa(m.high, measured->unit) - (measured->quantity->id == Q_MAP ? air : 0);
	if (gauge < CLEAR_BOOST)
		return read_charge(j);
	off_gauge = fabs(top - gauge);
	off_absolute = fabs(top - (gauge + air));
	buf_printf(j->why, "; its highest held against '%s'", measured->name);
	if (expected(j->ch) == READING_ABSOLUTE)
		return off_gauge < CLEARLY * off_absolute ? READING_GAUGE : READING_ABSOLUTE;
	/* A target of 0 where none is wanted speaks for gauge. */
	clearly = in_kpa(level_at_low_load(j), j->ch->unit) < NEAR_ZERO ? VERY_CLEARLY : CLEARLY;
	return off_absolute < clearly * off_gauge ? READING_ABSOLUTE : READING_GAUGE;
}

static void settle_charge(struct job *j)
{
	enum reading reading = j->gauge > 0 ? READING_GAUGE : READING_ABSOLUTE;

	if (j->gauge != 0)
		buf_puts(j->why, "; its unit says so");
	else if (j->v.n == 0 || j->ch->unit == NULL)
		return;
	else if (settle_stage(j->ch->quantity) == SETTLE_TARGET)
		reading = read_target(j);
	else
		reading = read_charge(j);
	if (reading == READING_OPEN) {
		buf_printf(j->why, "; %s by its name, the values do not tell",
			   reading_word(expected(j->ch)));
		return;
	}
	buf_printf(j->why, ", so %s pressure", reading_word(reading));
	set_quantity(j, charge_quantity(j->ch, reading));
}

static enum quantity_id mixture_quantity(bool target, bool lambda)
{
	if (lambda)
		return target ? Q_LAMBDA_TARGET : Q_LAMBDA;
	return target ? Q_AFR_TARGET : Q_AFR;
}

static void settle_mixture(struct job *j)
{
	const enum quantity_id id = j->ch->quantity->id;
	const bool target = id == Q_LAMBDA_TARGET || id == Q_AFR_TARGET;
	const bool lambda = id == Q_LAMBDA || id == Q_LAMBDA_TARGET;
	const struct unit *unit = j->ch->unit;
	const double mid = j->v.mid;

	if (j->v.n == 0 && unit == unit_find(lambda ? ":1" : "lambda", NULL)) {
		set_quantity(j, mixture_quantity(target, !lambda));
		buf_printf(j->why, " in %s", unit->name);
		return;
	}
	if (lambda && mid >= 5 && mid <= 25)
		set_quantity(j, mixture_quantity(target, false));
	else if (!lambda && mid >= 0.4 && mid <= 2)
		set_quantity(j, mixture_quantity(target, true));
	else
		return;
	buf_puts(j->why, "; about ");
	add_number(j->why, mid);
	buf_puts(j->why, lambda ? ", so an air-fuel ratio" : ", so lambda");
	if (j->ch->unit != NULL)
		j->ch->unit = unit_find(j->ch->quantity->unit, NULL);
}

/* Do all values lie about `one`, at most so much of it away? */
static bool is_about(const struct values *v, double one, double away)
{
	return v->n > 0 && fabs(v->mid - one) <= 0.25 * one &&
	       v->low >= (1 - away) * one && v->high <= (1 + away) * one;
}

/*
 * A trim is a deviation about 0; what lies about 1 is a factor, another thing.
 * Without a unit a small trim in per cent lies there too: then it must also move.
 */
static void settle_trim(struct job *j)
{
	const struct unit *unit = j->ch->unit;
	const double one = j->unit_given && unit != NULL ? 1 / unit->factor : 1;

	if (unit == NULL || !is_about(&j->v, one, j->unit_given ? 0.5 : 0.25))
		return;
	if (!j->unit_given && !(j->v.high > j->v.low && fabs(j->v.mid - 1) < 0.1))
		return;
	if (!j->unit_given)
		j->ch->unit = unit_find("1", NULL);
	buf_puts(j->why, "; about ");
	add_value(j->why, j->v.mid, j->unit_given ? unit : NULL);
	buf_puts(j->why, ", so a factor and no trim");
	set_quantity(j, Q_NONE);
}

/* The turbine of an automatic gearbox and other shafts turn as slowly as the engine. */
static void settle_turbo_speed(struct job *j)
{
	if (!(unit_convert(j->v.high, j->ch->unit, unit_find("rpm", NULL)) < SLOW_TURBO))
		return;
	buf_puts(j->why, "; up to ");
	add_value(j->why, j->v.high, j->ch->unit);
	buf_puts(j->why, ", too slow for a turbocharger");
	set_quantity(j, Q_NONE);
}

/* The rail of direct injection and the feed to it are an order of magnitude apart. */
static void settle_fuel_pressure(struct job *j)
{
	const double high = in_kpa(j->v.high, j->ch->unit);
	const bool feed = j->ch->quantity->id == Q_FUEL_PRESSURE;

	if (feed && high > LOW_SIDE)
		set_quantity(j, Q_RAIL_PRESSURE);
	else if (!feed && high <= FRP_LOW_SIDE)
		set_quantity(j, Q_FUEL_PRESSURE);
	else
		return;
	buf_puts(j->why, "; up to ");
	add_value(j->why, j->v.high, j->ch->unit);
	buf_printf(j->why, ", so the %s side", feed ? "high" : "low");
}

static const struct {
	enum quantity_id id;
	enum settle_stage stage;
	void (*settle)(struct job *j);
} settlers[] = {
	{ Q_LAMBDA, SETTLE_PLAIN, settle_mixture },
	{ Q_LAMBDA_TARGET, SETTLE_PLAIN, settle_mixture },
	{ Q_AFR, SETTLE_PLAIN, settle_mixture },
	{ Q_AFR_TARGET, SETTLE_PLAIN, settle_mixture },
	{ Q_TRIM_SHORT, SETTLE_PLAIN, settle_trim },
	{ Q_TRIM_LONG, SETTLE_PLAIN, settle_trim },
	{ Q_TURBO_SPEED, SETTLE_PLAIN, settle_turbo_speed },
	{ Q_RAIL_PRESSURE, SETTLE_PLAIN, settle_fuel_pressure },
	{ Q_FUEL_PRESSURE, SETTLE_PLAIN, settle_fuel_pressure },
	{ Q_BOOST, SETTLE_CHARGE, settle_charge },
	{ Q_MAP, SETTLE_CHARGE, settle_charge },
	{ Q_BOOST_TARGET, SETTLE_TARGET, settle_charge },
	{ Q_MAP_TARGET, SETTLE_TARGET, settle_charge },
};

#define SETTLERS (sizeof(settlers) / sizeof(settlers[0]))

static size_t settler_of(enum quantity_id id)
{
	size_t i;

	for (i = 0; i < SETTLERS && settlers[i].id != id; i++)
		;
	return i;
}

enum settle_stage settle_stage(const struct quantity *q)
{
	const size_t i = settler_of(q->id);

	return i < SETTLERS ? settlers[i].stage : SETTLE_PLAIN;
}

/* The unit of the measured pressure, if the target would be of its size in it. */
static const struct unit *unit_of_measured(const struct job *j)
{
	const struct channel *measured = measured_charge(j->s);
	struct values m;

	if (settle_stage(j->ch->quantity) != SETTLE_TARGET || measured == NULL)
		return NULL;
	m = settle_look(j->s, measured);
	return j->v.high > 0.4 * m.high && j->v.high < 2.5 * m.high ? measured->unit : NULL;
}

static const struct unit *unit_of_charge(const struct job *j)
{
	const struct unit *unit = unit_of_measured(j);
	double level = level_at_low_load(j);

	if (isnan(level))
		level = j->v.low;
	return unit != NULL ? unit : one_atmosphere(level, j->v.high);
}

/* The time of the log has been found by now: which unit gives it? */
static const struct unit *unit_of_time(const struct job *j)
{
	static const char *const names[] = { "s", "ms", "us", "min", "h" };
	const struct datalog *log = j->s->log;
	double span;
	size_t i;

	if (log->rows == 0 || log->time == NULL || log->time_source != TIME_COLUMN)
		return NULL;
	span = log->time[log->rows - 1] - log->time[0];
	for (i = 0; i < sizeof(names) / sizeof(names[0]); i++) {
		const struct unit *unit = unit_find(names[i], NULL);
		const double ratio = (j->v.high - j->v.low) * unit->factor / span;

		if (ratio > 0.5 && ratio < 2)
			return unit;
	}
	return NULL;
}

/* A channel without a unit gets the one that its values suggest. */
static void assume_unit(struct job *j)
{
	const struct quantity *q = j->ch->quantity;
	const struct unit *unit = NULL;

	if (q->unit == NULL)
		return;
	if (q->id == Q_TIME)
		unit = unit_of_time(j);
	else if (q->dim == DIM_PRESSURE && settle_stage(q) != SETTLE_PLAIN)
		unit = unit_of_charge(j);
	j->ch->unit = unit != NULL ? unit : settle_unit(q, &j->v, j->s->us);
	if (j->v.n > 0) {
		buf_puts(j->why, "; no unit, up to ");
		add_number(j->why, j->v.high);
		buf_printf(j->why, " read as %s", j->ch->unit->name);
	} else {
		buf_printf(j->why, "; no unit and no values, %s assumed", j->ch->unit->name);
	}
}

/* "accel" without a unit is acceleration by its name, and often the pedal. */
static bool is_pedal(const struct job *j)
{
	return j->ch->quantity->id == Q_ACCEL && j->v.low >= -0.5 && j->v.high >= 30;
}

void settle_channel(struct settle *s, struct channel *ch, bool unit_given, int gauge,
		    struct buf *why)
{
	struct job job = { s, ch, { 0, NAN, NAN, NAN }, unit_given, gauge, why };
	size_t i;

	if (!settle_wants(ch, unit_given))
		return;
	job.v = settle_look(s, ch);
	if (!unit_given) {
		if (is_pedal(&job))
			set_quantity(&job, Q_PEDAL);
		assume_unit(&job);
	}
	i = settler_of(ch->quantity->id);
	if (i < SETTLERS)
		settlers[i].settle(&job);
}

void settle_init(struct settle *s, const struct datalog *log, bool us)
{
	*s = (struct settle){ .log = log, .us = us };
}

bool settle_wants(const struct channel *ch, bool unit_given)
{
	return !unit_given || settler_of(ch->quantity->id) < SETTLERS;
}

void settle_release(struct settle *s)
{
	free(s->seen);
	free(s->is_seen);
	low_load_release(&s->low);
}
