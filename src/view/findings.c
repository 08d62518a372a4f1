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

#define MOST_PULLS 12		/* of a whole log that are judged without being asked */

static const char *side_name(enum side side)
{
	return side == SIDE_A ? "A" : "B";
}

const struct finding *findings_get(const struct view *v, struct spot spot)
{
	return &v->findings[spot.side].findings[spot.at];
}

/* ---- judging ---- */

static void judge_side(struct view *v, enum side side)
{
	const struct run *run = view_run(v, side);
	const bool pulls = side == SIDE_B && run->number != RUN_WHOLE &&
		v->overlay.a.number != RUN_WHOLE;
	const struct check_setup setup = { v->limits, v->car, pulls ? &v->overlay.a : NULL };
	struct err e = ERR_INIT;
	enum err_code code;

	if (run->log == NULL)
		return;
	if (v->not_judged != NULL) {
		v->unjudged[side] = mem_strdup(v->not_judged);
		return;
	}
	if (run->number == RUN_WHOLE && !v->judge_all &&
	    view_source(v, side)->loaded.pulls.count > MOST_PULLS) {
		v->unjudged[side] = mem_printf("%zu pulls, which takes its time: press F to judge them",
					       view_source(v, side)->loaded.pulls.count);
		return;
	}
	code = check_run(&v->findings[side], &view_source(v, side)->loaded, run, &setup, &e);
	if (code == ERR_NONE)
		return;
	v->findings[side] = (struct check_report)CHECK_REPORT_INIT;
	v->unjudged[side] = mem_strdup(e.text);
	if (code != ERR_DATA)
		view_complain(v, "%s", e.text);
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

/* What a finding is, however often it is judged. */
struct identity {
	enum side side;
	enum check_id check;
	size_t pull;
	double from_s;
};

static bool is_same(const struct view *v, struct spot spot, const struct identity *id)
{
	const struct finding *f = findings_get(v, spot);

	return spot.side == id->side && f->check->id == id->check && f->pull == id->pull &&
	       fabs(f->from_s - id->from_s) < 1e-6;
}

void findings_judge(struct view *v)
{
	const bool stood = v->spot_at < v->spot_count;
	struct identity id = { SIDE_A, CHECK_COUNT, 0, 0.0 };
	size_t i;

	if (stood) {
		const struct finding *f = findings_get(v, v->spots[v->spot_at]);

		id = (struct identity){ v->spots[v->spot_at].side, f->check->id, f->pull,
					f->from_s };
	}
	forget(v);
	judge_side(v, SIDE_A);
	judge_side(v, SIDE_B);
	merge(v);
	for (i = 0; stood && i < v->spot_count; i++)
		if (is_same(v, v->spots[i], &id))
			v->spot_at = i;
}

void findings_judge_all(struct view *v)
{
	if (v->judge_all || (v->unjudged[SIDE_A] == NULL && v->unjudged[SIDE_B] == NULL))
		return;
	v->judge_all = true;
	findings_judge(v);
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

void findings_count(const struct view *v, enum side side, bool brief, struct buf *out)
{
	const struct check_report *r = &v->findings[side];

	if (v->unjudged[side] != NULL)
		buf_puts(out, brief && v->not_judged == NULL ? "no pull" : "not judged");
	else if (r->count == 0)
		buf_puts(out, brief ? "0 found" : "no finding");
	else if (brief)
		buf_printf(out, "%zu %s", r->count, severity_name(r->worst));
	else
		buf_printf(out, "%zu finding%s, %s", r->count, r->count == 1 ? "" : "s",
			   severity_name(r->worst));
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
	if (run->number == RUN_WHOLE)
		buf_printf(out, ", %zu pull%s", r->pulls, r->pulls == 1 ? "" : "s");
	else
		buf_printf(out, "@%zu", run->number);
	if (r->count == 0)
		buf_puts(out, ": no finding");
	else
		buf_printf(out, ": %zu finding%s", r->count, r->count == 1 ? "" : "s");
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
