/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two pulls on one axis. */
#include "calc/overlay.h"

#include <math.h>
#include <string.h>

#define SAME_RATIO 0.05		/* two gear ratios closer than this are one gear */
#define MATCH_REACH 3.0		/* s to either side of the start that a match is sought */
#define MATCH_STEP 0.02		/* s */
#define MATCH_POINTS 200

static const char *const align_names[] = {
	[ALIGN_CROSSING] = "crossing",
	[ALIGN_START] = "start",
	[ALIGN_MATCH] = "match",
	[ALIGN_CLOCK] = "clock",
};

bool align_by_name(const char *name, enum align *out)
{
	size_t i;

	for (i = 0; i < sizeof align_names / sizeof align_names[0]; i++)
		if (strcmp(name, align_names[i]) == 0) {
			*out = (enum align)i;
			return true;
		}
	return false;
}

const char *align_name(enum align align)
{
	return align_names[align];
}

/* A "pull" that is the whole log. */
static struct pull whole_log(const struct datalog *log)
{
	struct pull p = { 0 };

	p.last = log->rows - 1;
	p.from_s = log->time[0];
	p.to_s = log->time[log->rows - 1];
	p.from_rpm = p.to_rpm = p.ratio = NAN;
	p.samples = log->rows;
	return p;
}

/* A pull's own ends stay ends: its first and last row carry its knots. */
static enum err_code load_rpm(struct run *r, struct err *e)
{
	const struct channel *ch = datalog_find(r->log, Q_RPM);
	const struct unit *rpm = unit_find("rpm", NULL);
	enum err_code code;

	if (ch == NULL)
		return ERR_NONE;
	if (ch->unit == NULL || ch->unit->dim != DIM_ANGULAR_SPEED)
		rpm = NULL;
	code = series_share(&r->rpm, r->log, ch, r->pull.first, r->pull.last, rpm, NULL, e);
	if (code != ERR_NONE || r->number == RUN_WHOLE)
		return code;
	code = axis_map_rpm(&r->by_rpm, &r->rpm, e);
	return code == ERR_DATA ? ERR_NONE : code;
}

enum err_code run_init(struct run *r, const struct datalog *log, const struct pulls *pulls,
		       size_t number, struct err *e)
{
	enum err_code code;

	memset(r, 0, sizeof *r);
	if (number > pulls->count)
		return err_set(e, ERR_DATA, "%s has %zu pull%s, so there is no @%zu; see "
			       "`twinpull pulls`, or use @all for the whole log", log->path,
			       pulls->count, pulls->count == 1 ? "" : "s", number);
	r->log = log;
	r->number = number;
	r->pull = number == RUN_WHOLE ? whole_log(log) : pulls->list[number - 1];
	r->by_rpm.kind = AXIS_RPM;
	code = load_rpm(r, e);
	if (code != ERR_NONE) {
		run_release(r);
		return code;
	}
	axis_map_time(&r->by_time, r->pull.from_s, r->pull.to_s, r->pull.from_s);
	return ERR_NONE;
}

void run_release(struct run *r)
{
	series_release(&r->rpm);
	axis_map_release(&r->by_time);
	axis_map_release(&r->by_rpm);
	r->log = NULL;
}

void overlay_release(struct overlay *o)
{
	run_release(&o->a);
	run_release(&o->b);
}

bool overlay_has_b(const struct overlay *o)
{
	return o->b.log != NULL;
}

bool overlay_same_gear(const struct overlay *o)
{
	const struct pull *a = &o->a.pull;
	const struct pull *b = &o->b.pull;

	if (!overlay_has_b(o))
		return true;
	if (a->gear > 0 && b->gear > 0)
		return a->gear == b->gear;
	return !(fabs(b->ratio / a->ratio - 1.0) > SAME_RATIO);	/* NaN: not known */
}

const struct axis_map *overlay_map(const struct overlay *o, const struct run *r)
{
	return o->axis == AXIS_RPM ? &r->by_rpm : &r->by_time;
}

static void set_zero(struct run *r, double zero)
{
	axis_map_release(&r->by_time);
	axis_map_time(&r->by_time, r->pull.from_s, r->pull.to_s, zero);
}

/* The first engine speed that both cover; NaN for none. */
static double first_common(const struct run *a, const struct run *b)
{
	const double from = fmax(axis_map_from(&a->by_rpm), axis_map_from(&b->by_rpm));
	const double to = fmin(axis_map_to(&a->by_rpm), axis_map_to(&b->by_rpm));

	if (a->by_rpm.n == 0 || b->by_rpm.n == 0 || !(from < to))
		return NAN;
	return from;
}

/* Mean square difference of engine speed when B's time is A's plus lag. */
static double mismatch(const struct run *a, const struct run *b, double lag)
{
	const double from = fmax(a->pull.from_s, b->pull.from_s - lag);
	const double to = fmin(a->pull.to_s, b->pull.to_s - lag);
	const double shorter = fmin(a->pull.to_s - a->pull.from_s, b->pull.to_s - b->pull.from_s);
	double sum = 0.0;
	int used = 0;
	int i;

	if (to - from < 0.5 * shorter)
		return INFINITY;
	for (i = 0; i < MATCH_POINTS; i++) {
		const double t = from + (to - from) * (i + 0.5) / MATCH_POINTS;
		const double d = series_at(&a->rpm, t) - series_at(&b->rpm, t + lag);

		if (!isnan(d)) {
			sum += d * d;
			used++;
		}
	}
	return used < MATCH_POINTS / 2 ? INFINITY : sum / used;
}

/* The lag of B behind A at which their engine speeds agree best; NaN for none. */
static double best_lag(const struct run *a, const struct run *b)
{
	const double start = b->pull.from_s - a->pull.from_s;
	double best = NAN;
	double least = INFINITY;
	int i;

	for (i = (int)(-MATCH_REACH / MATCH_STEP); i <= (int)(MATCH_REACH / MATCH_STEP); i++) {
		const double lag = start + i * MATCH_STEP;
		const double m = mismatch(a, b, lag);

		if (m < least) {
			least = m;
			best = lag;
		}
	}
	return best;
}

/* Zeros by the wanted alignment; false when it is not to be had. */
static bool find_zeros(const struct overlay *o, double *a, double *b)
{
	double rpm, lag;

	switch (o->align) {
	case ALIGN_CROSSING:
		rpm = isnan(o->crossing) ? first_common(&o->a, &o->b) : o->crossing;
		*a = axis_map_to_time(&o->a.by_rpm, rpm);
		*b = axis_map_to_time(&o->b.by_rpm, rpm);
		return !isnan(*a) && !isnan(*b);
	case ALIGN_MATCH:
		lag = best_lag(&o->a, &o->b);
		*a = o->a.pull.from_s;
		*b = *a + lag;
		return !isnan(lag);
	case ALIGN_CLOCK:
		*a = *b = 0.0;
		return true;
	case ALIGN_START:
		break;
	}
	*a = o->a.pull.from_s;
	*b = o->b.pull.from_s;
	return true;
}

bool overlay_align(struct overlay *o)
{
	double a = o->a.pull.from_s;
	double b = o->b.pull.from_s;
	bool found = true;

	if (!overlay_has_b(o)) {
		const bool clock = o->align == ALIGN_CLOCK;
		const double at = o->align == ALIGN_CROSSING && !isnan(o->crossing) ?
			axis_map_to_time(&o->a.by_rpm, o->crossing) : NAN;

		set_zero(&o->a, clock ? 0.0 : isnan(at) ? a : at);
		return true;
	}
	found = find_zeros(o, &a, &b);
	if (!found) {
		a = o->a.pull.from_s;
		b = o->b.pull.from_s;
	}
	set_zero(&o->a, a);
	set_zero(&o->b, b - o->nudge);
	return found;
}

void overlay_range(const struct overlay *o, bool common, double *from, double *to)
{
	const struct axis_map *a = overlay_map(o, &o->a);
	const struct axis_map *b = overlay_map(o, &o->b);

	*from = axis_map_from(a);
	*to = axis_map_to(a);
	if (!overlay_has_b(o) || b->n == 0) {
		if (common && overlay_has_b(o))
			*from = *to = NAN;
		return;
	}
	if (a->n == 0 && common)
		return;
	/* fmin and fmax pass over the NaN of an empty map */
	*from = common ? fmax(*from, axis_map_from(b)) : fmin(*from, axis_map_from(b));
	*to = common ? fmin(*to, axis_map_to(b)) : fmax(*to, axis_map_to(b));
	if (!(*from <= *to))
		*from = *to = NAN;
}
