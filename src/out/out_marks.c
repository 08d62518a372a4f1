/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The marks of a log. */
#include "out/out_marks.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"
#include "base/text.h"
#include "out/heading.h"
#include "out/json.h"
#include "out/sheet.h"

#define CHANNEL_CELLS 10
#define TITLE_CELLS 16

struct view {
	const struct marks *marks;
	const char *log_path;
	size_t pull;
};

static bool is_shown(const struct view *v, size_t i)
{
	return v->pull == OUT_MARKS_EVERY || v->marks->list[i].pull == v->pull;
}

static size_t count_shown(const struct view *v)
{
	size_t count = 0;
	size_t i;

	for (i = 0; i < v->marks->count; i++)
		count += is_shown(v, i);
	return count;
}

static void text_row(struct sheet *s, size_t i, const struct mark *mark)
{
	const int decimals = heading_decimals(mark->axis);
	char from[NUM_TEXT], to[NUM_TEXT];
	char *pull = mark->pull == 0 ? mem_strdup("@all") : mem_printf("@%zu", mark->pull);
	char *range = mem_printf("%s-%s %s", num_fixed(from, mark->from, decimals),
				 num_fixed(to, mark->to, decimals), axis_unit(mark->axis));

	sheet_row(s);
	sheet_count(s, i + 1);
	sheet_text(s, pull);
	sheet_text(s, range);
	sheet_text(s, mark->channel);
	sheet_text(s, mark->title);
	if (mark->note[0] != '\0')
		sheet_note(s, mark->note);
	free(pull);
	free(range);
}

static void write_text(const struct view *v, const struct out_style *style, struct buf *out)
{
	const size_t count = count_shown(v);
	struct sheet *s;
	size_t i;

	style_show(out, v->log_path, style);
	if (count == 0) {
		buf_puts(out, "   no marks\n");
		return;
	}
	buf_printf(out, "   %zu mark%s\n", count, count == 1 ? "" : "s");
	s = sheet_new();
	sheet_column(s, "mark", SHEET_RIGHT);
	sheet_column(s, "pull", SHEET_LEFT);
	sheet_column(s, "region", SHEET_LEFT);
	sheet_column_flex(s, "channel", SHEET_LEFT, CHANNEL_CELLS);
	sheet_column_flex(s, "title", SHEET_LEFT, TITLE_CELLS);
	for (i = 0; i < v->marks->count; i++)
		if (is_shown(v, i))
			text_row(s, i, &v->marks->list[i]);
	sheet_to_text(s, style, out);
	sheet_free(s);
}

/* The output may be a terminal: a marks file must not send it control sequences. */
static void put_safe(struct sheet *s, const char *text)
{
	struct buf safe = BUF_INIT;

	text_sanitise_lines(&safe, text);
	sheet_text(s, buf_text(&safe));
	buf_release(&safe);
}

static void write_csv(const struct view *v, const struct out_style *style, struct buf *out)
{
	static const char *const names[] = {
		"mark", "pull", "axis", "from", "to", "channel", "title", "note",
	};
	struct sheet *s = sheet_new();
	size_t i;

	(void)style;
	for (i = 0; i < sizeof names / sizeof names[0]; i++)
		sheet_column(s, names[i], SHEET_LEFT);
	for (i = 0; i < v->marks->count; i++) {
		const struct mark *mark = &v->marks->list[i];

		if (!is_shown(v, i))
			continue;
		sheet_row(s);
		sheet_count(s, i + 1);
		sheet_number(s, mark->pull == 0 ? NAN : (double)mark->pull, 0);
		sheet_text(s, axis_name(mark->axis));
		sheet_number(s, mark->from, 0);
		sheet_number(s, mark->to, 0);
		put_safe(s, mark->channel);
		put_safe(s, mark->title);
		put_safe(s, mark->note);
	}
	sheet_to_csv(s, out);
	sheet_free(s);
}

static json_t *json_mark(size_t i, const struct mark *mark)
{
	json_t *object = js_object();

	js_set(object, "mark", js_count((double)(i + 1)));
	js_set(object, "pull", js_count(mark->pull == 0 ? NAN : (double)mark->pull));
	js_set(object, "axis", js_text(axis_name(mark->axis)));
	js_set(object, "from", js_number(mark->from));
	js_set(object, "to", js_number(mark->to));
	js_set(object, "unit", js_text(axis_unit(mark->axis)));
	js_set(object, "channel", js_text(mark->channel));
	js_set(object, "title", js_text(mark->title));
	js_set(object, "note", js_text(mark->note));
	return object;
}

static void write_json(const struct view *v, const struct out_style *style, struct buf *out)
{
	json_t *root = js_object();
	json_t *list = js_array();
	size_t i;

	(void)style;
	for (i = 0; i < v->marks->count; i++)
		if (is_shown(v, i))
			js_append(list, json_mark(i, &v->marks->list[i]));
	js_set(root, "file", js_text(v->log_path));
	js_set(root, "kept_in", js_text(v->marks->path));
	js_set(root, "marks", list);
	js_write(root, out);
}

static void (*const writers[OUT_FORMATS])(const struct view *, const struct out_style *,
					  struct buf *) = {
	[OUT_TEXT] = write_text,
	[OUT_CSV] = write_csv,
	[OUT_JSON] = write_json,
};

void out_marks(const struct marks *marks, const char *log_path, size_t pull,
	       const struct out_style *style, struct buf *out)
{
	const struct view v = { marks, log_path, pull };

	writers[style->format](&v, style, out);
}
