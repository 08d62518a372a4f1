/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The differences of two pulls: by bands, spool, and where they are largest. */
#ifndef OUT_OUT_DIFF_H
#define OUT_OUT_DIFF_H

#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"
#include "calc/delta.h"
#include "calc/overlay.h"
#include "calc/pairing.h"
#include "out/style.h"

struct diff_report {
	const struct overlay *o;
	const struct pairing *pairs;
	const struct delta *delta;		/* of these pairs */
	const struct spool_line *spool;
	size_t spool_count;
	const struct unit *boost_unit;		/* of spool levels in text; NULL: kPa */
	bool chosen;				/* text shows all pairs, not the first few */
};

void out_diff(const struct diff_report *r, const struct out_style *style, struct buf *out);

#endif
