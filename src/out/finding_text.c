/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Findings in words. */
#include "out/finding_text.h"

#include <ctype.h>
#include <math.h>

#include "base/num.h"
#include "base/text.h"

#define MOST_DECIMALS 6
#define MORE_DECIMALS 3		/* to tell the worst value from the limit */
#define SHORT_S 0.02		/* times below take a third decimal */

static const char cylinder[] = "cylinder";

/* What the number behind a channel's name counts. */
static const struct {
	enum quantity_id id;
	const char *noun;
} nouns[] = {
	{ Q_KNOCK_RETARD, cylinder },
	{ Q_MISFIRES, cylinder },
	{ Q_IGNITION, cylinder },
	{ Q_INJECTOR_DUTY, cylinder },
	{ Q_LAMBDA, "bank" },
	{ Q_TRIM_SHORT, "bank" },
	{ Q_TRIM_LONG, "bank" },
	{ Q_RAIL_PRESSURE, "bank" },
};

static const char *noun_of(enum quantity_id id)
{
	size_t i;

	for (i = 0; i < sizeof nouns / sizeof nouns[0]; i++)
		if (nouns[i].id == id)
			return nouns[i].noun;
	return "sensor";
}

const struct unit *finding_unit(const struct finding *f, enum unit_system system)
{
	const struct unit *own = unit_find(f->check->unit, NULL);
	const struct unit *shown;

	if (own == NULL || own->dim == DIM_RATIO)
		return own;
	shown = unit_preferred(own->dim, system);
	if (shown == NULL)
		shown = f->channel->unit;
	return shown != NULL && shown->dim == own->dim ? shown : own;
}

double finding_value(const struct finding *f, double value, const struct unit *unit)
{
	const struct unit *own = unit_find(f->check->unit, NULL);

	if (unit == NULL)
		return value;
	return f->check->difference ? unit_convert_delta(value, own, unit)
				    : unit_convert(value, own, unit);
}

double finding_beyond(const struct finding *f, const struct unit *unit)
{
	return fabs(finding_value(f, f->worst, unit) - finding_value(f, f->limit, unit));
}

static bool look_alike(double a, double b, int decimals)
{
	return fabs(a - b) < pow(10.0, -decimals);
}

int finding_decimals(const struct finding *f, const struct unit *unit)
{
	const struct unit *own = unit_find(f->check->unit, NULL);
	const double worst = finding_value(f, f->worst, unit);
	const double limit = finding_value(f, f->limit, unit);
	int decimals = f->check->decimals;
	int more;

	if (unit != NULL && own != NULL)
		decimals += (int)ceil(log10(unit->factor / own->factor) - 1e-9);
	decimals = decimals < 0 ? 0 : decimals;
	for (more = 0; more < MORE_DECIMALS && look_alike(worst, limit, decimals); more++)
		decimals++;
	return decimals < MOST_DECIMALS ? decimals : MOST_DECIMALS;
}

static void put_value(struct buf *out, double v, int decimals, const struct unit *unit,
		      bool ascii)
{
	char number[NUM_TEXT];

	buf_puts(out, num_fixed(number, v, decimals));
	if (unit != NULL)
		buf_printf(out, " %s", ascii ? unit->ascii : unit->name);
}

static void put_seconds(struct buf *out, double s)
{
	char number[NUM_TEXT];

	buf_printf(out, "%s s", num_fixed(number, s, s < SHORT_S ? 3 : 2));
}

static void put_words(struct buf *out, const char *text, bool ascii)
{
	if (ascii)
		text_to_ascii(out, text);
	else
		buf_puts(out, text);
}

/* An index of two digits is a bank and its sensor (data/name_words.h), but for cylinders. */
static void put_index(struct buf *out, const struct channel *ch)
{
	const char *noun = noun_of(ch->quantity->id);

	if (ch->index > 10 && noun != cylinder)
		buf_printf(out, ", bank %d sensor %d", ch->index / 10, ch->index % 10);
	else
		buf_printf(out, ", %s %d", noun, ch->index);
}

/* A finding of all cylinders is of none in particular, whichever channel it is seen in. */
void finding_title(const struct finding *f, struct buf *out)
{
	buf_puts(out, f->check->title);
	if (f->channel->index > 0 && f->check->id != CHECK_KNOCK_ALL)
		put_index(out, f->channel);
}

/* "FROM-TO UNIT"; "at FROM UNIT" where both look the same. */
static void put_span(struct buf *out, double from, double to, int decimals, const char *unit)
{
	char a[NUM_TEXT], b[NUM_TEXT];

	if (round(from * pow(10.0, decimals)) == round(to * pow(10.0, decimals)))
		buf_printf(out, "at %s %s", num_fixed(a, from, decimals), unit);
	else
		buf_printf(out, "%s-%s %s", num_fixed(a, from, decimals),
			   num_fixed(b, to, decimals), unit);
}

void finding_where(const struct finding *f, struct buf *out)
{
	if (isnan(f->from_rpm) || isnan(f->to_rpm))
		put_span(out, f->from_s, f->to_s, 2, "s");
	else
		put_span(out, fmin(f->from_rpm, f->to_rpm), fmax(f->from_rpm, f->to_rpm), 0,
			 "rpm");
}

void finding_value_at(const struct finding *f, enum unit_system system, bool ascii,
		      struct buf *out)
{
	const struct unit *unit = finding_unit(f, system);
	char number[NUM_TEXT];

	put_value(out, finding_value(f, f->worst, unit), finding_decimals(f, unit), unit, ascii);
	if (isnan(f->worst_rpm))
		buf_printf(out, " at %s s", num_fixed(number, f->worst_s, 2));
	else
		buf_printf(out, " at %s rpm", num_fixed(number, f->worst_rpm, 0));
}

void finding_worst(const struct finding *f, enum unit_system system, bool ascii,
		   struct buf *out)
{
	finding_value_at(f, system, ascii, out);
	if (f->detail != NULL) {
		buf_puts(out, " (");
		put_words(out, f->detail, ascii);
		buf_putc(out, ')');
	}
}

void finding_limit(const struct finding *f, const struct limits *limits,
		   enum unit_system system, bool ascii, struct buf *out)
{
	const struct unit *unit = finding_unit(f, system);

	buf_puts(out, "limit ");
	put_value(out, finding_value(f, f->limit, unit), finding_decimals(f, unit), unit, ascii);
	buf_puts(out, " (");
	put_words(out, limits_source(limits, f->own), ascii);
	buf_putc(out, ')');
}

void finding_trust(const struct finding *f, enum unit_system system, bool ascii,
		   struct buf *out)
{
	const struct unit *unit = finding_unit(f, system);
	const char *side = f->check->side == CHECK_OVER ? "over" : "below";

	buf_printf(out, "%s it ", side);
	if (f->over_s > 0) {
		buf_puts(out, "for ");
		put_seconds(out, f->over_s);
	} else {
		buf_puts(out, "at one sample");
	}
	buf_puts(out, ", by ");
	put_value(out, finding_beyond(f, unit), finding_decimals(f, unit), unit, ascii);
	buf_printf(out, "%s; %zu sample%s: %s", f->samples > 1 ? " at most" : "", f->samples,
		   f->samples == 1 ? "" : "s", sureness_name(f->sure));
	if (f->interval_s > 0) {
		buf_puts(out, "; shorter than ");
		put_seconds(out, f->interval_s);
		buf_puts(out, " not excluded");
	}
}

bool finding_cause(const struct finding *f, struct buf *out)
{
	if (f->cause == NULL)
		return false;
	buf_puts(out, "may follow from ");
	finding_title(f->cause, out);
	buf_puts(out, ", ");
	finding_where(f->cause, out);
	return true;
}

/* The first letter of what stands in `out` from `start` on becomes a capital. */
static void capitalise(struct buf *out, size_t start)
{
	if (out->len > start)
		out->data[start] = (char)toupper((unsigned char)out->data[start]);
}

void finding_sentence(const struct finding *f, const struct limits *limits,
		      enum unit_system system, bool ascii, struct buf *out)
{
	size_t start = out->len;

	finding_title(f, out);
	capitalise(out, start);
	buf_puts(out, ", ");
	finding_where(f, out);
	buf_puts(out, ": ");
	finding_worst(f, system, ascii, out);
	buf_puts(out, ", ");
	finding_limit(f, limits, system, ascii, out);
	buf_puts(out, ". ");
	start = out->len;
	finding_trust(f, system, ascii, out);
	capitalise(out, start);
	buf_putc(out, '.');
	if (f->cause == NULL)
		return;
	buf_putc(out, ' ');
	start = out->len;
	finding_cause(f, out);
	capitalise(out, start);
	buf_putc(out, '.');
}
