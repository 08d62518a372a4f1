/* SPDX-License-Identifier: GPL-3.0-or-later */
/* All checks as a table, and as a section of the manual. */
#include "out/check_list.h"

#include <math.h>

#include "base/num.h"
#include "base/text.h"
#include "judge/check.h"
#include "out/sheet.h"

#define MANUAL_WIDTH 78
#define OWN_MARK "*"

/* "boost or map, boost_target or map_target": the channels that a check cannot do without. */
static void put_needs(struct buf *out, const struct check *c)
{
	size_t need, k;

	buf_puts(out, "needs ");
	for (need = 0; need < CHECK_NEEDS && c->needs[need].any[0] != Q_NONE; need++) {
		buf_puts(out, need > 0 ? ", " : "");
		for (k = 0; k < CHECK_ANY && c->needs[need].any[k] != Q_NONE; k++)
			buf_printf(out, "%s%s", k > 0 ? " or " : "",
				   quantity_get(c->needs[need].any[k])->key);
	}
}

/* Limits that were converted have digits that mean nothing. */
static double rounded(double v)
{
	return round(v * 1000.0) / 1000.0;
}

/* As it stands in limits.ini: "2", "1000:70, 6000:420". */
static void put_line(struct buf *out, const struct limit_line *line)
{
	char rpm[NUM_TEXT], value[NUM_TEXT];
	size_t i;

	for (i = 0; i < line->n; i++) {
		if (line->n > 1)
			buf_printf(out, "%s%s:", i > 0 ? ", " : "",
				   num_exact(rpm, line->rpm[i]));
		buf_puts(out, num_exact(value, rounded(line->value[i])));
	}
}

static void add_level(struct sheet *s, const struct limit *limit, enum severity severity)
{
	struct buf text = BUF_INIT;

	put_line(&text, &limit->level[severity]);
	if (limit->level[severity].n == 0)
		buf_puts(&text, "-");
	if (limit->own[severity])
		buf_puts(&text, OWN_MARK);
	sheet_text(s, buf_text(&text));
	buf_release(&text);
}

static void add_check(struct sheet *s, const struct check *c, const struct limit *limit)
{
	struct buf note = BUF_INIT;
	int level;

	sheet_row(s);
	sheet_text(s, c->name);
	sheet_text(s, c->unit);
	for (level = SEVERITY_NOTE; level < SEVERITIES; level++)
		add_level(s, limit, (enum severity)level);
	sheet_number(s, limit->least_s, 1);
	buf_printf(&note, "%s%s%s; ", limit->off ? "OFF: " : "", c->title,
		   c->side == CHECK_UNDER ? " (below the limit)" : "");
	put_needs(&note, c);
	sheet_note(s, buf_text(&note));
	buf_release(&note);
}

void check_list(const struct limits *limits, const struct out_style *style, struct buf *out)
{
	static const char *const names[] = { "note", "caution", "stop" };
	struct sheet *s = sheet_new();
	size_t i;
	int id;

	sheet_column(s, "check", SHEET_LEFT);
	sheet_column(s, "unit", SHEET_LEFT);
	sheet_keys_end(s);
	for (i = 0; i < sizeof names / sizeof names[0]; i++)
		sheet_column(s, names[i], SHEET_LEFT);
	sheet_column(s, "for s", SHEET_RIGHT);
	for (id = 0; id < CHECK_COUNT; id++)
		add_check(s, check_get((enum check_id)id), &limits->of[id]);
	sheet_to_text(s, style, out);
	sheet_free(s);
	buf_puts(out, "\nBuilt-in limits are " LIMITS_BUILT_IN ".\n");
	if (limits->path != NULL) {
		buf_puts(out, OWN_MARK " of ");
		style_show(out, limits->path, style);
		buf_putc(out, '\n');
	}
}

/* "note over 0.86, caution over 0.88 lambda" */
static void put_levels(struct buf *out, const struct check *c)
{
	const char *side = c->side == CHECK_OVER ? "over" : "below";
	bool any = false;
	int s;

	for (s = SEVERITY_NOTE; s < SEVERITIES; s++) {
		if (c->limit[s] == NULL)
			continue;
		buf_printf(out, "%s%s %s %s", any ? "; " : "",
			   severity_name((enum severity)s), side, c->limit[s]);
		any = true;
	}
	if (!any)
		buf_puts(out, "no limit of its own, in");
	buf_printf(out, "%s%s", c->unit[0] != '\0' ? " " : "", c->unit);
}

void check_list_manual(struct buf *out)
{
	char number[NUM_TEXT];
	int id;

	buf_puts(out, ".Bl -tag -width Ds -compact\n");
	for (id = 0; id < CHECK_COUNT; id++) {
		const struct check *c = check_get((enum check_id)id);
		struct buf text = BUF_INIT;

		buf_printf(out, ".It Li %s\n", c->name);
		buf_printf(&text, "%s: ", c->title);
		put_levels(&text, c);
		if (c->least_s > 0)
			buf_printf(&text, ", for %s s", num_exact(number, c->least_s));
		buf_puts(&text, "; ");
		put_needs(&text, c);
		buf_putc(&text, '.');
		sheet_fold(out, buf_text(&text), 0, MANUAL_WIDTH);
		buf_release(&text);
	}
	buf_puts(out, ".El\n");
}
