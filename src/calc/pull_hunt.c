/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The channels of a log made ready for the search, and where the foot is down. */
#include "calc/pull_hunt.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/select.h"
#include "calc/pull_load.h"

/* All common practice, no source. */
#define LEAST_FULL 74.0		/* per cent: sensors at their stop read this and more */
#define FRACTION_TOP 1.5	/* a drive that never reads more is a fraction, 0..1 */
#define LEAST_DROP 40.0		/* rpm */
#define DROP_NOISES 5.0		/* and this many times the noise of engine speed */
#define SPIKE_DROPS 3.0		/* a single sample that far off both neighbours is wrong */
#define SPIKE_SHARE 0.10	/* of the full drive, the same */
#define SPIKE_SECONDS 0.25	/* if they are no further apart */
#define EDGE_SECONDS 0.3	/* a foot is on the floor, or off it, within */
#define LEVEL_SECONDS 0.5	/* how long the level at an end is looked at */
#define CLOSED_SECONDS 2.0	/* so long torque control may close the throttle */
#define CRAWL_KMH 5.0		/* below: the ratio says nothing */
#define ROWS_A_SECOND 20.0	/* supposed for a log without time */

enum scale {
	SCALE_FULL,		/* shares are of the drive's own highest value */
	SCALE_AIR,		/* of the pressure of the air outside */
	SCALE_GAUGE,		/* the same, and that is added first */
};

/*
 * What tells full throttle, best first.  The throttle follows the foot a little late, and
 * torque control moves it: it may close far for a moment.  With neither, the throttle is
 * open when the manifold is at the pressure of the air outside; that falls late as well.
 */
struct drive {
	enum quantity_id id;
	const char *unit;
	enum scale scale;
	double enter;		/* at or above: the foot is down */
	double leave;		/* below: it is lifted; between, it is if that lasts */
	double held;		/* of this press's own level: the first and last at or above */
	double lag;		/* s by which it follows the foot when that comes down */
	double fall_lag;	/* and when it is lifted */
	bool is_load;
};

static const struct drive drives[] = {
	{ Q_PEDAL, "%", SCALE_FULL, 0.92, 0.85, 0.985, 0.0, 0.0, false },
	{ Q_THROTTLE, "%", SCALE_FULL, 0.85, 0.20, 0.985, 0.035, 0.0, false },
	{ Q_MAP, "kPa", SCALE_AIR, 0.98, 0.85, 0.95, 0.0, 0.07, true },
	{ Q_BOOST, "kPa", SCALE_GAUGE, 0.98, 0.85, 0.95, 0.0, 0.07, true },
	{ Q_LOAD, NULL, SCALE_FULL, 0.45, 0.35, 0.95, 0.0, 0.07, true },
	{ Q_MAF, NULL, SCALE_FULL, 0.25, 0.20, 0.95, 0.0, 0.07, true },
};

/* The unit of this name where the channel can be converted into it, else NULL. */
static const struct unit *unit_for(const struct channel *ch, const char *unit)
{
	const struct unit *to = unit == NULL ? NULL : unit_find(unit, NULL);

	return to == NULL || ch->unit == NULL || ch->unit->dim != to->dim ? NULL : to;
}

enum err_code hunt_load(struct series *s, const struct datalog *log, enum quantity_id id,
			const char *unit, struct err *e)
{
	const struct channel *ch = datalog_find(log, id);

	if (ch == NULL)
		return ERR_NONE;
	return series_share(s, log, ch, 0, log->rows - 1, unit_for(ch, unit), NULL, e);
}

/* The highest value but for one or two odd samples. */
static double top_value(const struct series *s, double *scratch)
{
	memcpy(scratch, s->v, s->n * sizeof *s->v);
	return select_quantile(scratch, s->n, 1.0 - 2.0 / (double)(s->n > 2 ? s->n : 3));
}

/* Brings drive to its scale, and finds its highest value and the limits. */
static enum err_code scale_drive(struct hunt *h, struct err *e)
{
	struct series *s = &h->drive;
	const struct drive *by = h->by;
	enum err_code code = ERR_NONE;
	double *scratch = mem_try_array(s->n, sizeof *scratch);
	double air = 0.0;
	double whole;
	size_t i;

	if (scratch == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", s->n);
	h->full = top_value(s, scratch);
	free(scratch);
	if (by->scale != SCALE_FULL)
		code = load_air(h->log, &air, e);
	if (by->scale == SCALE_GAUGE) {
		h->full += air;
		for (i = 0; i < s->n; i++)
			s->v[i] += air;
	} else if (!by->is_load && h->full <= FRACTION_TOP) {
		h->full *= 100.0;
		for (i = 0; i < s->n; i++)
			s->v[i] *= 100.0;
	}
	whole = by->scale == SCALE_FULL ? h->full : air;
	h->enter = by->enter * whole;
	h->leave = by->leave * whole;
	if (!by->is_load && h->full < LEAST_FULL)
		h->enter = INFINITY;
	return code;
}

static enum err_code find_drive(struct hunt *h, struct err *e)
{
	size_t i;

	h->by_load = true;
	for (i = 0; i < sizeof drives / sizeof drives[0]; i++) {
		const enum err_code code = hunt_load(&h->drive, h->log, drives[i].id, drives[i].unit, e);

		if (code != ERR_NONE)
			return code;
		if (h->drive.n == 0)
			continue;
		h->by = &drives[i];
		h->by_load = h->by->is_load;
		return scale_drive(h, e);
	}
	return ERR_NONE;
}

/* Noise of engine speed, from the scatter of its second differences. */
static void find_noise(struct hunt *h)
{
	const double *v = h->rpm.v;
	size_t i;

	h->noise = 0.0;
	for (i = 2; i < h->rpm.n; i++)
		h->scratch[i - 2] = fabs(v[i] - 2.0 * v[i - 1] + v[i - 2]);
	/* 0.6745 sigma is the median of |x|; second differences carry sqrt(6) sigma */
	if (h->rpm.n >= 3)
		h->noise = select_median(h->scratch, h->rpm.n - 2) / (0.6745 * sqrt(6.0));
	h->drop = fmax(LEAST_DROP, DROP_NOISES * h->noise);
}

/* Is v off both neighbours to one side, and by more than those are off each other? */
static bool is_spike(double before, double v, double after, double far)
{
	const double off = fmin(fabs(v - before), fabs(v - after));

	return (v > before) == (v > after) && off > far && fabs(after - before) < 0.5 * off;
}

/* Sample `from` to where one was that is left out; there times are the series' own. */
static void move(struct series *s, size_t from, size_t to)
{
	if (from == to)
		return;
	s->t[to] = s->t[from];
	s->v[to] = s->v[from];
}

/*
 * Leaves out single samples that are off both neighbours by over `far` to one side,
 * where those agree and are too close together for it to be true.
 */
static enum err_code drop_spikes(struct series *s, double far, double close, struct err *e)
{
	enum err_code code = ERR_NONE;
	size_t kept = 1;
	size_t i;

	for (i = 1; i + 1 < s->n && code == ERR_NONE; i++) {
		const double before = s->v[kept - 1];
		const double after = s->v[i + 1];

		if (fabs(s->v[i] - before) > far && is_spike(before, s->v[i], after, far) &&
		    s->t[i + 1] - s->t[kept - 1] <= close)
			code = series_own(s, e);
		else
			move(s, i, kept++);
	}
	if (code == ERR_NONE && s->n > 1)
		move(s, s->n - 1, kept++);
	s->n = s->n > 0 ? kept : 0;
	return code;
}

static enum err_code load_all(struct hunt *h, struct err *e)
{
	enum err_code code = hunt_load(&h->rpm, h->log, Q_RPM, "rpm", e);

	if (code == ERR_NONE && h->rpm.n == 0)
		code = err_set(e, ERR_DATA, "%s: no channel was recognised as engine speed, so "
			       "no pulls can be found; see `twinpull channels`, or name it in "
			       "a names file", h->log->path);
	if (code == ERR_NONE)
		code = find_drive(h, e);
	if (code == ERR_NONE)
		code = hunt_load(&h->speed, h->log, Q_SPEED, "km/h", e);
	if (code == ERR_NONE)
		code = hunt_load(&h->gear, h->log, Q_GEAR, NULL, e);
	if (code != ERR_NONE)
		return code;
	h->scratch = mem_try_array(h->rpm.n, sizeof *h->scratch);
	if (h->scratch == NULL)
		return err_set(e, ERR_MEMORY, "out of memory for %zu samples", h->rpm.n);
	return ERR_NONE;
}

/* A car that does not move, or a road speed that is lost for a moment. */
static enum err_code drop_standing(struct series *speed, struct err *e)
{
	enum err_code code = ERR_NONE;
	size_t kept = 0;
	size_t i;

	for (i = 0; i < speed->n && code == ERR_NONE; i++)
		if (speed->v[i] > CRAWL_KMH)
			move(speed, i, kept++);
		else
			code = series_own(speed, e);
	speed->n = kept;
	return code;
}

/* Leaves out what cannot be true. */
static enum err_code clean(struct hunt *h, struct err *e)
{
	const double close = SPIKE_SECONDS * h->second;
	enum err_code code;

	find_noise(h);
	h->has_speed = h->speed.n > 0;
	code = drop_standing(&h->speed, e);
	if (code == ERR_NONE)
		code = drop_spikes(&h->rpm, SPIKE_DROPS * h->drop, close, e);
	if (code == ERR_NONE)
		code = drop_spikes(&h->drive, SPIKE_SHARE * h->full, close, e);
	return code;
}

enum err_code hunt_init(struct hunt *h, const struct datalog *log, struct err *e)
{
	enum err_code code;

	memset(h, 0, sizeof *h);
	h->log = log;
	h->second = log->time_source == TIME_ROWS ? ROWS_A_SECOND : 1.0;
	code = load_all(h, e);
	if (code == ERR_NONE)
		code = clean(h, e);
	if (code == ERR_NONE)
		h->highest = top_value(&h->rpm, h->scratch);
	if (code == ERR_NONE && h->by_load && h->by != NULL)
		code = load_init(h, e);
	if (code != ERR_NONE)
		hunt_release(h);
	return code;
}

void hunt_release(struct hunt *h)
{
	series_release(&h->rpm);
	series_release(&h->drive);
	series_release(&h->speed);
	series_release(&h->gear);
	load_release(h);
	free(h->scratch);
}

double hunt_ratio(const struct hunt *h, size_t i)
{
	return h->rpm.v[i] / series_at(&h->speed, h->rpm.t[i]);
}

void hunt_first_window(const struct hunt *h, struct window *w)
{
	w->from = w->to = w->next = h->rpm.t[0];
}

/* The end of the section of the log that holds time t. */
static double section_end(const struct hunt *h, double t)
{
	const struct datalog *log = h->log;
	const size_t row = datalog_row_at(log, t);
	size_t low = 0;
	size_t high = log->section_count;

	/* sections before low begin at or before the row, those from high on behind it */
	while (low < high) {
		const size_t middle = low + (high - low) / 2;

		if (log->sections[middle].first <= row)
			low = middle + 1;
		else
			high = middle;
	}
	return low < log->section_count ? log->time[log->sections[low].first - 1] : INFINITY;
}

/* Where nothing tells full throttle a window is simply a section of the log. */
static bool section_window(const struct hunt *h, struct window *w)
{
	const size_t i = series_lower(&h->rpm, w->next);

	if (i >= h->rpm.n)
		return false;
	w->from = h->rpm.t[i];
	w->to = fmin(section_end(h, w->from), h->rpm.t[h->rpm.n - 1]);
	w->next = nextafter(w->to, INFINITY);
	return true;
}

/* Median of the samples first .. last that lie within LEVEL_SECONDS of time t. */
static double level(const struct hunt *h, size_t first, size_t last, double t)
{
	const struct series *d = &h->drive;
	double near[64];
	size_t n = 0;
	size_t i;

	while (first < last && t - d->t[first] > LEVEL_SECONDS * h->second)
		first++;
	for (i = first; i <= last && n < sizeof near / sizeof near[0]; i++)
		if (d->t[i] - t <= LEVEL_SECONDS * h->second)
			near[n++] = d->v[i];
	return select_median(near, n);
}

/*
 * The first sample at which the foot has come down all the way: for a drive that lags
 * behind it, the first from which it would be there after that lag as fast as it moves.
 */
static size_t settled(const struct hunt *h, size_t earliest, size_t first, size_t last)
{
	const struct series *d = &h->drive;
	const double least = h->by->held * level(h, first, last, d->t[first]);
	const double lag = h->by->lag * h->second;
	size_t i = first;

	if (h->by->is_load)
		return first;
	while (i > earliest && d->t[first] - d->t[i - 1] <= lag)
		i--;
	for (; i <= last && d->t[i] - d->t[first] <= EDGE_SECONDS * h->second; i++) {
		const double dt = i > 0 ? d->t[i] - d->t[i - 1] : 0.0;
		const double rate = dt > 0.0 ? (d->v[i] - d->v[i - 1]) / dt : 0.0;

		if (d->v[i] + rate * lag >= least)
			return i;
	}
	return first;
}

/* When the foot comes up: the last sample before, or for a load some time before it falls. */
static double lifted(const struct hunt *h, size_t first, size_t last)
{
	const struct series *d = &h->drive;
	const double least = h->by->held * level(h, first, last, d->t[last]);
	size_t i = last;

	while (i > first && d->v[i] < least && d->t[last] - d->t[i] <= EDGE_SECONDS * h->second)
		i--;
	if (d->v[i] < least)
		i = last;
	if (!h->by->is_load || i + 1 >= d->n || !(d->v[i + 1] < least))
		return d->t[i];
	/* where a line between the two samples crosses the least */
	return d->t[i] + (d->t[i + 1] - d->t[i]) * (d->v[i] - least) / (d->v[i] - d->v[i + 1]) -
	       h->by->fall_lag * h->second;
}

/* The last sample at which the foot is down, from `first` on. */
static size_t window_last(const struct hunt *h, size_t first)
{
	const struct series *d = &h->drive;
	const double end = section_end(h, d->t[first]);
	size_t last = first;
	size_t i;

	for (i = first; i < d->n && d->v[i] >= h->leave && d->t[i] <= end; i++) {
		if (d->v[i] >= h->enter)
			last = i;
		else if (d->t[i] - d->t[last + 1] > CLOSED_SECONDS * h->second)
			break;
		if (i + 1 < d->n && d->t[i + 1] - d->t[i] > HUNT_LONGEST_GAP * h->second)
			break;
	}
	return last;
}

bool hunt_window(const struct hunt *h, struct window *w)
{
	const struct series *d = &h->drive;
	const size_t earliest = series_lower(d, w->next);
	size_t first = earliest;
	size_t last;

	if (h->by == NULL)
		return section_window(h, w);
	while (first < d->n && d->v[first] < h->enter)
		first++;
	if (first == d->n)
		return false;
	last = window_last(h, first);
	w->from = d->t[settled(h, earliest, first, last)];
	w->to = lifted(h, first, last);
	w->next = nextafter(d->t[last], INFINITY);
	return true;
}
