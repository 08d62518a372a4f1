/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `twinpull ready`: is a log fit to be judged, and to be sent to a calibrator? */
#include <stdlib.h>

#include "cmd/cmd.h"
#include "cmd/judging.h"
#include "cmd/options.h"
#include "cmd/report.h"
#include "cmd/session.h"
#include "judge/ready.h"
#include "keep/beside.h"
#include "keep/car_file.h"
#include "keep/request_file.h"
#include "out/out_ready.h"

struct ready_options {
	const char *request;	/* a file, "none", or NULL: the one that is found */
};

static enum err_code set_request(struct options *o, const char *value, struct err *e)
{
	struct ready_options *own = o->own;

	return judging_name_file(&own->request, value, e);
}

static const struct option_row rows[] = {
	{ "request", 0, "FILE", "what is asked of a log, or none (request.ini)", set_request },
	{ "car", 0, "FILE", "what is known of the car, or none (car.ini)", judging_set_car },
};

static const struct option_set options_ready = { "Judging", rows, sizeof rows / sizeof rows[0] };

static const struct syntax syntax = {
	"ready", "LOG[@N]",
	"Says whether a log is fit to be judged and sent to a calibrator: pull, rate,\n"
	"channels and the state of the car, each passed, weak, failed or not checked.",
	1, 1, { &options_ready, &options_reading, &options_output },
};

struct files {
	struct request request;
	struct car car;
};

static enum err_code files_open(struct files *f, const struct options *o,
				const char *log_path, struct err *e)
{
	const struct ready_options *own = o->own;
	char *request = beside_choose(own->request, log_path, "request.ini");
	char *car = beside_choose(o->car, log_path, "car.ini");
	enum err_code code = ERR_NONE;

	request_init(&f->request);
	car_init(&f->car);
	if (request != NULL)
		code = request_read(&f->request, request, e);
	if (code == ERR_NONE && car != NULL)
		code = car_read(&f->car, car, e);
	if (code == ERR_NONE)
		code = options_guard(o, request, "the request", e);
	if (code == ERR_NONE)
		code = options_guard(o, car, "the car file", e);
	free(request);
	free(car);
	return code;
}

static void files_release(struct files *f)
{
	request_release(&f->request);
	car_release(&f->car);
}

static enum err_code judge(const struct options *o, const struct loaded *loaded,
			   const struct log_ref *ref, struct buf *out, enum ready_result *verdict,
			   struct err *e)
{
	struct ready_report report = READY_REPORT_INIT;
	struct run run = { 0 };
	struct files files;
	enum err_code code = files_open(&files, o, ref->path, e);

	if (code == ERR_NONE && ref->what == REF_BEST) {
		const size_t best = ready_choose(loaded, &files.request);

		code = run_init(&run, loaded->log, &loaded->pulls, best == 0 ? RUN_WHOLE : best, e);
	} else if (code == ERR_NONE) {
		code = load_run(loaded, ref, &run, e);
	}
	if (code == ERR_NONE) {
		const struct ready_setup setup = { &files.request, &files.car, o->units };

		code = ready_run(&report, loaded, &run, &setup, e);
	}
	if (code == ERR_NONE) {
		const struct ready_shown shown = { loaded->log->path, &report, &files.request,
						   &files.car };

		out_ready(&shown, &o->style, out);
		*verdict = report.verdict;
	}
	ready_report_release(&report);
	run_release(&run);
	files_release(&files);
	return code;
}

static int run(const struct options *o)
{
	enum ready_result verdict = READY_FAIL;
	struct log_ref ref = { NULL, REF_BEST, 0 };
	struct loaded loaded = LOADED_INIT;
	struct buf out = BUF_INIT;
	struct err e = ERR_INIT;
	enum err_code code = session_load(o->logs[0], o, &loaded, &ref, &e);
	int status;

	if (code == ERR_NONE)
		code = judge(o, &loaded, &ref, &out, &verdict, &e);
	if (code != ERR_NONE)
		status = report_trouble(&e);
	else
		status = report_result(&out, o->output);
	if (status == EXIT_FINE && verdict != READY_PASS)
		status = EXIT_FINDINGS;
	buf_release(&out);
	loaded_release(&loaded);
	free(ref.path);
	return status;
}

int cmd_ready(int argc, char **argv)
{
	struct ready_options own = { NULL };

	return session_command(&syntax, argc, argv, &own, run);
}
