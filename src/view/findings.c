/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Judging the runs on screen, and findings in words. */
#include "view/findings.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/path.h"
#include "base/text.h"
#include "out/finding_text.h"
#include "view/lanes.h"
#include "view/list_findings.h"

#define MOST_PULLS 12		/* of a whole log that are judged each time that it has grown */

static const char *side_name(enum side side)
{
	return side == SIDE_A ? "A" : "B";
}

const struct finding *findings_get(const struct view *v, struct spot spot)
{
	return &v->findings[spot.side].findings[spot.at];
}

/* ---- judging ---- */

/* A log that is written would be judged over and over. */
static bool waits_for_a_person(const struct view *v, enum side side)
{
	const struct source *s = &v->sources[v->source_of[side]];
	const struct run *run = side == SIDE_A ? &v->overlay.a : &v->overlay.b;

	return run->log != NULL && run->number == RUN_WHOLE && s->coming == COMING_LIVE &&
	       s->loaded.pulls.count > MOST_PULLS && !v->judge_all;
}

/* Whether a side is to be judged; sets why it is not. */
static bool is_to_judge(struct view *v, enum side side)
{
	if (view_run(v, side)->log == NULL)
		return false;
	if (v->not_judged != NULL)
		v->unjudged[side] = mem_strdup(v->not_judged);
	else if (waits_for_a_person(v, side))
		v->unjudged[side] = mem_printf("it is still written and has %zu pulls: press F to "
					       "judge them", view_source(v, side)->loaded.pulls.count);
	return v->unjudged[side] == NULL;
}

/* A has to be a pull for B to have a baseline. */
static bool are_compared(const struct view *v)
{
	return view_has_b(v) && v->overlay.a.number != RUN_WHOLE && v->overlay.b.number != RUN_WHOLE;
}

static void keep_verdict(struct view *v, enum side side, const struct checking_verdict *verdict)
{
	v->findings[side] = verdict->report;
	if (verdict->code == ERR_NONE)
		return;
	v->findings[side] = (struct check_report)CHECK_REPORT_INIT;
	v->unjudged[side] = mem_strdup(verdict->error.text);
	if (verdict->code != ERR_DATA)
		view_complain(v, "%s", verdict->error.text);
}

static void judge_side(struct view *v, enum side side)
{
	const struct check_setup setup = {
		.limits = v->limits, .car = v->car,
		.baseline = side == SIDE_B && are_compared(v) ? &v->overlay.a : NULL,
	};
	struct checking_verdict verdict = { .error = ERR_INIT };

	verdict.code = check_run(&verdict.report, &view_source(v, side)->loaded,
				 view_run(v, side), &setup, &verdict.error);
	keep_verdict(v, side, &verdict);
}

/* Both reports have the severest first; of one severity A's come before B's. */
static void merge(struct view *v)
{
	size_t at[SIDES] = { 0, 0 };
	int side;

	mem_grow(&v->spots, &v->spot_cap, v->findings[SIDE_A].count + v->findings[SIDE_B].count,
		 sizeof *v->spots);
	v->spot_count = 0;
	for (;;) {
		const bool a = at[SIDE_A] < v->findings[SIDE_A].count;
		const bool b = at[SIDE_B] < v->findings[SIDE_B].count;

		if (!a && !b)
			return;
		side = a && (!b || v->findings[SIDE_A].findings[at[SIDE_A]].severity >=
			     v->findings[SIDE_B].findings[at[SIDE_B]].severity) ? SIDE_A : SIDE_B;
		v->spots[v->spot_count++] = (struct spot){ (enum side)side, at[side]++ };
	}
}

static void forget(struct view *v)
{
	int side;

	for (side = 0; side < SIDES; side++) {
		check_report_release(&v->findings[side]);
		free(v->unjudged[side]);
		v->unjudged[side] = NULL;
	}
	v->spot_count = 0;
	v->spot_at = SIZE_MAX;
}

static bool is_same(const struct view *v, struct spot spot, const struct finding_name *name)
{
	const struct finding *f = findings_get(v, spot);

	return spot.side == name->side && f->check->id == name->check && f->pull == name->pull &&
	       fabs(f->from_s - name->from_s) < 1e-6;
}

/* Where one stands, until it is judged again: that may be put off more than once. */
static void remember(struct view *v)
{
	if (v->judging != JUDGING_OVER)
		return;
	v->stood.check = CHECK_COUNT;
	if (v->spot_at < v->spot_count) {
		const struct finding *f = findings_get(v, v->spots[v->spot_at]);

		v->stood = (struct finding_name){ v->spots[v->spot_at].side, f->check->id, f->pull,
						  f->from_s };
	}
	v->stood_row = v->panel == PANEL_FINDINGS ? v->list.selected : list_finding_first(v);
}

static void end_judging(struct view *v)
{
	size_t i;

	v->judging = JUDGING_OVER;
	merge(v);
	for (i = 0; i < v->spot_count; i++)
		if (is_same(v, v->spots[i], &v->stood))
			v->spot_at = i;
	if (v->lanes_owed)
		findings_show_lanes(v);
	if (v->message_until == UNTIL_JUDGED)
		view_hush(v);
}

void findings_judge(struct view *v)
{
	bool any = false;
	int side;

	remember(v);
	forget(v);
	if (v->checking != NULL)
		checking_drop(v->checking);
	for (side = 0; side < SIDES; side++)
		if (is_to_judge(v, (enum side)side)) {
			any = true;
			if (v->checking == NULL)
				judge_side(v, (enum side)side);
		}
	if (any && v->checking != NULL)
		v->judging = JUDGING_DUE;
	else
		end_judging(v);
}

bool findings_wait(const struct view *v)
{
	return waits_for_a_person(v, SIDE_A) || waits_for_a_person(v, SIDE_B);
}

void findings_judge_all(struct view *v)
{
	if (!findings_wait(v))
		return;
	v->judge_all = true;
	findings_judge(v);
}

/* ---- in the background ---- */

bool findings_are_due(const struct view *v)
{
	return v->judging != JUDGING_OVER;
}

void findings_begin(struct view *v)
{
	struct checking_wish wish = { .compared = are_compared(v), .limits = v->limits, .car = v->car };
	int side;

	if (v->judging != JUDGING_DUE)
		return;
	for (side = 0; side < SIDES; side++) {
		const struct run *run = view_run(v, (enum side)side);

		if (run->log == NULL || v->unjudged[side] != NULL)
			continue;
		wish.runs[side].of = &view_source(v, (enum side)side)->loaded;
		wish.runs[side].number = run->number;
	}
	checking_want(v->checking, &wish);
	v->judging = JUDGING_ON;
}

void findings_take(struct view *v)
{
	struct checking_verdict verdicts[SIDES];
	int side;

	if (v->judging != JUDGING_ON || !checking_take(v->checking, verdicts))
		return;
	for (side = 0; side < SIDES; side++)
		if (view_run(v, (enum side)side)->log != NULL && v->unjudged[side] == NULL)
			keep_verdict(v, (enum side)side, &verdicts[side]);
	/* the list had no rows to stand on */
	if (v->panel == PANEL_FINDINGS && v->list.selected + 1 >= list_finding_first(v))
		v->list.selected = v->stood_row;
	end_judging(v);
}

void findings_release(struct view *v)
{
	forget(v);
	free(v->spots);
}

/* ---- lanes ---- */

size_t findings_lane(const struct view *v, struct spot spot)
{
	const struct channel *ch = findings_get(v, spot)->channel;
	size_t i;

	for (i = 0; i < v->lane_count; i++) {
		const struct pair *p = &v->pairs.list[v->lanes[i].pair];

		if (!v->lanes[i].delta && (spot.side == SIDE_A ? p->a : p->b) == ch)
			break;
	}
	return i;
}

enum severity findings_in_lane(const struct view *v, const struct lane *lane, enum side side)
{
	const struct pair *p = &v->pairs.list[lane->pair];
	const struct channel *ch = side == SIDE_A ? p->a : p->b;
	size_t i;

	for (i = 0; !lane->delta && i < v->findings[side].count; i++)
		if (v->findings[side].findings[i].channel == ch)
			return v->findings[side].findings[i].severity;
	return SEVERITY_NONE;
}

void findings_show_lanes(struct view *v)
{
	size_t i;

	v->lanes_owed = v->judging != JUDGING_OVER;
	for (i = 0; i < v->spot_count; i++) {
		const size_t lane = findings_lane(v, v->spots[i]);

		if (lane < v->lane_count && findings_get(v, v->spots[i])->severity >= SEVERITY_CAUTION)
			lane_show(v, lane, true);
	}
}

/* ---- words ---- */

char findings_letter(enum severity s)
{
	static const char letters[SEVERITIES] = { ' ', 'n', 'C', 'S' };

	return letters[s];
}

/* What is found may not be all. */
static bool is_being_read(const struct view *v, enum side side)
{
	return v->sources[v->source_of[side]].coming == COMING_REST;
}

void findings_count(const struct view *v, enum side side, bool brief, struct buf *out)
{
	const struct check_report *r = &v->findings[side];
	const bool grows = is_being_read(v, side);

	if (v->unjudged[side] != NULL)
		buf_puts(out, brief && v->not_judged == NULL && !waits_for_a_person(v, side) ?
			 "no pull" : "not judged");
	else if (v->judging != JUDGING_OVER)
		buf_puts(out, "judging");
	else if (r->count == 0)
		buf_puts(out, grows ? "0 so far" : brief ? "0 found" : "no finding");
	else if (brief)
		buf_printf(out, "%zu%s %s", r->count, grows ? "+" : "", severity_name(r->worst));
	else
		buf_printf(out, "%zu finding%s%s, %s", r->count, r->count == 1 ? "" : "s",
			   grows ? " so far" : "", severity_name(r->worst));
}

/* The error names the log first, which stands before it already. */
static void put_why_not(const struct datalog *log, const char *why, struct buf *out)
{
	const size_t n = strlen(log->path);

	if (strncmp(why, log->path, n) == 0 && strncmp(why + n, ": ", 2) == 0)
		why += n + 2;
	buf_printf(out, ": not judged: %s", why);
}

void findings_summary(struct view *v, enum side side, struct buf *out)
{
	const struct check_report *r = &v->findings[side];
	const struct run *run = view_run(v, side);

	buf_puts(out, path_basename(run->log->path));
	if (v->unjudged[side] != NULL) {
		put_why_not(run->log, v->unjudged[side], out);
		return;
	}
	if (v->judging != JUDGING_OVER) {
		buf_puts(out, ": being judged");
		return;
	}
	if (run->number == RUN_WHOLE)
		buf_printf(out, ", %zu pull%s", r->pulls, r->pulls == 1 ? "" : "s");
	else
		buf_printf(out, "@%zu", run->number);
	if (r->count == 0)
		buf_puts(out, ": no finding");
	else
		buf_printf(out, ": %zu finding%s", r->count, r->count == 1 ? "" : "s");
	if (is_being_read(v, side))
		buf_puts(out, " so far");
	buf_printf(out, " in %zu checks", r->ran);
	if (r->count > 0)
		buf_printf(out, ", the worst %s", severity_name(r->worst));
	buf_printf(out, "; %zu could not run", r->not_run_count);
}

void findings_place(struct view *v, struct spot spot, struct buf *out)
{
	const struct finding *f = findings_get(v, spot);
	const struct datalog *log = view_run(v, spot.side)->log;

	if (view_run(v, spot.side)->number == RUN_WHOLE)
		buf_printf(out, "@%zu ", f->pull);
	if (!isnan(f->from_rpm) && !isnan(f->to_rpm)) {
		buf_printf(out, "%.0f-%.0f rpm", fmin(f->from_rpm, f->to_rpm),
			   fmax(f->from_rpm, f->to_rpm));
		return;
	}
	datalog_time_text(log, f->from_s, 1, out);
	buf_putc(out, '-');
	datalog_time_text(log, f->to_s, 1, out);
	buf_puts(out, log->time_of_day ? "" : " s");
}

void findings_words(struct view *v, struct spot spot, struct buf *out)
{
	const struct finding *f = findings_get(v, spot);

	buf_printf(out, "%s %s: ", side_name(spot.side), severity_name(f->severity));
	finding_title(f, out);
	buf_puts(out, ", ");
	finding_worst(f, v->units, v->ascii, out);
	buf_puts(out, ", ");
	finding_limit(f, v->limits, v->units, v->ascii, out);
}

/* "B lean under load (6012-6891 rpm); ..." for as many as there is room for; how many. */
static size_t put_titles(struct view *v, size_t cells, bool places, struct buf *out)
{
	size_t i;

	for (i = 0; i < v->spot_count; i++) {
		struct buf one = BUF_INIT;
		bool fits;

		buf_printf(&one, "%s%s ", i > 0 ? "; " : "", side_name(v->spots[i].side));
		finding_title(findings_get(v, v->spots[i]), &one);
		if (places) {
			buf_puts(&one, " (");
			findings_place(v, v->spots[i], &one);
			buf_putc(&one, ')');
		}
		fits = text_width(buf_text(out)) + text_width(one.data) <= cells;
		if (fits)
			buf_puts(out, one.data);
		buf_release(&one);
		if (!fits)
			break;
	}
	return i;
}

void findings_greeting(struct view *v, struct buf *out)
{
	static const char tail[] = "; F lists all 999";
	const size_t room = (size_t)v->cols > sizeof tail ? (size_t)v->cols - sizeof tail : 0;

	if (v->spot_count == 0)
		return;
	/* where they are is on the strip as well: all their names are worth more */
	if (put_titles(v, room, true, out) < v->spot_count) {
		buf_clear(out);
		put_titles(v, room, false, out);
	}
	if (out->len == 0)
		buf_printf(out, "%zu findings; F lists them", v->spot_count);
	else if (v->spot_count == 1)
		buf_puts(out, "; F tells more");
	else
		buf_printf(out, "; F lists all %zu", v->spot_count);
}
