/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Engine speed that runs ahead of the road.
 *
 * Engine speed over road speed is the gear, and more where wheels or clutch slip: never less.
 * So the gear is what is usual among the lower ratios of the pull.  A speed that comes late
 * reads too low while the car gains speed; how late it comes is found first, as the delay
 * with which most of the pull runs at one ratio.
 */
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/select.h"
#include "base/text.h"
#include "judge/check_fns.h"
#include "judge/check_help.h"
#include "judge/measure.h"

#define LEAST_LATE_S -0.1
#define MOST_LATE_S 0.6
#define LATE_STEP_S 0.02
#define LATE_GAIN 0.7		/* a delay must narrow the ratios to so much, or there is none */
#define LATE_LEAST 0.010	/* most ratios that lie closer need no delay */
#define MOST 0.4		/* of the samples that must run at one ratio, to tell the delay */
#define LOW 0.1			/* quantile below which there is no slip */
#define SAME_GEAR 1.035		/* ratios above the low one by less may be the gear */
#define CRAWL 0.2		/* of the pull's speed: slower is no reading */
#define SMOOTH_S 0.2
#define ROUGH 0.004		/* of the ratio, 1 sd: noisier ones are smoothed */
#define STEP 0.003		/* likewise half a step of the speed */
#define SEEN 2.0		/* per cent: one that slips less follows the engine */

/* Leaves out the samples without a reading: a wheel that stands or a wire that is off. */
static enum err_code drop_dead(struct series *speed, struct err *e)
{
	double *copy = mem_try_array(speed->n + 1, sizeof *copy);
	double least;
	size_t i, n = 0;

	if (copy == NULL)
		return err_set(e, ERR_MEMORY, "not enough memory for %zu samples", speed->n);
	memcpy(copy, speed->v, speed->n * sizeof *copy);
	least = CRAWL * select_quantile(copy, speed->n, 0.9);
	for (i = 0; i < speed->n; i++)
		if (speed->v[i] > least) {
			speed->t[n] = speed->t[i];
			speed->v[n++] = speed->v[i];
		}
	speed->n = n;
	free(copy);
	return ERR_NONE;
}

/* Ratio at each sample of the speed that reads `late` seconds late; NaN where unknown. */
static void find_ratios(const struct series *rpm, const struct series *speed, double late,
			double from_s, double *out)
{
	size_t i;

	for (i = 0; i < speed->n; i++) {
		const double t = speed->t[i] - late;

		out[i] = t < from_s ? NAN : series_at(rpm, t) / speed->v[i];
	}
}

/* How far apart the closest 40 per cent of the ratios are, as a share; sorts them. */
static double width_of_most(double *ratio, size_t n)
{
	size_t i, known = 0, most;
	double least = INFINITY;

	for (i = 0; i < n; i++)
		if (!isnan(ratio[i]))
			ratio[known++] = ratio[i];
	most = (size_t)(MOST * (double)known);
	if (most < 2)
		return INFINITY;
	gsl_sort(ratio, 1, known);
	for (i = 0; i + most <= known; i++)
		least = fmin(least, ratio[i + most - 1] / ratio[i] - 1.0);
	return least;
}

/* How late the speed reads; 0 unless some delay fits clearly better. */
static double find_delay(const struct series *rpm, const struct series *speed, double from_s,
			 double *scratch)
{
	double best, best_late = 0.0, late;
	int i;

	find_ratios(rpm, speed, 0.0, from_s, scratch);
	best = width_of_most(scratch, speed->n);
	if (best < LATE_LEAST)
		return 0.0;
	best *= LATE_GAIN;
	for (i = 0; late = LEAST_LATE_S + LATE_STEP_S * i, late <= MOST_LATE_S; i++) {
		double width;

		find_ratios(rpm, speed, late, from_s, scratch);
		width = width_of_most(scratch, speed->n);
		if (width < best) {
			best = width;
			best_late = late;
		}
	}
	return best_late;
}

/* Noise of a sample, as a share. */
static double noise_of(const struct series *ratio, double *scratch)
{
	size_t i;

	if (ratio->n < 3)
		return 0.0;
	for (i = 2; i < ratio->n; i++)
		scratch[i - 2] = fabs(ratio->v[i] - 2.0 * ratio->v[i - 1] + ratio->v[i - 2]) /
				 ratio->v[i];
	return help_noise(scratch, ratio->n - 2);
}

/* The gear: the median of the ratios that are not far above the lowest. */
static double usual_ratio(const struct series *ratio, double *scratch)
{
	size_t i, n = 0;
	double low;

	memcpy(scratch, ratio->v, ratio->n * sizeof *scratch);
	low = select_quantile(scratch, ratio->n, LOW);
	for (i = 0; i < ratio->n; i++)
		if (ratio->v[i] <= low * SAME_GEAR)
			scratch[n++] = ratio->v[i];
	return select_median(scratch, n);
}

/*
 * The speed's samples become per cent of slip: engine speed over it, against the gear, less
 * what half a step of the speed could make of it.
 */
static enum err_code find_slip(const struct series *rpm, struct series *speed, double from_s,
			       struct err *e)
{
	double *scratch = mem_try_array(speed->n + 1, sizeof *scratch);
	const double half_step = 0.5 * help_step(speed);
	struct series ratio = SERIES_INIT;
	enum err_code code;
	double usual;
	size_t i;

	if (scratch == NULL)
		return err_set(e, ERR_MEMORY, "not enough memory for %zu samples", speed->n);
	find_ratios(rpm, speed, find_delay(rpm, speed, from_s, scratch), from_s, scratch);
	code = series_from(&ratio, speed->t, scratch, speed->n, false, e);
	if (code == ERR_NONE && (half_step > STEP * speed->v[0] || noise_of(&ratio, scratch) > ROUGH))
		code = measure_smooth(&ratio, SMOOTH_S, e);
	if (code != ERR_NONE)
		goto out;
	usual = usual_ratio(&ratio, scratch);
	for (i = 0; i < ratio.n; i++)
		ratio.v[i] = 100.0 * (ratio.v[i] / usual - 1.0 -
				      half_step / series_at(speed, ratio.t[i]));
	series_release(speed);
	*speed = ratio;
	ratio = (struct series)SERIES_INIT;
out:
	series_release(&ratio);
	free(scratch);
	return code;
}

/*
 * Wheels or clutch?  A wheel's speed that follows the engine while another speed does not is
 * a driven wheel's: then the clutch holds.  One that is called driven and does not follow: the
 * clutch gives.
 */
static void tell_which(struct measures *out)
{
	bool follows = false, driven_slips = false;
	double most = 0.0;
	size_t i;

	for (i = 0; i < out->count; i++)
		most = fmax(most, help_highest(&out->list[i].value));
	if (out->count < 2 || most < SEEN)
		return;
	for (i = 0; i < out->count; i++) {
		const struct measure *m = &out->list[i];
		const double its = help_highest(&m->value);

		follows = follows || (its < 0.4 * most &&
				      (text_matches(m->channel->name, "wheel") ||
				       text_matches(m->channel->name, "driven")));
		driven_slips = driven_slips ||
			       (its > 0.8 * most && text_matches(m->channel->name, "driven"));
	}
	for (i = 0; i < out->count && follows != driven_slips; i++)
		out->list[i].detail = mem_strdup(follows ? "the driven wheels, not the clutch"
							 : "the clutch, not the driven wheels");
}

enum err_code check_slip(const struct check *c, const struct scene *s, struct measures *out,
			 struct err *e)
{
	const struct datalog *log = s->run->log;
	const struct channel *engine = scene_need(c, 1, s);
	struct series rpm;
	enum err_code code = scene_load(s, engine, NULL, &rpm, e);
	size_t i;

	for (i = 0; i < log->channel_count && code == ERR_NONE; i++) {
		const struct channel *ch = &log->channels[i];
		struct series v = SERIES_INIT;

		if (ch->quantity->id != c->needs[0].any[0] || !scene_has(s, ch))
			continue;
		code = scene_load(s, ch, NULL, &v, e);
		if (code == ERR_NONE)
			code = drop_dead(&v, e);
		if (code == ERR_NONE)
			code = find_slip(&rpm, &v, s->from_s, e);
		if (code == ERR_NONE && v.n > 0)
			measures_add(out, ch, &v, RELATION_NONE, NULL);
		series_release(&v);
	}
	series_release(&rpm);
	if (code == ERR_NONE && out->count == 0)
		measures_refuse(out, "no road speed has readings during the pull");
	if (code == ERR_NONE)
		tell_which(out);
	return code;
}
