/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The findings of `check`: summary, findings, what was not checked. */
#ifndef OUT_OUT_CHECK_H
#define OUT_OUT_CHECK_H

#include <stdbool.h>

#include "base/buf.h"
#include "judge/check.h"
#include "out/style.h"

struct check_shown {
	const struct check_report *report;
	const struct run *run;		/* the pull, or the whole log */
	const struct run *baseline;	/* NULL: none */
	const struct limits *limits;
	const struct car *car;
	bool limits_found;		/* the file was not named but found */
	bool car_found;
	enum unit_system units;
};

void out_check(const struct check_shown *shown, const struct out_style *style, struct buf *out);

#endif
