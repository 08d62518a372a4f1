/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows of the list of findings. */
#include "view/list_findings.h"

#include <string.h>

#include "base/num.h"
#include "base/text.h"
#include "out/finding_text.h"
#include "view/act.h"
#include "view/findings.h"

#define PLACE_CELLS 14
#define PULL_CELLS 4		/* "@12 " before the place, over a whole log */
#define VALUE_CELLS 26		/* "0.934 lambda, limit 0.900" */
#define LEAST_TITLE 18
#define MOST_TITLE 45
#define WIDE 115		/* columns that the longer caution takes */

/* A check that did not run, with the same reason for the sides that it is said of. */
struct missing {
	const struct not_run *a;	/* one of them may be NULL */
	const struct not_run *b;
};

/* Both lists are in the table's order. */
static struct missing missing_at(const struct view *v, size_t i)
{
	const struct check_report *a = &v->findings[SIDE_A];
	const struct check_report *b = &v->findings[SIDE_B];
	size_t at_a = 0, at_b = 0;

	for (;;) {
		struct missing m = { at_a < a->not_run_count ? &a->not_run[at_a] : NULL,
				     at_b < b->not_run_count ? &b->not_run[at_b] : NULL };

		if (m.a != NULL && m.b != NULL &&
		    (m.a->check != m.b->check || strcmp(m.a->why, m.b->why) != 0)) {
			if (m.a->check->id <= m.b->check->id)
				m.b = NULL;
			else
				m.a = NULL;
		}
		if ((m.a == NULL && m.b == NULL) || i-- == 0)
			return m;
		at_a += m.a != NULL;
		at_b += m.b != NULL;
	}
}

static size_t count_missing(const struct view *v)
{
	size_t n = 0;
	struct missing m;

	for (;;) {
		m = missing_at(v, n);
		if (m.a == NULL && m.b == NULL)
			return n;
		n++;
	}
}

/* What a row is, and which of its kind. */
enum row_kind {
	ROW_SUMMARY,
	ROW_FINDING,
	ROW_BLANK,
	ROW_HEAD,		/* of the checks that did not run */
	ROW_MISSING,
};

static enum row_kind kind_of(const struct view *v, size_t *i)
{
	const size_t sides = view_has_b(v) ? SIDES : 1;

	if (*i < sides)
		return ROW_SUMMARY;
	*i -= sides;
	if (*i < v->spot_count)
		return ROW_FINDING;
	*i -= v->spot_count;
	if (*i < 2)
		return *i == 0 ? ROW_BLANK : ROW_HEAD;
	*i -= 2;
	return ROW_MISSING;
}

size_t list_finding_rows(const struct view *v)
{
	const size_t missing = count_missing(v);

	return (view_has_b(v) ? SIDES : 1) + v->spot_count + (missing > 0 ? 2 + missing : 0);
}

size_t list_finding_first(const struct view *v)
{
	return view_has_b(v) ? SIDES : 1;
}

/* "0.945 lambda, limit 0.900" */
static void put_values(const struct view *v, const struct finding *f, struct buf *out)
{
	const struct unit *unit = finding_unit(f, v->units);
	const int decimals = finding_decimals(f, unit);
	char number[NUM_TEXT];

	buf_printf(out, "%s", num_fixed(number, finding_value(f, f->worst, unit), decimals));
	if (unit != NULL)
		buf_printf(out, " %s", v->ascii ? unit->ascii : unit->name);
	buf_printf(out, ", limit %s", num_fixed(number, finding_value(f, f->limit, unit), decimals));
}

/* What place and values leave for the title. */
static size_t title_cells(const struct view *v, size_t place)
{
	const size_t taken = 2 + 8 + 2 + place + VALUE_CELLS;
	const size_t cells = (size_t)v->cols > taken ? (size_t)v->cols - taken : 0;

	return cells < LEAST_TITLE ? LEAST_TITLE : cells > MOST_TITLE ? MOST_TITLE : cells;
}

/* Cut at its end: its beginning says what it is about. */
static void put_title(const struct finding *f, size_t cells, struct buf *out)
{
	struct buf title = BUF_INIT;
	size_t n;

	finding_title(f, &title);
	n = text_fit(title.data, cells - 1);
	if (title.data[n] != '\0') {
		title.data[text_fit(title.data, cells - 3)] = '\0';
		title.len = strlen(title.data);
		buf_puts(&title, "..");
	}
	text_pad(out, title.data, cells);
	buf_release(&title);
}

/* From which check's finding it may follow, as long as there is room. */
static void put_cause(const struct view *v, const struct finding *f, struct buf *out)
{
	static const char *const forms[] = { "; may follow from %s", " < %s" };
	size_t i;

	for (i = 0; f->cause != NULL && i < sizeof forms / sizeof forms[0]; i++) {
		const char *name = f->cause->check->name;
		const size_t cells = strlen(forms[i]) - 2 + strlen(name);

		if (text_width(out->data) + cells + 2 > (size_t)v->cols)	/* a margin each */
			continue;
		if (i == 0)
			buf_printf(out, "; may follow from %s", name);
		else
			buf_printf(out, " < %s", name);
		return;
	}
}

static enum style put_finding(struct view *v, struct spot spot, struct buf *out)
{
	const struct finding *f = findings_get(v, spot);
	const bool whole = (spot.side == SIDE_A ? v->overlay.a.number : v->overlay.b.number) ==
		RUN_WHOLE;
	const size_t cells = PLACE_CELLS + (whole ? PULL_CELLS : 0);
	struct buf place = BUF_INIT;
	const char *source;	/* where there is room for all of it; below the list there is */

	findings_place(v, spot, &place);
	text_pad(out, severity_name(f->severity), 8);
	buf_puts(out, spot.side == SIDE_A ? "A " : "B ");
	put_title(f, title_cells(v, cells), out);
	if (text_width(place.data) < cells)
		text_pad(out, place.data, cells);
	else
		buf_printf(out, "%s  ", place.data);
	put_values(v, f, out);
	put_cause(v, f, out);
	source = limits_source(v->limits, f->own);
	if (text_width(out->data) + text_width(source) + 5 <= (size_t)v->cols)
		buf_printf(out, " (%s)", source);
	buf_release(&place);
	return f->severity >= SEVERITY_CAUTION ? STYLE_FINDING : STYLE_PLAIN;
}

static void put_missing(struct missing m, struct buf *out)
{
	const struct not_run *any = m.a != NULL ? m.a : m.b;

	text_pad(out, "not run", 8);
	buf_printf(out, "%s%s ", m.a != NULL ? "A" : "", m.b != NULL ? "B" : "");
	if (m.a == NULL || m.b == NULL)
		buf_putc(out, ' ');
	buf_printf(out, "%s: %s", any->check->title, any->why);
}

enum style list_finding_row(struct view *v, size_t i, struct buf *out)
{
	switch (kind_of(v, &i)) {
	case ROW_SUMMARY:
		buf_puts(out, i == SIDE_A ? "A " : "B ");
		findings_summary(v, (enum side)i, out);
		return i == SIDE_A ? STYLE_A : STYLE_B;
	case ROW_FINDING:
		return put_finding(v, v->spots[i], out);
	case ROW_BLANK:
		return STYLE_PLAIN;
	case ROW_HEAD:
		buf_puts(out, "Checks that could not run: they have not passed");
		return STYLE_TITLE;
	case ROW_MISSING:
		put_missing(missing_at(v, i), out);
		return STYLE_DIM;
	}
	return STYLE_PLAIN;
}

void list_finding_more(struct view *v, size_t i, struct buf *out)
{
	const struct finding *f;
	struct missing m;

	switch (kind_of(v, &i)) {
	case ROW_FINDING:
		f = findings_get(v, v->spots[i]);
		finding_sentence(f, v->limits, v->units, v->ascii, out);
		buf_printf(out, " Why it matters: %s", f->check->why);
		buf_printf(out, " Look at: %s", f->check->next);
		break;
	case ROW_MISSING:
		m = missing_at(v, i);
		put_missing(m, out);
		buf_printf(out, ". %s", (m.a != NULL ? m.a : m.b)->check->why);
		break;
	case ROW_SUMMARY:
		findings_summary(v, (enum side)i, out);
		break;
	default:
		break;
	}
}

const char *list_finding_caution(const struct view *v)
{
	if (v->cols < WIDE)
		return "A screening aid: calibrator and engine maker come first. Closed course only.";
	return "A screening aid: calibrator and engine maker come first. Closed course or "
	       "dynamometer; who drives does not log.";
}

void list_finding_go(struct view *v, size_t i)
{
	if (kind_of(v, &i) == ROW_FINDING) {
		v->panel = PANEL_NONE;
		findings_go(v, i);
	} else {
		view_say(v, "this row is no finding");
	}
}

void list_finding_mark(struct view *v, size_t i)
{
	if (kind_of(v, &i) == ROW_FINDING)
		findings_mark(v, i);
	else
		view_say(v, "this row is no finding");
}
