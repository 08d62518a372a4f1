/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `twinpull channels`: what was recognised in a log, and what could not be read. */
#include <stdlib.h>

#include "cmd/cmd.h"
#include "cmd/options.h"
#include "cmd/report.h"
#include "cmd/session.h"
#include "out/out_channels.h"

static const struct syntax syntax = {
	"channels", "LOG",
	"Lists the channels of a log: what each measures, in which unit, and why that\n"
	"was concluded; its rate, range and missing samples; then what could not be read.",
	1, 1, { &options_reading, &options_output },
};

static int run(const struct options *o)
{
	struct log_ref ref = { NULL, REF_BEST, 0 };
	struct loaded loaded;
	struct buf out = BUF_INIT;
	struct err e = ERR_INIT;
	int status;

	if (session_load(o->logs[0], o, &loaded, &ref, &e) != ERR_NONE) {
		status = report_trouble(&e);
	} else {
		out_channels(loaded.log, o->units, &o->style, &out);
		status = report_result(&out, o->output);
	}
	buf_release(&out);
	loaded_release(&loaded);
	free(ref.path);
	return status;
}

int cmd_channels(int argc, char **argv)
{
	return session_command(&syntax, argc, argv, NULL, run);
}
