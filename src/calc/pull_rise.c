/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rises of engine speed within a window. */
#include "calc/pull_rise.h"

#include <math.h>
#include <string.h>

#include "base/select.h"

/* All common practice, no source. */
#define STALL_SECONDS 0.7	/* no new highest for so long: the rise is over, or pauses */
#define DOUBTFUL_GAP 1.5	/* s without samples: does the rise go on behind it? */
#define SLOPE_SECONDS 1.0	/* how far before a gap the rise is looked at */
#define GAP_LEAST 0.5		/* of the rise that is due in a gap */
#define GAP_MOST 1.5
#define RECOVER_SECONDS 6.0	/* so long after a flare it may take to its top again */
#define RECOVER_SAMPLES 1000	/* nor more samples, whatever the time stamps say */
#define BITE 0.2			/* of a fall: less is not yet a rise */
#define LOOK_SAMPLES 16		/* how many samples a ratio is taken from */
#define LOOK_SECONDS 0.4	/* behind a fall */

void rise_first(const struct hunt *h, const struct window *w, struct rise *r)
{
	memset(r, 0, sizeof *r);
	r->start = r->earliest = r->next = series_lower(&h->rpm, w->from);
	r->stop = series_lower(&h->rpm, nextafter(w->to, INFINITY));
}

/*
 * The q quantile of the ratios of up to LOOK_SAMPLES samples from first .. last; NaN if
 * unknown.
 */
static double ratio_of(const struct hunt *h, size_t first, size_t last, double q)
{
	const size_t step = (last - first) / LOOK_SAMPLES + 1;
	double known[LOOK_SAMPLES + 1];
	size_t n = 0;
	size_t i;

	for (i = first; i <= last && n < LOOK_SAMPLES; i += step) {
		const double ratio = hunt_ratio(h, i);

		if (!isnan(ratio))
			known[n++] = ratio;
	}
	return select_quantile(known, n, q);
}

static bool too_late(const struct hunt *h, size_t from, size_t i)
{
	return i - from > RECOVER_SAMPLES ||
	       h->rpm.t[i] - h->rpm.t[from] > RECOVER_SECONDS * h->second;
}

/*
 * The lowest sample from `from` on, before engine speed has risen again: by a share of
 * the fall too, as a clutch that bites makes it jump.
 */
static size_t find_low(const struct hunt *h, size_t from, size_t stop)
{
	const struct series *rpm = &h->rpm;
	size_t low = from;
	size_t i;

	for (i = from; i < stop; i++) {
		if (rpm->v[i] - rpm->v[low] > h->drop + BITE * (rpm->v[from] - rpm->v[low]))
			break;
		if (too_late(h, from, i))
			break;
		if (rpm->v[i] < rpm->v[low])
			low = i;
	}
	return low;
}

/* Does engine speed rise on above `peak` behind `low`, without another fall? */
static bool surpasses(const struct hunt *h, size_t peak, size_t low, size_t stop)
{
	const struct series *rpm = &h->rpm;
	const double above = rpm->v[peak] + h->drop;
	const double below = rpm->v[low] - h->drop;
	size_t i;

	for (i = low; i < stop && rpm->v[i] > below; i++) {
		if (too_late(h, low, i))
			break;
		if (rpm->v[i] > above)
			return true;
	}
	return false;
}

/* 1: the gear channel says that the gear changed, -1: that it did not, 0: it says nothing. */
static int gear_says(const struct hunt *h, size_t before, size_t after)
{
	const double a = series_at(&h->gear, h->rpm.t[before]);
	const double b = series_at(&h->gear, h->rpm.t[after]);
	const double later = series_at(&h->gear, h->rpm.t[after] + LOOK_SECONDS * h->second);

	if (isnan(a) || isnan(b) || (!isnan(later) && fabs(later - b) > 0.5))
		return 0;
	return fabs(a - b) > 0.5 ? 1 : -1;
}

/* Last sample within LOOK_SECONDS behind i. */
static size_t look_on(const struct hunt *h, size_t i, size_t stop)
{
	const double until = h->rpm.t[i] + LOOK_SECONDS * h->second;
	const size_t behind = series_lower(&h->rpm, until);

	return behind >= stop ? stop - 1 : behind > i ? behind - 1 : i;
}

/*
 * Engine speed fell from peak to low.  Was that the end of a flare, so that the rise
 * goes on?  Else it is a change of gear, or the limiter.
 */
static bool was_flare(const struct hunt *h, size_t first, size_t peak, size_t low, size_t stop)
{
	const struct series *rpm = &h->rpm;
	const double top = hunt_ratio(h, peak);
	/* slip only raises it: the lower ones are without */
	const double before = ratio_of(h, first, peak, 0.25);
	const size_t behind = look_on(h, low, stop);
	const double after = ratio_of(h, low, behind, 0.5);
	const bool known = !isnan(top) && !isnan(after);
	const double fall = known ? after / top : rpm->v[low] / rpm->v[peak];

	/* too deep for the limiter: slip, if the gear is the same on both sides */
	if (fall < 1.0 - HUNT_GEAR_STEP)
		return fabs(after / before - 1.0) < HUNT_GEAR_STEP ||
		       gear_says(h, first + (peak - first) / 2, behind) < 0;
	return top > after * (1.0 + HUNT_SLIP) || surpasses(h, peak, low, stop);
}

/* Without road speed the gear channel alone tells of a change that no fall shows. */
static bool gear_changes(const struct hunt *h, size_t from, size_t i)
{
	return !h->has_speed && gear_says(h, from, i) > 0;
}

/*
 * Is there a gap before sample i behind which the rise does not go on?  Engine speed
 * must have risen about as fast in it as before.
 */
static bool gap_breaks(const struct hunt *h, size_t first, size_t i)
{
	const struct series *rpm = &h->rpm;
	const double gap = rpm->t[i] - rpm->t[i - 1];
	size_t from = i - 1;
	double due, risen;

	if (gap <= DOUBTFUL_GAP * h->second)
		return false;
	while (from > first && rpm->t[i - 1] - rpm->t[from] < SLOPE_SECONDS * h->second)
		from--;
	if (gap > HUNT_LONGEST_GAP * h->second || from == i - 1)
		return true;
	due = (rpm->v[i - 1] - rpm->v[from]) * gap / (rpm->t[i - 1] - rpm->t[from]);
	risen = rpm->v[i] - rpm->v[i - 1];
	return risen < GAP_LEAST * due - h->drop || risen > GAP_MOST * due + h->drop;
}

/* Walks up from r->first; sets last, behind, at_end and next. */
static void climb(const struct hunt *h, struct rise *r)
{
	const struct series *rpm = &h->rpm;
	size_t peak = r->first;
	size_t low;
	size_t i;

	r->at_end = true;
	for (i = r->first + 1; i < r->stop; i++) {
		if (gap_breaks(h, r->first, i))
			break;
		if (gear_changes(h, r->first, i)) {
			r->at_end = false;
			break;
		}
		if (rpm->v[i] > rpm->v[peak])
			peak = i;
		if (rpm->v[peak] - rpm->v[i] <= h->drop &&
		    rpm->t[i] - rpm->t[peak] <= STALL_SECONDS * h->second)
			continue;
		low = find_low(h, peak, r->stop);
		if (!was_flare(h, r->first, peak, low, r->stop)) {
			r->last = peak;
			r->behind = i > low ? i : low;
			r->next = r->behind;
			r->at_end = false;
			return;
		}
		i = i > low ? i : low;
		peak = i;
	}
	r->last = r->at_end ? i - 1 : peak;
	r->behind = i - 1;
	r->next = i;
}

bool rise_next(const struct hunt *h, struct rise *r)
{
	const size_t from = r->next;
	size_t low;

	if (from >= r->stop)
		return false;
	if (from > r->start)
		r->earliest = r->last + 1;
	low = find_low(h, from, r->stop);
	r->at_begin = from == r->start && h->rpm.v[from] - h->rpm.v[low] <= h->drop;
	r->first = r->at_begin ? from : low;
	climb(h, r);
	if (r->next <= from)
		r->next = from + 1;
	return true;
}
