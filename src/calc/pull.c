/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Finding the pulls of a log, in three steps: where the foot is down (windows),
 * where engine speed rises on within such a window (rises), and which of those
 * are one gear (judging).
 */
#include "calc/pull.h"

#include <gsl/gsl_sort_double.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "calc/pull_load.h"
#include "calc/pull_rise.h"

/* All common practice, no source. */
#define LATE_START_RPM 3000.0
#define EARLY_END_SHARE 0.92	/* of the log's highest engine speed */
#define COARSE_RPM 100.0	/* from sample to sample */
#define GEAR_SHARE 0.50		/* of the samples must keep the ratio */
#define STEADY_SHARE 0.97	/* below: some slip */
#define RUN_AWAY 0.35		/* of the ratio: more than wheels slip */
#define LEAST_SECONDS 0.8
#define LEAST_SAMPLES 4
#define FREE_REV_RATE 6000.0	/* rpm/s: no gear is that short */

static const struct {
	enum pull_weakness weakness;
	const char *key;
	const char *words;
} weaknesses[] = {
	{ PULL_FEW_SAMPLES, "few_samples", "few samples: over 100 rpm from one to the next" },
	{ PULL_LATE_START, "late_start", "starts late: foot down only above 3000 rpm" },
	{ PULL_EARLY_END, "early_end", "ends early: well below the highest engine speed" },
	{ PULL_SLIP, "slip", "slip: engine speed over road speed is not constant" },
	{ PULL_GAPS, "gaps", "gaps: rows are missing inside" },
	{ PULL_NO_PEDAL, "no_pedal", "no pedal or throttle channel: guessed from the load" },
	{ PULL_NO_SPEED, "no_speed", "no road speed channel: one gear is not proven" },
};

const char *pull_weakness(unsigned bit, const char **key)
{
	if (bit >= sizeof weaknesses / sizeof weaknesses[0])
		return NULL;
	if (key != NULL)
		*key = weaknesses[bit].key;
	return weaknesses[bit].words;
}

/* What is known of the ratio of engine speed to road speed over a rise. */
struct ratio {
	double middle;		/* rpm per km/h; NaN unknown */
	double share;		/* of the samples with a ratio that keep it; 0 without any */
};

/* The ratio that most of the samples share, within the tolerance to either side. */
static double common_ratio(const double *sorted, size_t n, double tolerance, size_t *kept)
{
	size_t best = 0;
	size_t first = 0;
	size_t last;

	*kept = 0;
	for (last = 0; last < n; last++) {
		while (first < last && sorted[last] > sorted[first] * (1.0 + 2.0 * tolerance))
			first++;
		if (last - first + 1 > *kept) {
			*kept = last - first + 1;
			best = first;
		}
	}
	return n == 0 ? NAN : sorted[best + *kept / 2];
}

/*
 * Road speed in steps of 1 km/h (SAE J1979 VSS) moves the ratio by one part in the
 * speed: that much more is allowed.
 */
static struct ratio find_ratio(const struct hunt *h, size_t first, size_t last)
{
	const double speed = series_at(&h->speed, h->rpm.t[first + (last - first) / 2]);
	const double step = speed > 1.0 ? 1.0 / speed : 0.0;
	struct ratio out = { NAN, 0.0 };
	size_t known = 0;
	size_t kept;
	size_t i;

	for (i = first; i <= last; i++) {
		const double ratio = hunt_ratio(h, i);

		if (!isnan(ratio))
			h->scratch[known++] = ratio;
	}
	gsl_sort(h->scratch, 1, known);
	out.middle = common_ratio(h->scratch, known, HUNT_SLIP + step, &kept);
	if (known > 0)
		out.share = (double)kept / (double)known;
	return out;
}

/*
 * Cuts off what comes before the gear is in, and an engine that runs away at the end as
 * the clutch opens.
 */
static void trim(const struct hunt *h, double ratio, struct rise *r)
{
	const bool runs_away = hunt_ratio(h, r->last) > ratio * (1.0 + RUN_AWAY);

	while (r->first < r->last && fabs(hunt_ratio(h, r->first) / ratio - 1.0) > HUNT_GEAR_STEP) {
		r->at_begin = false;
		r->first++;
	}
	while (runs_away && r->last > r->first &&
	       hunt_ratio(h, r->last) > ratio * (1.0 + HUNT_SLIP)) {
		r->at_end = false;
		r->last--;
	}
}

/* Finds the ratio and the true ends; false when this is not one gear. */
static bool find_ends(const struct hunt *h, struct rise *r, struct pull *p)
{
	struct ratio ratio = find_ratio(h, r->first, r->last);

	trim(h, ratio.middle, r);
	rise_sharpen(h, ratio.middle, r);
	ratio = find_ratio(h, r->first, r->last);
	p->ratio = ratio.middle;
	if (!h->has_speed) {
		p->weak |= PULL_NO_SPEED;
		return true;
	}
	if (ratio.share < GEAR_SHARE)
		return false;
	if (ratio.share < STEADY_SHARE)
		p->weak |= PULL_SLIP;
	return true;
}

static int gear_of(const struct hunt *h, double from, double to)
{
	double v = series_at(&h->gear, 0.5 * (from + to));

	if (isnan(v))
		v = series_at(&h->gear, to);
	return v >= 0.5 && v < 20.0 ? (int)lround(v) : 0;
}

static unsigned judge_rest(const struct hunt *h, const struct rise *r, const struct pull *p)
{
	unsigned weak = 0;
	size_t i;

	if ((p->to_rpm - p->from_rpm) / (double)p->samples > COARSE_RPM)
		weak |= PULL_FEW_SAMPLES;
	if (p->from_rpm > LATE_START_RPM)
		weak |= PULL_LATE_START;
	if (p->to_rpm < EARLY_END_SHARE * h->highest)
		weak |= PULL_EARLY_END;
	if (h->by_load)
		weak |= PULL_NO_PEDAL;
	for (i = r->first; i < r->last; i++)
		if (h->rpm.t[i + 1] - h->rpm.t[i] > h->rpm.hole)
			weak |= PULL_GAPS;
	return weak;
}

/* Not for a rise between nonsense values either. */
static bool rises_enough(const struct hunt *h, const struct rise *r)
{
	return h->rpm.v[r->last] - h->rpm.v[r->first] >= h->min_rise;
}

/* Without load too, only a rise up to the top is taken. */
static bool under_load(const struct hunt *h, const struct pull *p)
{
	if (h->by == NULL)
		return p->to_rpm >= EARLY_END_SHARE * h->highest;
	return load_is_full(h, p->from_s, p->to_s);
}

/* A rise in a window becomes a pull, or not; its ends are made sharp. */
static bool judge(const struct hunt *h, const struct window *w, struct rise *r, struct pull *p)
{
	double seconds;

	memset(p, 0, sizeof *p);
	if (!rises_enough(h, r) || !find_ends(h, r, p) || !rises_enough(h, r))
		return false;
	p->from_s = r->at_begin && h->by != NULL ? w->from : h->rpm.t[r->first];
	p->to_s = r->at_end && r->next >= r->stop ? w->to : h->rpm.t[r->last];
	p->from_rpm = h->rpm.v[r->first];
	p->to_rpm = h->rpm.v[r->last];
	p->samples = r->last - r->first + 1;
	seconds = (p->to_s - p->from_s) / h->second;
	if (p->samples < LEAST_SAMPLES)
		return false;
	if (h->log->time_source != TIME_ROWS &&
	    (seconds < LEAST_SECONDS || (p->to_rpm - p->from_rpm) / seconds > FREE_REV_RATE))
		return false;
	if (h->by_load && !under_load(h, p))
		return false;
	p->gear = gear_of(h, p->from_s, p->to_s);
	p->weak |= judge_rest(h, r, p);
	p->first = datalog_row_at(h->log, p->from_s);
	p->last = datalog_row_at(h->log, p->to_s);
	return true;
}

static void keep(struct pulls *out, size_t *cap, const struct pull *p)
{
	mem_grow(&out->list, cap, out->count + 1, sizeof *out->list);
	out->list[out->count++] = *p;
}

enum err_code pull_find(const struct datalog *log, const struct pull_options *options,
			struct pulls *out, struct err *e)
{
	struct hunt h;
	struct window w;
	struct rise r;
	struct pull p;
	size_t cap = 0;
	enum err_code code;

	*out = (struct pulls)PULLS_INIT;
	code = hunt_init(&h, log, e);
	if (code != ERR_NONE)
		return code;
	h.min_rise = options != NULL && options->min_rise > 0.0 ? options->min_rise :
	             PULL_MIN_RISE;
	for (hunt_first_window(&h, &w); hunt_window(&h, &w);)
		for (rise_first(&h, &w, &r); rise_next(&h, &r);)
			if (judge(&h, &w, &r, &p))
				keep(out, &cap, &p);
	hunt_release(&h);
	return ERR_NONE;
}

void pulls_release(struct pulls *p)
{
	free(p->list);
	*p = (struct pulls)PULLS_INIT;
}

size_t pull_best(const struct pulls *p)
{
	size_t best = 0;
	double most = 0.0;
	size_t i;

	for (i = 0; i < p->count; i++) {
		const double range = p->list[i].to_rpm - p->list[i].from_rpm;

		if (range > most) {
			most = range;
			best = i + 1;
		}
	}
	return best;
}
