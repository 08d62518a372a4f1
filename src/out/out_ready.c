/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether a log is fit to be judged: the verdict, then what fails, is weak, passes. */
#include "out/out_ready.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "out/json.h"
#include "out/sheet.h"

#define INDENT 15	/* behind the widest id */

static const char cautions[] =
	"A screening aid: the calibrator who signs the car off, and the engine maker's limits, "
	"come first. Pulls belong on a closed course or a dynamometer, with the logger read by "
	"somebody who is not driving; local law applies.";

/* In the order in which a person wants them. */
static const struct part {
	enum ready_result result;
	const char *heading;
} parts[] = {
	{ READY_FAIL, "FAIL" },
	{ READY_WEAK, "WEAK" },
	{ READY_PASS, "pass" },
	{ READY_UNCHECKED, "NOT CHECKED" },
};

static const char *const verdict_words[] = {
	[READY_PASS] = "FIT",
	[READY_UNCHECKED] = "FIT",
	[READY_WEAK] = "FIT WITH CARE",
	[READY_FAIL] = "NOT FIT",
};

/* Paragraphs are folded as they will be shown. */
static void put_folded(struct buf *out, const char *text, size_t indent,
		       const struct out_style *style)
{
	struct buf safe = BUF_INIT;

	style_show(&safe, text, style);
	sheet_fold(out, buf_text(&safe), indent, style_width(style));
	buf_release(&safe);
}

/* The id stands in the indent of the first line. */
static void put_line(struct buf *out, const struct ready_line *line,
		     const struct out_style *style)
{
	const size_t start = out->len;

	put_folded(out, line->text, INDENT, style);
	memcpy(out->data + start + 2, line->id, strlen(line->id));
	if (line->result == READY_PASS)
		return;
	if (line->asked != NULL) {
		char *asked = mem_printf("Asked: %s.", line->asked);

		put_folded(out, asked, INDENT, style);
		free(asked);
	}
	if (line->advice != NULL) {
		char *advice = mem_printf("-> %s", line->advice);

		put_folded(out, advice, INDENT, style);
		free(advice);
	}
}

static void put_part(struct buf *out, const struct ready_report *r, const struct part *part,
		     const struct out_style *style)
{
	bool some = false;
	size_t i;

	for (i = 0; i < r->count; i++) {
		if (r->lines[i].result != part->result)
			continue;
		if (!some)
			buf_printf(out, "\n%s\n", part->heading);
		some = true;
		put_line(out, &r->lines[i], style);
	}
}

/* Whose request it is, in words. */
static char *request_words(const struct request *r)
{
	if (r->path == NULL)
		return mem_strdup("the usual request (common practice, no source)");
	if (r->source == NULL)
		return mem_printf("the request of %s", r->path);
	return mem_printf("the request of %s (%s)", r->path, r->source);
}

static void write_text(const struct ready_shown *s, const struct out_style *style,
		       struct buf *out)
{
	char *sentence = ready_sentence(s->report);
	char *request = request_words(s->request);
	char *asked = s->car->path == NULL ? mem_printf("Asked by %s.", request) :
		mem_printf("Asked by %s; the car is that of %s.", request, s->car->path);
	size_t i;

	style_show(out, s->path, style);
	if (s->report->pull > 0)
		buf_printf(out, "@%zu", s->report->pull);
	buf_printf(out, "   %s\n", verdict_words[s->report->verdict]);
	put_folded(out, sentence, 0, style);
	put_folded(out, asked, 0, style);
	for (i = 0; i < sizeof parts / sizeof parts[0]; i++)
		put_part(out, s->report, &parts[i], style);
	buf_putc(out, '\n');
	put_folded(out, cautions, 0, style);
	free(sentence);
	free(request);
	free(asked);
}

static void add_text(struct sheet *s, const char *text)
{
	sheet_text(s, text == NULL ? "" : text);
}

static void write_csv(const struct ready_shown *shown, const struct out_style *style,
		      struct buf *out)
{
	static const char *const names[] = {
		"file", "pull", "verdict", "id", "result", "value", "unit", "asked", "text",
		"advice",
	};
	const struct ready_report *r = shown->report;
	struct sheet *s = sheet_new();
	size_t i;

	(void)style;
	for (i = 0; i < sizeof names / sizeof names[0]; i++)
		sheet_column(s, names[i], SHEET_LEFT);
	for (i = 0; i < r->count; i++) {
		const struct ready_line *line = &r->lines[i];

		sheet_row(s);
		sheet_text(s, shown->path);
		sheet_number(s, r->pull > 0 ? (double)r->pull : NAN, 0);
		sheet_text(s, ready_verdict_name(r->verdict));
		sheet_text(s, line->id);
		sheet_text(s, ready_result_name(line->result));
		sheet_number(s, line->value, 0);
		sheet_text(s, line->unit);
		add_text(s, line->asked);
		sheet_text(s, line->text);
		add_text(s, line->advice);
	}
	sheet_to_csv(s, out);
	sheet_free(s);
}

static json_t *json_text(const char *text)
{
	return js_text(text == NULL ? "" : text);
}

static json_t *json_line(const struct ready_line *line)
{
	json_t *object = js_object();

	js_set(object, "id", js_text(line->id));
	js_set(object, "result", js_text(ready_result_name(line->result)));
	js_set(object, "value", js_number(line->value));
	js_set(object, "unit", js_text(line->unit));
	js_set(object, "asked", json_text(line->asked));
	js_set(object, "text", js_text(line->text));
	js_set(object, "advice", json_text(line->advice));
	return object;
}

static void write_json(const struct ready_shown *shown, const struct out_style *style,
		       struct buf *out)
{
	const struct ready_report *r = shown->report;
	char *sentence = ready_sentence(r);
	json_t *root = js_object();
	json_t *lines = js_array();
	size_t i;

	(void)style;
	for (i = 0; i < r->count; i++)
		js_append(lines, json_line(&r->lines[i]));
	js_set(root, "file", js_text(shown->path));
	js_set(root, "pull", js_count(r->pull > 0 ? (double)r->pull : NAN));
	js_set(root, "verdict", js_text(ready_verdict_name(r->verdict)));
	js_set(root, "lines", lines);
	js_set(root, "text", js_text(sentence));
	js_set(root, "request", json_text(shown->request->path));
	js_set(root, "source", json_text(shown->request->source));
	js_set(root, "car", json_text(shown->car->path));
	js_write(root, out);
	free(sentence);
}

static void (*const writers[OUT_FORMATS])(const struct ready_shown *, const struct out_style *,
					  struct buf *) = {
	[OUT_TEXT] = write_text,
	[OUT_CSV] = write_csv,
	[OUT_JSON] = write_json,
};

void out_ready(const struct ready_shown *shown, const struct out_style *style, struct buf *out)
{
	writers[style->format](shown, style, out);
}
