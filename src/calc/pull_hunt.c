/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Windows in which the foot is down, and rises of engine speed within them. */
#include "calc/pull_hunt.h"

#include <gsl/gsl_sort_double.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

/* All common practice, no source. */
#define LEAST_FULL 60.0		/* per cent: a foot that never went deeper made no pull */
#define LEAST_DROP 40.0		/* rpm */
#define DROP_NOISES 5.0		/* and this many times the noise of engine speed */
#define STALL_SECONDS 0.7	/* no new highest for so long: the rise is over */
#define SLIP_SECONDS 1.0	/* a flare of a slipping wheel is over within */
#define LONGEST_GAP 1.5		/* s without rows: two pulls */
#define CHANGE_SHARE 0.08	/* of the ratio: another gear, not slip */

/*
 * Pedal first, then throttle.  The throttle moves by itself (torque control), so
 * it may close further before that counts as lifted.
 */
static const struct {
	enum quantity_id id;
	double down;		/* of the full value */
	double held;
} drives[] = {
	{ Q_PEDAL, 0.95, 0.85 },
	{ Q_THROTTLE, 0.93, 0.70 },
};

static const enum quantity_id loads[] = { Q_MAP, Q_BOOST, Q_MAF, Q_LOAD };

static enum err_code load(struct series *s, const struct datalog *log, enum quantity_id id,
			  const char *unit, struct err *e)
{
	const struct channel *ch = datalog_find(log, id);
	const struct unit *to = unit == NULL ? NULL : unit_find(unit, NULL);

	if (ch == NULL)
		return ERR_NONE;
	if (ch->unit == NULL || (to != NULL && ch->unit->dim != to->dim))
		to = NULL;
	return series_load(s, log, ch, 0, log->rows - 1, to, e);
}

static double quantile(const double *v, size_t n, double q)
{
	double *sorted = mem_array(n, sizeof *sorted);
	double out;

	memcpy(sorted, v, n * sizeof *v);
	gsl_sort(sorted, 1, n);
	out = gsl_stats_quantile_from_sorted_data(sorted, 1, n, q);
	free(sorted);
	return out;
}

/* Deepest foot but for single odd samples; a fraction (0..1) counts as 0..100. */
static double full_value(struct series *s)
{
	double top = quantile(s->v, s->n, 1.0 - 2.0 / (double)(s->n > 2 ? s->n : 3));
	size_t i;

	if (top <= 1.5) {
		for (i = 0; i < s->n; i++)
			s->v[i] *= 100.0;
		top *= 100.0;
	}
	return top;
}

static enum err_code find_drive(struct hunt *h, struct err *e)
{
	size_t i;

	for (i = 0; i < sizeof drives / sizeof drives[0]; i++) {
		const enum err_code code = load(&h->drive, h->log, drives[i].id, "%", e);
		double full;

		if (code != ERR_NONE)
			return code;
		if (h->drive.n == 0)
			continue;
		full = full_value(&h->drive);
		h->down = fmax(full * drives[i].down, LEAST_FULL);
		h->held = full * drives[i].held;
		return ERR_NONE;
	}
	h->by_load = true;
	for (i = 0; i < sizeof loads / sizeof loads[0] && h->load.n == 0; i++) {
		const enum err_code code = load(&h->load, h->log, loads[i], NULL, e);

		if (code != ERR_NONE)
			return code;
	}
	return ERR_NONE;
}

/* How far rpm must fall to have fallen: from the scatter of its second differences. */
static double find_drop(const struct series *rpm)
{
	double *bend;
	double noise = 0.0;
	size_t i;

	if (rpm->n >= 3) {
		bend = mem_array(rpm->n - 2, sizeof *bend);
		for (i = 2; i < rpm->n; i++)
			bend[i - 2] = fabs(rpm->v[i] - 2.0 * rpm->v[i - 1] + rpm->v[i - 2]);
		/* 0.6745 sigma is the median of |x|; second differences carry sqrt(6) sigma */
		noise = quantile(bend, rpm->n - 2, 0.5) / (0.6745 * sqrt(6.0));
		free(bend);
	}
	return fmax(LEAST_DROP, DROP_NOISES * noise);
}

enum err_code hunt_init(struct hunt *h, const struct datalog *log, struct err *e)
{
	enum err_code code;

	memset(h, 0, sizeof *h);
	h->log = log;
	code = load(&h->rpm, log, Q_RPM, "rpm", e);
	if (code == ERR_NONE && h->rpm.n == 0)
		code = err_set(e, ERR_DATA, "%s: no channel was recognised as engine speed, so "
			       "no pulls can be found; see `twinpull channels`, or name it in "
			       "a names file", log->path);
	if (code == ERR_NONE)
		code = find_drive(h, e);
	if (code == ERR_NONE)
		code = load(&h->speed, log, Q_SPEED, "km/h", e);
	if (code == ERR_NONE)
		code = load(&h->gear, log, Q_GEAR, NULL, e);
	if (code != ERR_NONE) {
		hunt_release(h);
		return code;
	}
	h->drop = find_drop(&h->rpm);
	h->highest = quantile(h->rpm.v, h->rpm.n, 1.0 - 2.0 / (double)(h->rpm.n + 2));
	h->step = isinf(h->rpm.hole) ? 0.0 : h->rpm.hole / SERIES_HOLE_INTERVALS;
	return ERR_NONE;
}

void hunt_release(struct hunt *h)
{
	series_release(&h->rpm);
	series_release(&h->drive);
	series_release(&h->speed);
	series_release(&h->gear);
	series_release(&h->load);
}

void hunt_first_window(const struct hunt *h, struct window *w)
{
	w->from = h->rpm.t[0];
	w->to = w->next = w->from;
}

/* The end of the section of the log that holds time t. */
static double section_end(const struct hunt *h, double t)
{
	const struct datalog *log = h->log;
	const size_t next = datalog_section(log, datalog_row_at(log, t)) + 1;

	return next < log->section_count ? log->time[log->sections[next].first - 1] : INFINITY;
}

/* Without pedal and throttle a window is simply a section of the log. */
static bool section_window(const struct hunt *h, struct window *w)
{
	const size_t i = series_lower(&h->rpm, w->from);

	if (i >= h->rpm.n)
		return false;
	w->from = h->rpm.t[i];
	w->to = fmin(section_end(h, w->from), h->rpm.t[h->rpm.n - 1]);
	w->next = nextafter(w->to, INFINITY);
	return true;
}

bool hunt_window(const struct hunt *h, struct window *w)
{
	const struct series *d = &h->drive;
	size_t i = series_lower(d, w->from);
	size_t last;
	double end;

	if (h->by_load)
		return section_window(h, w);
	while (i < d->n && d->v[i] < h->down)
		i++;
	if (i == d->n)
		return false;
	w->from = d->t[i];
	end = section_end(h, w->from);
	last = i;
	for (; i < d->n && d->v[i] >= h->held && d->t[i] <= end; i++) {
		if (d->t[i] - d->t[last] > LONGEST_GAP)
			break;
		if (d->v[i] >= h->down)
			last = i;
	}
	w->to = d->t[last];
	w->next = nextafter(w->to, INFINITY);
	return true;
}

void hunt_first_rise(const struct hunt *h, const struct window *w, struct rise *r)
{
	memset(r, 0, sizeof *r);
	r->next = series_lower(&h->rpm, w->from);
}

/* Does the gear between two samples stay the same, by the ratio where it is known? */
static bool same_gear(const struct hunt *h, size_t before, size_t after)
{
	const double v0 = series_at(&h->speed, h->rpm.t[before]);
	const double v1 = series_at(&h->speed, h->rpm.t[after]);
	double r0, r1;

	if (!(v0 > 5.0) || !(v1 > 5.0))
		return true;
	r0 = h->rpm.v[before] / v0;
	r1 = h->rpm.v[after] / v1;
	return fabs(r1 / r0 - 1.0) < CHANGE_SHARE;
}

/* After a fall from `peak`: the sample that rises on above it, as after a slip; or 0. */
static size_t recovery(const struct hunt *h, const struct window *w, size_t first, size_t peak)
{
	const struct series *rpm = &h->rpm;
	size_t i;

	for (i = peak + 1; i < rpm->n && rpm->t[i] <= w->to; i++) {
		if (rpm->t[i] - rpm->t[peak] > SLIP_SECONDS)
			break;
		if (rpm->v[i] > rpm->v[peak] + 2.0 * h->drop && same_gear(h, first, i))
			return i;
	}
	return 0;
}

static bool gear_changes(const struct hunt *h, size_t a, size_t b)
{
	const double before = series_at(&h->gear, h->rpm.t[a]);
	const double after = series_at(&h->gear, h->rpm.t[b]);

	return !isnan(before) && !isnan(after) && fabs(after - before) > 0.5;
}

/* Walks up from r->first; sets last, next and cut. */
static void climb(const struct hunt *h, const struct window *w, struct rise *r)
{
	const struct series *rpm = &h->rpm;
	size_t peak = r->first;
	size_t i;

	r->cut = false;
	for (i = r->first + 1; i < rpm->n && rpm->t[i] <= w->to; i++) {
		size_t on;

		if (rpm->t[i] - rpm->t[i - 1] > LONGEST_GAP || gear_changes(h, r->first, i)) {
			r->cut = true;
			break;
		}
		if (rpm->v[i] > rpm->v[peak]) {
			peak = i;
			continue;
		}
		if (rpm->v[peak] - rpm->v[i] <= h->drop &&
		    rpm->t[i] - rpm->t[peak] <= STALL_SECONDS)
			continue;
		on = recovery(h, w, r->first, peak);
		if (on == 0) {
			r->cut = true;
			break;
		}
		peak = i = on;
	}
	r->last = r->cut ? peak : i - 1;
	r->next = i > r->last ? i : r->last + 1;
}

bool hunt_rise(const struct hunt *h, const struct window *w, struct rise *r)
{
	const struct series *rpm = &h->rpm;
	size_t i = r->next;

	r->first_in_window = !r->begun;
	r->begun = true;
	/* down to where it turns up again */
	while (i + 1 < rpm->n && rpm->t[i + 1] <= w->to && rpm->v[i + 1] < rpm->v[i]) {
		i++;
		r->first_in_window = false;
	}
	if (i >= rpm->n || rpm->t[i] > w->to)
		return false;
	r->first = i;
	climb(h, w, r);
	return true;
}
