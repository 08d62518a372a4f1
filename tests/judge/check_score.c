/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See check_score.h. */
#include "judge/check_score.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

#define MUST 0.2
#define MUST_FACTOR 1.2		/* of the least duration */
#define JUST_OVER 1e-9
#define FALSE_BELOW -0.2
#define WINDOWED_S 0.3		/* half a window of so much blurs the worst value by this share */
#define WINDOWED_SHARE 0.3

/* The rows at which a channel has samples. */
struct samples {
	const struct channel *channel;
	size_t *row;
	size_t n;
	double interval;
};

/* First and last sample, both included. */
struct span {
	long first;
	long last;
};

static const struct channel *channel_of(const struct check_trial *t, const char *id)
{
	const struct check_truth *truth = &t->log.truth;
	const struct datalog *log = t->log.loaded.log;
	size_t i, k;

	for (i = 0; i < truth->column_count; i++) {
		if (strcmp(truth->columns[i].id, id) != 0)
			continue;
		for (k = 0; k < log->channel_count; k++)
			if (!log->channels[k].derived &&
			    strcmp(log->channels[k].raw_name, truth->columns[i].name) == 0)
				return &log->channels[k];
	}
	return NULL;
}

static void samples_take(struct samples *s, const struct check_trial *t,
			 const struct channel *ch)
{
	const struct datalog *log = t->log.loaded.log;
	size_t i;

	*s = (struct samples){ .channel = ch, .row = mem_array(log->rows + 1, sizeof *s->row) };
	for (i = 0; ch != NULL && i < log->rows; i++)
		if (!isnan(column_at(ch->column, i)))
			s->row[s->n++] = i;
	s->interval = ch != NULL ? datalog_interval(log, ch) : NAN;
}

/* The last sample at or before the log time. */
static long sample_at(const struct check_trial *t, const struct samples *s, double time)
{
	const double *clock = t->log.loaded.log->time;
	long k = 0;

	while (k + 1 < (long)s->n && clock[s->row[k + 1]] <= time + 1e-6)
		k++;
	return k;
}

/* The longest run that must be found at this severity; false when there is none. */
static bool must_span(const struct oracle *o, const struct samples *s, enum severity severity,
		      struct span *out)
{
	const double least = MUST_FACTOR * fmax(o->least_s, 2 * s->interval);
	const double slack = 1.5 * s->interval + 0.05;
	double longest = least;
	size_t i = 0;

	if (o->limits->of[o->id].level[severity].n == 0 || s->interval * o->least_hz > 1.0)
		return false;
	while (i < s->n) {
		const size_t first = i;
		double length;

		while (i < s->n && oracle_judged(o, s->row[i], slack) &&
		       oracle_excess(o, s->row[i], severity) >= MUST)
			i++;
		if (i == first) {
			i++;
			continue;
		}
		length = o->truth->t[s->row[i - 1]] - o->truth->t[s->row[first]];
		if (length >= longest) {
			longest = length;
			*out = (struct span){ (long)first, (long)i - 1 };
		}
	}
	return longest > least;
}

static bool touches(const struct check_trial *t, const struct samples *s,
		    const struct finding *f, const struct span *span)
{
	return sample_at(t, s, f->to_s) >= span->first - 1 &&
	       sample_at(t, s, f->from_s) <= span->last + 1;
}

/* Found, but said to be no more than likely: a note whatever its limit. */
static bool is_guess(const struct finding *f)
{
	return f->severity == SEVERITY_NOTE && f->sure == SURE_THIN;
}

/*
 * The finding for the span; false without any.  The severest counts, of those the ones on the
 * channel itself; noise may have cut it to pieces, and they are put together.
 */
static bool find(const struct check_trial *t, enum check_id id, enum severity least,
		 const struct samples *s, const struct span *span, struct finding *out)
{
	const struct finding *list = t->report.findings;
	bool found = false;
	size_t i;

	for (i = 0; i < t->report.count; i++) {
		const struct finding *f = &list[i];

		if (f->check->id != id || (f->severity < least && !is_guess(f)) ||
		    !touches(t, s, f, span))
			continue;
		if (!found || f->severity > out->severity ||
		    (f->severity == out->severity && f->channel == s->channel &&
		     out->channel != s->channel))
			*out = *f;
		found = true;
	}
	for (i = 0; found && i < t->report.count; i++) {
		const struct finding *f = &list[i];
		const double sign = f->check->side == CHECK_OVER ? 1.0 : -1.0;

		if (f->check->id != id || f->severity != out->severity ||
		    f->channel != out->channel || !touches(t, s, f, span))
			continue;
		out->from_s = fmin(out->from_s, f->from_s);
		out->to_s = fmax(out->to_s, f->to_s);
		if (sign * (f->worst - f->limit) <= sign * (out->worst - out->limit))
			continue;
		out->worst = f->worst;
		out->limit = f->limit;
	}
	if (found && is_guess(out))
		out->severity = least;	/* it was over that limit */
	return found;
}

static bool is_over(const struct oracle *o, const struct samples *s, long k,
		    enum severity severity, double slack, double least)
{
	return k >= 0 && k < (long)s->n && oracle_judged(o, s->row[k], slack) &&
	       oracle_over(o, s->row[k], severity) >= least;
}

/* Widens the span in both directions as long as the value is over `least`. */
static struct span widen(const struct oracle *o, const struct samples *s, struct span span,
			 enum severity severity, double slack, double least)
{
	while (is_over(o, s, span.first - 1, severity, slack, least))
		span.first--;
	while (is_over(o, s, span.last + 1, severity, slack, least))
		span.last++;
	return span;
}

/* Within the span, the first and last sample that are over `least`; the worst without any. */
static struct span inside(const struct oracle *o, const struct samples *s, struct span span,
			  enum severity severity, double slack, double least)
{
	long k, worst = span.first;
	struct span in = { -1, -1 };

	for (k = span.first; k <= span.last; k++) {
		if (k < 0 || k >= (long)s->n)
			continue;
		if (oracle_over(o, s->row[k], severity) > oracle_over(o, s->row[worst], severity))
			worst = k;
		if (!is_over(o, s, k, severity, slack, least))
			continue;
		in.first = in.first < 0 ? k : in.first;
		in.last = k;
	}
	return in.first < 0 ? (struct span){ worst, worst } : in;
}

static struct span around(const struct samples *s, struct span span, long by)
{
	span.first = span.first - by < 0 ? 0 : span.first - by;
	span.last = span.last + by >= (long)s->n ? (long)s->n - 1 : span.last + by;
	return span;
}

static bool worst_is_right(const struct oracle *o, const struct samples *s, struct span span,
			   const struct finding *f, double band)
{
	const double sign = f->check->side == CHECK_OVER ? 1.0 : -1.0;
	double worst = -INFINITY, change = 0.0;
	long k;

	span = around(s, span, 1);
	for (k = span.first; k <= span.last; k++)
		worst = fmax(worst, oracle_over(o, s->row[k], f->severity));
	for (k = span.first; k < span.last; k++) {
		const double a = oracle_over(o, s->row[k], f->severity);
		const double b = oracle_over(o, s->row[k + 1], f->severity);

		if (a == worst || b == worst)
			change = fmax(change, fabs(a - b));
	}
	change += fmin(o->window_s, WINDOWED_S) / WINDOWED_S * WINDOWED_SHARE * fabs(f->worst);
	return fabs(sign * (f->worst - f->limit) - worst) <= change + band;
}

static void score_ends(struct check_score *out, const struct check_trial *t,
		       const struct oracle *o, const struct finding *f)
{
	struct samples s;
	struct span found, near, exact, early, late;
	const double in_time = o->beyond || strcmp(f->check->unit, "s") == 0 ? 2.0 : 0.0;
	double band, slack;
	long by;

	samples_take(&s, t, f->channel);
	band = o->band + in_time * s.interval;
	slack = -(2 * s.interval + 0.1);
	found = (struct span){ sample_at(t, &s, f->from_s), sample_at(t, &s, f->to_s) };
	near = around(&s, found, 1);
	exact = inside(o, &s, near, f->severity, 0.0, JUST_OVER);
	exact = widen(o, &s, exact, f->severity, 0.0, JUST_OVER);
	early = widen(o, &s, exact, f->severity, slack, -band);
	late = inside(o, &s, exact, f->severity, -slack, band);
	if (!is_over(o, &s, late.first, f->severity, -slack, band))
		late = (struct span){ early.last, early.first };	/* noise may end it anywhere */
	out->start = found.first - exact.first;
	out->end = found.last - exact.last;
	by = 1 + lround(ceil(o->window_s / s.interval));
	out->ends_in_noise = found.first >= early.first - by && found.first <= late.first + by &&
			     found.last >= late.last - by && found.last <= early.last + by;
	out->worst_right = worst_is_right(o, &s, found, f, band);
	free(s.row);
}

static void tell(const struct check_trial *t, const struct finding *f, const char *what,
		 FILE *out)
{
	if (out == NULL)
		return;
	fprintf(out, "%s seed %lu: %s: %s %s %.3f-%.3f s (%.0f-%.0f rpm), worst %.4g, limit %.4g, "
		"%zu samples of %.3f s, noise %.2f%s\n",
		t->setting.id < CHECK_COUNT ? check_get(t->setting.id)->name : "healthy",
		t->setting.seed, what, f->check->name, severity_name(f->severity), f->from_s,
		f->to_s, f->from_rpm, f->to_rpm, f->worst, f->limit, f->samples, f->interval_s,
		t->setting.noise, t->setting.coarse ? ", coarse" : "");
	check_trial_command(t, out);
}

static void tell_ends(const struct check_score *s, const struct check_trial *t,
		      const struct finding *f, FILE *out)
{
	char what[64];

	snprintf(what, sizeof what, "begin %+ld, end %+ld samples off", s->start, s->end);
	tell(t, f, what, out);
}

static void tell_missed(const struct check_trial *t, const struct oracle *o,
			const struct samples *s, struct span span, enum severity severity,
			FILE *out)
{
	struct finding lower;
	const bool found = find(t, o->id, SEVERITY_NOTE, s, &span, &lower);
	const double *rpm = check_truth_of(o->truth, "rpm");
	const double *clock = t->log.loaded.log->time;
	size_t i;

	if (out == NULL)
		return;
	fprintf(out, "%s seed %lu: missed at %s: %.3f-%.3f s (%.0f-%.0f rpm), true value %.4g, "
		"%ld samples of %.3f s, noise %.2f%s%s; spooled %.2f, pull %.2f-%.2f",
		check_get(o->id)->name, t->setting.seed, severity_name(severity),
		clock[s->row[span.first]], clock[s->row[span.last]], rpm[s->row[span.first]],
		rpm[s->row[span.last]], o->x[s->row[(span.first + span.last) / 2]],
		span.last - span.first + 1, s->interval, t->setting.noise,
		t->setting.coarse ? ", coarse" : "", found ? ", found at a lower one" : "",
		o->spooled_s, o->from_s, o->to_s);
	for (i = 0; i < t->report.not_run_count; i++)
		if (t->report.not_run[i].check->id == o->id)
			fprintf(out, "; not run: %s", t->report.not_run[i].why);
	fprintf(out, "\n");
	check_trial_command(t, out);
}

static void score_found(struct check_score *out, const struct check_trial *t,
			const struct oracle *o, const struct finding *f, FILE *file)
{
	const bool exact = !(t->setting.noise > 0) && !t->setting.coarse;

	score_ends(out, t, o, f);
	if (!out->ends_in_noise || (exact && (labs(out->start) > 1 || labs(out->end) > 1)))
		tell_ends(out, t, f, file);
	if (!out->worst_right)
		tell(t, f, "worst off", file);
}

static void score_event(struct check_score *out, const struct check_trial *t,
			const struct oracle_setup *setup, FILE *file)
{
	struct finding f;
	struct samples s;
	struct span span, whole;
	struct oracle o;
	int level = SEVERITY_STOP;

	if (!oracle_make(&o, t->setting.id, &t->log.truth, &t->log.truth.pulls[0], setup)) {
		oracle_release(&o);
		return;
	}
	samples_take(&s, t, channel_of(t, o.primary));
	while (level > SEVERITY_NONE && !must_span(&o, &s, (enum severity)level, &span))
		level--;
	out->event = level > SEVERITY_NONE;
	out->interval_s = s.interval;
	if (out->event) {
		out->severity = (enum severity)level;
		/* A severer part of it takes the place of the whole. */
		whole = widen(&o, &s, span, out->severity, 0.0, JUST_OVER);
		out->found = find(t, o.id, out->severity, &s, &whole, &f);
		if (out->found)
			score_found(out, t, &o, &f, file);
		else
			tell_missed(t, &o, &s, span, out->severity, file);
	}
	free(s.row);
	oracle_release(&o);
}

/* The simulator's id of a log's channel; NULL for a derived one. */
static const char *id_of(const struct check_trial *t, const struct channel *ch)
{
	const struct check_truth *truth = &t->log.truth;
	size_t i;

	for (i = 0; i < truth->column_count; i++)
		if (channel_of(t, truth->columns[i].id) == ch)
			return truth->columns[i].id;
	return NULL;
}

static bool is_justified(const struct check_trial *t, const struct finding *f,
			 const struct oracle_setup *setup)
{
	struct oracle_setup own = *setup;
	struct samples s;
	struct oracle o;
	struct span span;
	bool justified = false;
	double slack;
	size_t row;

	own.channel = id_of(t, f->channel);
	samples_take(&s, t, f->channel);
	if (oracle_make(&o, f->check->id, &t->log.truth, &t->log.truth.pulls[0], &own)) {
		span = (struct span){ sample_at(t, &s, f->from_s), sample_at(t, &s, f->to_s) };
		span = around(&s, span, 1 + lround(ceil(o.window_s / s.interval)));
		slack = -(2 * s.interval + 0.1);
		for (row = s.row[span.first]; row <= s.row[span.last] && !justified; row++)
			justified = oracle_judged(&o, row, slack) &&
				    oracle_excess(&o, row, f->severity) >= FALSE_BELOW;
	}
	free(s.row);
	oracle_release(&o);
	return justified;
}

void check_score_make(struct check_score *s, const struct check_trial *t, FILE *out)
{
	const struct oracle_setup setup = check_trial_setup(t);
	size_t i;

	*s = (struct check_score){ .event = false };
	if (t->setting.id < CHECK_COUNT)
		score_event(s, t, &setup, out);
	for (i = 0; i < t->report.count; i++) {
		const struct finding *f = &t->report.findings[i];
		const bool justified = is_justified(t, f, &setup);

		if (f->severity == SEVERITY_NOTE)
			s->notes[f->check->id] += !justified;
		else if (justified)
			s->justified[f->check->id]++;
		else
			s->falses[f->check->id]++;
		if (!justified && f->severity > SEVERITY_NOTE)
			tell(t, f, "false", out);
	}
}
