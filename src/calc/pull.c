/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Finding the pulls of a log, in three steps: where the foot is down (windows),
 * where engine speed rises on within such a window (rises), and which of those
 * are one gear (judging).
 */
#include "calc/pull.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "calc/pull_hunt.h"
#include "calc/series.h"

/* All common practice, no source. */
#define LATE_START_RPM 3000.0
#define EARLY_END_SHARE 0.92	/* of the log's highest engine speed */
#define COARSE_RPM 100.0	/* from sample to sample */
#define RATIO_TOLERANCE 0.04	/* of the ratio, around its median */
#define GEAR_SHARE 0.70		/* of the samples must keep the ratio */
#define STEADY_SHARE 0.97	/* below: some slip */
#define LEAST_SECONDS 0.8
#define LEAST_SAMPLES 4
#define FREE_REV_RATE 6000.0	/* rpm/s: no gear is that short */
#define CRAWL_KMH 5.0

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

static int compare_doubles(const void *a, const void *b)
{
	const double x = *(const double *)a;
	const double y = *(const double *)b;

	return (x > y) - (x < y);
}

/* Median of v[n], which is sorted in place; NaN for none. */
static double median(double *v, size_t n)
{
	if (n == 0)
		return NAN;
	qsort(v, n, sizeof *v, compare_doubles);
	return 0.5 * (v[(n - 1) / 2] + v[n / 2]);
}

/* rpm per km/h at each sample of the rise; returns how many are known. */
static size_t ratios(const struct hunt *h, struct rise r, double *out)
{
	size_t n = 0;
	size_t i;

	for (i = r.first; i <= r.last; i++) {
		const double speed = series_at(&h->speed, h->rpm.t[i]);

		if (speed > CRAWL_KMH)
			out[n++] = h->rpm.v[i] / speed;
	}
	return n;
}

/*
 * The share of samples that keep the median ratio.  Road speed in steps of 1 km/h
 * (SAE J1979 VSS) moves the ratio by one part in the speed: that much more is allowed.
 */
static double kept_share(const double *v, size_t n, double middle, double speed)
{
	const double allowed = middle * (RATIO_TOLERANCE + 1.0 / fmax(speed, CRAWL_KMH));
	size_t kept = 0;
	size_t i;

	for (i = 0; i < n; i++)
		kept += fabs(v[i] - middle) <= allowed;
	return n == 0 ? 0.0 : (double)kept / (double)n;
}

/* Fills ratio and the slip weakness; false when this is not one gear. */
static bool judge_ratio(const struct hunt *h, struct rise r, struct pull *p)
{
	const size_t n = r.last - r.first + 1;
	double *all = mem_array(n, sizeof *all);
	size_t known;
	double share;

	p->ratio = NAN;
	if (h->speed.n == 0) {
		p->weak |= PULL_NO_SPEED;
		free(all);
		return true;
	}
	known = ratios(h, r, all);
	p->ratio = median(all, known);
	share = kept_share(all, known, p->ratio, p->from_rpm / p->ratio);
	free(all);
	if (known < n / 2 || share < GEAR_SHARE)
		return false;
	if (share < STEADY_SHARE)
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

static unsigned judge_rest(const struct hunt *h, struct rise r, const struct pull *p)
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
	for (i = r.first; i < r.last; i++)
		if (h->rpm.t[i + 1] - h->rpm.t[i] > h->rpm.hole)
			weak |= PULL_GAPS;
	return weak;
}

/* A rise in a window becomes a pull, or not. */
static bool judge(const struct hunt *h, struct window w, struct rise r, struct pull *p)
{
	const double begin = fmax(w.from, h->rpm.t[r.first]);
	const double end = r.cut ? h->rpm.t[r.last] : fmin(w.to, h->rpm.t[r.last] + h->step);
	double seconds;

	memset(p, 0, sizeof *p);
	p->from_s = r.first_in_window ? w.from : begin;
	p->to_s = end;
	p->from_rpm = h->rpm.v[r.first];
	p->to_rpm = h->rpm.v[r.last];
	p->samples = r.last - r.first + 1;
	seconds = p->to_s - p->from_s;
	if (p->to_rpm - p->from_rpm < h->min_rise || p->samples < LEAST_SAMPLES)
		return false;
	if (seconds < LEAST_SECONDS || (p->to_rpm - p->from_rpm) / seconds > FREE_REV_RATE)
		return false;
	if (!judge_ratio(h, r, p))
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
	for (hunt_first_window(&h, &w); hunt_window(&h, &w); w.from = w.next)
		for (hunt_first_rise(&h, &w, &r); hunt_rise(&h, &w, &r);)
			if (judge(&h, w, r, &p))
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
