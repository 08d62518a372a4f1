/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether a log is fit to be judged, question by question. */
#ifndef OUT_OUT_READY_H
#define OUT_OUT_READY_H

#include "base/buf.h"
#include "judge/ready.h"
#include "out/style.h"

struct ready_shown {
	const char *path;		/* of the log */
	const struct ready_report *report;
	const struct request *request;
	const struct car *car;
};

void out_ready(const struct ready_shown *shown, const struct out_style *style, struct buf *out);

#endif
