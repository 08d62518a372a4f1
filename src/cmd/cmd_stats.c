/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `twinpull stats`: statistics of a span, of one pull or of two. */
#include "cmd/cmd.h"
#include "cmd/options.h"
#include "cmd/report.h"
#include "cmd/session.h"
#include "out/out_stats.h"

static const struct syntax syntax = {
	"stats", "A [B]",
	"Statistics of each channel over a span of pull A, of B, and of B minus A.",
	1, 2, { &options_compare, &options_reading, &options_output },
};

static int run(const struct options *o)
{
	const enum session_channels channels = o->style.format == OUT_TEXT ? SESSION_LANES :
		SESSION_ALL;
	struct span_stats stats = SPAN_STATS_INIT;
	struct buf out = BUF_INIT;
	struct err e = ERR_INIT;
	struct session s;
	int status;

	if (session_open(&s, o, channels, &e) != ERR_NONE)
		return report_trouble(&e);
	if (span_stats_compute(&stats, &s.o, &s.pairs, s.from, s.to, &e) == ERR_NONE) {
		stats.hidden = s.hidden;
		out_stats(&stats, &o->style, &out);
		status = report_result(&out, o->output);
	} else {
		status = report_trouble(&e);
	}
	buf_release(&out);
	span_stats_release(&stats);
	session_release(&s);
	return status;
}

int cmd_stats(int argc, char **argv)
{
	return session_command(&syntax, argc, argv, NULL, run);
}
