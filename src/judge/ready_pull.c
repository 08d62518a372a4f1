/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is there a pull, and does it cover what was asked? */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "judge/ready_case.h"

/* All common practice, no source. */
#define FELL_RPM 80.0		/* engine speed that falls by more rises no longer */
#define FELL_SHARE 0.02
#define LONGEST_GAP_S 4.0	/* without samples anything may have happened */
#define LEAST_SLACK_RPM 30.0
#define SLACK_SHARE 0.01	/* the foot and the logger are not that exact */
#define LOW_SLACK_SHARE 0.05	/* and at the low end a little more does not matter */
#define LOW_WEAK 1.5		/* times the asked low end: most of the spool is missed */
#define HIGH_WEAK 0.88		/* of the asked high end */
#define REDLINE_SHARE 0.97	/* a driver lifts just below it */
#define LOG_SHARE 0.97		/* of the log's highest engine speed */

/* The stretch over which engine speed rises most. */
struct climb {
	size_t first;
	size_t last;
	double rise;
};

static struct climb longest_climb(const struct series *s)
{
	struct climb best = { 0, 0, 0.0 };
	size_t low = 0;
	size_t top = 0;
	size_t i;

	for (i = 1; i < s->n; i++) {
		const double fell = fmax(FELL_RPM, FELL_SHARE * s->v[top]);

		if (s->v[i] < s->v[top] - fell || s->t[i] - s->t[i - 1] > LONGEST_GAP_S)
			low = top = i;
		if (s->v[i] <= s->v[low])
			low = i;
		if (s->v[i] > s->v[top] || top < low)
			top = i;
		if (s->v[top] - s->v[low] > best.rise)
			best = (struct climb){ low, top, s->v[top] - s->v[low] };
	}
	return best;
}

/* ", pedal at most 34 %" or nothing. */
static char *foot_words(const struct ready_case *c, double from_s, double to_s)
{
	const struct channel *ch = ready_foot(c);
	double most = NAN;
	size_t row;

	for (row = 0; ch != NULL && row < c->log->rows; row++)
		if (c->log->time[row] >= from_s && c->log->time[row] <= to_s)
			most = fmax(most, column_at(ch->column, row));
	if (isnan(most))
		return mem_strdup("");
	return mem_printf(", %s at most %.0f%s%s", ch->quantity->id == Q_PEDAL ? "pedal" :
			  "throttle", most, ch->unit == NULL ? "" : " ",
			  channel_unit_text(ch, false));
}

static enum err_code no_pull(struct ready_case *c, struct err *e)
{
	const struct channel *ch = datalog_find(c->log, Q_RPM);
	struct ready_words words = ready_words(0.0, "rpm");
	struct climb most;
	struct series rpm;
	enum err_code code;
	char *foot;

	words.asked = mem_strdup("a full-throttle run in one gear");
	if (ch == NULL) {
		words.value = NAN;
		words.advice = mem_strdup("Log engine speed; if it is logged, name its channel in a "
					  "names file (see `twinpull channels`).");
		ready_say(c, READY_FAIL, words, "No engine speed channel, so no pull can be found.");
		return ERR_NONE;
	}
	code = ready_load(c, ch, "rpm", &rpm, e);
	if (code != ERR_NONE)
		return code;
	most = longest_climb(&rpm);
	words.value = most.rise;
	if (rpm.n == 0) {
		ready_say(c, READY_FAIL, words, "No pull, and no usable engine speed.");
	} else {
		struct buf at = BUF_INIT;

		datalog_time_text(c->log, rpm.t[most.first], 1, &at);
		foot = foot_words(c, rpm.t[most.first], rpm.t[most.last]);
		ready_say(c, READY_FAIL, words, "No pull: engine speed rises most from %.0f to %.0f rpm "
			  "in %.1f s (from %s%s)%s.", rpm.v[most.first], rpm.v[most.last],
			  rpm.t[most.last] - rpm.t[most.first], buf_text(&at),
			  c->log->time_of_day ? "" : " s", foot);
		buf_release(&at);
		free(foot);
	}
	series_release(&rpm);
	return ERR_NONE;
}

enum err_code ready_pull(struct ready_case *c, struct err *e)
{
	const size_t count = c->loaded->pulls.count;
	const struct pull *p;
	struct ready_words words;
	char *which, *took;

	if (c->run == NULL)
		return no_pull(c, e);
	p = &c->run->pull;
	words = ready_words(p->to_rpm - p->from_rpm, "rpm");
	words.asked = mem_strdup("a full-throttle run in one gear");
	if (c->log->time_source == TIME_ROWS)
		took = mem_printf("%zu rows", c->last - c->first + 1);
	else
		took = mem_printf("%.1f s", p->to_s - p->from_s);
	which = count == 1 ? mem_strdup("the only pull of the log") :
		c->run->number == pull_best(&c->loaded->pulls) ?
		mem_printf("the widest of %zu pulls", count) :
		c->run->number == ready_choose(c->loaded, c->setup->request) ?
		mem_printf("of %zu pulls the one that suits the request best", count) :
		mem_printf("pull %zu of %zu", c->run->number, count);
	ready_say(c, READY_PASS, words, "%.0f to %.0f rpm in %s, %s.", p->from_rpm, p->to_rpm,
		  took, which);
	free(took);
	free(which);
	return ERR_NONE;
}

/* An end can be off by a sample, and nobody hits an engine speed exactly. */
static double slack(const struct ready_case *c, double asked, double share)
{
	const double step = c->fast_count > 0 ? c->fast[0].interval_s * c->rise : 0.0;

	return fmax(fmax(LEAST_SLACK_RPM, share * asked), isnan(step) ? 0.0 : step);
}

/* What came before instead, for the text. */
static char *begin_words(const struct ready_case *c)
{
	const struct pull *q = c->before;

	if (c->begin == END_GEAR)
		return mem_printf(": it goes on from a change of gear at %.0f rpm", q->to_rpm);
	if (q != NULL)
		return mem_printf(": the foot was lifted at %.0f rpm, %.1f s before", q->to_rpm,
				  c->run->pull.from_s - q->to_s);
	if (c->begin == END_LOG)
		return mem_strdup(": the log begins with the foot already down");
	return mem_strdup("");
}

enum err_code ready_from(struct ready_case *c, struct err *e)
{
	const double asked = c->setup->request->from_rpm;
	const double from = c->run->pull.from_rpm;
	struct ready_words words = ready_words(from, "rpm");
	char *why;

	(void)e;
	if (isnan(asked)) {
		ready_say(c, READY_UNCHECKED, words, "The foot is down from %.0f rpm; no engine speed "
			  "was asked for.", from);
		c->from_result = READY_UNCHECKED;
		return ERR_NONE;
	}
	words.asked = mem_printf("at or below %.0f rpm", asked);
	c->from_result = from <= asked + slack(c, asked, LOW_SLACK_SHARE) ? READY_PASS :
		from <= asked * LOW_WEAK ? READY_WEAK : READY_FAIL;
	why = begin_words(c);
	ready_say(c, c->from_result, words, "The foot is down from %.0f rpm%s.", from,
		  c->from_result == READY_PASS ? "" : why);
	free(why);
	return ERR_NONE;
}

static const char *end_words(const struct ready_case *c)
{
	const struct channel *foot = ready_foot(c);

	switch (c->end) {
	case END_FOOT:
		return foot != NULL && foot->quantity->id == Q_PEDAL ? "where the pedal comes up" :
			"where the throttle closes";
	case END_GEAR:
		return "where the gear was changed";
	case END_LIMITER:
		return "where the limiter cut in";
	case END_LOG:
		return "where the log ends";
	case END_UNKNOWN:
		break;
	}
	return "";
}

/* The log's highest engine speed, but for odd samples. */
static enum err_code highest_rpm(const struct ready_case *c, double *out, struct err *e)
{
	struct series s;
	enum err_code code = series_load(&s, c->log, datalog_find(c->log, Q_RPM), 0,
					 c->log->rows - 1, unit_find("rpm", NULL), e);
	double top[3] = { 0.0, 0.0, 0.0 };	/* the three highest, rising */
	size_t i;

	if (code != ERR_NONE)
		return code;
	for (i = 0; i < s.n; i++) {
		if (s.v[i] <= top[0])
			continue;
		top[0] = s.v[i];
		if (top[0] > top[1]) {
			top[0] = top[1];
			top[1] = s.v[i];
		}
		if (top[1] > top[2]) {
			top[1] = top[2];
			top[2] = s.v[i];
		}
	}
	*out = top[0];
	series_release(&s);
	return ERR_NONE;
}

/* What is asked where nobody says it: the car's redline, else what the log shows. */
struct goal {
	double rpm;		/* to be reached, slack taken off; NaN: not known */
	double full;		/* what it is a part of */
	char *asked;
};

static enum err_code find_goal(const struct ready_case *c, struct goal *g, struct err *e)
{
	const double asked = c->setup->request->to_rpm;
	const double redline = c->setup->car->redline_rpm;
	double highest;
	enum err_code code;

	if (!isnan(asked)) {
		*g = (struct goal){ asked - slack(c, asked, SLACK_SHARE), asked,
				    mem_printf("at least %.0f rpm", asked) };
		return ERR_NONE;
	}
	if (!isnan(redline)) {
		*g = (struct goal){ REDLINE_SHARE * redline, redline,
				    mem_printf("near the redline of the car file, %.0f rpm", redline) };
		return ERR_NONE;
	}
	code = highest_rpm(c, &highest, e);
	if (code != ERR_NONE)
		return code;
	*g = (struct goal){ NAN, highest,
			    mem_printf("near the log's highest, %.0f rpm (nothing else is known)",
				       highest) };
	if (c->end == END_LIMITER || c->run->pull.to_rpm < LOG_SHARE * highest)
		g->rpm = LOG_SHARE * highest;
	return ERR_NONE;
}

enum err_code ready_to(struct ready_case *c, struct err *e)
{
	const double to = c->run->pull.to_rpm;
	struct ready_words words = ready_words(to, "rpm");
	const char *how = end_words(c);
	struct goal goal;
	enum err_code code = find_goal(c, &goal, e);

	if (code != ERR_NONE)
		return code;
	words.asked = goal.asked;
	if (isnan(goal.rpm)) {
		c->to_result = READY_UNCHECKED;
		free(words.asked);
		words.asked = NULL;
		words.advice = mem_strdup("Give redline_rpm in a car file, or rpm in a request file.");
		ready_say(c, READY_UNCHECKED, words, "It ends at %.0f rpm%s%s, the highest of the log; "
			  "nothing says how far the engine goes.", to, *how != '\0' ? ", " : "", how);
		return ERR_NONE;
	}
	c->to_result = to >= goal.rpm ? READY_PASS : to >= HIGH_WEAK * goal.full ? READY_WEAK :
		READY_FAIL;
	ready_say(c, c->to_result, words, "It ends at %.0f rpm%s%s.", to, *how != '\0' ? ", " : "",
		  how);
	return ERR_NONE;
}

enum err_code ready_gear_change(struct ready_case *c, struct err *e)
{
	const struct pull *p = &c->run->pull;
	struct ready_words words = ready_words(NAN, "rpm");
	const bool begins = c->begin == END_GEAR && c->from_result >= READY_WEAK;
	const bool ends = c->end == END_GEAR && c->to_result >= READY_WEAK;

	(void)e;
	words.asked = mem_strdup("none over the asked range");
	if (begins || ends) {
		words.value = ends ? p->to_rpm : p->from_rpm;
		ready_say(c, ready_worse(begins ? c->from_result : READY_PASS,
					 ends ? c->to_result : READY_PASS), words,
			  ends ? "The gear is changed at %.0f rpm, before the asked range ends." :
			  "The gear was changed just before; the pull begins behind it at %.0f rpm.",
			  words.value);
		return ERR_NONE;
	}
	if (c->end == END_UNKNOWN && c->to_result != READY_PASS) {
		ready_say(c, READY_UNCHECKED, words, "Neither pedal nor throttle says how the pull ends.");
		return ERR_NONE;
	}
	ready_say(c, READY_PASS, words, "No change of gear in it.");
	return ERR_NONE;
}

enum err_code ready_limiter(struct ready_case *c, struct err *e)
{
	const struct pull *p = &c->run->pull;
	struct ready_words words = ready_words(NAN, "rpm");

	(void)e;
	words.asked = mem_strdup("none before the asked end");
	if (c->end == END_LIMITER) {
		words.value = p->to_rpm;
		ready_say(c, c->to_result, words, c->to_result >= READY_WEAK ?
			  "Something holds engine speed at %.0f rpm with the foot down, before the asked "
			  "end." : "The limiter cuts in at %.0f rpm, and the pull ends there.", p->to_rpm);
		return ERR_NONE;
	}
	if (c->end == END_UNKNOWN && c->to_result != READY_PASS) {
		ready_say(c, READY_UNCHECKED, words, "Neither pedal nor throttle says how the pull ends.");
		return ERR_NONE;
	}
	ready_say(c, READY_PASS, words, "No limiter in it.");
	return ERR_NONE;
}
