/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small logs whose numbers are known. */
#include "logs.h"

#include <math.h>
#include <stdbool.h>

#include "base/buf.h"

#define RATE 20
#define ROLL (2 * RATE)		/* rows before and after the pull */
#define FROM_RPM 2000.0
#define TO_RPM 6500.0
#define RATIO 50.0		/* rpm per km/h */

const struct log_how log_before = { 600.0, 2000.0, 120.0, 0.85, 0.0, 4, 0.0 };
const struct log_how log_after = { 1000.0, 2500.0, 200.0, 0.95, 6.0, 4, 100.0 };

static double boost(const struct log_how *how, double rpm)
{
	return fmin(how->top, fmax(0.0, (rpm - how->spool_from) / 10.0));
}

static void add_row(struct buf *out, const struct log_how *how, int row, double rpm, bool pull)
{
	buf_printf(out, "%.3f,%.4f,%d", how->starts + (double)row / RATE, rpm, pull ? 100 : 8);
	if (how->gear > 0)
		buf_printf(out, ",%.4f,%d", rpm / RATIO, how->gear);
	buf_printf(out, ",%.4f,%.3f,0.0,%.1f,%s\n", pull ? boost(how, rpm) : 0.0,
		   pull && rpm > 6000.0 ? how->lambda_top : 0.85,
		   pull && rpm >= 5000.0 && rpm <= 5200.0 ? how->knock : 0.0,
		   pull ? "open loop" : "closed loop");
}

void log_write(const struct place *p, const char *name, const struct log_how *how)
{
	const int rows = (int)lround((TO_RPM - FROM_RPM) / how->rise * RATE);
	struct buf out = BUF_INIT;
	int i;

	buf_printf(&out, "Time (s),Engine Speed (rpm),Accelerator Pedal (%%)%s,"
		   "Boost Pressure (kPa),Lambda,Knock Retard Cyl 1 (deg),"
		   "Knock Retard Cyl 2 (deg),Fuel System Status\n",
		   how->gear > 0 ? ",Vehicle Speed (km/h),Gear" : "");
	for (i = 0; i < ROLL; i++)
		add_row(&out, how, i, FROM_RPM, false);
	for (i = 0; i <= rows; i++)
		add_row(&out, how, ROLL + i, FROM_RPM + how->rise * i / RATE, true);
	for (i = 1; i <= ROLL; i++)
		add_row(&out, how, ROLL + rows + i, TO_RPM - 20.0 * i, false);
	place_write(p, name, buf_text(&out));
	buf_release(&out);
}

void log_write_both(const struct place *p)
{
	log_write(p, "before.csv", &log_before);
	log_write(p, "after.csv", &log_after);
}
