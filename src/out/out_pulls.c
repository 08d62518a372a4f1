/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The pulls found in logs. */
#include "out/out_pulls.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/num.h"
#include "out/heading.h"
#include "out/json.h"
#include "out/sheet.h"

struct shown_logs {
	const struct loaded *const *list;
	size_t count;
};

static char *join_weak(const struct pull *pull, const char *between)
{
	struct buf out = BUF_INIT;
	const char *key;
	unsigned bit;

	for (bit = 0; pull_weakness(bit, &key) != NULL; bit++)
		if ((pull->weak & 1u << bit) != 0)
			buf_printf(&out, "%s%s", out.len > 0 ? between : "", key);
	buf_puts(&out, "");
	return buf_take(&out);
}

static void note_weak(struct sheet *s, const struct pull *pull)
{
	const char *words;
	unsigned bit;

	for (bit = 0; (words = pull_weakness(bit, NULL)) != NULL; bit++)
		if ((pull->weak & 1u << bit) != 0)
			sheet_note(s, words);
}

static void add_gear(struct sheet *s, const struct pull *pull)
{
	char number[NUM_TEXT];
	char *text;

	if (pull->gear > 0)
		text = mem_printf("%d", pull->gear);
	else if (!isnan(pull->ratio))
		text = mem_printf("%s rpm/km/h", num_fixed(number, pull->ratio, 1));
	else
		text = mem_strdup("-");
	sheet_text(s, text);
	free(text);
}

static void text_rows(struct sheet *s, const struct loaded *l)
{
	size_t i;

	for (i = 0; i < l->pulls.count; i++) {
		const struct pull *pull = &l->pulls.list[i];
		struct buf start = BUF_INIT;
		char *name = mem_printf("@%zu", i + 1);

		sheet_row(s);
		sheet_text(s, name);
		add_gear(s, pull);
		sheet_number(s, pull->from_rpm, 0);
		sheet_number(s, pull->to_rpm, 0);
		sheet_number(s, pull->to_s - pull->from_s, 2);
		sheet_count(s, pull->samples);
		datalog_time_text(l->log, pull->from_s, 2, &start);
		sheet_text(s, start.data);
		buf_release(&start);
		sheet_text(s, l->pulls.count > 1 && i + 1 == pull_best(&l->pulls) ?
			   "default" : "");
		note_weak(s, pull);
		free(name);
	}
}

static void text_log(const struct loaded *l, const struct out_style *style, struct buf *out)
{
	char seconds[NUM_TEXT];
	struct sheet *s;

	style_show(out, l->log->path, style);
	buf_printf(out, "   %zu rows   %s s   ", l->log->rows,
		   num_fixed(seconds, heading_duration(l->log), 1));
	if (l->pulls.count == 0) {
		buf_puts(out, "no pull\n");
		return;
	}
	buf_printf(out, "%zu pull%s\n", l->pulls.count, l->pulls.count == 1 ? "" : "s");
	s = sheet_new();
	sheet_column(s, "pull", SHEET_RIGHT);
	sheet_column(s, "gear", SHEET_LEFT);
	sheet_column(s, "from rpm", SHEET_RIGHT);
	sheet_column(s, "to rpm", SHEET_RIGHT);
	sheet_column(s, "seconds", SHEET_RIGHT);
	sheet_column(s, "samples", SHEET_RIGHT);
	sheet_column(s, l->log->time_of_day ? "starts at" : "starts at s", SHEET_RIGHT);
	sheet_column(s, "", SHEET_LEFT);
	text_rows(s, l);
	sheet_to_text(s, style, out);
	sheet_free(s);
}

static void write_text(const struct shown_logs *logs, const struct out_style *style,
		       struct buf *out)
{
	size_t i;

	for (i = 0; i < logs->count; i++) {
		if (i > 0)
			buf_putc(out, '\n');
		text_log(logs->list[i], style, out);
	}
}

static void csv_row(struct sheet *s, const struct loaded *l, size_t i)
{
	const struct pull *pull = &l->pulls.list[i];
	char *weak = join_weak(pull, " ");

	sheet_row(s);
	sheet_text(s, l->log->path);
	sheet_count(s, i + 1);
	sheet_number(s, pull->gear > 0 ? pull->gear : NAN, 0);
	sheet_number(s, pull->ratio, 0);
	sheet_number(s, pull->from_s, 0);
	sheet_number(s, pull->to_s, 0);
	sheet_number(s, pull->from_rpm, 0);
	sheet_number(s, pull->to_rpm, 0);
	sheet_count(s, pull->samples);
	sheet_text(s, weak);
	free(weak);
}

static void write_csv(const struct shown_logs *logs, const struct out_style *style,
		      struct buf *out)
{
	static const char *const names[] = {
		"file", "pull", "gear", "ratio", "from_s", "to_s", "from_rpm", "to_rpm",
		"samples", "weak",
	};
	struct sheet *s = sheet_new();
	size_t i, k;

	(void)style;
	for (i = 0; i < sizeof names / sizeof names[0]; i++)
		sheet_column(s, names[i], SHEET_LEFT);
	for (i = 0; i < logs->count; i++)
		for (k = 0; k < logs->list[i]->pulls.count; k++)
			csv_row(s, logs->list[i], k);
	sheet_to_csv(s, out);
	sheet_free(s);
}

static json_t *json_pull(const struct loaded *l, size_t i)
{
	const struct pull *pull = &l->pulls.list[i];
	json_t *object = js_object();
	json_t *weak = js_array();
	const char *key;
	unsigned bit;

	for (bit = 0; pull_weakness(bit, &key) != NULL; bit++)
		if ((pull->weak & 1u << bit) != 0)
			js_append(weak, js_text(key));
	js_set(object, "pull", js_count((double)(i + 1)));
	js_set(object, "gear", js_count(pull->gear > 0 ? pull->gear : NAN));
	js_set(object, "ratio", js_number(pull->ratio));
	js_set(object, "from_s", js_number(pull->from_s));
	js_set(object, "to_s", js_number(pull->to_s));
	js_set(object, "from_rpm", js_number(pull->from_rpm));
	js_set(object, "to_rpm", js_number(pull->to_rpm));
	js_set(object, "samples", js_count((double)pull->samples));
	js_set(object, "weak", weak);
	return object;
}

static void write_json(const struct shown_logs *logs, const struct out_style *style,
		       struct buf *out)
{
	json_t *root = js_object();
	json_t *list = js_array();
	size_t i, k;

	(void)style;
	for (i = 0; i < logs->count; i++) {
		const struct loaded *l = logs->list[i];
		json_t *object = js_object();
		json_t *pulls = js_array();

		for (k = 0; k < l->pulls.count; k++)
			js_append(pulls, json_pull(l, k));
		js_set(object, "file", js_text(l->log->path));
		js_set(object, "rows", js_count((double)l->log->rows));
		js_set(object, "duration_s", js_number(heading_duration(l->log)));
		js_set(object, "pulls", pulls);
		js_append(list, object);
	}
	js_set(root, "logs", list);
	js_write(root, out);
}

static void (*const writers[OUT_FORMATS])(const struct shown_logs *, const struct out_style *,
					  struct buf *) = {
	[OUT_TEXT] = write_text,
	[OUT_CSV] = write_csv,
	[OUT_JSON] = write_json,
};

void out_pulls(const struct loaded *const *logs, size_t count, const struct out_style *style,
	       struct buf *out)
{
	const struct shown_logs shown = { logs, count };

	writers[style->format](&shown, style, out);
}
