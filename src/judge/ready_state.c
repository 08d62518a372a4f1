/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The state of engine, air, battery and fuel during the pull. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"
#include "judge/ready_case.h"

/* All common practice, no source. */
#define COLD_FAIL_C 20.0	/* so far below its window an engine runs on cold corrections */
#define HOT_FAIL_C 15.0		/* so far above it protects itself */
#define SOAKED_C 15.0		/* over the air outside */
#define START_S 0.5		/* "at the start": the mean of so long */
#define ETHANOL_WITHIN 5.0	/* per cent points, where the request does not say */

/* What a channel does in the pull, in the unit that is asked for. */
struct course {
	const struct channel *channel;	/* NULL: none with a sample in the pull */
	double start;			/* mean of the first half second of samples */
	double low;
	double high;
};

static void measure(const struct ready_case *c, const struct series *s, struct course *out)
{
	double sum = 0.0;
	size_t n = 0;
	size_t i;

	for (i = 0; i < s->n; i++) {
		out->low = fmin(out->low, s->v[i]);
		out->high = fmax(out->high, s->v[i]);
		if (s->t[i] - s->t[0] <= START_S * c->second) {
			sum += s->v[i];
			n++;
		}
	}
	out->start = sum / (double)n;
}

static enum err_code course_of(const struct ready_case *c, enum quantity_id id,
			       const char *unit, struct course *out, struct err *e)
{
	struct series s;
	enum err_code code;

	*out = (struct course){ NULL, NAN, NAN, NAN };
	out->channel = ready_find(c, id);
	if (out->channel == NULL)
		return ERR_NONE;
	code = ready_load(c, out->channel, unit, &s, e);
	if (code != ERR_NONE)
		return code;
	measure(c, &s, out);
	if (s.n == 0)
		out->channel = NULL;
	series_release(&s);
	return ERR_NONE;
}

/* A value as it is shown: converted, with its decimals and unit. */
struct shown {
	const struct unit *from;
	const struct unit *to;
};

static struct shown shown_in(const struct ready_case *c, const struct channel *ch,
			     const char *unit)
{
	const struct unit *from = unit_find(unit, NULL);
	const struct unit *to = ch == NULL ? unit_preferred(from->dim, c->setup->units) :
		ready_unit(c, ch);

	return (struct shown){ from, to == NULL ? from : to };
}

static double show(const struct shown *s, double v)
{
	return unit_convert(v, s->from, s->to);
}

static char *window_text(const struct shown *s, const double window[2])
{
	const int d = s->to->decimals;

	if (isnan(window[0]))
		return mem_printf("at most %.*f %s", d, show(s, window[1]), s->to->name);
	if (isnan(window[1]))
		return mem_printf("at least %.*f %s", d, show(s, window[0]), s->to->name);
	return mem_printf("%.*f to %.*f %s", d, show(s, window[0]), d, show(s, window[1]),
			  s->to->name);
}

static bool same(double a, double b)
{
	return a == b || (isnan(a) && isnan(b));
}

/*
 * Does the request's file ask for this window?  It does where it is another than the built-in
 * one, or the quantity is among its channels.
 */
static bool is_owed(const struct ready_case *c, const double window[2],
		    const double built_in[2], enum quantity_id id)
{
	const struct request *r = c->setup->request;
	size_t i;

	if (r->path == NULL)
		return false;
	if (!same(window[0], built_in[0]) || !same(window[1], built_in[1]))
		return true;
	for (i = 0; i < r->channel_count; i++)
		if (text_casecmp(r->channels[i], quantity_get(id)->key) == 0)
			return true;
	return false;
}

/* How the part of a course that counts lies to its window. */
struct window_question {
	enum quantity_id id;
	const char *unit;
	const char *what;		/* "Coolant" */
	size_t offset;			/* of the window in struct request */
	bool start_only;
	double fail_below;		/* so far below the window; INFINITY: never */
	double fail_above;
	bool low_only;			/* the text names the lowest only */
};

static const double *window_of(const struct window_question *q, const struct request *r)
{
	return (const double *)(const void *)((const char *)r + q->offset);
}

static enum ready_result judge_window(const struct window_question *q, const double w[2],
				      double low, double high)
{
	if (low < w[0] - q->fail_below || high > w[1] + q->fail_above)
		return READY_FAIL;
	if (low < w[0] || high > w[1])
		return READY_WEAK;
	return READY_PASS;
}

static void say_window(struct ready_case *c, const struct window_question *q,
		       const struct course *m, const double w[2])
{
	const struct shown s = shown_in(c, m->channel, q->unit);
	const double low = q->start_only ? m->start : m->low;
	const double high = q->start_only ? m->start : m->high;
	const enum ready_result result = judge_window(q, w, low, high);
	const double worst = high > w[1] ? high : low;
	const int d = s.to->decimals;
	struct ready_words words = ready_words(show(&s, worst), s.to->name);

	words.asked = window_text(&s, w);
	if (q->start_only)
		ready_say(c, result, words, "%s %.*f %s at the start.", q->what, d, show(&s, low),
			  s.to->name);
	else if (q->low_only)
		ready_say(c, result, words, "%s down to %.*f %s.", q->what, d, show(&s, low),
			  s.to->name);
	else if (show(&s, high) - show(&s, low) < 1.0)
		ready_say(c, result, words, "%s %.*f %s.", q->what, d, show(&s, worst), s.to->name);
	else
		ready_say(c, result, words, "%s %.*f to %.*f %s.", q->what, d, show(&s, low), d,
			  show(&s, high), s.to->name);
}

static enum err_code ask_window(struct ready_case *c, const struct window_question *q,
				struct err *e)
{
	const double *w = window_of(q, c->setup->request);
	struct ready_words words = ready_words(NAN, "");
	struct request built_in;
	struct course m;
	enum err_code code = course_of(c, q->id, q->unit, &m, e);

	if (code != ERR_NONE)
		return code;
	if (isnan(w[0]) && isnan(w[1])) {
		ready_say(c, READY_UNCHECKED, words, "Nothing was asked of it.");
		return ERR_NONE;
	}
	if (m.channel != NULL) {
		say_window(c, q, &m, w);
		return ERR_NONE;
	}
	request_init(&built_in);
	words.owed = is_owed(c, w, window_of(q, &built_in), q->id);
	request_release(&built_in);
	{
		const struct shown s = shown_in(c, NULL, q->unit);

		words.asked = window_text(&s, w);
	}
	words.advice = mem_printf("Log it: %s.", quantity_get(q->id)->title);
	ready_say(c, READY_UNCHECKED, words, "No sample of it in the pull, or not logged.");
	return ERR_NONE;
}

enum err_code ready_coolant(struct ready_case *c, struct err *e)
{
	static const struct window_question q = {
		Q_COOLANT_TEMP, "degC", "Coolant", offsetof(struct request, coolant_c), false,
		COLD_FAIL_C, HOT_FAIL_C, false,
	};

	return ask_window(c, &q, e);
}

enum err_code ready_oil(struct ready_case *c, struct err *e)
{
	static const struct window_question q = {
		Q_OIL_TEMP, "degC", "Oil", offsetof(struct request, oil_c), false,
		COLD_FAIL_C, HOT_FAIL_C, false,
	};

	return ask_window(c, &q, e);
}

enum err_code ready_intake(struct ready_case *c, struct err *e)
{
	static const struct window_question q = {
		Q_INTAKE_TEMP, "degC", "Intake air", offsetof(struct request, intake_c), true,
		INFINITY, INFINITY, false,
	};

	return ask_window(c, &q, e);
}

enum err_code ready_battery(struct ready_case *c, struct err *e)
{
	static const struct window_question q = {
		Q_BATTERY, "V", "Battery", offsetof(struct request, battery_v), false,
		INFINITY, INFINITY, true,
	};

	return ask_window(c, &q, e);
}

enum err_code ready_heat_soak(struct ready_case *c, struct err *e)
{
	struct ready_words words = ready_words(NAN, "");
	struct course intake, ambient;
	struct shown s;
	double over;
	enum err_code code = course_of(c, Q_INTAKE_TEMP, "degC", &intake, e);

	if (code == ERR_NONE)
		code = course_of(c, Q_AMBIENT_TEMP, "degC", &ambient, e);
	if (code != ERR_NONE)
		return code;
	if (intake.channel == NULL || ambient.channel == NULL) {
		words.advice = mem_strdup("Log the intake and the ambient air temperature.");
		ready_say(c, READY_UNCHECKED, words, "%s air temperature is not logged.",
			  intake.channel == NULL ? "Intake" : "Ambient");
		return ERR_NONE;
	}
	s = shown_in(c, intake.channel, "degC");
	over = unit_convert_delta(intake.start - ambient.start, s.from, s.to);
	words = ready_words(over, s.to->name);
	words.asked = mem_printf("at most %.0f %s over the air outside",
				 unit_convert_delta(SOAKED_C, s.from, s.to), s.to->name);
	ready_say(c, intake.start - ambient.start > SOAKED_C ? READY_WEAK : READY_PASS, words,
		  "Intake air %.*f %s at the start, %.*f %s over the %.*f %s outside.",
		  s.to->decimals, show(&s, intake.start), s.to->name, s.to->decimals, over,
		  s.to->name, s.to->decimals, show(&s, ambient.start), s.to->name);
	return ERR_NONE;
}

enum err_code ready_ethanol(struct ready_case *c, struct err *e)
{
	const struct request *r = c->setup->request;
	const double within = isnan(r->ethanol_within) ? ETHANOL_WITHIN : r->ethanol_within;
	struct ready_words words = ready_words(NAN, "%");
	struct course m;
	enum err_code code = course_of(c, Q_ETHANOL, "%", &m, e);

	if (code != ERR_NONE)
		return code;
	words.value = m.start;
	if (!isnan(r->ethanol_percent))
		words.asked = mem_printf("%.0f %%, within %.0f", r->ethanol_percent, within);
	if (m.channel == NULL) {
		words.owed = r->path != NULL && !isnan(r->ethanol_percent);
		words.advice = mem_strdup("Log the ethanol content, or say which fuel was in the tank.");
		ready_say(c, READY_UNCHECKED, words, "Ethanol content is not logged.");
	} else if (isnan(r->ethanol_percent)) {
		ready_say(c, READY_UNCHECKED, words, "Ethanol %.0f %%; what the calibration expects, "
			  "nobody said.", m.start);
	} else {
		ready_say(c, fabs(m.start - r->ethanol_percent) > within ? READY_FAIL : READY_PASS,
			  words, "Ethanol %.0f %%.", m.start);
	}
	return ERR_NONE;
}
