/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The findings of `check` as CSV and JSON; the text is in check_text.c. */
#include "out/out_check.h"

#include <math.h>

#include "out/check_text.h"
#include "out/finding_text.h"
#include "out/json.h"
#include "out/sheet.h"

/* The fields of one finding, in the order in which both formats have them. */
enum kind {
	KIND_NUMBER,
	KIND_COUNT,
	KIND_TEXT,
};

struct field {
	const char *key;
	enum kind kind;
	double number;
	const char *text;
};

#define FIELDS 22

struct fields {
	struct field list[FIELDS];
	size_t count;
	struct buf sentence;
};

static void add(struct fields *f, const char *key, enum kind kind, double number,
		const char *text)
{
	f->list[f->count++] = (struct field){ key, kind, number, text };
}

static const char *unit_text(const struct unit *unit)
{
	return unit == NULL ? "" : unit->name;
}

static void fields_fill(struct fields *out, const struct check_shown *shown,
			const struct finding *f)
{
	const struct unit *unit = finding_unit(f, shown->units);

	*out = (struct fields){ .count = 0, .sentence = BUF_INIT };
	finding_sentence(f, shown->limits, shown->units, false, &out->sentence);
	add(out, "id", KIND_TEXT, NAN, f->check->name);
	add(out, "severity", KIND_TEXT, NAN, severity_name(f->severity));
	add(out, "channel", KIND_TEXT, NAN, f->channel->name);
	add(out, "from_s", KIND_NUMBER, f->from_s, NULL);
	add(out, "to_s", KIND_NUMBER, f->to_s, NULL);
	add(out, "from_rpm", KIND_NUMBER, f->from_rpm, NULL);
	add(out, "to_rpm", KIND_NUMBER, f->to_rpm, NULL);
	add(out, "worst", KIND_NUMBER, finding_value(f, f->worst, unit), NULL);
	add(out, "worst_at_s", KIND_NUMBER, f->worst_s, NULL);
	add(out, "limit", KIND_NUMBER, finding_value(f, f->limit, unit), NULL);
	add(out, "unit", KIND_TEXT, NAN, unit_text(unit));
	add(out, "source", KIND_TEXT, NAN, limits_source(shown->limits, f->own));
	add(out, "text", KIND_TEXT, NAN, buf_text(&out->sentence));
	add(out, "pull", KIND_COUNT, (double)f->pull, NULL);
	add(out, "worst_at_rpm", KIND_NUMBER, f->worst_rpm, NULL);
	add(out, "over_s", KIND_NUMBER, f->over_s, NULL);
	add(out, "samples", KIND_COUNT, (double)f->samples, NULL);
	add(out, "interval_s", KIND_NUMBER, f->interval_s, NULL);
	add(out, "sure", KIND_TEXT, NAN, sureness_name(f->sure));
	add(out, "why", KIND_TEXT, NAN, f->check->why);
	add(out, "next", KIND_TEXT, NAN, f->check->next);
	add(out, "may_follow_from", KIND_TEXT, NAN, f->cause == NULL ? NULL : f->cause->check->name);
}

static void fields_release(struct fields *f)
{
	buf_release(&f->sentence);
}

static void csv_row(struct sheet *s, const char *path, const struct fields *f)
{
	size_t i;

	sheet_row(s);
	sheet_text(s, path);
	for (i = 0; i < f->count; i++)
		if (f->list[i].kind == KIND_TEXT)
			sheet_text(s, f->list[i].text == NULL ? "" : f->list[i].text);
		else
			sheet_number(s, f->list[i].number, 0);
}

/* The header also stands where there is no finding. */
static void csv_columns(struct sheet *s)
{
	static const char *const names[] = {
		"file", "id", "severity", "channel", "from_s", "to_s", "from_rpm", "to_rpm",
		"worst", "worst_at_s", "limit", "unit", "source", "text", "pull",
		"worst_at_rpm", "over_s", "samples", "interval_s", "sure", "why", "next",
		"may_follow_from",
	};
	size_t i;

	for (i = 0; i < sizeof names / sizeof names[0]; i++)
		sheet_column(s, names[i], SHEET_LEFT);
}

static void write_csv(const struct check_shown *shown, const struct out_style *style,
		      struct buf *out)
{
	struct sheet *s = sheet_new();
	size_t i;

	(void)style;
	csv_columns(s);
	for (i = 0; i < shown->report->count; i++) {
		struct fields f;

		fields_fill(&f, shown, &shown->report->findings[i]);
		csv_row(s, shown->run->log->path, &f);
		fields_release(&f);
	}
	sheet_to_csv(s, out);
	sheet_free(s);
}

static json_t *json_field(const struct field *f)
{
	switch (f->kind) {
	case KIND_TEXT:
		return f->text == NULL ? json_null() : js_text(f->text);
	case KIND_COUNT:
		return js_count(f->number);
	case KIND_NUMBER:
		break;
	}
	return js_number(f->number);
}

static json_t *json_finding(const struct check_shown *shown, const struct finding *finding)
{
	json_t *object = js_object();
	struct fields f;
	size_t i;

	fields_fill(&f, shown, finding);
	for (i = 0; i < f.count; i++)
		js_set(object, f.list[i].key, json_field(&f.list[i]));
	fields_release(&f);
	return object;
}

static json_t *json_pull(const struct run *run)
{
	return run->number == RUN_WHOLE ? json_null() : js_count((double)run->number);
}

static json_t *json_baseline(const struct run *run)
{
	json_t *object;

	if (run == NULL)
		return json_null();
	object = js_object();
	js_set(object, "file", js_text(run->log->path));
	js_set(object, "pull", json_pull(run));
	return object;
}

static json_t *json_path(const char *path)
{
	return js_text(path == NULL ? "" : path);
}

static void write_json(const struct check_shown *shown, const struct out_style *style,
		       struct buf *out)
{
	const struct check_report *r = shown->report;
	json_t *root = js_object();
	json_t *not_run = js_array();
	json_t *findings = js_array();
	size_t i;

	(void)style;
	for (i = 0; i < r->not_run_count; i++) {
		json_t *object = js_object();

		js_set(object, "id", js_text(r->not_run[i].check->name));
		js_set(object, "why", js_text(r->not_run[i].why));
		js_append(not_run, object);
	}
	for (i = 0; i < r->count; i++)
		js_append(findings, json_finding(shown, &r->findings[i]));
	js_set(root, "file", js_text(shown->run->log->path));
	js_set(root, "pull", json_pull(shown->run));
	js_set(root, "checks_run", js_count((double)r->ran));
	js_set(root, "not_run", not_run);
	js_set(root, "findings", findings);
	js_set(root, "worst_severity", js_text(severity_name(r->worst)));
	js_set(root, "limits", json_path(shown->limits->path));
	js_set(root, "car", json_path(shown->car->path));
	js_set(root, "baseline", json_baseline(shown->baseline));
	js_write(root, out);
}

static void (*const writers[OUT_FORMATS])(const struct check_shown *, const struct out_style *,
					  struct buf *) = {
	[OUT_TEXT] = check_text,
	[OUT_CSV] = write_csv,
	[OUT_JSON] = write_json,
};

void out_check(const struct check_shown *shown, const struct out_style *style, struct buf *out)
{
	writers[style->format](shown, style, out);
}
