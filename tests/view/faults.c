/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Logs with a fault at known engine speeds. */
#include "view/faults.h"

const enum check_id lean_only[] = { CHECK_LEAN, CHECK_COUNT };

/* 20 rows a second: two at idle, eight of the pull from 2000 to 6000 rpm, two at idle. */
static void put_row(struct buf *out, const struct fault *f, int row)
{
	const double at = (row % 240 - 40) / 20.0;
	const bool pull = f->pulls > 0 && at >= 0.0 && at <= 8.0;
	const double rpm = pull ? 2000.0 + 500.0 * at : 2000.0;
	const bool lean = rpm >= 4000.0 && rpm <= 5000.0;

	buf_printf(out, "%.2f,%.0f,%d,%.1f,%.3f,%.3f,%.1f\n", row / 20.0, rpm, pull ? 100 : 10,
		   rpm / 40.0, !pull ? 1.0 : lean ? f->lean : 0.8, pull ? 0.83 : 1.0,
		   pull ? f->ignition : 20.0);
}

static void write_log(const struct fault *f)
{
	struct buf out = BUF_INIT;
	int row;

	buf_puts(&out, "Time (s),Engine Speed (rpm),Accelerator Pedal (%),Vehicle Speed (km/h),"
		 "Lambda,Lambda Target,Ignition Timing (deg)\n");
	for (row = 0; row < 240 * (f->pulls > 0 ? f->pulls : 1); row++)
		put_row(&out, f, row);
	write_beside(f->name, out.data);
	buf_release(&out);
}

const struct fault healthy = { "healthy.csv", 0.80, 10.0, 1 };
const struct fault faulty = { "faulty.csv", 0.95, 10.0, 1 };
const struct fault retarded = { "retarded.csv", 0.80, 4.0, 1 };
const struct fault twice = { "twice.csv", 0.95, 10.0, 2 };
const struct fault idling = { "idling.csv", 0.80, 10.0, 0 };

void open_own(const struct fault *a, const struct fault *b, const char *ref_a,
	      const struct viewer_options *like)
{
	struct viewer_options o = *like;

	write_log(a);
	if (b != NULL)
		write_log(b);
	o.a = ref_a != NULL ? ref_a : a->name;
	o.b = b != NULL ? b->name : NULL;
	viewer_rejudge(&w, &o);
	viewer_reopen(&w, &o);
}

const struct viewer_options lambda_lane = {
	.rows = 30, .cols = 100, .channels = "lambda", .only = lean_only,
};
