/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `twinpull check`: what is over its limits, where, and how sure that is. */
#include <stdlib.h>
#include <string.h>

#include "cmd/cmd.h"
#include "cmd/judging.h"
#include "cmd/options.h"
#include "cmd/report.h"
#include "cmd/session.h"
#include "judge/check.h"
#include "out/check_list.h"
#include "out/out_check.h"

struct check_options {
	const char *against;	/* a log reference, or NULL */
	bool list;
	bool manual;
};

static enum err_code set_against(struct options *o, const char *value, struct err *e)
{
	struct check_options *own = o->own;

	if (value[0] == '\0')
		return err_set(e, ERR_USAGE, "must name a log");
	own->against = value;
	return ERR_NONE;
}

static enum err_code set_list(struct options *o, const char *value, struct err *e)
{
	struct check_options *own = o->own;

	(void)value;
	(void)e;
	own->list = true;
	return ERR_NONE;
}

static enum err_code set_manual(struct options *o, const char *value, struct err *e)
{
	struct check_options *own = o->own;

	(void)value;
	(void)e;
	own->manual = true;
	return ERR_NONE;
}

static const struct option_row rows[] = {
	{ "against", 0, "LOG", "the pull from before the work, as LOG or LOG@N", set_against },
	{ "list-checks", 0, NULL, "print all checks and their limits, and end", set_list },
	{ "manual-checks", 0, NULL, "the same as a manual's section", set_manual },
};

static const struct option_set options_check = { "Checking", rows, sizeof rows / sizeof rows[0] };

static const struct syntax syntax = {
	"check", "LOG[@N]",
	"Holds the pull, or with LOG@all every pull, against limits, and tells what is\n"
	"over them: how bad, where, by whose limit, how sure, and what to look at next.\n"
	"What could not be checked is told too; it has not passed.",
	0, 1, { &options_check, &options_judging, &options_reading, &options_output },
};

/* A log, what of it is meant, and the run. */
struct side {
	struct log_ref ref;
	struct loaded loaded;
	struct run run;
};

#define SIDE_INIT { { NULL, REF_BEST, 0 }, LOADED_INIT, { 0 } }

static enum err_code side_open(struct side *s, const char *word, const struct options *o,
			       struct err *e)
{
	const enum err_code code = session_load(word, o, &s->loaded, &s->ref, e);

	return code == ERR_NONE ? load_run(&s->loaded, &s->ref, &s->run, e) : code;
}

static void side_release(struct side *s)
{
	run_release(&s->run);
	loaded_release(&s->loaded);
	free(s->ref.path);
}

static enum err_code open_baseline(struct side *s, const struct options *o, struct err *e)
{
	const struct check_options *own = o->own;
	enum err_code code;

	code = side_open(s, own->against, o, e);
	if (code == ERR_NONE && s->ref.what == REF_WHOLE)
		code = err_set(e, ERR_USAGE, "--against %s: a baseline is one pull, not a whole "
			       "log", own->against);
	if (code == ERR_NONE && s->run.number == RUN_WHOLE)
		code = err_set(e, ERR_DATA, "%s: no pull was found, so it is no baseline",
			       s->ref.path);
	if (code == ERR_NONE)
		code = options_guard(o, s->ref.path, "the baseline", e);
	return code;
}

static enum err_code judge(const struct side *log, const struct side *baseline,
			   const struct judging *j, const struct options *o, struct buf *out,
			   enum severity *worst, struct err *e)
{
	const struct run *before = baseline->run.log != NULL ? &baseline->run : NULL;
	const struct check_setup setup = {
		.limits = &j->limits, .car = &j->car, .baseline = before,
	};
	struct check_report report = CHECK_REPORT_INIT;
	const enum err_code code = check_run(&report, &log->loaded, &log->run, &setup, e);

	if (code == ERR_NONE) {
		const struct check_shown shown = {
			&report, &log->run, before, &j->limits, &j->car,
			j->limits_found, j->car_found, o->units,
		};

		out_check(&shown, &o->style, out);
		*worst = report.worst;
	}
	check_report_release(&report);
	return code;
}

/* The files that judge come first: with a bad one there is nothing to do with the log. */
static enum err_code open_judging(struct judging *j, const struct options *o, struct err *e)
{
	const struct check_options *own = o->own;
	struct log_ref ref = { NULL, REF_BEST, 0 };
	enum err_code code = log_ref_parse(o->logs[0], &ref, e);

	if (code == ERR_NONE && own->against != NULL && own->against[0] == '-' &&
	    o->logs[0][0] == '-')
		code = err_set(e, ERR_USAGE, "standard input can be only one of the log and its "
			       "baseline");
	if (code == ERR_NONE)
		code = judging_open(j, o, ref.path, e);
	free(ref.path);
	return code;
}

static int check_log(const struct options *o)
{
	const struct check_options *own = o->own;
	struct side log = SIDE_INIT, baseline = SIDE_INIT;
	struct judging j = { .limits_found = false };
	enum severity worst = SEVERITY_NONE;
	struct buf out = BUF_INIT;
	struct err e = ERR_INIT;
	enum err_code code = open_judging(&j, o, &e);
	int status;

	if (code == ERR_NONE)
		code = side_open(&log, o->logs[0], o, &e);
	if (code == ERR_NONE && own->against != NULL)
		code = open_baseline(&baseline, o, &e);
	if (code == ERR_NONE)
		code = judge(&log, &baseline, &j, o, &out, &worst, &e);
	status = code == ERR_NONE ? report_result(&out, o->output) : report_trouble(&e);
	if (status == EXIT_FINE && worst >= SEVERITY_CAUTION)
		status = EXIT_FINDINGS;
	buf_release(&out);
	side_release(&log);
	side_release(&baseline);
	judging_release(&j);
	return status;
}

static int list_checks(const struct options *o)
{
	const struct check_options *own = o->own;
	struct judging j;
	struct buf out = BUF_INIT;
	struct err e = ERR_INIT;
	int status;

	if (o->style.format != OUT_TEXT) {
		report("check: the list of checks is text only");
		return EXIT_TROUBLE;
	}
	if (own->manual) {
		check_list_manual(&out);
	} else if (judging_open(&j, o, o->log_count > 0 ? o->logs[0] : "-", &e) == ERR_NONE) {
		check_list(&j.limits, &o->style, &out);
		judging_release(&j);
	} else {
		judging_release(&j);
		return report_trouble(&e);
	}
	status = report_result(&out, o->output);
	buf_release(&out);
	return status;
}

static int run(const struct options *o)
{
	const struct check_options *own = o->own;

	if (own->list || own->manual)
		return list_checks(o);
	if (o->log_count == 0) {
		report("check: no log is named; see `twinpull check --help`");
		return EXIT_TROUBLE;
	}
	return check_log(o);
}

int cmd_check(int argc, char **argv)
{
	struct check_options own = { NULL, false, false };

	return session_command(&syntax, argc, argv, &own, run);
}
