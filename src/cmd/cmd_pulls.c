/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `twinpull pulls`: the full-throttle runs found in logs. */
#include <stdlib.h>

#include "base/mem.h"
#include "cmd/cmd.h"
#include "cmd/options.h"
#include "cmd/report.h"
#include "cmd/session.h"
#include "out/out_pulls.h"

static const struct syntax syntax = {
	"pulls", "LOG...",
	"Lists the pulls of each log: full-throttle runs in one gear, over rising engine\n"
	"speed, with what weakens them.",
	1, (size_t)-1, { &options_reading, &options_output },
};

/* Loads what can be loaded; EXIT_TROUBLE when some log failed. */
static int load_all(const struct options *o, struct loaded *logs, const struct loaded **good,
		    size_t *count)
{
	int status = EXIT_FINE;
	size_t i;

	for (i = 0; i < o->log_count; i++) {
		struct log_ref ref = { NULL, REF_BEST, 0 };
		struct err e = ERR_INIT;

		if (session_load(o->logs[i], o, &logs[i], &ref, &e) != ERR_NONE) {
			status = report_trouble(&e);
		} else if (!logs[i].has_rpm) {
			report("%s: no engine speed channel, so there are no pulls to find; see "
			       "`twinpull channels`", ref.path);
			status = EXIT_TROUBLE;
		} else {
			good[(*count)++] = &logs[i];
		}
		free(ref.path);
	}
	return status;
}

static int run(const struct options *o)
{
	struct loaded *logs = mem_array(o->log_count, sizeof *logs);
	const struct loaded **good = mem_array(o->log_count, sizeof *good);
	struct buf out = BUF_INIT;
	size_t count = 0;
	size_t i;
	int status = load_all(o, logs, good, &count);

	if (count > 0) {
		out_pulls(good, count, &o->style, &out);
		if (report_result(&out, o->output) != EXIT_FINE)
			status = EXIT_TROUBLE;
	}
	buf_release(&out);
	for (i = 0; i < o->log_count; i++)
		loaded_release(&logs[i]);
	free(good);
	free(logs);
	return status;
}

int cmd_pulls(int argc, char **argv)
{
	return session_command(&syntax, argc, argv, NULL, run);
}
