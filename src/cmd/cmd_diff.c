/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `twinpull diff`: what changed from pull A to pull B. */
#include <math.h>
#include <string.h>

#include "base/num.h"
#include "cmd/cmd.h"
#include "cmd/options.h"
#include "cmd/report.h"
#include "cmd/session.h"
#include "out/out_diff.h"

#define RPM_BAND 500.0
#define TIME_BAND 1.0		/* s */
#define MOST_BANDS 1000

struct diff_options {
	double band;		/* NaN: by the axis */
};

static enum err_code set_band(struct options *o, const char *value, struct err *e)
{
	struct diff_options *own = o->own;

	if (!num_parse(value, strlen(value), '.', &own->band, NULL) || !(own->band > 0.0) ||
	    !isfinite(own->band))
		return err_set(e, ERR_USAGE, "must be a width in rpm or s, above 0");
	return ERR_NONE;
}

static const struct option_row rows[] = {
	{ "band", 0, "WIDTH", "of a band, in rpm (500) or s (1)", set_band },
};

static const struct option_set options_bands = { "Bands", rows, 1 };

static const struct syntax syntax = {
	"diff", "A B",
	"Compares pull B with pull A: means by bands of the axis, elapsed times, how\n"
	"boost builds, and where each channel differs most.",
	2, 2, { &options_bands, &options_compare, &options_reading, &options_output },
};

static double band_width(const struct session *s, const struct options *o)
{
	const struct diff_options *own = o->own;

	if (!isnan(own->band))
		return own->band;
	return s->o.axis == AXIS_RPM ? RPM_BAND : TIME_BAND;
}

/* The unit of the boost channel that spool_compute() looked at. */
static const struct unit *boost_unit(const struct session *s)
{
	size_t i;

	for (i = 0; i < s->pairs.count; i++)
		if (pair_channel(&s->pairs.list[i])->quantity->id == Q_BOOST)
			return s->pairs.list[i].unit;
	return NULL;
}

static enum err_code compare(const struct session *s, const struct options *o,
			     struct delta *delta, struct buf *out, struct err *e)
{
	const double width = band_width(s, o);
	struct spool_line spool[SPOOL_LINES];
	struct diff_report report = {
		&s->o, &s->pairs, delta, spool, 0, boost_unit(s), o->channels != NULL,
	};
	enum err_code code;

	if ((s->to - s->from) / width > MOST_BANDS)
		return err_set(e, ERR_USAGE, "--band %g would make more than %d bands", width,
			       MOST_BANDS);
	code = delta_compute(delta, &s->o, &s->pairs, s->from, s->to, width, e);
	if (code == ERR_NONE)
		code = spool_compute(&s->o, spool, &report.spool_count, e);
	if (code == ERR_NONE)
		out_diff(&report, &o->style, out);
	return code;
}

static int run(const struct options *o)
{
	struct delta delta = { 0 };
	struct buf out = BUF_INIT;
	struct err e = ERR_INIT;
	struct session s;
	int status;

	if (session_open(&s, o, SESSION_ALL, &e) != ERR_NONE)
		return report_trouble(&e);
	if (compare(&s, o, &delta, &out, &e) == ERR_NONE)
		status = report_result(&out, o->output);
	else
		status = report_trouble(&e);
	buf_release(&out);
	delta_release(&delta);
	session_release(&s);
	return status;
}

int cmd_diff(int argc, char **argv)
{
	struct diff_options own = { NAN };

	return session_command(&syntax, argc, argv, &own, run);
}
