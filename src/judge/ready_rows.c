/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows: how fast and how regularly they come, and what is missing or repeated. */
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "judge/ready_case.h"

/* All common practice, no source. */
#define TOO_SLOW_HZ 10.0	/* below: short events are not excluded */
#define NEARLY 0.93		/* a rate is met by so much of it */
#define HARDLY 0.35		/* of the asked rate: less is no use */
#define COARSE_RPM 100.0	/* from sample to sample */
#define IRREGULAR 0.5		/* of the step from row to row, in one row of twenty */
#define LOST_STEPS 1.7		/* a gap so many steps wide has lost a row */
#define SKEW_RPM 60.0		/* that engine speed may rise between channels of one moment */
#define SHORT_GAP_S 0.3
#define FEW_LOST 0.05		/* of the samples */
#define MANY_LOST 0.25
#define WIDE_GAP_RPM 800.0	/* that engine speed rises in it */
#define FEW_REPEATS 0.05	/* of the rows */
#define RESTART_NEAR_S 1.0	/* a pull so near to a restart may have lost its begin */

static bool has_clock(const struct ready_case *c)
{
	return c->log->time_source != TIME_ROWS;
}

/* A log without time: nothing about rates can be said. */
static bool refuse_timeless(struct ready_case *c)
{
	struct ready_words words = ready_words(NAN, "");

	if (has_clock(c) && c->step_s > 0.0)
		return false;
	words.advice = mem_strdup("Log the time, or give --rate HZ.");
	ready_say(c, READY_UNCHECKED, words, has_clock(c) ? "Too few rows to tell." :
		  "The log has no time, so rates and gaps are not known.");
	return true;
}

static const struct ready_fast *slowest(const struct ready_case *c)
{
	const struct ready_fast *worst = NULL;
	size_t i;

	for (i = 0; i < c->fast_count; i++)
		if (worst == NULL || c->fast[i].interval_s > worst->interval_s)
			worst = &c->fast[i];
	return worst;
}

/* ", 19 rpm a sample" */
static char *rise_words(const struct ready_case *c, double interval)
{
	if (isnan(c->rise) || isnan(interval))
		return mem_strdup("");
	return mem_printf(", %.0f rpm a sample", c->rise * interval);
}

static void say_rate(struct ready_case *c, enum ready_result result, struct ready_words words,
		     const struct ready_fast *worst)
{
	const double rows = 1.0 / c->step_s;
	const double rpm = c->fast[0].interval_s;
	const char *comes = worst->held ? "has a new value" : "comes";
	char *rise = rise_words(c, rpm);
	const char *slow = words.value < NEARLY * TOO_SLOW_HZ ?
		" Too slow to exclude short events." : "";

	if (worst == &c->fast[0] && rpm > 1.5 * c->step_s)
		ready_say(c, result, words, "%.3g rows a second, but '%s' %s only %.2g times a "
			  "second%s.%s", rows, worst->channel->name, comes, words.value, rise, slow);
	else if (worst->interval_s > 1.5 * c->step_s)
		ready_say(c, result, words, "%.3g rows a second, but '%s' %s only %.2g times a second "
			  "('%s' %.3g times%s).%s", rows, worst->channel->name, comes, words.value,
			  c->fast[0].channel->name, 1.0 / rpm, rise, slow);
	else
		ready_say(c, result, words, "%.3g rows a second%s, each with every channel that must "
			  "come fast.%s", rows, rise, slow);
	free(rise);
}

enum err_code ready_rate(struct ready_case *c, struct err *e)
{
	const struct ready_fast *worst = slowest(c);
	const double asked = c->setup->request->rate_hz;
	struct ready_words words;
	enum ready_result result = READY_PASS;

	(void)e;
	if (refuse_timeless(c))
		return ERR_NONE;
	if (worst == NULL || isnan(worst->interval_s) || !(worst->interval_s > 0.0)) {
		ready_say(c, READY_UNCHECKED, ready_words(NAN, "Hz"),
			  "No channel whose rate matters is logged.");
		return ERR_NONE;
	}
	words = ready_words(1.0 / worst->interval_s, "Hz");
	words.asked = isnan(asked) ? mem_printf("at least %.3g Hz", TOO_SLOW_HZ) :
		mem_printf("at least %.3g Hz", asked);
	if (words.value < NEARLY * TOO_SLOW_HZ || words.value < NEARLY * asked)
		result = READY_WEAK;
	if (words.value < HARDLY * (isnan(asked) ? TOO_SLOW_HZ : asked))
		result = READY_FAIL;
	if (c->fast[0].interval_s * c->rise > COARSE_RPM)
		result = ready_worse(result, READY_WEAK);
	say_rate(c, result, words, worst);
	return ERR_NONE;
}

/* Rows of a section's begin follow on no clock. */
static bool begins_section(const struct datalog *log, size_t row)
{
	return log->sections[datalog_section(log, row)].first == row;
}

/* The step in which the clock counts, where that is coarser than the rows; else 0. */
static double clock_step(const struct ready_case *c, size_t *repeated)
{
	const struct channel *ch = &c->log->channels[c->log->time_channel];
	double smallest = INFINITY;
	double stamps;
	size_t row;

	*repeated = 0;
	if (c->log->time_source != TIME_COLUMN || column_rows(ch->column) != c->log->rows)
		return 0.0;
	for (row = c->first + 1; row <= c->last; row++) {
		const double step = column_at(ch->column, row) - column_at(ch->column, row - 1);

		*repeated += step == 0.0;
		if (step > 0.0)
			smallest = fmin(smallest, step);
	}
	stamps = column_at(ch->column, c->last) - column_at(ch->column, c->first);
	if (*repeated == 0 || !(stamps > 0.0))
		return 0.0;
	return smallest / stamps * (c->log->time[c->last] - c->log->time[c->first]);
}

enum err_code ready_regular(struct ready_case *c, struct err *e)
{
	struct ready_words words = ready_words(NAN, "s");
	size_t repeated;
	double *off;
	size_t n = 0;
	size_t row;

	(void)e;
	if (refuse_timeless(c))
		return ERR_NONE;
	if (clock_step(c, &repeated) > 0.0) {
		ready_say(c, READY_UNCHECKED, words, "The clock is coarser than the rows.");
		return ERR_NONE;
	}
	off = mem_array(c->last - c->first, sizeof *off);
	for (row = c->first + 1; row <= c->last; row++) {
		const double step = c->log->time[row] - c->log->time[row - 1];

		if (step < LOST_STEPS * c->step_s && !begins_section(c->log, row))
			off[n++] = fabs(step - c->step_s);
	}
	gsl_sort(off, 1, n);
	words.value = n == 0 ? 0.0 : off[n * 95 / 100];
	words.asked = mem_strdup("even steps from row to row");
	ready_say(c, words.value > IRREGULAR * c->step_s ? READY_WEAK : READY_PASS, words,
		  "Rows come every %.3f s, nearly all within %.3f s of it.", c->step_s, words.value);
	free(off);
	return ERR_NONE;
}

enum err_code ready_skew(struct ready_case *c, struct err *e)
{
	const struct ready_fast *worst = slowest(c);
	struct ready_words words = ready_words(0.0, "s");

	(void)e;
	if (refuse_timeless(c))
		return ERR_NONE;
	words.asked = mem_printf("channels of one moment, within %.0f rpm of rise", SKEW_RPM);
	if (worst == NULL || !(worst->interval_s > 1.5 * c->step_s)) {
		ready_say(c, READY_PASS, words, "Every row holds all channels that must come fast.");
		return ERR_NONE;
	}
	words.value = worst->interval_s;
	ready_say(c, words.value * c->rise > SKEW_RPM ? READY_WEAK : READY_PASS, words,
		  "Channels are read in turn: two of them can be up to %.2f s apart, %.0f rpm.",
		  words.value, words.value * c->rise);
	return ERR_NONE;
}

/* What is missing of one channel, or of the rows themselves.  blur: how wrong times may be. */
struct loss {
	const struct channel *channel;	/* NULL: whole rows */
	double longest;			/* s */
	double at;
	double share;
};

static struct loss count_loss(const double *t, size_t n, double step, double blur, double from,
			      double to)
{
	struct loss out = { NULL, 0.0, NAN, 0.0 };
	double lost = 0.0;
	size_t i;

	for (i = 0; i <= n && step > 0.0; i++) {
		const double before = i == 0 ? from : t[i - 1];
		const double gap = (i == n ? to : t[i]) - before;

		if (gap <= LOST_STEPS * step + blur)
			continue;
		lost += round(gap / step) - 1.0;
		if (gap > out.longest) {
			out.longest = gap;
			out.at = before;
		}
	}
	out.share = lost / (lost + (double)(n > 0 ? n : 1));
	return out;
}

static enum ready_result judge_loss(const struct ready_case *c, const struct loss *l,
				    double step)
{
	if (l->share > MANY_LOST || l->longest * c->rise > fmax(WIDE_GAP_RPM, 3.0 * step * c->rise))
		return READY_FAIL;
	if (l->share > FEW_LOST || l->longest > fmax(SHORT_GAP_S, 3.2 * step))
		return READY_WEAK;
	return READY_PASS;
}

static void say_gaps(struct ready_case *c, enum ready_result result, const struct loss *l)
{
	struct ready_words words = ready_words(l->longest, "s");
	const char *name = l->channel == NULL ? "the rows" : l->channel->name;
	char *place;

	words.asked = mem_strdup("nothing missing in the pull");
	if (l->longest == 0.0) {
		ready_say(c, result, words, "No row and no sample is missing.");
		return;
	}
	place = ready_place(c, l->at);
	ready_say(c, result, words, "%.1f %% of %s%s%s missing, at most %.2f s in a row, %s.",
		  100.0 * l->share, l->channel == NULL ? "" : "'", name,
		  l->channel == NULL ? " are" : "' is", l->longest, place);
	free(place);
}

enum err_code ready_gaps(struct ready_case *c, struct err *e)
{
	const struct pull *p = &c->run->pull;
	size_t repeated;
	const double blur = clock_step(c, &repeated);
	struct loss worst = count_loss(c->log->time + c->first, c->last - c->first + 1, c->step_s,
				       blur, p->from_s, p->to_s);
	enum ready_result result = judge_loss(c, &worst, c->step_s);
	size_t i;

	(void)e;
	if (refuse_timeless(c))
		return ERR_NONE;
	for (i = 0; i < c->fast_count; i++) {
		const struct ready_fast *f = &c->fast[i];
		const double step = ready_interval(&f->s);
		struct loss l = count_loss(f->s.t, f->s.n, step, blur, p->from_s, p->to_s);
		const enum ready_result r = judge_loss(c, &l, step);

		l.channel = f->channel;
		if (r > result || (r == result && l.share > 2.0 * worst.share)) {
			worst = l;
			result = r;
		}
	}
	say_gaps(c, result, &worst);
	return ERR_NONE;
}

/* Is every cell of the row that of the row before?  False without any number in it. */
static bool repeats(const struct datalog *log, size_t row)
{
	bool some = false;
	size_t i;

	for (i = 0; i < log->channel_count; i++) {
		const struct channel *ch = &log->channels[i];
		double a, b;

		if (ch->derived || ch->quantity->id == Q_TIME ||
		    (log->time_source == TIME_COLUMN && i == log->time_channel))
			continue;
		a = column_at(ch->column, row - 1);
		b = column_at(ch->column, row);
		if (isnan(a) != isnan(b) || (!isnan(a) && a != b))
			return false;
		some = some || !isnan(a);
	}
	return some;
}

enum err_code ready_repeats(struct ready_case *c, struct err *e)
{
	struct ready_words words = ready_words(0.0, "%");
	size_t count = 0;
	size_t row;

	(void)e;
	if (c->log->rows < 2 || c->last == c->first) {
		words.value = NAN;
		ready_say(c, READY_UNCHECKED, words, "Too few rows to tell.");
		return ERR_NONE;
	}
	for (row = c->first + 1; row <= c->last; row++)
		count += repeats(c->log, row);
	words.value = 100.0 * (double)count / (double)(c->last - c->first);
	words.asked = mem_strdup("no row twice");
	if (count == 0)
		ready_say(c, READY_PASS, words, "No row repeats the one before.");
	else
		ready_say(c, words.value > 100.0 * FEW_REPEATS ? READY_WEAK : READY_PASS, words,
			  "%zu of %zu rows repeat the one before, cell by cell.", count,
			  c->last - c->first);
	return ERR_NONE;
}

/* Time from the section's begin to the pull's; infinite where the log begins there. */
static double since_restart(const struct ready_case *c)
{
	const size_t at = datalog_section(c->log, c->first);

	if (c->run == NULL || at == 0)
		return INFINITY;
	return c->run->pull.from_s - c->log->time[c->log->sections[at].first];
}

/* Does the section end with the pull? */
static bool cut_by_restart(const struct ready_case *c)
{
	const size_t at = datalog_section(c->log, c->first);

	return c->run != NULL && at + 1 < c->log->section_count &&
		c->log->sections[at + 1].first <= c->last + 1;
}

enum err_code ready_clock(struct ready_case *c, struct err *e)
{
	struct ready_words words = ready_words(0.0, "");
	size_t repeated;
	double step;

	(void)e;
	if (!has_clock(c) || c->log->section_count == 0) {
		words.value = NAN;
		words.advice = mem_strdup("Log the time, or give --rate HZ.");
		ready_say(c, has_clock(c) ? READY_WEAK : READY_FAIL, words,
			  "The log has no time: nothing can be said of how long anything took.");
		return ERR_NONE;
	}
	words.asked = mem_strdup("a clock that runs on");
	words.value = (double)(c->log->section_count - 1);
	step = clock_step(c, &repeated);
	if (cut_by_restart(c) || since_restart(c) < RESTART_NEAR_S)
		ready_say(c, READY_WEAK, words, "The clock jumps back right %s the pull: part of it may be "
			  "lost.", cut_by_restart(c) ? "behind" : "before");
	else if (0.5 * step * c->rise > SKEW_RPM)
		ready_say(c, READY_WEAK, words, "The clock counts in steps of about %.2g s: %zu rows bear the "
			  "stamp of the row before.", step, repeated);
	else if (c->log->section_count > 1)
		ready_say(c, READY_PASS, words, "The clock jumps back %zu time%s, not near the pull.",
			  c->log->section_count - 1, c->log->section_count == 2 ? "" : "s");
	else
		ready_say(c, READY_PASS, words, "The clock runs on%s.", repeated == 0 ? "" :
			  ", though coarser than the rows");
	return ERR_NONE;
}
