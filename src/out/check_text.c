/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The findings of `check` as text. */
#include "out/check_text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "out/finding_text.h"
#include "out/heading.h"
#include "out/sheet.h"

#define INDENT 9	/* behind the widest severity and label */
#define LABEL_AT 2
#define ITEM_INDENT 4
#define SLOW_S 0.105	/* 10 Hz and its jitter: slower ones miss short events */

static const char cautions[] =
	"A screening aid, not a verdict: short events fall between samples, and a sensor can be "
	"wrong. The calibrator who signs the car off, and the engine maker's limits, come first. "
	"Pulls belong on a closed course or a dynamometer, with the logger read by somebody who "
	"is not driving; local law on road use and emissions applies.";

static const char *const words[SEVERITIES] = {
	[SEVERITY_NONE] = "NO FINDING",
	[SEVERITY_NOTE] = "NOTE",
	[SEVERITY_CAUTION] = "CAUTION",
	[SEVERITY_STOP] = "STOP",
};

static const char *plural(size_t n)
{
	return n == 1 ? "" : "s";
}

/* A folded paragraph; the label stands in the indent of its first line, from `at` on. */
static void put_item(struct buf *out, const char *label, size_t at, size_t indent,
		     const char *text, const struct out_style *style)
{
	const size_t start = out->len;
	struct buf safe = BUF_INIT;

	style_show(&safe, text, style);
	sheet_fold(out, buf_text(&safe), indent, style_width(style));
	if (out->len > start + at + strlen(label))
		memcpy(out->data + start + at, label, strlen(label));
	buf_release(&safe);
}

static void put_plain(struct buf *out, const char *text, const struct out_style *style)
{
	put_item(out, "", 0, 0, text, style);
}

/* "stop", or "1 stop, 2 caution, 1 note". */
static void put_counts(const struct check_report *r, struct buf *out)
{
	size_t counts[SEVERITIES] = { 0 };
	const char *between = "";
	int s;
	size_t i;

	for (i = 0; i < r->count; i++)
		counts[r->findings[i].severity]++;
	if (counts[r->worst] == r->count) {
		buf_puts(out, severity_name(r->worst));
		return;
	}
	for (s = SEVERITY_STOP; s > SEVERITY_NONE; s--) {
		if (counts[s] == 0)
			continue;
		buf_printf(out, "%s%zu %s", between, counts[s],
			   severity_name((enum severity)s));
		between = ", ";
	}
}

static const char *advice(const struct check_report *r)
{
	switch (r->worst) {
	case SEVERITY_STOP:
		if (r->findings[r->count - 1].severity != SEVERITY_STOP)
			return "Do not drive on before what says stop is explained.";
		return r->count == 1 ? "Do not drive on before it is explained."
				     : "Do not drive on before they are explained.";
	case SEVERITY_CAUTION:
		return "Look closer before the next pull.";
	default:
		return "Worth knowing.";
	}
}

void check_verdict(const struct check_report *r, struct buf *out)
{
	if (r->count > 0) {
		buf_printf(out, "%zu finding%s: ", r->count, plural(r->count));
		put_counts(r, out);
		buf_printf(out, ". %s", advice(r));
	} else if (r->ran == 0) {
		buf_puts(out, "No check could run: this log says nothing either way.");
	} else {
		buf_printf(out, "No finding in %zu check%s; %zu could not run.", r->ran,
			   plural(r->ran), r->not_run_count);
	}
}

/* ": 9 lack a channel, 3 for other reasons"; nothing where all ran. */
static void put_reasons(const struct check_report *r, struct buf *out)
{
	static const char *const reasons[NOT_RUN_KINDS][2] = {
		[NOT_RUN_CHANNEL] = { "lacks a channel", "lack a channel" },
		[NOT_RUN_LIMIT] = { "has no limit", "have no limit" },
		[NOT_RUN_OFF] = { "is switched off", "are switched off" },
		[NOT_RUN_OTHER] = { "for another reason", "for other reasons" },
	};
	size_t counts[NOT_RUN_KINDS] = { 0 };
	const char *between = ": ";
	size_t i;
	int k;

	for (i = 0; i < r->not_run_count; i++)
		counts[r->not_run[i].kind]++;
	for (k = 0; k < NOT_RUN_KINDS; k++) {
		if (counts[k] == 0)
			continue;
		buf_printf(out, "%s%zu %s", between, counts[k], reasons[k][counts[k] > 1]);
		between = ", ";
	}
}

/* The verdict, and how many checks it rests on. */
static void put_verdict(const struct check_shown *shown, const struct out_style *style,
			struct buf *out)
{
	const struct check_report *r = shown->report;
	struct buf text = BUF_INIT;

	check_verdict(r, &text);
	put_plain(out, buf_text(&text), style);
	buf_clear(&text);
	buf_printf(&text, "%zu check%s ran", r->ran, plural(r->ran));
	if (r->not_run_count > 0)
		buf_printf(&text, "; %zu could not", r->not_run_count);
	put_reasons(r, &text);
	buf_putc(&text, '.');
	put_plain(out, buf_text(&text), style);
	buf_release(&text);
}

/* What a slow channel cannot have seen. */
static void put_slowness(const struct check_report *r, const struct out_style *style,
			 struct buf *out)
{
	struct buf text = BUF_INIT;
	char rate[NUM_TEXT], length[NUM_TEXT];

	if (!(r->slowest_s > SLOW_S))
		return;
	buf_printf(&text, "Slow: some of it has only %s samples a second, and nothing shorter than "
		   "%s s is excluded.", num_fixed(rate, 1.0 / r->slowest_s, 0),
		   num_fixed(length, r->slowest_s, 2));
	put_plain(out, buf_text(&text), style);
	buf_release(&text);
}

/* All findings at a glance, a line each, before the details of the first fill the screen. */
static void put_overview(const struct check_shown *shown, const struct out_style *style,
			 struct buf *out)
{
	const struct check_report *r = shown->report;
	struct sheet *s;
	size_t i;

	if (r->count < 2)
		return;
	s = sheet_new();
	sheet_column(s, "", SHEET_LEFT);
	sheet_column(s, "", SHEET_LEFT);
	sheet_column_flex(s, "", SHEET_LEFT, 16);
	sheet_column(s, "", SHEET_LEFT);
	for (i = 0; i < r->count; i++) {
		const struct finding *f = &r->findings[i];
		struct buf text = BUF_INIT;

		sheet_row(s);
		sheet_text(s, words[f->severity]);
		if (shown->run->number == RUN_WHOLE)
			buf_printf(&text, "@%zu ", f->pull);
		finding_where(f, &text);
		sheet_text(s, buf_text(&text));
		buf_clear(&text);
		finding_title(f, &text);
		sheet_text(s, buf_text(&text));
		buf_clear(&text);
		finding_value_at(f, shown->units, style->ascii, &text);
		sheet_text(s, buf_text(&text));
		buf_release(&text);
	}
	buf_putc(out, '\n');
	sheet_to_text(s, style, out);
	sheet_free(s);
}

/* A pull that is weak makes weak findings. */
static void put_weakness(const struct run *run, const struct out_style *style, struct buf *out)
{
	struct buf text = BUF_INIT;
	const char *what;
	unsigned bit;

	for (bit = 0; (what = pull_weakness(bit, NULL)) != NULL; bit++)
		if ((run->pull.weak & 1u << bit) != 0)
			buf_printf(&text, "%s%s", text.len > 0 ? "; " : "The pull is weak: ",
				   what);
	if (text.len > 0) {
		buf_putc(&text, '.');
		put_plain(out, buf_text(&text), style);
	}
	buf_release(&text);
}

/* A file that nobody named must surprise nobody. */
static const char *found_words(bool found)
{
	return found ? " (found, not named)" : "";
}

static void put_files(const struct check_shown *shown, const struct out_style *style,
		      struct buf *out)
{
	const struct limits *l = shown->limits;
	struct buf text = BUF_INIT;

	if (l->path == NULL)
		buf_puts(&text, "Limits: " LIMITS_BUILT_IN ".");
	else
		buf_printf(&text, "Limits: %s%s%s%s; for the rest " LIMITS_BUILT_IN ".", l->path,
			   found_words(shown->limits_found), l->source == NULL ? "" : ": ",
			   l->source == NULL ? "" : l->source);
	put_plain(out, buf_text(&text), style);
	buf_clear(&text);
	if (shown->car->path == NULL)
		buf_puts(&text, "Car: not known.");
	else
		buf_printf(&text, "Car: %s%s%s%s.", shown->car->path,
			   found_words(shown->car_found), shown->car->name == NULL ? "" : ": ",
			   shown->car->name == NULL ? "" : shown->car->name);
	if (shown->baseline != NULL) {
		char *name = heading_name(shown->baseline);

		buf_printf(&text, " Baseline: %s.", name);
		free(name);
	}
	put_plain(out, buf_text(&text), style);
	buf_release(&text);
}

/* "gear 4, 1905-6810 rpm, 4.35 s"; for a whole log, how many pulls. */
static void put_pull(const struct check_shown *shown, struct buf *out)
{
	const struct pull *pull = &shown->run->pull;
	char x[NUM_TEXT], y[NUM_TEXT];

	if (shown->run->number == RUN_WHOLE) {
		buf_printf(out, "%zu pull%s", shown->report->pulls,
			   plural(shown->report->pulls));
		return;
	}
	if (pull->gear > 0)
		buf_printf(out, "gear %d, ", pull->gear);
	buf_printf(out, "%s-%s rpm, ", num_fixed(x, pull->from_rpm, 0),
		   num_fixed(y, pull->to_rpm, 0));
	buf_printf(out, "%s s", num_fixed(x, pull->to_s - pull->from_s, 2));
}

static void put_title(const struct check_shown *shown, const struct out_style *style,
		      struct buf *out)
{
	char *name = heading_name(shown->run);

	style_show(out, name, style);
	buf_printf(out, "   %s   ", words[shown->report->worst]);
	put_pull(shown, out);
	buf_putc(out, '\n');
	free(name);
}

static void put_summary(const struct check_shown *shown, const struct out_style *style,
			struct buf *out)
{
	put_title(shown, style, out);
	put_verdict(shown, style, out);
	put_slowness(shown->report, style, out);
	put_files(shown, style, out);
	put_weakness(shown->run, style, out);
	put_overview(shown, style, out);
}

/* "8.35-9.20 s: "; the time of day as the log has it. */
static void put_times(const struct check_shown *shown, const struct finding *f, struct buf *out)
{
	const struct datalog *log = shown->run->log;

	datalog_time_text(log, f->from_s, 2, out);
	if (f->to_s > f->from_s) {
		buf_putc(out, '-');
		datalog_time_text(log, f->to_s, 2, out);
	}
	buf_puts(out, log->time_of_day ? ": " : " s: ");
}

static void put_finding(const struct check_shown *shown, const struct finding *f,
			const struct out_style *style, struct buf *out)
{
	struct buf text = BUF_INIT;

	if (shown->run->number == RUN_WHOLE)
		buf_printf(&text, "@%zu ", f->pull);
	finding_where(f, &text);
	buf_puts(&text, ": ");
	finding_title(f, &text);
	put_item(out, words[f->severity], 0, INDENT, buf_text(&text), style);
	buf_clear(&text);
	finding_worst(f, shown->units, style->ascii, &text);
	buf_puts(&text, ", ");
	finding_limit(f, shown->limits, shown->units, style->ascii, &text);
	buf_printf(&text, "; seen in %s", f->channel->name);
	put_item(out, "what", LABEL_AT, INDENT, buf_text(&text), style);
	buf_clear(&text);
	put_times(shown, f, &text);
	finding_trust(f, shown->units, style->ascii, &text);
	put_item(out, "when", LABEL_AT, INDENT, buf_text(&text), style);
	put_item(out, "why", LABEL_AT, INDENT, f->check->why, style);
	buf_clear(&text);
	if (finding_cause(f, &text))
		put_item(out, "cause", LABEL_AT, INDENT, buf_text(&text), style);
	put_item(out, "next", LABEL_AT, INDENT, f->check->next, style);
	buf_release(&text);
}

static bool told_before(const struct check_report *r, size_t i)
{
	size_t k;

	for (k = 0; k < i; k++)
		if (strcmp(r->not_run[k].why, r->not_run[i].why) == 0)
			return true;
	return false;
}

/* The checks that did not run, those of one reason together. */
static void put_not_run(const struct check_report *r, const struct out_style *style,
			struct buf *out)
{
	size_t i, k;

	if (r->not_run_count == 0)
		return;
	buf_puts(out, "\nNot checked, which is not passed:\n");
	for (i = 0; i < r->not_run_count; i++) {
		const char *why = r->not_run[i].why;
		struct buf text = BUF_INIT;

		if (told_before(r, i))
			continue;
		buf_puts(&text, r->not_run[i].check->name);
		for (k = i + 1; k < r->not_run_count; k++)
			if (strcmp(r->not_run[k].why, why) == 0)
				buf_printf(&text, ", %s", r->not_run[k].check->name);
		buf_printf(&text, ": %s", why);
		put_item(out, "-", LABEL_AT, ITEM_INDENT, buf_text(&text), style);
		buf_release(&text);
	}
}

void check_text(const struct check_shown *shown, const struct out_style *style,
		struct buf *out)
{
	size_t i;

	put_summary(shown, style, out);
	for (i = 0; i < shown->report->count; i++) {
		buf_putc(out, '\n');
		put_finding(shown, &shown->report->findings[i], style, out);
	}
	put_not_run(shown->report, style, out);
	buf_putc(out, '\n');
	put_plain(out, cautions, style);
	buf_putc(out, '\n');
	put_title(shown, style, out);	/* again: what is above has scrolled away */
}
