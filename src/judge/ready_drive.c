/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One gear, the foot on the floor, no slip. */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "judge/ready_case.h"

/* All common practice, no source. */
#define GEAR_NEAR 0.08		/* a ratio so near to a gear's is that gear */
#define EDGE_S 0.5		/* a gear channel may change so near to an end */
#define PEDAL_DOWN 0.95		/* of its highest */
#define THROTTLE_OPEN 0.85
#define OPEN_RISES 0.6		/* of the pull's mean rise: the engine pulls on all the same */
#define ASIDE_S 0.3		/* to either side of a place, to see what engine speed does */
#define BRIEF_S 0.12		/* off the floor for less: noise, or the sample at an end */
#define LONG_S 0.5
#define SLIP_SHARE 0.05		/* off the ratio of the pull, as the check "slip" has it */
#define SLIP_BRIEF_S 0.2
#define SLIP_LONG_SHARE 0.3	/* of the pull */
#define SETTLE_S 0.3		/* behind the pull's begin the driveline winds up */
#define CRAWL_KMH 5.0

/* The gear that the ratio means, by the car file; 0: it cannot say. */
static int gear_by_ratio(const struct car *car, double ratio)
{
	int best = 0;
	double nearest = GEAR_NEAR;
	int i;

	for (i = 1; i <= CAR_GEARS; i++) {
		/* rpm per km/h: 1 km/h is 1000/60 m a minute, over 2 pi r m a turn of the wheel */
		const double of_gear = car->gear[i] * car->final_drive * (1000.0 / 60.0) /
			(2.0 * 3.14159265358979323846 * car->tyre_radius_m);
		const double off = fabs(ratio / of_gear - 1.0);

		if (off < nearest) {
			nearest = off;
			best = i;
		}
	}
	return best;
}

/* Another gear in the gear channel away from the ends of the pull; 0: none. */
static enum err_code stray_gear(const struct ready_case *c, int gear, int *stray, double *at,
				struct err *e)
{
	const struct channel *ch = ready_find(c, Q_GEAR);
	struct series s;
	enum err_code code;
	size_t i;

	*stray = 0;
	if (ch == NULL)
		return ERR_NONE;
	code = ready_load(c, ch, NULL, &s, e);
	if (code != ERR_NONE)
		return code;
	for (i = 0; i < s.n && *stray == 0; i++)
		if (s.t[i] >= c->run->pull.from_s + EDGE_S * c->second &&
		    s.t[i] <= c->run->pull.to_s - EDGE_S * c->second && (int)lround(s.v[i]) != gear) {
			*stray = (int)lround(s.v[i]);
			*at = s.t[i];
		}
	series_release(&s);
	return ERR_NONE;
}

static void say_gear(struct ready_case *c, int gear, bool by_ratio)
{
	const int asked = c->setup->request->gear;
	struct ready_words words = ready_words(gear > 0 ? gear : NAN, "");

	words.asked = asked > 0 ? mem_printf("gear %d throughout", asked) :
		mem_strdup("one gear throughout");
	if (asked > 0 && gear > 0 && gear != asked) {
		words.advice = mem_printf("Repeat the pull in gear %d.", asked);
		ready_say(c, READY_FAIL, words, "The pull is in gear %d%s.", gear,
			  by_ratio ? " (by engine speed over road speed and the car file)" : "");
	} else if (asked > 0 && gear == 0) {
		words.owed = c->setup->request->path != NULL;
		words.advice = mem_strdup("Log the gear, or the road speed and give the gears in a "
					  "car file.");
		ready_say(c, READY_UNCHECKED, words, "Which gear it is, the log does not say.");
	} else if (gear > 0) {
		ready_say(c, READY_PASS, words, "Gear %d throughout%s.", gear,
			  by_ratio ? " (by engine speed over road speed and the car file)" : "");
	} else if (!isnan(c->run->pull.ratio)) {
		words.value = NAN;
		ready_say(c, READY_PASS, words, "One gear throughout, %.1f rpm per km/h; which one is "
			  "not logged.", c->run->pull.ratio);
	} else {
		words.advice = mem_strdup("Log the gear or the road speed.");
		ready_say(c, READY_UNCHECKED, words, "Neither gear nor road speed is logged; engine "
			  "speed rises without a break, though.");
	}
}

enum err_code ready_gear(struct ready_case *c, struct err *e)
{
	const struct pull *p = &c->run->pull;
	const bool by_ratio = p->gear == 0;
	const int gear = by_ratio ? gear_by_ratio(c->setup->car, p->ratio) : p->gear;
	double at = NAN;
	int stray = 0;
	enum err_code code = ERR_NONE;

	if (!by_ratio)
		code = stray_gear(c, gear, &stray, &at, e);
	if (code != ERR_NONE)
		return code;
	if (stray != 0) {
		struct ready_words words = ready_words(gear, "");
		char *place = ready_place(c, at);

		words.asked = mem_strdup("one gear throughout");
		ready_say(c, READY_WEAK, words, "Gear %d, but the gear channel reads %d %s.", gear,
			  stray, place);
		free(place);
	} else {
		say_gear(c, gear, by_ratio);
	}
	return ERR_NONE;
}

/* Time that a series spends below a level, each sample standing for its own interval. */
struct below {
	double seconds;
	double worst;
	double worst_s;
};

static struct below time_below(const struct series *s, double from, double to, double level)
{
	const double step = ready_interval(s);
	struct below b = { 0.0, INFINITY, NAN };
	size_t i;

	for (i = series_lower(s, from); i < s->n && s->t[i] <= to; i++) {
		if (s->v[i] >= level)
			continue;
		b.seconds += i + 1 < s->n ? fmin(s->t[i + 1] - s->t[i], 2.0 * step) : step;
		if (s->v[i] < b.worst) {
			b.worst = s->v[i];
			b.worst_s = s->t[i];
		}
	}
	return b;
}

/* From this pull to its neighbours in the same gear: lifts between belong to the attempt. */
static void attempt(const struct ready_case *c, double *from, double *to)
{
	*from = c->run->pull.from_s;
	*to = c->run->pull.to_s;
	if (c->before != NULL && c->begin != END_GEAR && c->from_result >= READY_WEAK)
		*from = c->before->from_s;
	if (c->after != NULL && c->end == END_FOOT && c->to_result >= READY_WEAK &&
	    c->after->from_rpm > c->run->pull.from_rpm)
		*to = c->after->to_s;
}

/* Does engine speed rise on at time t as in the rest of the pull? */
static bool pulls_on(const struct ready_case *c, double t)
{
	const double before = series_at(&c->scene.rpm, t - ASIDE_S * c->second);
	const double after = series_at(&c->scene.rpm, t + ASIDE_S * c->second);

	return (after - before) / (2.0 * ASIDE_S * c->second) > OPEN_RISES * c->rise;
}

static void say_off(struct ready_case *c, const struct below *b, bool is_pedal)
{
	struct ready_words words = ready_words(b->seconds, c->time_unit);
	const bool is_long = b->seconds >= LONG_S * c->second;
	const bool wrong = is_pedal && is_long && pulls_on(c, b->worst_s);
	char *place = ready_place(c, b->worst_s);

	words.asked = mem_strdup("fully down throughout");
	if (wrong) {
		words.advice = mem_strdup("Check the pedal's channel: the engine pulled on as if the "
					  "foot were down.");
		ready_say(c, READY_WEAK, words, "The pedal reads down to %.0f %% of its highest for "
			  "%.2f %s, lowest %s, yet engine speed rises on.", 100.0 * b->worst,
			  b->seconds, c->time_unit, place);
	} else if (is_pedal) {
		ready_say(c, is_long ? READY_FAIL : READY_WEAK, words,
			  "The pedal is not fully down for %.2f %s, at %.0f %% of its highest %s.",
			  b->seconds, c->time_unit, 100.0 * b->worst, place);
	} else {
		words.advice = mem_strdup("Log the pedal: torque control closes the throttle too.");
		ready_say(c, READY_WEAK, words, "The throttle closes to %.0f %% for %.2f %s, %s; no pedal "
			  "is logged that says who did it.", 100.0 * b->worst, b->seconds,
			  c->time_unit, place);
	}
	free(place);
}

enum err_code ready_pedal(struct ready_case *c, struct err *e)
{
	const struct channel *ch = ready_foot(c);
	const bool is_pedal = ch != NULL && ch->quantity->id == Q_PEDAL;
	struct ready_words words = ready_words(0.0, c->time_unit);
	struct series foot;
	struct below b;
	double from, to;
	enum err_code code;

	if (ch == NULL) {
		words.value = NAN;
		words.asked = mem_strdup("fully down throughout");
		words.advice = mem_strdup("Log the pedal, or at least the throttle.");
		ready_say(c, READY_WEAK, words, "Neither pedal nor throttle is logged: that the foot was "
			  "down is guessed from the load.");
		return ERR_NONE;
	}
	attempt(c, &from, &to);
	code = ready_foot_load(c, from, to, &foot, e);
	if (code != ERR_NONE)
		return code;
	b = time_below(&foot, from, to, is_pedal ? PEDAL_DOWN : THROTTLE_OPEN);
	if (b.seconds > fmax(BRIEF_S * c->second, 1.5 * ready_interval(&foot))) {
		say_off(c, &b, is_pedal);
	} else {
		words.asked = mem_strdup("fully down throughout");
		words.value = b.seconds;
		ready_say(c, READY_PASS, words, is_pedal ? "Fully down throughout." :
			  "No pedal is logged; the throttle is open throughout.");
	}
	series_release(&foot);
	return ERR_NONE;
}

/* Do the samples of road speed to both sides of time t say that the car moves? */
static bool moves(const struct series *kmh, double t)
{
	const size_t i = series_lower(kmh, t);

	return i < kmh->n && kmh->v[i] > CRAWL_KMH && (i == 0 || kmh->v[i - 1] > CRAWL_KMH);
}

/* Engine speed over road speed, in rpm per km/h, where the car moves; n 0 without. */
static enum err_code ratio_of(const struct ready_case *c, const struct channel *ch,
			      struct series *out, struct err *e)
{
	struct series speed;
	enum err_code code = ready_load(c, ch, "km/h", &speed, e);
	size_t i;
	double *ratio;

	*out = (struct series)SERIES_INIT;
	if (code != ERR_NONE)
		return code;
	ratio = mem_array(c->fast[0].s.n, sizeof *ratio);
	for (i = 0; i < c->fast[0].s.n; i++) {
		const double t = c->fast[0].s.t[i];

		ratio[i] = moves(&speed, t) ? series_at(&c->scene.rpm, t) / series_at(&speed, t) : NAN;
	}
	code = series_from(out, c->fast[0].s.t, ratio, c->fast[0].s.n, false, e);
	free(ratio);
	series_release(&speed);
	return code;
}

/* The step in which road speed is logged, as a share of its lowest in the pull. */
static double speed_step(const struct ready_case *c, const struct channel *ch)
{
	const double step = unit_convert_delta(pow(10.0, -column_decimals(ch->column)), ch->unit,
					       unit_find("km/h", NULL));
	const double lowest = c->run->pull.from_rpm / c->run->pull.ratio;

	return isnan(step) || isnan(lowest) || lowest < CRAWL_KMH ? 0.0 : step / lowest;
}

/* Time off the ratio and the worst place, of one channel of road speed. */
static enum err_code slip_of(const struct ready_case *c, const struct channel *ch,
			     struct below *out, struct err *e)
{
	struct series ratio;
	enum err_code code = ratio_of(c, ch, &ratio, e);
	const double allowed = SLIP_SHARE + speed_step(c, ch);
	double middle;
	size_t i;

	*out = (struct below){ 0.0, 0.0, NAN };
	if (code != ERR_NONE)
		return code;
	middle = ready_median(ratio.v, ratio.n);
	for (i = 0; i < ratio.n; i++)
		ratio.v[i] = -fabs(ratio.v[i] / middle - 1.0);
	if (ratio.n >= 2)
		*out = time_below(&ratio, c->run->pull.from_s + SETTLE_S * c->second, INFINITY, -allowed);
	out->worst = fabs(out->worst);
	series_release(&ratio);
	return ERR_NONE;
}

static void say_slip(struct ready_case *c, const struct channel *ch, const struct below *b)
{
	const double pull_s = c->run->pull.to_s - c->run->pull.from_s;
	struct ready_words words = ready_words(b->seconds, c->time_unit);
	char *place;

	words.asked = mem_strdup("engine speed over road speed within 5 %");
	if (ch == NULL) {
		words.value = NAN;
		words.advice = mem_strdup("Log the road speed.");
		ready_say(c, READY_UNCHECKED, words, "No road speed is logged.");
		return;
	}
	if (b->seconds <= SLIP_BRIEF_S * c->second) {
		ready_say(c, READY_PASS, words, "Engine speed and road speed keep together.");
		return;
	}
	place = ready_place(c, b->worst_s);
	ready_say(c, b->seconds > SLIP_LONG_SHARE * pull_s ? READY_FAIL : READY_WEAK, words,
		  "Engine speed is off the road speed by up to %.0f %% for %.2f %s, most %s "
		  "(channel '%s').", 100.0 * b->worst, b->seconds, c->time_unit, place, ch->name);
	free(place);
}

enum err_code ready_slip(struct ready_case *c, struct err *e)
{
	const struct channel *worst = NULL;
	struct below most = { -1.0, 0.0, NAN };
	size_t i;

	for (i = 0; i < c->log->channel_count && c->fast_count > 0; i++) {
		const struct channel *ch = &c->log->channels[i];
		struct below b;
		enum err_code code;

		if (ch->quantity->id != Q_SPEED || ch->derived || !ready_has(c, ch, 3))
			continue;
		code = slip_of(c, ch, &b, e);
		if (code != ERR_NONE)
			return code;
		if (b.seconds > most.seconds) {
			most = b;
			worst = ch;
		}
	}
	say_slip(c, worst, &most);
	return ERR_NONE;
}
